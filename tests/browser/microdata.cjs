// What each page tells other programs of itself: one description, and microdata that reads strictly, of types and
// properties of https://schema.org/ alone, with nothing said to be for sale.
//
// node microdata.cjs SITE
"use strict";

const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const { run } = require("./browser.cjs");
const { below } = require("./files.cjs");

const [site] = process.argv.slice(2);
const SCHEMA = "https://schema.org/";
// Each type with its properties used here, as https://schema.org/<Type> lists them (from memory).
const THING = ["name", "description", "url", "image"];
const WORK = [...THING, "inLanguage", "license", "mainEntity"];
const TYPES = {
  WebSite: WORK,
  WebPage: [...WORK, "breadcrumb"],
  CollectionPage: [...WORK, "breadcrumb"],
  BreadcrumbList: [...THING, "itemListElement"],
  ListItem: [...THING, "item", "position"],
  Dataset: [...WORK, "version", "isAccessibleForFree", "distribution"],
  DataDownload: [...WORK, "contentUrl", "contentSize"],
  ImageObject: [...WORK, "contentUrl", "creditText", "caption"],
  CreativeWork: WORK,
};
const NEEDED = {
  BreadcrumbList: ["itemListElement"],
  ListItem: ["item", "name", "position"],
  Dataset: ["name", "description", "license", "distribution"],
  DataDownload: ["contentUrl", "name"],
  ImageObject: ["contentUrl"],
};

function pages() {
  return below(site)
    .filter((file) => file.endsWith(".html"))
    .map((file) => path.relative(site, file).split(path.sep).join("/"));
}

function read(file) {
  return fs.readFileSync(path.join(site, file), "utf8");
}

// Reads the items of a page by the rules of the HTML standard, section 5.2 "Encoding microdata", without itemref.
function items(html) {
  // Parsed and not opened: a page that has moved leads away at once.
  const document = new DOMParser().parseFromString(html, "text/html");
  const problems = [];
  const value = (part) => {
    if (part.hasAttribute("itemscope")) return item(part);
    if (part.localName === "meta") return part.getAttribute("content") || "";
    const address = { a: "href", link: "href", img: "src" }[part.localName];
    return address ? part.getAttribute(address) || "" : part.textContent.trim();
  };
  const item = (root) => {
    const properties = {};
    const walk = (node) => {
      for (const child of node.children) {
        const name = child.getAttribute("itemprop");
        if (child.hasAttribute("itemscope") && name === null) problems.push("an item within an item is no property");
        if (name !== null) (properties[name] = properties[name] || []).push(value(child));
        if (!child.hasAttribute("itemscope")) walk(child);
      }
    };
    walk(root);
    return { type: root.getAttribute("itemtype"), properties };
  };
  const loose = [...document.querySelectorAll("[itemprop]")].filter(
    (one) => !one.parentElement?.closest("[itemscope]"),
  );
  if (loose.length > 0) problems.push(`${loose.length} properties of nothing`);
  const root = document.documentElement;
  return {
    problems,
    page: root.hasAttribute("itemscope") ? item(root) : null,
    descriptions: [...document.querySelectorAll("meta[name=description]")].map((one) => one.getAttribute("content")),
    trail: document.querySelectorAll(".trail li").length,
    photographs: document.querySelectorAll("figure.photograph").length,
  };
}

function faults({ type, properties }) {
  const name = (type || "").replace(SCHEMA, "");
  if (!type || !type.startsWith(SCHEMA) || !TYPES[name]) return [`no type: ${type}`];
  const unknown = Object.keys(properties).filter((one) => !TYPES[name].includes(one));
  const missing = (NEEDED[name] || []).filter((one) => !properties[one]);
  const values = Object.values(properties).flat();
  return [
    ...unknown.map((one) => `${name} has no ${one}`),
    ...missing.map((one) => `${name} without ${one}`),
    ...values.filter((one) => one === "").map(() => `${name} has an empty property`),
    ...values.filter((one) => typeof one !== "string").flatMap(faults),
  ];
}

function listOf(found, property, type) {
  return (found.page.properties[property] || []).filter((one) => one.type === SCHEMA + type);
}

// A list of the way to a page is numbered from one, and names each step.
function trailFaults(found) {
  const lists = listOf(found, "breadcrumb", "BreadcrumbList");
  if (found.trail === 0) return lists.length === 0 ? [] : ["a trail of nothing"];
  const steps = lists[0]?.properties.itemListElement || [];
  const positions = steps.map((one) => one.properties.position[0]).join();
  const expected = Array.from({ length: found.trail }, (_, at) => at + 1).join();
  return positions === expected ? [] : [`the trail is numbered ${positions}, not ${expected}`];
}

const tests = {
  "every page has one description and microdata that reads strictly": async (browser) => {
    const page = await (await browser.newContext()).newPage();
    const told = [];
    const types = new Map();
    for (const file of pages()) {
      const found = await page.evaluate(items, read(file));
      const own = [...found.problems];
      if (found.descriptions.length !== 1 || !found.descriptions[0]) own.push("not one description");
      // These two stand alone, and are the same wherever they are shown.
      if (!["404.html", "garment.html"].includes(file)) {
        if (!found.page) own.push("no item");
        else {
          own.push(...faults(found.page), ...trailFaults(found));
          if (found.page.properties.description[0] !== found.descriptions[0]) own.push("two descriptions");
          if (listOf(found, "image", "ImageObject").length !== found.photographs) own.push("a photograph is no image");
          types.set(found.page.type, file);
        }
      }
      told.push(...own.map((one) => `${file}: ${one}`));
    }
    assert.deepStrictEqual(told, []);
    for (const one of ["WebSite", "CollectionPage", "WebPage"]) assert.ok(types.has(SCHEMA + one), one);
  },
  "the downloads are a data set, and photographs name whose they are": async (browser) => {
    const page = await (await browser.newContext()).newPage();
    const [data] = listOf(await page.evaluate(items, read("downloads.html")), "mainEntity", "Dataset");
    assert.ok(data.properties.distribution.length > 8, `${data.properties.distribution.length} files`);
    assert.ok(data.properties.license[0].properties.name[0].length > 0);
    const shown = pages().find((file) => read(file).includes('itemprop="creditText"'));
    const [image] = listOf(await page.evaluate(items, read(shown)), "image", "ImageObject");
    assert.match(image.properties.contentUrl[0], /photographs\//);
    assert.ok(image.properties.creditText[0] && image.properties.license[0].properties.name[0], JSON.stringify(image));
  },
};

run(tests);

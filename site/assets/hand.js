// The page of a garment in hand: turns taps into a garment, the garment into an answer, and both into the page.
//
// Reads window.bartackRules (rules.js) and window.bartackDating (dating*.js). What was tapped lives in the address, after
// the `#`, so that an answer can be shared, printed and opened again.
(function () {
  "use strict";

  const dating = window.bartackDating;
  const rules = window.bartackRules;
  const prepared = dating.prepare(rules);
  const place = document.getElementById("hand");
  const site = place.dataset.site;
  const KNOWN = ["maker", "model", "line", "wearer", "variant", "market"];
  const WORTHWHILE = 0.005;
  const SVG = "http://www.w3.org/2000/svg";

  // What is known and seen: { maker: "…", …, garment: "…", features: Map }.
  let state = read(location.hash);

  function read(hash) {
    const found = { features: new Map() };
    for (const [key, value] of new URLSearchParams(hash.replace(/^#/, ""))) {
      if (KNOWN.includes(key) || key === "garment") found[key] = value;
      else if (prepared.features.has(key)) found.features.set(key, value);
    }
    return found;
  }

  function address() {
    const parts = new URLSearchParams();
    for (const key of [...KNOWN, "garment"]) if (state[key]) parts.set(key, state[key]);
    for (const [feature, value] of state.features) parts.set(feature, value);
    const text = parts.toString();
    return text ? "#" + text : "";
  }

  function garment() {
    const given = { features: Object.fromEntries(state.features) };
    for (const key of KNOWN) if (state[key]) given[key] = state[key];
    return given;
  }

  // Small makers of elements; text is always text, never markup.

  function element(name, attributes, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {})) if (value !== null && value !== false) made.setAttribute(key, value === true ? "" : value);
    made.append(...children.flat().filter((child) => child !== null && child !== undefined));
    return made;
  }

  function drawn(name, attributes, ...children) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...children);
    return made;
  }

  function words(id) {
    return id.replace(/-/g, " ");
  }

  function nameOfFeature(id) {
    const feature = prepared.features.get(id);
    return feature ? feature.name : words(id);
  }

  // What is known.

  function choice(key, label, options) {
    const select = element("select", { id: "know-" + key, name: key });
    select.append(element("option", { value: "" }, "not known"));
    for (const { id, name } of options) select.append(element("option", { value: id, selected: state[key] === id }, name));
    select.addEventListener("change", () => {
      state[key] = select.value;
      if (key === "maker") state.model = state.line = state.variant = "";
      if (key === "model") state.variant = "";
      change("know-" + key);
    });
    return element("p", { class: "known" }, element("label", { for: "know-" + key }, label), select);
  }

  function known() {
    const ofMaker = (one) => !state.maker || one.id.startsWith(state.maker + "/");
    const models = rules.models.filter(ofMaker);
    const variants = rules.variants.filter((one) => state.model && one.model === state.model);
    const markets = [...new Set(rules.landmarks.map((one) => one.market).filter(Boolean))].sort();
    const garments = [...new Set(rules.models.map((one) => one.garment))].sort();
    const wearers = [...new Set(rules.variants.map((one) => one.wearer))].sort();
    const plain = (list) => list.map((one) => ({ id: one, name: words(one) }));
    const fields = [
      choice("maker", "Maker", rules.makers),
      choice("model", "Model", models),
      choice("line", "Label line", rules.lines.filter(ofMaker)),
      state.model ? choice("variant", "Variant", variants) : null,
      choice("wearer", "Cut for", plain(wearers)),
      choice("garment", "Sort of garment", plain(garments)),
      markets.length > 0 ? choice("market", "Sold new in", markets.map((one) => ({ id: one, name: one }))) : null,
    ];
    return element("div", { class: "knowns" }, ...fields.filter(Boolean));
  }

  function sort() {
    const model = rules.models.find((one) => one.id === state.model);
    return model ? model.garment : state.garment;
  }

  // What can be seen, part by part in the order of the vocabulary.

  function zones() {
    const zones = new Map();
    for (const feature of prepared.features.values()) {
      const isShown = !sort() || dating.applies(feature, sort()) || state.features.has(feature.id);
      if (!isShown) continue;
      const zone = feature.zone || "elsewhere";
      if (!zones.has(zone)) zones.set(zone, []);
      zones.get(zone).push(feature);
    }
    return [...zones].map(([zone, features]) => zoneOf(zone, features));
  }

  function zoneOf(zone, features) {
    const seen = features.filter((feature) => state.features.has(feature.id)).length;
    const count = seen > 0 ? `${seen} of ${features.length} looked at` : `${features.length} to look at`;
    const isOpen = seen > 0 || open.has(zone);
    const details = element("details", { class: "zone", open: isOpen }, element("summary", {}, element("b", {}, words(zone)), " ", element("span", { class: "detail" }, count)),
      ...features.map(featureOf));
    details.addEventListener("toggle", () => (details.open ? open.add(zone) : open.delete(zone)));
    return details;
  }

  const open = new Set();

  function featureOf(feature) {
    const value = state.features.get(feature.id);
    const isWritten = feature.kind !== "state";
    const listed = isWritten ? ["absent", "lost"] : [...feature.states, ...["absent", "other", "lost"].filter((one) => !feature.states.includes(one))];
    const field = element("fieldset", { class: "feature", id: "look-" + feature.id }, element("legend", {}, feature.name), element("p", { class: "look" }, feature.look));
    if (isWritten) field.append(written(feature, listed.includes(value) ? "" : value));
    const taps = element("div", { class: "taps" }, tap(feature, "", "not looked at", value === undefined), ...listed.map((one) => tap(feature, one, label(one), value === one)));
    field.append(taps);
    return field;
  }

  function label(one) {
    return { absent: "absent: never there", lost: "lost: gone or cannot be told", other: "something else" }[one] || words(one);
  }

  function tap(feature, value, text, isChosen) {
    const id = `see-${feature.id}-${value || "none"}`;
    const input = element("input", { type: "radio", id, name: "see-" + feature.id, value, checked: isChosen });
    input.addEventListener("change", () => see(feature.id, value, id));
    return element("span", { class: "tap" }, input, element("label", { for: id }, text));
  }

  function written(feature, value) {
    const id = `see-${feature.id}-value`;
    const unit = feature.unit ? ` (${feature.unit})` : "";
    const mode = feature.kind === "code" ? "text" : feature.kind === "count" ? "numeric" : "decimal";
    const input = element("input", { type: "text", id, inputmode: mode, autocomplete: "off", value: value || "" });
    const problem = element("span", { class: "problem", id: id + "-problem", role: "alert" });
    input.setAttribute("aria-describedby", id + "-problem");
    input.addEventListener("change", () => {
      const text = input.value.trim().replace(",", feature.kind === "code" ? "," : ".");
      const wrong = text === "" ? "" : wrongValue(feature, text);
      problem.textContent = wrong;
      if (!wrong) see(feature.id, text, id);
    });
    const says = { count: "How many", measure: "Measured", number: "Printed", code: "As it stands" }[feature.kind];
    return element("p", { class: "written" }, element("label", { for: id }, says + unit), input, problem);
  }

  function wrongValue(feature, text) {
    if (feature.kind === "code") return "";
    const number = Number(text);
    if (!Number.isFinite(number)) return "Write a number, such as 8.25.";
    if (feature.kind === "count" && (!Number.isInteger(number) || number < 1)) return "Write a whole number from 1, or choose absent.";
    if (feature.kind === "measure" && feature.range && (number < feature.range[0] || number > feature.range[1])) {
      return `It lies between ${feature.range[0]} and ${feature.range[1]} ${feature.unit}.`;
    }
    return "";
  }

  function see(feature, value, focus) {
    if (value === "") state.features.delete(feature);
    else state.features.set(feature, value);
    change(focus);
  }

  // The answer.

  function bounds(found) {
    const cited = (ids) => ids.map((id) => {
      const landmark = rules.landmarks.find((one) => one.id === id);
      const source = landmark.sources[0];
      return element("li", {}, link(landmark.title, `landmarks.html#${id}`), source ? element("span", { class: "detail" }, " " + [source.citation, source.locator].filter(Boolean).join(", ")) : null);
    });
    const side = (says, day, ids) => (day ? [element("p", {}, says + " ", element("b", { class: "day" }, day)), element("ul", {}, ...cited(ids))] : []);
    const { hard } = found;
    const parts = [...side("Not made before", hard.not_before, hard.not_before_by), ...side("Not made after", hard.not_after, hard.not_after_by)];
    return part("What no opinion can move", parts.length > 0 ? parts : [element("p", {}, "No landmark bounds its date.")]);
  }

  function link(text, path) {
    return site === "none" ? element("span", {}, text) : element("a", { href: site + path }, text);
  }

  function part(title, children) {
    const id = "part-" + title.toLowerCase().replace(/[^a-z]+/g, "-");
    return element("section", { "aria-labelledby": id }, element("h3", { id }, title), ...children);
  }

  function chart({ years, contradiction }) {
    if (contradiction) return null;
    if (!years) return part("Years", [element("p", {}, "Nothing recorded bounds the years of the variants in question; the answer is about variants only.")]);
    const shown = years.span95.flatMap(([first, last]) => Array.from({ length: last - first + 1 }, (_, at) => first + at));
    const [first, last] = [Math.min(...shown), Math.max(...shown)];
    const of = new Map(years.probability);
    const greatest = Math.max(...shown.map((year) => of.get(year) || 0));
    const wide = Math.max(last - first + 1, 8);
    const figure = drawn("svg", { viewBox: `0 0 ${wide * 10} 120`, class: "years", role: "img", "aria-label": dating.yearsInWords(years) });
    for (let year = first; year <= last; year += 1) {
      const height = (90 * (of.get(year) || 0)) / greatest;
      const inHalf = years.span50.some(([from, to]) => from <= year && year <= to);
      figure.append(drawn("rect", { x: (year - first) * 10 + 1, y: 95 - height, width: 8, height, class: inHalf ? "half" : "most" }));
      const step = wide > 60 ? 20 : wide > 24 ? 10 : wide > 12 ? 5 : 2;
      if (year % step === 0) {
        figure.append(drawn("line", { x1: (year - first) * 10 + 5, x2: (year - first) * 10 + 5, y1: 95, y2: 100 }));
        figure.append(drawn("text", { x: (year - first) * 10 + 5, y: 114, "text-anchor": "middle" }, String(year)));
      }
    }
    figure.append(drawn("line", { x1: 0, x2: wide * 10, y1: 95, y2: 95 }));
    return part("Years", [element("p", {}, dating.yearsInWords(years)), element("div", { class: "wide", tabindex: "0", role: "group", "aria-label": "Chart of years" }, figure),
      element("p", { class: "detail" }, "Full bars hold 50 %, hollow ones the rest of 95 %.")]);
  }

  function candidates(found, isKnown) {
    if (found.variants.length === 0) return part("Variants", [element("p", {}, found.contradiction ? "None, until one of its signs is doubted." : "None is in question.")]);
    const rows = found.variants.filter((one) => one.probability >= WORTHWHILE).slice(0, 8).map(({ id, probability }) =>
      element("li", {}, element("b", { class: "share" }, `${dating.percent(probability)} %`), " ", link(dating.nameOf(rules, id), `makers/${id}.html`)));
    return part("Variants", [isKnown ? null : element("p", { class: "detail" }, "nearest among the recorded ones; it may be none of them"), element("ol", { class: "candidates" }, ...rows)]);
  }

  function reasons(found) {
    const rows = found.features.filter((one) => one.bits !== null).sort((one, other) => Math.abs(other.bits) - Math.abs(one.bits));
    if (rows.length === 0) return null;
    const line = ({ feature, state, bits }) => element("tr", {}, element("th", { scope: "row" }, nameOfFeature(feature)), element("td", {}, words(state)), element("td", { class: "bits" }, (bits >= 0 ? "+" : "−") + Math.abs(bits).toFixed(1)));
    return part("Why the first rather than the next", [element("table", {}, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, "feature"), element("th", { scope: "col" }, "seen"), element("th", { scope: "col" }, "bits"))), element("tbody", {}, ...rows.map(line)))]);
  }

  function advice(found) {
    const looks = found.look_next.map(({ feature, look, entropy_drop }) => element("li", {}, jump(feature), element("span", { class: "detail" }, ` ${entropy_drop.toFixed(2)} bits. `), look));
    const marks = found.would_bound.filter((one) => one.rules_out >= WORTHWHILE).map(({ feature, state, landmark, rules_out }) => {
      const title = rules.landmarks.find((one) => one.id === landmark).title;
      return element("li", {}, jump(feature), `: ${words(state)} would rule out ${dating.percent(rules_out)} % (`, link(title, `landmarks.html#${landmark}`), ")");
    });
    return [looks.length > 0 ? part("Look next", [element("ol", {}, ...looks)]) : null, marks.length > 0 ? part("Marks to look for", [element("ul", {}, ...marks)]) : null];
  }

  function jump(feature) {
    const button = element("button", { type: "button", class: "jump" }, nameOfFeature(feature));
    button.addEventListener("click", () => {
      const field = document.getElementById("look-" + feature);
      if (!field) return;
      field.closest("details").open = true;
      const target = field.querySelector("input:checked") || field.querySelector("input");
      field.scrollIntoView({ block: "center" });
      target.focus({ preventScroll: true });
    });
    return button;
  }

  function doubt(found) {
    if (!found.contradiction) return null;
    const rows = found.doubt.map((one) => element("li", {}, element("b", {}, "Without " + one.features.map(nameOfFeature).join(" and ") + ": "), dating.boundsInWords(rules, one.hard).join(" "), one.years ? " " + dating.yearsInWords(one.years) : ""));
    const text = rows.length > 0 ? "What it shows cannot all be so. It could, if one of these were replaced or misread:" : "What it shows cannot all be so; more than two of its features would have to be wrong.";
    return part("What contradicts", [element("p", { class: "notice" }, text), element("ul", {}, ...rows)]);
  }

  function unlike(found) {
    if (found.unlike.fires) return element("p", { class: "notice" }, "It is unlike anything recorded: its features do not go together in any variant in question.");
    return found.unlike.z === null ? null : element("p", { class: "detail" }, "Where few garments are recorded, that nothing looks unusual means little.");
  }

  function quote(found) {
    const text = element("textarea", { id: "quote", readonly: true, rows: "7", "aria-label": "Paragraph for a listing" }, found.paragraph);
    const button = element("button", { type: "button", class: "act" }, "Copy the paragraph");
    const said = element("span", { role: "status" });
    button.addEventListener("click", () => {
      text.select();
      const copied = () => { said.textContent = " Copied."; };
      const fallback = () => { said.textContent = document.execCommand("copy") ? " Copied." : " Select the text and copy it."; };
      if (navigator.clipboard && navigator.clipboard.writeText) navigator.clipboard.writeText(found.paragraph).then(copied, fallback);
      else fallback();
    });
    return element("details", { class: "quote", open: isQuoted }, summaryOfQuote(), text, element("p", {}, button, said));
  }

  let isQuoted = false;

  function summaryOfQuote() {
    const summary = element("summary", {}, "Paragraph for a listing");
    summary.addEventListener("click", () => { isQuoted = !isQuoted; });
    return summary;
  }

  function inOneLine(found) {
    if (found.contradiction) return "What it shows cannot all be so.";
    const parts = [];
    if (found.hard.not_before) parts.push("not before " + found.hard.not_before);
    if (found.hard.not_after) parts.push("not after " + found.hard.not_after);
    if (found.years) parts.push("likely " + dating.spansInWords(found.years.span50));
    if (found.variants.length > 0 && KNOWN.slice(0, 5).some((key) => state[key])) parts.push(`${dating.nameOf(rules, found.variants[0].id)} ${dating.percent(found.variants[0].probability)} %`);
    return parts.length > 0 ? parts.join("; ") : "Nothing is known yet.";
  }

  // The page.

  function show(focus) {
    const found = dating.answer(prepared, garment());
    if (found.cannot_tell) {
      place.replaceChildren(element("p", { class: "notice" }, "This page cannot tell: the rules need " + found.cannot_tell.join(", ") + ", which it does not understand."));
      return;
    }
    const isKnown = ["maker", "model", "line", "variant"].some((key) => state[key]);
    const clear = element("button", { type: "button", class: "act" }, "Begin again");
    clear.addEventListener("click", () => { state = { features: new Map() }; open.clear(); change("know-maker"); });
    const asked = element("div", { class: "asked-of" }, element("h2", {}, "What do you know?"), known(), element("h2", {}, "What do you see?"),
      element("p", { class: "detail" }, "Look, measure and count; cut nothing, burn nothing, wet nothing."), ...zones(), element("p", {}, clear));
    const answer = element("div", { class: "answered", id: "answer", tabindex: "-1" }, element("h2", {}, "What follows"), bounds(found), doubt(found), chart(found), candidates(found, isKnown), unlike(found), reasons(found), ...advice(found), quote(found), element("p", { class: "caution" }, dating.CAUTION));
    place.replaceChildren(asked, answer);
    told.textContent = inOneLine(found);
    if (focus) restore(focus);
  }

  function restore(focus) {
    const target = document.getElementById(focus);
    if (target) target.focus({ preventScroll: true });
  }

  // One line at the foot says the answer, aloud too, however far down the page somebody is.
  const told = document.getElementById("told");

  function change(focus) {
    const where = window.scrollY;
    try {
      history.replaceState(null, "", location.pathname + location.search + address());
    } catch (error) {
      // Some browsers refuse this for a page opened from a folder.
      location.hash = address();
    }
    show(focus);
    window.scrollTo(0, where);
  }

  window.addEventListener("hashchange", () => { state = read(location.hash); show(null); });
  show(null);
})();

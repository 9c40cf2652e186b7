// Opens pages of a built site in Lighthouse as a phone would, and holds each score to the least that is allowed.
//
// lighthouse.mjs SITE PAGE…
//
// The pages come from a server that packs them, as hosts do. Scores of speed mean something on an idle machine only.
import fs from "node:fs";
import http from "node:http";
import path from "node:path";
import zlib from "node:zlib";
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";

const LEAST = 0.95;
const TYPES = {
  ".css": "text/css",
  ".html": "text/html; charset=utf-8",
  ".jpg": "image/jpeg",
  ".js": "text/javascript",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".webmanifest": "application/manifest+json",
};
const [root, ...pages] = [path.resolve(process.argv[2]), ...process.argv.slice(3)];

const server = http.createServer((request, response) => {
  const file = path.join(root, decodeURIComponent(new URL(request.url, "http://localhost").pathname));
  const type = TYPES[path.extname(file)];
  if (!file.startsWith(root + path.sep) || !type || !fs.existsSync(file)) {
    response.writeHead(404);
    return response.end();
  }
  response.writeHead(200, { "cache-control": "max-age=31536000", "content-encoding": "gzip", "content-type": type });
  return response.end(zlib.gzipSync(fs.readFileSync(file)));
});
await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
const chrome = await launch({
  chromePath: process.env.CHROME_PATH,
  chromeFlags: ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking"],
});

let failed = 0;
for (const page of pages) {
  const { lhr } = await lighthouse(`http://127.0.0.1:${server.address().port}/${page}`, {
    port: chrome.port,
    logLevel: "error",
    onlyCategories: ["performance", "accessibility", "best-practices"],
  });
  const scores = Object.values(lhr.categories);
  const low = scores.filter((category) => !(category.score >= LEAST));
  console.log(`${page}: ${scores.map((category) => `${category.id} ${Math.round(category.score * 100)}`).join(", ")}`);
  for (const reference of low.flatMap((category) => category.auditRefs.filter((audit) => audit.weight > 0))) {
    const audit = lhr.audits[reference.id];
    if (audit.score < 0.9) console.log(`    ${audit.id}: ${audit.displayValue ?? audit.score}`);
  }
  failed += low.length;
}
await chrome.kill();
server.close();
process.exitCode = failed === 0 ? 0 : 1;

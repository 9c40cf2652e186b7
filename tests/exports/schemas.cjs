// Compiles each JSON Schema given with ajv, an independent reader of 2020-12 that takes patterns as the standard has
// them: regular expressions of ECMA-262 with the flag `u`, in which a needless `\` before a character is a mistake.
//
// node schemas.cjs SCHEMA...: NODE_PATH leads to ajv and ajv-formats.
"use strict";

const fs = require("fs");
const Ajv = require("ajv/dist/2020").default;
const addFormats = require("ajv-formats").default;

/** What is wrong with a schema, or nothing. */
function problem(schema) {
  // One reader for each: two schemas may have one `$id`.
  const ajv = new Ajv({ strict: true, strictRequired: false, strictTypes: false, allowUnionTypes: true });
  addFormats(ajv);
  // Dates of entries are EDTF, a format that JSON Schema does not define; the program registers it as well.
  ajv.addFormat("edtf", true);
  try {
    ajv.compile(schema);
    return null;
  } catch (error) {
    return error.message;
  }
}

function main(files) {
  const read = (file) => JSON.parse(fs.readFileSync(file, "utf8"));
  const problems = files.map((file) => [file, problem(read(file))]).filter(([, wrong]) => wrong);
  problems.forEach(([file, wrong]) => console.error(`${file}: ${wrong}`));
  // The check itself must be able to fail, and by what once went wrong.
  const isBlind = problem({ type: "string", pattern: '^[^\\"]+$' }) === null;
  if (isBlind) console.error("a needless escape in a pattern went unnoticed");
  console.log(`${files.length} schemas compile under ajv but for ${problems.length}`);
  process.exit(problems.length === 0 && !isBlind && files.length > 0 ? 0 : 1);
}

main(process.argv.slice(2));

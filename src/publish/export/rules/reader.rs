//! `reader.mjs`: the reader of the pages as one ES module, with its types; there is only one reader.
//!
//! The scripts stay as they are: each runs in a function whose `globalThis` is an object of the module's own.

use serde::Deserialize;

use crate::view::context::Context;

/// The order of scripts, which pages keep too.
const SCRIPTS: &str = include_str!("../../../../site/scripts.json");

/// Holds the reader to the vectors, and a reader in any language.
pub const KIT: [(&str, &str); 3] = [
    ("rules/answer.mjs", include_str!("answer.mjs")),
    ("rules/conform.mjs", include_str!("conform.mjs")),
    ("rules/mutants.json", include_str!("mutants.json")),
];

/// The reader's entry in the list of scripts.
#[derive(Deserialize)]
struct Scripts {
    dating: Vec<String>,
}

/// The types of the module, for TypeScript and editors.
pub const TYPES: &str = include_str!("reader.d.mts");

const HEAD: &str = "\
// Dates a garment from the content of rules.json: the reader of this site's pages as a module without dependencies.
//
//     import { readFile } from \"node:fs/promises\";
//     import { date } from \"./reader.mjs\";
//     const rules = JSON.parse(await readFile(\"rules.json\", \"utf8\"));
//     console.log(date(rules, { features: { hem: \"raw\" } }).variants);
//
// README.md beside it says what the answer means, reader.d.mts has the types. What it says is an opinion from recorded
// observations, not an authentication.
const scope = {};
";

const FOOT: &str = "\
export const { Unreadable } = scope.bartackDating;

export function prepare(rules) {
  return scope.bartackDating.prepare(rules);
}

export function date(rules, garment) {
  return scope.bartackDating.answer(rules, garment);
}

export function readKey(rules, key, code) {
  return scope.bartackDating.readKey(rules, key, code);
}
";

/// Joins the scripts to a module.
pub fn module<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, String> {
    let mut text = HEAD.as_bytes().to_vec();
    let Scripts { dating } =
        serde_json::from_str(SCRIPTS).expect("the built-in list of scripts names those of the reader");
    for part in dating {
        let script = context.site.assets().get(part.as_str()).ok_or_else(|| format!("the site has no {part}"))?;
        text.extend(b"\n(function (globalThis) {\n");
        text.extend(script);
        text.extend(b"})(scope);\n");
    }
    text.push(b'\n');
    text.extend(FOOT.as_bytes());
    Ok(text)
}

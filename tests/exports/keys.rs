//! Keys before other readers: random keys and codes, read by the engine, by the browser's reader under Node, and by a
//! reader in Python that was written from the documentation alone and takes its calendar from Python's `datetime`.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use bartack::code::calendar;
use bartack::compile::example;
use bartack::evidence::key;
use bartack::knowledge::Knowledge;
use serde_json::{Value as Json, json};

use crate::exports::world::files;
use crate::support::numbers::Numbers;
use crate::support::{repository, tried};

const KEYS: usize = 400;
const CODES_OF_EACH: usize = 25;

/// Texts of forms: separators, letters, and characters that only look like them.
const TEXTS: [&str; 12] = ["-", "/", ".", " ", "Q", "x", "No.", "-\u{2013}", "é", "\u{51a}", "\u{ff11}", "7"];

/// What may be put between the characters of a code.
const BETWEEN: [&str; 9] = ["-", " ", ".", "/", "\u{2013}", "\u{a0}", "\t", "\u{2212}", "\u{2009}"];

fn one<'t>(numbers: &mut Numbers, texts: &[&'t str]) -> &'t str {
    texts[numbers.below(texts.len() as u64) as usize]
}

/// The parts of a random form that the schema allows, each as the key file writes it and as codes hold it.
struct Part {
    written: String,
    width: usize,
    samples: Vec<String>,
}

fn text(numbers: &mut Numbers) -> Part {
    let text = one(numbers, &TEXTS);
    Part { written: format!("{{ text = \"{text}\" }}"), width: text.chars().count(), samples: vec![text.to_string()] }
}

fn plain(is: &str, width: usize, limits: [u64; 2], numbers: &mut Numbers) -> Part {
    let sample = |numbers: &mut Numbers| {
        let number = limits[0] + numbers.below(limits[1] - limits[0] + 1);
        format!("{number:0width$}")
    };
    let samples = (0..6).map(|_| sample(numbers)).collect();
    Part { written: format!("{{ digits = {width}, is = \"{is}\" }}"), width, samples }
}

/// A part whose letters or figures stand for numbers or names by a table.
fn tabled(is: &str, limits: [u64; 2], numbers: &mut Numbers) -> Part {
    let (word, first) = if numbers.below(3) == 0 { ("digits", b'0') } else { ("letters", b'A') };
    let width = 1 + numbers.below(2) as usize;
    let mut rows: BTreeMap<String, String> = BTreeMap::new();
    for _ in 0..=numbers.below(6) {
        let span = if word == "digits" { 10 } else { 26 };
        let name: String = (0..width).map(|_| char::from(first + numbers.below(span) as u8)).collect();
        let number = limits[0] + numbers.below(limits[1] - limits[0] + 1);
        let value = if is == "factory" { format!("\"works-{}\"", number % 3) } else { number.to_string() };
        rows.insert(name, value);
    }
    let table: Vec<String> = rows.iter().map(|(name, value)| format!("{name} = {value}")).collect();
    let written = format!("{{ {word} = {width}, is = \"{is}\", table = {{ {} }} }}", table.join(", "));
    Part { written, width, samples: rows.into_keys().collect() }
}

fn field(is: &str, numbers: &mut Numbers) -> Part {
    let (width, limits) = match is {
        "year" => (4, [1845, 2035]),
        "year-of-century" => (2, [0, 99]),
        "year-of-decade" => (1, [0, 9]),
        "month" => (2, [1, 12]),
        "quarter" => (1, [1, 4]),
        "week" => (2, [1, 53]),
        "day" => (2, [1, 31]),
        _ => (1 + numbers.below(2) as usize, [0, 9]),
    };
    match (is, numbers.below(4)) {
        ("factory" | "serial", 0 | 1) => plain(is, width, limits, numbers),
        ("serial", _) => Part {
            written: format!("{{ letters = {width}, is = \"serial\" }}"),
            width,
            samples: vec!["Z".repeat(width), "a".repeat(width)],
        },
        ("factory", _) | (_, 0) => tabled(is, limits, numbers),
        _ => plain(is, width, limits, numbers),
    }
}

fn form(numbers: &mut Numbers) -> Vec<Part> {
    let years: &[&str] = match numbers.below(8) {
        0 => &["year"],
        1..=3 => &["year-of-century"],
        4..=6 => &["year-of-decade"],
        _ => &["year-of-century", "year-of-decade"],
    };
    let fine: &[&str] = match numbers.below(8) {
        0 => &[],
        1 => &["quarter"],
        2 => &["week"],
        3 => &["month", "day"],
        4 => &["month", "quarter"],
        _ => &["month"],
    };
    let rest: &[&str] = match numbers.below(4) {
        0 => &["factory"],
        1 => &["serial"],
        2 => &["factory", "serial"],
        _ => &[],
    };
    let mut parts: Vec<Part> = [years, fine, rest].concat().into_iter().map(|is| field(is, numbers)).collect();
    for _ in 0..numbers.below(3) {
        parts.push(text(numbers));
    }
    for at in (1..parts.len()).rev() {
        parts.swap(at, numbers.below(at as u64 + 1) as usize);
    }
    parts
}

/// A code of a form, or one that is nearly of it.
fn code(form: &[Part], numbers: &mut Numbers) -> String {
    let mut code = String::new();
    for part in form {
        let sample = &part.samples[numbers.below(part.samples.len() as u64) as usize];
        let taken = match numbers.below(60) {
            0 => "8".repeat(part.width),
            1 => "B".repeat(part.width),
            2 => String::new(),
            3..=14 => sample.to_lowercase(),
            _ => sample.clone(),
        };
        code += &taken;
        if numbers.below(5) == 0 {
            code += one(numbers, &BETWEEN);
        }
    }
    match numbers.below(30) {
        0 => code + "0",
        1 => code.replace('1', "\u{661}"),
        2 => code.replace('A', "\u{410}"),
        _ => code,
    }
}

/// Random keys as a text of several files, and codes for each by its number.
fn world(numbers: &mut Numbers) -> (String, Vec<(usize, String)>) {
    let mut text = "--- entries/sources/talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n".to_string();
    let mut codes = Vec::new();
    for key in 0..KEYS {
        let forms: Vec<Vec<Part>> = (0..=numbers.below(3)).map(|_| form(numbers)).collect();
        let written = |form: &Vec<Part>| {
            let parts: Vec<&str> = form.iter().map(|part| part.written.as_str()).collect();
            format!("[{}]", parts.join(", "))
        };
        let written: Vec<String> = forms.iter().map(written).collect();
        let first = 1840 + numbers.below(140);
        let last = first + 1 + numbers.below(60);
        let month = 1 + numbers.below(12);
        text += &format!(
            "--- entries/keys/k-{key}.md\n+++\ntitle = \"K\"\nreads = \"date-code\"\nsources = [\"talk\"]\n\
             not-before = \"{first}-{month:02}\"\nnot-after = \"{last}\"\nforms = [{}]\n+++\n",
            written.join(", ")
        );
        for _ in 0..CODES_OF_EACH {
            let form = &forms[numbers.below(forms.len() as u64) as usize];
            codes.push((key, code(form, numbers)));
        }
    }
    (text, codes)
}

/// What the engine reads, a line for each code.
fn cases(knowledge: &Knowledge, codes: &[(usize, String)]) -> Vec<Json> {
    let keys: BTreeMap<&str, _> =
        key::standing(&knowledge.catalog).into_iter().map(|key| (key.id.as_str(), key.key)).collect();
    let case = |(key, code): &(usize, String)| {
        let id = format!("k-{key}");
        let read = keys[id.as_str()].notation.read(code).ok().map(|reading| {
            let days = |date: &calendar::CodeDate| json!([date.first.to_string(), date.last.to_string()]);
            json!({
                "reads": reading.edtf(),
                "dates": reading.dates.iter().map(days).collect::<Vec<_>>(),
                "years": reading.years(),
                "factory": reading.factory(),
            })
        });
        json!({ "key": id, "code": code, "read": read })
    };
    codes.iter().map(case).collect()
}

/// Holds a program's reader to the cases; nothing where the program is not installed.
fn hold(program: &str, script: &str, folder: &Path) -> Option<String> {
    if Command::new(program).arg("--version").output().is_err() {
        eprintln!("skipped: no {program}");
        return None;
    }
    let run = Command::new(program).arg(repository(script)).arg(folder).output().unwrap();
    let said = format!("{}{}", String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success(), "{script}: {said}");
    Some(said)
}

fn written(cases: &[Json], rules: &[u8], folder: &Path) {
    let lines: String = cases.iter().map(|case| format!("{case}\n")).collect();
    std::fs::write(folder.join("cases.jsonl"), lines).unwrap();
    std::fs::write(folder.join("rules.json"), rules).unwrap();
}

#[test]
fn readers_in_three_languages_read_random_codes_alike() {
    let mut numbers = Numbers(0x00c0_de5e_ed01);
    let (text, codes) = world(&mut numbers);
    let knowledge = example::compile(&text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:#?}", &knowledge.faults[..3.min(knowledge.faults.len())]);
    let rules = files(&knowledge, "rules/").remove("rules/rules.json").unwrap();
    let mut cases = cases(&knowledge, &codes);
    let read = cases.iter().filter(|case| !case["read"].is_null()).count();
    assert!(read * 4 > cases.len() && read * 10 < cases.len() * 9, "{read} of {} codes are read", cases.len());
    let folder = tempfile::tempdir().unwrap();
    written(&cases, &rules, folder.path());
    for (program, script) in [("python3", "tests/exports/keys.py"), ("node", "tests/exports/keys.cjs")] {
        let said = hold(program, script, folder.path());
        assert!(said.is_none_or(|said| said.contains(&format!("{} codes, 0 read otherwise", cases.len()))));
    }
    tried("random codes read by three readers", cases.len());
    // A comparison that cannot fail would hold nothing.
    let wrong = cases.iter().position(|case| !case["read"].is_null()).unwrap();
    cases[wrong]["read"]["factory"] = json!("nowhere");
    written(&cases, &rules, folder.path());
    for (program, script) in [("python3", "tests/exports/keys.py"), ("node", "tests/exports/keys.cjs")] {
        if Command::new(program).arg("--version").output().is_ok() {
            let run = Command::new(program).arg(repository(script)).arg(folder.path()).output().unwrap();
            assert!(!run.status.success(), "{script} did not see a wrong factory");
        }
    }
}

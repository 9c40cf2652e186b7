//! Keys and codes of hostile shapes, doubled as `growth` does it, in the compiler and in the browser's reader.

use std::process::Command;

use bartack::compile::{self, example};
use bartack::evidence::key;
use bartack::report::text::{self, Style};

use crate::fuzz::growth::{KIB, Shape, filled, hold};
use crate::support;

const TALK: &str = "--- entries/sources/talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n";

/// A key of codes of 1950 to 1989, with its forms or parts.
fn key(id: &str, parts: &str) -> String {
    format!(
        "--- entries/keys/{id}.md\n+++\ntitle = \"Codes\"\nreads = \"date-code\"\nsources = [\"talk\"]\n\
         not-before = \"1950\"\nnot-after = \"1989\"\n{parts}\n+++\n"
    )
}

fn garment(id: &str, code: &str) -> String {
    format!(
        "--- entries/makers/a/b/c/{id}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1930\"\n\
         made-by = \"mark\"\n[features]\ndate-code = \"{code}\"\n+++\n"
    )
}

/// Compiles a text of several files, draws all that is told, and asks every key about every code.
fn compiled(text: String) -> Box<dyn Fn()> {
    let example = example::read(&format!("{TALK}{text}"));
    Box::new(move || {
        let compilation = compile::compile(example.sources.clone(), Vec::new(), compile::Options::default());
        for one in &compilation.diagnostics {
            text::render(&compilation.knowledge.catalog.sources, one, Style::Plain);
        }
        drop(key::standing(&compilation.knowledge.catalog));
    })
}

/// Rows of a table of four letters, so that 1 MiB holds 100,000 of them.
fn rows(length: usize, value: &str) -> String {
    let letter = |number: usize| char::from(b'A' + (number % 26) as u8);
    filled(length, |at| {
        let name: String = [at / 17_576, at / 676, at / 26, at].into_iter().map(letter).collect();
        format!("{name}={value},")
    })
}

#[test]
fn keys_take_time_by_their_length() {
    hold(&[
        ("rows of a table", 64 * KIB, |length| {
            let table = rows(length, "1960");
            compiled(
                key("k", &format!("parts = [{{ letters = 4, is = \"year\", table = {{ {table} }} }}]"))
                    + &garment("g", "AAAB"),
            )
        }),
        ("rows that are wrong", 16 * KIB, |length| {
            let table = rows(length, "\"x\"");
            compiled(key("k", &format!("parts = [{{ letters = 4, is = \"year\", table = {{ {table} }} }}]")))
        }),
        ("a row again and again", 16 * KIB, |length| {
            compiled(key(
                "k",
                &format!(
                    "parts = [{{ letters = 1, is = \"year\" }}]\n[parts.table]\n{}",
                    "A = 1960\n".repeat(length / 9)
                ),
            ))
        }),
        ("parts, and a code of them", 16 * KIB, |length| {
            let count = length / 16;
            let parts = "{ text = \"-\" }, ".repeat(count);
            let code = format!("{}78", "-".repeat(count));
            compiled(
                key("k", &format!("parts = [{parts}{{ digits = 2, is = \"year-of-century\" }}]"))
                    + &garment("g", &code),
            )
        }),
        ("serial numbers", 16 * KIB, |length| {
            let count = length / 32;
            let parts = "{ digits = 1, is = \"serial\" }, ".repeat(count);
            let code = format!("{}78", "1".repeat(count));
            compiled(
                key("k", &format!("parts = [{parts}{{ digits = 2, is = \"year-of-century\" }}]"))
                    + &garment("g", &code),
            )
        }),
        ("forms that all read the code", 16 * KIB, |length| {
            let forms = "[{ digits = 1, is = \"year-of-decade\" }], ".repeat(length / 42);
            compiled(key("k", &format!("forms = [{forms}]")) + &garment("g", "8"))
        }),
        ("forms that all begin as the code does", 16 * KIB, |length| {
            let forms = "[{ text = \"A\" }, { digits = 1, is = \"year-of-decade\" }], ".repeat(length / 58);
            compiled(key("k", &format!("forms = [{forms}]")) + &garment("g", &"A".repeat(length)))
        }),
        ("years that mean the same", 4 * KIB, |length| {
            let examples = "{ code = \"8\", reads = \"1958\" }, ".repeat(length / 34);
            compiled(key("k", &format!("parts = [{{ digits = 1, is = \"year-of-decade\" }}]\nexamples = [{examples}]")))
        }),
    ]);
}

#[test]
fn codes_take_time_by_their_length_and_number() {
    const PLAIN: &str = "parts = [{ digits = 2, is = \"month\" }, { digits = 2, is = \"year-of-century\" }]";
    let shapes: [Shape; 5] = [
        ("a long code", 64 * KIB, |length| compiled(key("k", PLAIN) + &garment("g", &"0".repeat(length)))),
        ("a code of separators", 64 * KIB, |length| {
            compiled(key("k", PLAIN) + &garment("g", &format!("0478{}", "-".repeat(length))))
        }),
        ("codes that are read", 128, |count| {
            compiled(key("k", PLAIN) + &(0..count).map(|at| garment(&format!("g{at}"), "0478")).collect::<String>())
        }),
        ("codes that are not read", 128, |count| {
            compiled(key("k", PLAIN) + &(0..count).map(|at| garment(&format!("g{at}"), "9978")).collect::<String>())
        }),
        ("keys that agree on one code", 128, |count| {
            compiled((0..count).map(|at| key(&format!("k{at}"), PLAIN)).collect::<String>() + &garment("g", "0478"))
        }),
    ];
    hold(&shapes);
}

#[test]
fn the_browser_s_reader_takes_time_by_the_length_of_codes_and_keys() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so the browser's reader is not measured");
        return;
    }
    let run = Command::new("node").arg(support::repository("tests/fuzz/keys.cjs")).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    eprint!("{out}");
    assert!(run.status.success(), "{out}{err}");
    assert_eq!(out.lines().count(), 6, "{out}");
}

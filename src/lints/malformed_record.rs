//! Text files that are no front matter with a body.
//!
//! It turns faults of the parser into diagnostics and does not interpret fields.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, Malformed};
use crate::knowledge::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "malformed-record",
    level: Level::Error,
    title: "the file does not have front matter and a body",
    explanation: "\
A record is a Markdown file that begins with a line `+++`, then fields in TOML, then another line `+++`, then prose. A file that does not follow this cannot be used: nothing in it reaches the site.

Repair the place the message points at. The commonest slips are a missing quotation mark, a missing `+++`, and a key written twice. Every slip found is reported, not only the first. This cannot be allowed in the entry, because its fields are not known.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.faults.iter().filter_map(word).collect()
}

fn word(fault: &Fault) -> Option<Diagnostic> {
    let FaultKind::Malformed(kind) = &fault.kind else { return None };
    let (message, help) = match kind {
        Malformed::NoFence => (
            "the file does not begin with a line `+++`".to_string(),
            "put the fields at the top, between two lines `+++`",
        ),
        Malformed::OtherFence => (
            "the fields at the top begin with a line `---`, expected `+++`".to_string(),
            "write `+++` in place of both lines `---`, and each field as `observer = \"rowan\"`, not `observer: rowan`",
        ),
        Malformed::UnclosedFence => {
            ("the fields at the top do not end".to_string(), "add a line `+++` after the last field")
        }
        Malformed::Toml(reason) => (
            format!("not TOML: {}", plain(reason)),
            "correct the line that is marked; a field is written as `observer = \"rowan\"` or `belt-loops = 5`",
        ),
        Malformed::RepeatedKey(key) => (
            format!("the key {} is written twice", wording::quote(key)),
            "keep one of the two; put the fields below two lines such as `[features]` below one",
        ),
        Malformed::Schema(reason) => (
            format!("this schema cannot be used, so the built-in one is used instead: {}", plain(reason)),
            "correct the schema, or delete it to use the built-in one",
        ),
        Malformed::ControlCharacter(character) => (
            format!("the text holds the hidden character U+{:04X}", u32::from(*character)),
            "type the marked words again; the character may have come with copied text",
        ),
    };
    Some(LINT.at(fault.place, message).help(help).repaired(fault))
}

/// The reader's own words on one line, without anything that a terminal would obey.
fn plain(reason: &str) -> String {
    let line: String =
        reason.chars().map(|character| if wording::is_hidden(character) { ' ' } else { character }).collect();
    line.trim().trim_end_matches('.').to_string()
}

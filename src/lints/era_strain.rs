//! Statements that are consistent only because a date is approximate.
//!
//! It turns the strains that `chronology` lists into diagnostics.

use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::explain;
use crate::knowledge::{Conflict, Knowledge, Voice};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "era-strain",
    level: Level::Note,
    title: "dates agree only because one is approximate",
    explanation: "\
`~` says that a date may be off by a few years, and the era allows for that. If the dates would contradict one another without it, nothing is wrong, but the approximate date is probably off to one side. Readers should know where a better date is needed.

Nothing needs to be done. If the approximate date can be made exact, or the source does not say *about* at all, write what it says.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1973~\"
sources = [\"history\"]
[[source]]
id = \"history\"
citation = \"A history of the mill\"
kind = \"book\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"mark\"
made = \"1971\"
made-by = \"mark\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1971~\"
sources = [\"history\"]
[[source]]
id = \"history\"
citation = \"A history of the mill\"
kind = \"book\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"mark\"
made = \"1971\"
made-by = \"mark\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.strains.iter().filter_map(|strain| word(knowledge, strain)).collect()
}

fn word(knowledge: &Knowledge, strain: &Conflict) -> Option<Diagnostic> {
    let members: Vec<&Voice> = strain.members.iter().map(|index| knowledge.voice(*index)).collect();
    let approximate = |voice: &Voice| {
        voice.claims.first().and_then(|part| explain::widened(knowledge, voice, part)).map(str::to_string)
    };
    let main = members.iter().find(|voice| approximate(voice).is_some()).or(members.first())?;
    let part = main.claims.first()?;
    let written = approximate(main).map_or("a `~`".to_string(), |written| format!("the `~` of `{written}`"));
    let diagnostic = LINT.at(part.place, format!("these dates agree only because of {written}"));
    let diagnostic = diagnostic.saying(explain::testimony(knowledge, main, part));
    let others = members.iter().filter(|voice| voice.name != main.name);
    let labelled = others.fold(diagnostic, |diagnostic, voice| match voice.claims.first() {
        Some(part) => diagnostic.label(part.place, explain::testimony(knowledge, voice, part)),
        None => diagnostic,
    });
    Some(labelled.help("nothing needs to be done; if you know a more exact date, write it"))
}

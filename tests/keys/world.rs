//! A small invented world with a key: text to knowledge, and what its voices, dates and eras say.

use bartack::knowledge::{Knowledge, Side, Standing, Voice};
use bartack::resolve::GarmentIndex;

use crate::support;

pub const FOLDER: &str = "entries/makers/hollin/no-4/no-4-best";
pub const VARIANT: &str = "hollin/no-4/no-4-best";

/// Sources of each weight class: 4, 2 and 1.
pub const SOURCES: &str = r#"--- entries/sources/list.md
+++
citation = "Hollin price list, 1975"
kind = "price-list"
+++
--- entries/sources/book.md
+++
citation = "A book on Hollin, 1990"
kind = "book"
+++
--- entries/sources/talk.md
+++
citation = "Talk with a Hollin stockroom keeper, 1999"
kind = "interview"
+++
--- entries/sources/letter.md
+++
citation = "Letter of a Hollin cutter, 2001"
kind = "recollection"
+++
"#;

/// A letter for the factory, then month and year.
pub const MONTHS: &str = r#"parts = [
  { letters = 1, is = "factory", table = { D = "dunmore", O = "orlby" } },
  { digits = 2, is = "month" },
  { digits = 2, is = "year-of-century" },
]"#;

/// A single figure for the year.
pub const ONE_FIGURE: &str = r#"parts = [{ digits = 1, is = "year-of-decade" }]"#;

/// A key for Hollin's codes of 1950 to 1989.
pub fn key(id: &str, sources: &str, parts: &str) -> String {
    format!(
        "--- entries/keys/{id}.md\n+++\ntitle = \"Codes of Hollin\"\nreads = \"date-code\"\nmakers = [\"hollin\"]\n\
         not-before = \"1950\"\nnot-after = \"1989\"\nsources = [{sources}]\n{parts}\n+++\n"
    )
}

/// A garment of the variant, named by its label.
pub fn garment(name: &str, fields: &str, features: &str) -> String {
    format!(
        "--- {FOLDER}/{name}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{fields}\n[features]\n{features}\n+++\n"
    )
}

/// A garment that gives nothing but a code.
pub fn coded(name: &str, code: &str) -> String {
    garment(name, "", &format!("date-code = \"{code}\""))
}

/// The variant with claims of it, each an event, a date and a source.
pub fn claimed(claims: &[[&str; 3]]) -> String {
    let claims = claims.iter().map(|[event, when, source]| {
        format!("[[claims]]\nevent = \"{event}\"\nwhen = \"{when}\"\nsources = [\"{source}\"]\n")
    });
    let claims: String = claims.collect();
    format!("--- {FOLDER}/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n{claims}+++\n")
}

/// A settled dispute that sets something aside.
pub fn settled(claim: &str, says: &str, set_aside: &str) -> String {
    format!(
        "--- entries/disputes/code.md\n+++\nstatus = \"settled\"\n\
         claims = [{{ claim = \"{claim}\", says = \"{says}\" }}]\nset-aside = [\"{set_aside}\"]\n+++\n"
    )
}

pub fn known(text: &str) -> Knowledge {
    let compilation = support::compile(text);
    assert!(compilation.knowledge.faults.is_empty(), "{:?}", compilation.knowledge.faults);
    compilation.knowledge
}

/// A voice by the name of a claim: its standing and its weight.
pub fn voice(knowledge: &Knowledge, name: &str) -> Option<(Standing, f64)> {
    let (path, part) = name.split_once('#').unwrap();
    let found: Option<&Voice> = knowledge.voice_of(&format!("entries/{path}.md#{part}"));
    found.map(|voice| (voice.standing, voice.weight.as_f64()))
}

/// The garment of an observation.
pub fn index(knowledge: &Knowledge, name: &str) -> GarmentIndex {
    let path = format!("{FOLDER}/{name}.md");
    let catalog = &knowledge.catalog;
    let is_named = |garment: &bartack::resolve::Garment| {
        garment.observations.iter().any(|index| catalog.record(*index).path.as_str() == path)
    };
    let at = catalog.garments.iter().position(is_named).unwrap_or_else(|| panic!("no garment {path}"));
    GarmentIndex(at as u32)
}

/// When a garment was made, by everything that is kept: `first..last`, with `-` where open.
pub fn made(knowledge: &Knowledge, name: &str) -> String {
    let span = knowledge.made[&index(knowledge, name)];
    let day = |day: Option<bartack::date::Day>| day.map_or("-".to_string(), |day| day.to_string());
    format!("{}..{}", day(span.first()), day(span.last()))
}

/// The factory that its code names.
pub fn factory<'a>(knowledge: &'a Knowledge, name: &str) -> Option<&'a str> {
    knowledge.code_factories.get(&index(knowledge, name)).map(|factory| factory.as_str())
}

/// The four bounds of the variant, `-` where open.
pub fn era(knowledge: &Knowledge) -> String {
    let (_, era) = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap();
    let days = Side::ALL.map(|(side, _)| era.day(side).map_or("-".to_string(), |day| day.to_string()));
    days.join(" ")
}

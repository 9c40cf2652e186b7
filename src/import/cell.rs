//! A cell of a feature to the value of its key in an entry, in the vocabulary's words.
//!
//! A word that the vocabulary does not have is never guessed at: the cell comes back as a complaint that says what is
//! allowed. Whether a measure lies in its range, the check of the whole entry asks.

use crate::diagnostic::wording;
use crate::import::heading::{self, plain};
use crate::import::mapping::{Mapping, quoted};
use crate::record::id::StateId;
use crate::sheet::notation::{self, Marked, Written};
use crate::sheet::workbook::NO_RESULT;
use crate::vocabulary::{Feature, Kind, Unit};

/// The value of a feature's key as TOML, nothing for a cell that says it was not examined, or what is wrong.
///
/// The unit is the one that the column's heading names.
pub fn reading(feature: &Feature, unit: Option<Unit>, mapping: &Mapping, cell: &str) -> Result<Option<String>, String> {
    if let Some(answer) = mapping.state(feature.id.as_str(), cell) {
        return if answer.is_empty() { Ok(None) } else { reading(feature, unit, &Mapping::default(), answer) };
    }
    let marked = notation::read(cell);
    let (key, value) = match &marked.value {
        Written::Other(words) => ("other", quoted(words)),
        Written::Value(text) => value(feature, unit, mapping, text.trim())?,
    };
    Ok(Some(written(key, value, &marked)))
}

/// What keeps a cell from being read whatever its column holds.
pub fn flaw(cell: &str) -> Option<&'static str> {
    const ERRORS: [&str; 7] = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"];
    let of_libre = cell.strip_prefix("Err:").is_some_and(|code| code.bytes().all(|byte| byte.is_ascii_digit()));
    match cell {
        NO_RESULT => Some(
            "holds a formula whose result is not in the file; open the workbook in a spreadsheet program and save it",
        ),
        _ if of_libre || ERRORS.contains(&cell) => Some("holds an error of the spreadsheet; put in what it should say"),
        _ => None,
    }
}

/// Says whether a cell ticks a state; nothing where it says neither yes nor no.
pub fn ticks(cell: &str) -> Option<bool> {
    match cell.trim().to_lowercase().as_str() {
        "x" | "yes" | "y" | "true" | "1" | "✓" | "✔" => Some(true),
        "no" | "n" | "false" | "0" | "-" => Some(false),
        _ => None,
    }
}

/// The key of a table and the value in it.
type Value = Result<(&'static str, String), String>;

fn value(feature: &Feature, unit: Option<Unit>, mapping: &Mapping, text: &str) -> Value {
    let answered = mapping.state(feature.id.as_str(), text).unwrap_or(text);
    if let Some(word) = ["absent", "lost"].into_iter().find(|word| plain(answered) == *word) {
        return Ok(("state", quoted(word)));
    }
    match &feature.kind {
        Kind::State { states } => state(feature, states, answered).map(|state| ("state", quoted(state.as_str()))),
        Kind::Count => count(answered),
        Kind::Measure(measure) => measured(measure.unit, unit, answered),
        Kind::Number => Ok(("value", shown(number(answered)?))),
        Kind::Code => Ok(("value", quoted(answered))),
    }
}

fn state<'a>(feature: &Feature, states: &'a [StateId], text: &str) -> Result<&'a StateId, String> {
    let wanted = plain(text);
    let found = states.iter().find(|state| !wanted.is_empty() && heading::is_state(feature, state, &wanted));
    found.ok_or_else(|| {
        let own = states.iter().map(StateId::as_str);
        let allowed: Vec<String> = own.chain(["absent", "lost"]).map(str::to_string).collect();
        let (quoted, home) = (wording::quote(text), "`schema/vocabulary.toml`");
        let expected = wording::expected(text, &allowed, home);
        format!(
            "{quoted} is no state of it; {expected}. Say what it means under `[states]` in the mapping, or write `other: …`"
        )
    })
}

fn count(text: &str) -> Value {
    let number = number(text)?;
    if number == 0.0 {
        return Err("a count of 0 is written `absent`, if somebody looked; leave the cell empty if nobody did".into());
    }
    let is_count = number.fract() == 0.0 && (1.0..=f64::from(u32::MAX)).contains(&number);
    is_count.then(|| ("value", shown(number))).ok_or_else(|| format!("{} is no whole number", wording::quote(text)))
}

/// Reads a length or the like: in its own unit, in the heading's, else in the vocabulary's.
fn measured(home: Unit, heading: Option<Unit>, text: &str) -> Value {
    let (digits, own) = with_unit(text);
    let value = shown(number(digits)?);
    match own.or(heading).filter(|unit| *unit != home) {
        None => Ok(("value", value)),
        Some(unit) => Ok(("value", format!("{value}, unit = {}", quoted(unit.word())))),
    }
}

/// Splits a unit from the end of a quantity.
pub fn with_unit(text: &str) -> (&str, Option<Unit>) {
    let text = text.trim();
    // A unit may itself end in a digit, so every place to split at is tried, the longest unit first.
    let places = text.char_indices().map(|(at, _)| at).skip(1);
    let split = places.filter(|at| !text[*at..].starts_with([' ', '.'])).find_map(|at| {
        let before = &text[..at];
        let ends_in_number = before.trim_end().ends_with(|letter: char| letter.is_numeric());
        Some((before, Unit::named(&text[at..]).filter(|_| ends_in_number)?))
    });
    split.map_or((text, None), |(digits, unit)| (digits.trim(), Some(unit)))
}

/// Reads `8.25`, `8,25`, `8 1/4`, `8-1/4`, `8¼` and `1/4`.
pub fn number(text: &str) -> Result<f64, String> {
    let refused = || format!("{} is no number; write it like `8.25`, `8,25` or `8 1/4`", wording::quote(text));
    let mut plain = text.trim().to_string();
    for (sign, fraction) in FRACTIONS {
        plain = plain.replace(sign, fraction);
    }
    let plain = plain.trim().replace('\u{2044}', "/");
    let (whole, fraction) = match plain.rsplit_once([' ', '-']) {
        Some((whole, fraction)) if fraction.contains('/') => (whole.trim(), Some(fraction)),
        _ if plain.contains('/') => ("0", Some(plain.as_str())),
        _ => (plain.as_str(), None),
    };
    let part = fraction.map_or(Some(0.0), ratio).ok_or_else(refused)?;
    let whole = decimal(whole).map_err(|doubt| doubt.unwrap_or_else(refused))?;
    // A fraction belongs to a whole number: `8.5 1/4` is a slip.
    if fraction.is_some() && whole.fract() != 0.0 { Err(refused()) } else { Ok(whole + part) }
}

const FRACTIONS: [(&str, &str); 9] = [
    ("¼", " 1/4"),
    ("½", " 1/2"),
    ("¾", " 3/4"),
    ("⅛", " 1/8"),
    ("⅜", " 3/8"),
    ("⅝", " 5/8"),
    ("⅞", " 7/8"),
    ("⅓", " 1/3"),
    ("⅔", " 2/3"),
];

fn ratio(text: &str) -> Option<f64> {
    let (above, below) = text.split_once('/')?;
    let (above, below): (u32, u32) = (above.trim().parse().ok()?, below.trim().parse().ok()?);
    (above < below).then(|| f64::from(above) / f64::from(below))
}

/// Reads a number with a point or a comma; one that may be thousands is doubted aloud.
fn decimal(text: &str) -> Result<f64, Option<String>> {
    let is_plain = |text: &str| {
        let digits = text.strip_prefix('-').unwrap_or(text);
        !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
    };
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    if !is_plain(whole) || !fraction.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(None);
    }
    if text.contains(',') && fraction.len() == 3 {
        let quoted = wording::quote(text);
        return Err(Some(format!(
            "{quoted} may be {whole}.{fraction} or {whole}{fraction}; write it without the comma"
        )));
    }
    format!("{whole}.{fraction}").trim_end_matches('.').parse().map_err(|_| None)
}

/// A number as TOML writes it.
fn shown(number: f64) -> String {
    number.to_string()
}

/// A value with its marks and its note, as a table where there are any.
fn written(key: &str, value: String, marked: &Marked) -> String {
    let mut more = String::new();
    for (name, holds) in [("altered", marked.altered), ("unsure", marked.unsure)] {
        if holds {
            more.push_str(&format!(", {name} = true"));
        }
    }
    if let Some(note) = &marked.note {
        more.push_str(&format!(", note = {}", quoted(note)));
    }
    let is_bare = more.is_empty() && key != "other" && !value.contains(", unit = ");
    if is_bare { value } else { format!("{{ {key} = {value}{more} }}") }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{number, reading};
    use crate::compile::example;
    use crate::import::mapping::Mapping;
    use crate::resolve::Catalog;
    use crate::vocabulary::Unit;

    fn catalog() -> Catalog {
        example::compile("").knowledge.catalog
    }

    fn read(feature: &str, cell: &str) -> Result<Option<String>, String> {
        let catalog = catalog();
        reading(catalog.vocabulary.feature(feature).unwrap(), None, &Mapping::default(), cell)
    }

    #[test]
    fn cells_become_values_in_the_words_of_the_vocabulary() {
        for (feature, cell, value) in [
            ("hem", "Chain stitch", "\"chain-stitch\""),
            ("hem", "ABSENT", "\"absent\""),
            (
                "hem",
                "folded !altered | let down, \"twice\"",
                "{ state = \"folded\", altered = true, note = \"let down, \\\"twice\\\"\" }",
            ),
            ("hem", "other: seven rows", "{ other = \"seven rows\" }"),
            ("belt-loops", "5", "5"),
            ("belt-loops", "5.0 !unsure", "{ value = 5, unsure = true }"),
            ("leg-opening", "8,25", "8.25"),
            ("leg-opening", "8 1/4\"", "8.25"),
            ("leg-opening", "8¼ in", "8.25"),
            ("leg-opening", "21 cm", "{ value = 21, unit = \"cm\" }"),
            ("leg-opening", "lost", "\"lost\""),
        ] {
            assert_eq!(read(feature, cell).unwrap().as_deref(), Some(value), "{cell}");
        }
    }

    #[test]
    fn what_cannot_be_meant_is_said_with_what_can() {
        for (feature, cell, said) in [
            ("hem", "chain", "is no state of it; expected `folded`, `chain-stitch`, `raw`, `absent` or `lost`"),
            ("belt-loops", "0", "is written `absent`"),
            ("belt-loops", "5.5", "no whole number"),
            ("belt-loops", "five", "is no number"),
            ("leg-opening", "1,250", "may be 1.250 or 1250"),
            ("leg-opening", "8 miles", "is no number"),
            ("leg-opening", "8 4/4", "is no number"),
        ] {
            let complaint = read(feature, cell).unwrap_err();
            assert!(complaint.contains(said), "{complaint}");
        }
    }

    #[test]
    fn a_mapping_and_a_heading_have_a_say() {
        let catalog = catalog();
        let mapping = "[states.hem]\n\"dbl\" = \"folded\"\n\"?\" = \"\"\n";
        let mapping = Mapping::parse(mapping, &catalog).unwrap();
        let hem = catalog.vocabulary.feature("hem").unwrap();
        assert_eq!(reading(hem, None, &mapping, "Dbl").unwrap().as_deref(), Some("\"folded\""));
        let marked = reading(hem, None, &mapping, "dbl !unsure").unwrap();
        assert_eq!(marked.as_deref(), Some("{ state = \"folded\", unsure = true }"));
        assert_eq!(reading(hem, None, &mapping, "?").unwrap(), None);
        let opening = catalog.vocabulary.feature("leg-opening").unwrap();
        let in_cm = reading(opening, Some(Unit::Centimetre), &mapping, "21").unwrap();
        assert_eq!(in_cm.as_deref(), Some("{ value = 21, unit = \"cm\" }"));
    }

    #[test]
    fn synonyms_of_the_vocabulary_are_known() {
        let text = "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nlook = \"Look.\"\nstates = [\"raw\"]\n\
            also = { feature = [\"bottom edge\"], raw = [\"cut off\"] }\n";
        let vocabulary = example::compile(text).knowledge.catalog.vocabulary;
        let hem = vocabulary.feature("hem").unwrap();
        let read = reading(hem, None, &Mapping::default(), "Cut-off").unwrap();
        assert_eq!(read.as_deref(), Some("\"raw\""));
        let target = |heading| crate::import::heading::target(&vocabulary, heading);
        assert_eq!(target("Bottom edge"), Some(crate::import::heading::Target::Feature(hem.id.clone())));
        assert_eq!(target("Bottom edge: cut off"), target("hem raw"));
    }

    #[test]
    fn numbers_are_read_as_they_are_written_by_hand() {
        for (text, value) in
            [("8.25", 8.25), ("8,5", 8.5), ("30 1/2", 30.5), ("30-1/2", 30.5), ("½", 0.5), ("12", 12.0)]
        {
            assert_eq!(number(text).unwrap(), value, "{text}");
        }
        for text in ["", "x", "8..2", "1,2,3", "8.5 1/4", "1/0", "inf", "1e3"] {
            number(text).unwrap_err();
        }
    }
}

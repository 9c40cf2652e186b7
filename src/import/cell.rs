//! A cell of a feature to the value of its key in an entry, in the vocabulary's words.
//!
//! A word that the vocabulary does not have is never guessed at: the cell comes back as a complaint that says what is
//! allowed. Whether a measure lies in its range, the check of the whole entry asks.

use crate::diagnostic::wording;
use crate::import::heading::{self, plain};
use crate::import::mapping::Mapping;
use crate::import::quantity::{counted, with_unit};
use crate::import::toml_string::quoted;
use crate::record::id::StateId;
use crate::sheet::notation::{self, Marked, Written};
use crate::sheet::workbook::NO_RESULT;
use crate::vocabulary::{Feature, Kind, Measure, Unit};

/// A mistake in a cell of a feature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The mistake, and the correct form.
    pub message: String,
    /// The states that are spelt like it, or the units that it fits.
    pub near: Vec<String>,
    /// Whether another unit would settle it.
    pub is_unit: bool,
}

impl From<String> for Problem {
    fn from(message: String) -> Problem {
        Problem { message, near: Vec::new(), is_unit: false }
    }
}

/// The value of a feature's key as TOML, nothing for a cell that says it was not examined, or what is wrong.
///
/// The unit is the one that the column's heading names.
pub fn reading(
    feature: &Feature,
    unit: Option<Unit>,
    mapping: &Mapping,
    cell: &str,
) -> Result<Option<String>, Problem> {
    if let Some(answer) = mapping.state(feature.id.as_str(), cell) {
        return if answer.is_empty() { Ok(None) } else { reading(feature, unit, &Mapping::default(), answer) };
    }
    let marked = doubted(feature, notation::read(cell));
    let (key, value) = match &marked.value {
        Written::Other(words) => ("other", quoted(words)),
        Written::Value(text) => value(feature, unit, mapping, text.trim())?,
    };
    Ok(Some(written(key, value, &marked)))
}

/// The reason why a cell cannot be read in any column; `None` if it can.
pub fn flaw(cell: &str) -> Option<&'static str> {
    const ERRORS: [&str; 7] = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"];
    let of_libre = cell.strip_prefix("Err:").is_some_and(|code| code.bytes().all(|byte| byte.is_ascii_digit()));
    match cell {
        NO_RESULT => Some(
            "holds a formula whose result is not in the file; open the workbook in a spreadsheet program and save it",
        ),
        _ if of_libre || ERRORS.contains(&cell) => Some("holds a spreadsheet error; write the correct value"),
        _ => None,
    }
}

/// Says whether a cell ticks a state; `None` if it says neither yes nor no.
pub fn ticks(cell: &str) -> Option<bool> {
    match cell.trim().to_lowercase().as_str() {
        "x" | "yes" | "y" | "true" | "1" | "✓" | "✔" => Some(true),
        "no" | "n" | "false" | "0" | "-" => Some(false),
        _ => None,
    }
}

/// The key of a table and the value in it.
type Value = Result<(&'static str, String), Problem>;

/// Takes `5?` for a doubtful 5; in a code the sign may stand on the garment.
fn doubted(feature: &Feature, mut marked: Marked) -> Marked {
    if let (Written::Value(text), false) = (&mut marked.value, feature.kind == Kind::Code)
        && let Some(sure) = text.trim_end().strip_suffix('?').map(str::trim_end).filter(|sure| !sure.is_empty())
    {
        *text = sure.to_string();
        marked.unsure = true;
    }
    marked
}

fn value(feature: &Feature, unit: Option<Unit>, mapping: &Mapping, text: &str) -> Value {
    let answered = mapping.state(feature.id.as_str(), text).unwrap_or(text);
    if let Some(word) = ["absent", "lost"].into_iter().find(|word| plain(answered) == *word) {
        return Ok(("state", quoted(word)));
    }
    match &feature.kind {
        Kind::State { states } => state(feature, states, answered).map(|state| ("state", quoted(state.as_str()))),
        Kind::Count => count(answered),
        Kind::Measure(measure) => measured(measure, unit, answered),
        Kind::Number => Ok(("value", number_text(counted(answered)?))),
        Kind::Code => Ok(("value", quoted(answered))),
    }
}

fn state<'a>(feature: &Feature, states: &'a [StateId], text: &str) -> Result<&'a StateId, Problem> {
    let wanted = plain(text);
    let found = states.iter().find(|state| !wanted.is_empty() && heading::is_state(feature, state, &wanted));
    found.ok_or_else(|| {
        let own = states.iter().map(StateId::as_str);
        let allowed: Vec<String> = own.chain(["absent", "lost"]).map(str::to_string).collect();
        let (quoted, home) = (wording::quote(text), "`schema/vocabulary.toml`");
        let expected = wording::expected(text, &allowed, home);
        let message = format!(
            "{quoted} is not one of its states; {expected}. Say what it means under `[states]` in the mapping, or write `other: …`"
        );
        Problem { message, near: near(text, &allowed), is_unit: false }
    })
}

/// The words spelt like a text, or else the words that begin with it: `alu` may mean `aluminium`.
fn near(text: &str, allowed: &[String]) -> Vec<String> {
    let spelt = wording::nearest(text, allowed, 2);
    let wanted = plain(text);
    let begun = allowed.iter().filter(|name| spelt.is_empty() && wanted.len() > 2 && plain(name).starts_with(&wanted));
    spelt.iter().map(|name| (*name).to_string()).chain(begun.cloned()).take(2).collect()
}

fn count(text: &str) -> Value {
    let number = counted(text)?;
    if number == 0.0 {
        let says = "a count of 0 is written `absent`, if somebody looked; leave the cell empty if nobody did";
        return Err(says.to_string().into());
    }
    let is_count = number.fract() == 0.0 && (1.0..=f64::from(u32::MAX)).contains(&number);
    is_count
        .then(|| ("value", number_text(number)))
        .ok_or_else(|| format!("{} is not a whole number", wording::quote(text)).into())
}

/// Reads a length or the like: in its own unit, in the heading's, else in the vocabulary's.
fn measured(measure: &Measure, heading: Option<Unit>, text: &str) -> Value {
    let (digits, own) = with_unit(text);
    let (number, home) = (counted(digits)?, measure.unit);
    if own.or(heading).is_none() {
        fits_another_unit(measure, number)?;
    }
    let value = number_text(number);
    match own.or(heading).filter(|unit| *unit != home) {
        None => Ok(("value", value)),
        Some(unit) => Ok(("value", format!("{value}, unit = {}", quoted(unit.word())))),
    }
}

/// Complains of a number without a unit that is out of the range in the unit of the vocabulary, and within it in another.
fn fits_another_unit(measure: &Measure, number: f64) -> Result<(), Problem> {
    let (least, most) = measure.range;
    let is_within = |number: f64| (least..=most).contains(&number);
    let fits = |unit: &Unit| unit.convert(number, measure.unit).is_some_and(is_within);
    let others: Vec<&str> = Unit::ALL.iter().filter(|(unit, _)| fits(unit)).map(|(_, word)| *word).collect();
    if is_within(number) || others.is_empty() {
        return Ok(());
    }
    let home = measure.unit.word();
    let message = format!(
        "{} has no unit; in {home} it would be outside the range {least} to {most} {home}, in {} within it. If the whole \
         column is in one unit, say so under `[columns]`, such as `feature ({})`; else say it under `[states]` or in the cell",
        wording::quote(&number_text(number)),
        wording::join_quoted(&others, "or"),
        others[0]
    );
    let near = others.into_iter().map(str::to_string).collect();
    Err(Problem { message, near, is_unit: true })
}

/// A number as TOML writes it.
fn number_text(number: f64) -> String {
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

    use super::{Problem, reading};
    use crate::compile::example;
    use crate::import::mapping::Mapping;
    use crate::resolve::Catalog;
    use crate::vocabulary::Unit;

    fn catalog() -> Catalog {
        example::compile("").knowledge.catalog
    }

    fn read(feature: &str, cell: &str) -> Result<Option<String>, Problem> {
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
            ("belt-loops", "Seven", "7"),
            ("belt-loops", "5?", "{ value = 5, unsure = true }"),
            ("belt-loops", "five ? | worn", "{ value = 5, unsure = true, note = \"worn\" }"),
            ("hem", "folded?", "{ state = \"folded\", unsure = true }"),
            ("hem", "other: is it?", "{ other = \"is it?\" }"),
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
            ("hem", "chain", "is not one of its states; expected `folded`, `chain-stitch`, `raw`, `absent` or `lost`"),
            ("belt-loops", "0", "is written `absent`"),
            ("belt-loops", "5.5", "not a whole number"),
            ("belt-loops", "fivish", "is not a number"),
            ("belt-loops", "?", "is not a number"),
            ("leg-opening", "1,250", "may be 1.250 or 1250"),
            ("leg-opening", "8 miles", "is not a number"),
            ("leg-opening", "8 4/4", "is not a number"),
        ] {
            let complaint = read(feature, cell).unwrap_err().message;
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
}

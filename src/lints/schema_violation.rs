//! Keys and values that a kind of record does not allow.
//!
//! It turns faults of validation into diagnostics, except those about words of the vocabulary.

use crate::date::fault::{DateFault, DateProblem};
use crate::date::numeral::DayOrder;
use crate::date::words::{self, Candidates, Meaning};
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Family, Fault, FaultKind, RuleBroken, SchemaFault};
use crate::knowledge::Knowledge;

/// Where the keys of all kinds of record are written down.
const HOME: &str = "`schema/`";

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "schema-violation",
    level: Level::Error,
    title: "a field is not what this kind of record allows",
    explanation: "\
Every kind of record has its own keys, and each key its own kind of value: dates are EDTF strings, an observation needs a `basis`, a claim needs an `event`. If a field cannot be understood, the whole record is left out of all conclusions; otherwise a misspelt key would be lost silently.

The message shows what was found and what would be right. The full lists are in `schema/`. This cannot be allowed in the entry, because the entry is not used.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"circa 1977\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"1977~\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.faults.iter().filter_map(word).collect()
}

/// The message, and the help.
type Words = (String, Option<String>);

fn word(fault: &Fault) -> Option<Diagnostic> {
    if let FaultKind::Unlisted { family: Family::Field, count } = fault.kind {
        return Some(LINT.at(fault.place, wording::unlisted(count)).help(wording::REPAIR_LISTED));
    }
    let FaultKind::Schema(kind) = &fault.kind else { return None };
    let (message, help) = said(kind);
    let diagnostic = LINT.at(fault.place, message);
    let diagnostic = match help {
        Some(help) => diagnostic.help(help),
        None => diagnostic,
    };
    Some(diagnostic.repaired(fault))
}

fn said(kind: &SchemaFault) -> Words {
    match kind {
        SchemaFault::UnknownKey { key, allowed } => {
            let expected = wording::expected(key, allowed, HOME);
            (format!("unknown key {}, {expected}", wording::quote(key)), wording::write_nearest(key, allowed))
        }
        SchemaFault::MissingKey { key, because, allowed } => {
            let because = because.as_ref().map_or(String::new(), |because| format!(" {because}"));
            let key = wording::quote(key);
            let values = wording::few(allowed).map_or(String::new(), |few| format!(", as {few}"));
            (format!("the key {key} is missing; it must be there{because}"), Some(format!("add {key} here{values}")))
        }
        SchemaFault::WrongType { found, expected } => (format!("found {found}, expected {expected}"), None),
        SchemaFault::NotOneOf { found, allowed } => {
            let expected = wording::expected(found, allowed, HOME);
            (format!("found {}, {expected}", wording::quote(found)), wording::write_nearest(found, allowed))
        }
        SchemaFault::OutOfLimits { found, expected } => {
            (format!("found {}, expected {expected}", wording::quote(found)), None)
        }
        SchemaFault::Date { found, fault } => date(found, fault),
        SchemaFault::Rule(rule) => rule_words(rule),
    }
}

fn date(found: &str, fault: &DateFault) -> Words {
    let quoted = wording::quote(found);
    let message = match &fault.problem {
        DateProblem::Empty => "the date is empty, expected one such as `1977` or `1975/1979`".to_string(),
        DateProblem::TooLong => "the text is longer than any date, expected one such as `1977`".to_string(),
        DateProblem::NotADate => format!("{quoted} is not a date, expected one such as `1977`, `197X` or `1975/1979`"),
        DateProblem::ImpossibleMonth => format!("{quoted} names a month or season that does not exist"),
        DateProblem::ImpossibleDay => format!("{quoted} names a day that the month does not have"),
        DateProblem::DayInSeason => format!("{quoted} gives a day within a season, expected a month or no day"),
        DateProblem::InvertedInterval => format!("{quoted} ends before it begins"),
        DateProblem::YearOutOfRange => format!("{quoted} names a year outside 0001 to 9999"),
        DateProblem::TimeOfDay => format!("{quoted} gives a time of day, expected a whole day"),
        DateProblem::WhichCentury { earlier, later } => {
            let help = format!("write `{earlier}` or `{later}`");
            return (format!("{quoted} does not say which century"), Some(help));
        }
        DateProblem::LetterYear => format!("{quoted} writes its year with a letter, expected four digits"),
        DateProblem::SubYearGrouping => format!("{quoted} names a part of the year other than the seasons 21 to 24"),
        DateProblem::AllMembers => format!("{quoted} claims all of a set, expected one of them: `[…]`"),
        DateProblem::DoubledMark => format!("{quoted} has two of the marks `?`, `~`, `%` on one part; `%` says both"),
    };
    let nearest = fault.nearest.as_ref().map(|nearest| format!("write {}", wording::quote(nearest)));
    (message, either_order(found, fault).or(nearest))
}

/// The two ways to write a date whose day and month may change places.
fn either_order(found: &str, fault: &DateFault) -> Option<String> {
    // With points between its parts a date is suggested with the day first.
    let both = fault.nearest.as_ref().filter(|nearest| nearest.starts_with('['))?;
    let Meaning::Ambiguous(Candidates::DayAndMonth { day_first, month_first }) =
        words::meaning(found, DayOrder::Unknown)
    else {
        return None;
    };
    Some(format!(
        "write `{day_first}` if the day comes first, `{month_first}` if the month does, or {} if nobody knows",
        wording::quote(both)
    ))
}

fn rule_words(rule: &RuleBroken) -> Words {
    (broken(rule), repair(rule))
}

fn broken(rule: &RuleBroken) -> String {
    let quote = wording::quote;
    match rule {
        RuleBroken::StatementWithMade => "a statement has no date made".into(),
        RuleBroken::NotOnDocument { key } => format!("{} belongs to garments only", quote(key)),
        RuleBroken::ProducedNeedsInterval { found } => format!("`produced` needs an interval, found {}", quote(found)),
        RuleBroken::EventNeeds { event, needs } => format!("the event {} needs `{needs}`", quote(event)),
        RuleBroken::HardOnAbsence => "a hard landmark cannot rest on `absent` or `lost`: labels are cut out".into(),
        RuleBroken::LandmarkBounds => {
            "a landmark needs a bound, and `not-before` must not lie after `not-after`".into()
        }
        RuleBroken::SoftNeedsOdds => "a soft landmark needs `odds`".into(),
        RuleBroken::CountOfZero => "a count of 0 says that there are none".into(),
        RuleBroken::NotACount { found } => format!("{} is not a whole number above 0", quote(found)),
        RuleBroken::SeveralReadings => "found a list, expected one reading of this feature".into(),
        RuleBroken::OutsideRange { found, range, .. } => format!("{} is outside the range {range}", quote(found)),
        RuleBroken::UnitMismatch { found, expected } => {
            format!("the unit {} does not measure this feature, expected {}", quote(found), quote(expected))
        }
        RuleBroken::KeyNeedsSource => "`made-by = \"key\"` and `made-source` go together".into(),
        RuleBroken::FromNeedsJudgement { key } => format!("{} is only for what was judged", quote(key)),
        RuleBroken::ReservedId { found } => {
            format!("the id {} is one of the words `maker`, `model` and `variant`", quote(found))
        }
        RuleBroken::RepeatedId { found } => format!("the id {} is used twice in this file", quote(found)),
        RuleBroken::NoSuchScope { found } => format!("{} is about nothing that is here", quote(found)),
        RuleBroken::Other { found, expected } => format!("{found}, expected {expected}"),
    }
}

fn repair(rule: &RuleBroken) -> Option<String> {
    let quote = wording::quote;
    Some(match rule {
        RuleBroken::StatementWithMade => "say it as a claim: `[[claims]]` with `event = \"attested\"`".into(),
        RuleBroken::NotOnDocument { key } => format!("leave {} out", quote(key)),
        RuleBroken::ProducedNeedsInterval { .. } => {
            "write `event = \"attested\"`, or a beginning and an end such as `1975/1979`".into()
        }
        RuleBroken::EventNeeds { needs: "when", .. } => "add its date to this claim, such as `when = \"1975\"`".into(),
        RuleBroken::EventNeeds { needs, .. } => format!("add `{needs}` to this claim"),
        RuleBroken::HardOnAbsence => "write `force = \"soft\"` with `odds`, or name a state that is seen".into(),
        RuleBroken::LandmarkBounds => "give `not-before`, `not-after`, or both in order".into(),
        RuleBroken::SoftNeedsOdds => "say how many times less likely other years are: `odds = 10`".into(),
        RuleBroken::CountOfZero => "write `\"absent\"`".into(),
        RuleBroken::NotACount { .. } => "write how many there are, or `\"absent\"`".into(),
        RuleBroken::SeveralReadings => {
            "write one of them, and the others in a note beside it, such as `{ state = \"raw\", note = \"…\" }`".into()
        }
        RuleBroken::OutsideRange { fits, .. } if fits.is_empty() => "measure again, or check the unit".into(),
        RuleBroken::OutsideRange { fits, .. } => {
            format!(
                "if it was measured in another unit, write {}; else measure again",
                wording::join_quoted(fits, "or")
            )
        }
        RuleBroken::UnitMismatch { expected, .. } => format!("write the value in {}", quote(expected)),
        RuleBroken::KeyNeedsSource => {
            "name the source of the key in `made-source`, or say how else the date is known".into()
        }
        RuleBroken::FromNeedsJudgement { key } => format!("remove {}, or say that it was judged", quote(key)),
        RuleBroken::ReservedId { .. } => "choose another id".into(),
        RuleBroken::RepeatedId { .. } => "give one of the two another id".into(),
        RuleBroken::NoSuchScope { .. } => {
            "write `variant`, `model`, `maker`, `line:<id>` or `feature:<id>=<state>`".into()
        }
        RuleBroken::Other { .. } => return None,
    })
}

//! Entries that look like two of one garment, without saying so.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::reading;
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::id::VariantId;
use crate::record::observation::{Observation, Value};
use crate::resolve::Catalog;
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "duplicate-observation",
    level: Level::Warning,
    title: "two entries look like one garment",
    explanation: "\
A garment recorded twice must count once: counted twice, it makes rare things look common. Entries of one garment say so with `same-as`.

Garments of one variant are alike, so likeness alone is no sign. Two entries are reported if all readings they share agree, at least five of them, and nothing else in them differs (date, factory, market). Neither may belong to a `find`, and they must share something that seldom repeats: the same prose (40 letters or more), the same `made-note`, or two measurements to the digit. Two entries by one observer on one day are taken for two garments, unless even the prose is the same.

If it is one garment, add `same-as` to the later entry or delete a copy. If there are two, allow this with a reason, or give both the same `find` if they came together.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = \"folded\"
zip = \"brass\"
belt-loops = 5
leg-opening = 8.25
inseam = 30.5
+++
--- entries/makers/hollin/no-4/no-4-best/shop-find.md
+++
basis = \"specimen\"
[features]
hem = \"folded\"
zip = \"brass\"
belt-loops = 5
leg-opening = 8.25
inseam = 30.5
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[features]
hem = \"folded\"
zip = \"brass\"
belt-loops = 5
leg-opening = 8.25
inseam = 30.5
+++
--- entries/makers/hollin/no-4/no-4-best/shop-find.md
+++
basis = \"specimen\"
[features]
hem = \"folded\"
zip = \"brass\"
belt-loops = 5
leg-opening = 8.25
inseam = 31
+++
",
    check: Check::Knowledge(check),
};

/// How many readings two entries must share.
const FEWEST_READINGS: usize = 5;

/// How long a text must be to say that one was copied from the other, in letters.
const LONG_PROSE: usize = 40;

/// Something that two garments seldom share.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Sign {
    Prose(String),
    Note(String),
    /// Two measured features, each with the bits of its value.
    Measures([(String, u64); 2]),
}

impl Sign {
    fn words(&self) -> String {
        match self {
            Sign::Prose(_) => "their prose is the same".to_string(),
            Sign::Note(note) => format!("both have the note {}", wording::quote(note)),
            Sign::Measures([(one, _), (other, _)]) => format!("`{one}` and `{other}` agree to the digit"),
        }
    }
}

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let mut firsts: BTreeMap<&VariantId, Vec<&Record>> = BTreeMap::new();
    for garment in &catalog.garments {
        if let (Some(variant), Some(first)) = (&garment.variant, garment.observations.first()) {
            firsts.entry(variant).or_default().push(catalog.record(*first));
        }
    }
    firsts.values().flat_map(|firsts| of_variant(catalog, firsts)).collect()
}

/// Compares the first entries of the garments of one variant.
fn of_variant(catalog: &Catalog, firsts: &[&Record]) -> Vec<Diagnostic> {
    let mut last_with: BTreeMap<Sign, &Record> = BTreeMap::new();
    let mut reported = BTreeSet::new();
    let mut diagnostics = Vec::new();
    for record in firsts.iter().copied() {
        for sign in signs(catalog, record) {
            // Only the nearest earlier entry with the sign is compared, so that a thousand copies are a thousand steps.
            let earlier = last_with.insert(sign.clone(), record);
            let alike = earlier.filter(|earlier| are_alike(earlier, record, &sign));
            if let Some(earlier) = alike.filter(|_| reported.insert(record.file)) {
                diagnostics.extend(word(earlier, record, &sign));
            }
        }
    }
    diagnostics
}

fn signs(catalog: &Catalog, record: &Record) -> Vec<Sign> {
    let Some(observation) = record.content.observation() else { return Vec::new() };
    let prose =
        catalog.sources.file(record.file).slice(record.body).split_whitespace().collect::<Vec<&str>>().join(" ");
    let mut signs = Vec::new();
    if prose.chars().count() >= LONG_PROSE {
        signs.push(Sign::Prose(prose));
    }
    signs.extend(observation.made_note.clone().map(Sign::Note));
    let measures = measures(observation);
    for (number, one) in measures.iter().enumerate() {
        signs.extend(measures[number + 1..].iter().map(|other| Sign::Measures([one.clone(), other.clone()])));
    }
    signs
}

fn measures(observation: &Observation) -> Vec<(String, u64)> {
    let usable = observation.features.iter().filter(|(_, reading)| reading::is_usable(reading));
    usable
        .filter_map(|(feature, reading)| match reading.value {
            Value::Measure(value) => Some((feature.to_string(), value.to_bits())),
            _ => None,
        })
        .collect()
}

fn are_alike(one: &Record, other: &Record, sign: &Sign) -> bool {
    let (Some(one), Some(other)) = (one.content.observation(), other.content.observation()) else { return false };
    let knows_both = one.observer.is_some() && observer(one) == observer(other) && is_same_day(one, other);
    if one.find.is_some() || other.find.is_some() || (knows_both && !matches!(sign, Sign::Prose(_))) {
        return false;
    }
    !may_differ(one, other) && shared_readings(one, other).is_some_and(|shared| shared >= FEWEST_READINGS)
}

fn observer(observation: &Observation) -> Option<&str> {
    observation.observer.as_ref().map(|observer| observer.value.as_str())
}

fn is_same_day(one: &Observation, other: &Observation) -> bool {
    let day = |seen: &Observation| seen.observed.as_ref().map(|day| day.value);
    day(one).is_some() && day(one) == day(other)
}

fn may_differ(one: &Observation, other: &Observation) -> bool {
    let made = |observation: &Observation| observation.made.as_ref().map(|made| made.value.as_str().to_string());
    contradict(made(one), made(other))
        || contradict(one.factory.as_deref(), other.factory.as_deref())
        || contradict(one.market(), other.market())
}

fn contradict<T: PartialEq>(one: Option<T>, other: Option<T>) -> bool {
    one.is_some() && other.is_some() && one != other
}

/// Counts the features that both read; `None` if they differ in one.
fn shared_readings(one: &Observation, other: &Observation) -> Option<usize> {
    let mut shared = 0;
    for (feature, reading) in &one.features {
        let Some(same) = other.features.get(feature) else { continue };
        if reading::is_usable(reading) && reading::is_usable(same) {
            if reading.value != same.value {
                return None;
            }
            shared += 1;
        }
    }
    Some(shared)
}

fn word(earlier: &Record, later: &Record, sign: &Sign) -> Option<Diagnostic> {
    let place = |record: &Record| {
        record.content.observation().map(|observation| Place { file: record.file, span: observation.basis.span })
    };
    let message = format!("this looks like the garment of {}: {}", wording::quote(earlier.path.as_str()), sign.words());
    let diagnostic = LINT.at(place(later)?, message).label(place(earlier)?, "every feature that both read agrees");
    let help =
        format!("if it is one garment, add `same-as = \"{}\"`; if not, allow this with a reason", earlier.path.stem());
    Some(diagnostic.help(help))
}

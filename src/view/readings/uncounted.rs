//! Readings of a variant that are shown and not counted, each with why, for the cell of a table.
//!
//! Only what the evidence leaves out is listed here; what it counts is in `seen`.

use std::collections::BTreeMap;

use crate::evidence::reading::Shown;
use crate::evidence::{Bearer, Evidence};
use crate::record::observation::{Basis, Reading, Value};
use crate::resolve::{Catalog, RecordIndex};
use crate::view::readings;
use crate::vocabulary::Feature;

/// The observations of a variant that its counts leave out.
pub struct Uncounted<'a> {
    catalog: &'a Catalog,
    observations: &'a [RecordIndex],
    bearers: BTreeMap<RecordIndex, &'a Bearer<'a>>,
}

impl<'a> Uncounted<'a> {
    /// Takes a variant's observations and its evidence.
    pub fn new(catalog: &'a Catalog, evidence: &'a Evidence<'a>) -> Uncounted<'a> {
        let entry = catalog.variants.get(&evidence.variant);
        let bearers = evidence.bearers.iter();
        Uncounted {
            catalog,
            observations: entry.map_or(&[][..], |entry| entry.observations.as_slice()),
            bearers: bearers.flat_map(|bearer| bearer.records.iter().map(move |record| (*record, bearer))).collect(),
        }
    }

    /// The readings of a feature that do not count, with how many there are of each: `brass, altered × 2`.
    pub fn of(&self, feature: &Feature) -> Vec<String> {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for index in self.observations {
            let Some(observation) = self.catalog.record(*index).content.observation() else { continue };
            let Some(reading) = observation.features.get(&feature.id) else { continue };
            let why = if self.catalog.withheld.contains(index) {
                Some("withheld")
            } else if observation.basis.value == Basis::Statement {
                Some("only said")
            } else {
                self.why(*index, feature, reading)
            };
            if let Some(why) = why {
                *counts.entry(words(feature, reading, why)).or_default() += 1;
            }
        }
        let times = |(words, count)| if count == 1 { words } else { format!("{words} × {count}") };
        counts.into_iter().map(times).collect()
    }

    fn why(&self, index: RecordIndex, feature: &Feature, reading: &Reading) -> Option<&'static str> {
        let Some(bearer) = self.bearers.get(&index) else { return Some("placing set aside") };
        let shown = bearer.shown.get(&feature.id)?;
        why_reading(reading).or_else(|| why_shown(shown))
    }
}

fn words(feature: &Feature, reading: &Reading, why: &str) -> String {
    match reading.value {
        Value::Lost => why.to_string(),
        _ => format!("{}, {why}", readings::value(feature, &reading.value)),
    }
}

/// Why a reading by itself does not count.
fn why_reading(reading: &Reading) -> Option<&'static str> {
    match reading {
        Reading { altered: true, .. } => Some("altered"),
        Reading { value: Value::Lost, .. } => Some("lost"),
        Reading { unsure: true, .. } => Some("unsure"),
        _ => None,
    }
}

/// Why no reading of a garment counts.
fn why_shown(shown: &Shown<'_>) -> Option<&'static str> {
    if shown.judged {
        Some("placed by it")
    } else if shown.differs() {
        Some("entries differ")
    } else if shown.usable.is_empty() {
        Some("set aside")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::Uncounted;
    use crate::compile::example;
    use crate::evidence;
    use crate::record::id::VariantId;

    #[test]
    fn what_the_evidence_leaves_out_is_listed_with_why() {
        let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n";
        let mut text = String::new();
        for (name, said) in [
            ("a", format!("{head}[features]\nzip = {{ state = \"brass\", altered = true }}\n")),
            ("b", format!("{head}[features]\nzip = {{ state = \"brass\", altered = true }}\n")),
            ("c", format!("{head}[features]\nzip = \"lost\"\n")),
            ("d", format!("{head}[features]\nzip = {{ state = \"steel\", unsure = true }}\n")),
            ("e", "+++\nbasis = \"statement\"\n[features]\nzip = \"steel\"\n".to_string()),
            ("f", "+++\nbasis = \"specimen\"\nplaced-by = \"judged\"\nplaced-from = [\"zip\"]\n[features]\nzip = \"brass\"\n".to_string()),
            ("g", format!("{head}[features]\nzip = \"brass\"\n")),
            ("h", format!("{head}same-as = \"g\"\n[features]\nzip = \"steel\"\n")),
            ("i", format!("{head}[features]\nzip = \"steel\"\n")),
        ] {
            text += &format!("--- entries/makers/m/x/v/{name}.md\n{said}+++\n");
        }
        let knowledge = example::compile(&text).knowledge;
        let evidence = evidence::of(&knowledge, &VariantId::new("m/x/v"));
        let zip = knowledge.catalog.vocabulary.feature("zip").expect("the example has one");
        let expected = [
            "brass, altered × 2",
            "brass, entries differ",
            "brass, placed by it",
            "lost",
            "steel, entries differ",
            "steel, only said",
            "steel, unsure",
        ];
        assert_eq!(Uncounted::new(&knowledge.catalog, &evidence).of(zip), expected);
        assert_eq!(evidence.items(&zip.id).len(), 1, "one counts");
    }
}

//! Which verdicts would change if one garment had not been counted.
//!
//! Garments that show the same and are alike in every covariate are tried once.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::comparison::crude::{Crude, Sides};
use crate::comparison::strata::OneOfSide;
use crate::comparison::verdict::{Changed, Others};
use crate::comparison::{Compared, Comparison, PairEvidence, Verdict, strata};
use crate::evidence::{Evidence, Seen};
use crate::record::id::VariantId;
use crate::resolve::{Catalog, RecordIndex};
use crate::vocabulary::Feature;

/// Garments of which each, if left out, would change a verdict.
#[derive(Clone, Debug)]
pub struct Fall {
    /// The variant they are of.
    pub variant: VariantId,
    /// The observations of each.
    pub garments: Vec<Vec<RecordIndex>>,
    /// The verdict without it; `None` if no garment of the variant would be left.
    pub verdict: Option<Verdict>,
}

/// Leaves out the garments of both variants one by one; returns those that the verdict depends on.
/// The evidence is the evidence of the comparison.
pub fn falls(catalog: &Catalog, comparison: &Comparison, compared: &Compared, pair: PairEvidence<'_>) -> Vec<Fall> {
    let Some(feature) = catalog.vocabulary.feature(compared.feature.as_str()) else { return Vec::new() };
    let Some(sides) = Sides::of(feature, pair.a, pair.b) else { return Vec::new() };
    let others = Others { catalog, features: &comparison.features, feature };
    let mut falls = Vec::new();
    for (side, evidence) in [pair.a, pair.b].into_iter().enumerate() {
        for by_strata in alike(compared, evidence, side).into_values() {
            // All of these show the same, so that without any one of them the crude difference is the same too.
            let first = by_strata.values().flatten().next().map(|place| &evidence.items(&feature.id)[*place].seen);
            let rest = first.and_then(|seen| sides.without(side, seen)).map(|rest| Changed::new(&others, rest));
            for places in by_strata.into_values() {
                let garment = OneOfSide { side, place: places[0] };
                let hold = |crude: &Crude| strata::without(&compared.covariates, feature, pair, crude, garment);
                let verdict = rest.as_ref().map(|rest| rest.verdict(hold));
                if verdict.as_ref() != Some(&compared.verdict) {
                    let garments = places.iter().map(|place| observations(evidence, feature, *place)).collect();
                    falls.push(Fall { variant: evidence.variant.clone(), garments, verdict });
                }
            }
        }
    }
    falls
}

/// The places of items, by the strata that they lie in: for each covariate its number, and 0 for none.
type ByStrata = BTreeMap<Vec<usize>, Vec<usize>>;

/// The places of a side's items by what they show, then by the strata they lie in.
fn alike<'e>(compared: &Compared, evidence: &'e Evidence<'_>, side: usize) -> BTreeMap<Cow<'e, str>, ByStrata> {
    let items = evidence.items(&compared.feature);
    let mut strata = vec![vec![0; compared.covariates.len()]; items.len()];
    for (number, covariate) in compared.covariates.iter().enumerate() {
        for (stratum, (a, b)) in covariate.strata.values().enumerate() {
            [a, b][side].iter().for_each(|place| strata[*place][number] = stratum + 1);
        }
    }
    let mut alike: BTreeMap<Cow<'_, str>, ByStrata> = BTreeMap::new();
    for (place, (item, strata)) in items.iter().zip(strata).enumerate() {
        let shown = match &item.seen {
            Seen::State(state) => Cow::Borrowed(&**state),
            Seen::Measure(number) => Cow::Owned(number.to_string()),
        };
        alike.entry(shown).or_default().entry(strata).or_default().push(place);
    }
    alike
}

fn observations(evidence: &Evidence<'_>, feature: &Feature, place: usize) -> Vec<RecordIndex> {
    let bearers = evidence.items(&feature.id)[place].bearers.iter();
    bearers.flat_map(|bearer| evidence.bearers[*bearer].records.iter().copied()).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::{BTreeMap, BTreeSet};
    use std::fmt::Write;

    use super::falls;
    use crate::analysis::Analysis;
    use crate::comparison::verdict::{self, CrudeResult, Others};
    use crate::comparison::{Comparison, PairEvidence, Verdict, crude, strata};
    use crate::compile::example;
    use crate::evidence::{self, Evidence};
    use crate::record::id::{ModelId, VariantId};
    use crate::resolve::Catalog;
    use crate::vocabulary::Feature;

    /// A vocabulary with every sort of covariate, and three variants that differ now and then, by numbers that look
    /// random: a linear congruence of modulus 2^32 (Knuth, The Art of Computer Programming 2, 3.3.4, table 1, line 16).
    fn text(mut seed: u32) -> String {
        let mut random = move |end: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % end
        };
        let mut text = "--- schema/vocabulary.toml\n".to_string();
        for (id, rest) in [
            ("hem", "kind = \"state\"\nstates = [\"folded\", \"chain\", \"raw\"]"),
            ("zip", "kind = \"state\"\nstates = [\"brass\", \"steel\"]\nvaries-with = [\"hem\"]"),
            ("loops", "kind = \"count\""),
            (
                "opening",
                "kind = \"measure\"\nunit = \"in\"\ntolerance = 0.25\nrange = [4, 16]\nvaries-with = [\"hem\", \"loops\"]",
            ),
        ] {
            writeln!(text, "[{id}]\nname = \"{id}\"\nlook = \"Look.\"\n{rest}").unwrap();
        }
        for (number, variant) in ["a", "b", "c"].into_iter().enumerate() {
            let number = number as u32;
            write!(text, "--- entries/makers/m/x/{variant}/variant.md\n+++\nname = \"V\"\nline = \"best\"\n").unwrap();
            text += "wearer = \"men\"\n+++\n";
            for garment in 0..4 + 4 * number + random(5) {
                write!(text, "--- entries/makers/m/x/{variant}/g{garment:02}.md\n+++\nbasis = \"specimen\"\n").unwrap();
                text += "placed-by = \"mark\"\n";
                if random(5) > 0 {
                    writeln!(text, "made = \"{}\"\nmade-by = \"mark\"", 1966 + random(6) + 3 * number).unwrap();
                }
                if random(3) > 0 {
                    writeln!(text, "factory = \"{}\"", ["north", "south"][random(2) as usize]).unwrap();
                }
                let (hem, zip) = ((random(4) + number).min(5) / 2, random(8) < 2 + 3 * (number % 2));
                let (hem, zip) = (["folded", "chain", "raw"][hem as usize], if zip { "brass" } else { "steel" });
                let (loops, eighths) = (5 + random(2), 64 + random(6) + 3 * number);
                writeln!(text, "[features]\nhem = \"{hem}\"\nzip = \"{zip}\"\nloops = {loops}").unwrap();
                writeln!(text, "opening = {}\n+++", f64::from(eighths) / 8.0).unwrap();
            }
        }
        text
    }

    /// The verdict with every number worked out and everything held equal, needed or not.
    fn plain(catalog: &Catalog, comparison: &Comparison, feature: &Feature, pair: PairEvidence<'_>) -> Option<Verdict> {
        let crude = crude::of(feature, pair.a, pair.b)?;
        let others = Others { catalog, features: &comparison.features, feature };
        let covariates = strata::of(catalog, feature, pair, &crude);
        let known = CrudeResult { crude: &crude, p_holm: others.adjusted(crude.test()) };
        Some(verdict::of(feature, &known, &others, |_| strata::held(&covariates)))
    }

    #[test]
    fn verdicts_without_one_garment_are_those_of_comparing_again_without_it() {
        let mut verdicts = BTreeSet::new();
        for seed in 0..40 {
            let knowledge = example::compile(&text(seed)).knowledge;
            assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
            let catalog = &knowledge.catalog;
            let of = |id: &VariantId| (id.clone(), evidence::of(&knowledge, id));
            let seen: BTreeMap<VariantId, Evidence<'_>> = catalog.variants.keys().map(of).collect();
            for comparison in Analysis::new(&knowledge).comparisons(&ModelId::new("m/x")) {
                let (a, b) = (&seen[&comparison.a], &seen[&comparison.b]);
                for compared in &comparison.features {
                    let feature = catalog.vocabulary.feature(compared.feature.as_str()).unwrap();
                    let again = plain(catalog, comparison, feature, PairEvidence { a, b });
                    assert_eq!(again.as_ref(), Some(&compared.verdict), "by the same evidence");
                    let falls = falls(catalog, comparison, compared, PairEvidence { a, b });
                    for (side, evidence) in [a, b].into_iter().enumerate() {
                        for (place, item) in evidence.items(&feature.id).iter().enumerate() {
                            let mut items = evidence.items(&feature.id).to_vec();
                            items.remove(place);
                            let rest = evidence.of_one(&feature.id, items);
                            let sides =
                                if side == 0 { PairEvidence { a: &rest, b } } else { PairEvidence { a, b: &rest } };
                            let plain = plain(catalog, comparison, feature, sides);
                            let records = &evidence.bearers[item.bearers[0]].records;
                            let named = falls.iter().find(|fall| fall.garments.contains(records));
                            let verdict = named.map_or(Some(&compared.verdict), |fall| fall.verdict.as_ref());
                            assert_eq!(verdict, plain.as_ref(), "{seed} {} {place}", feature.id);
                            verdicts.extend(plain.map(|verdict| verdict.words()));
                        }
                    }
                }
            }
        }
        assert!(verdicts.len() >= 8, "{verdicts:?}");
    }
}

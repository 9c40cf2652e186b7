//! Finds what is still open about each variant, and how much of it one more observation would settle.
//!
//! A trial garment is like one already recorded and shows a state already seen; what else it might show is not guessed.

use std::collections::{BTreeMap, BTreeSet};

use crate::comparison::crude::Sides;
use crate::comparison::verdict::{Changed, Others};
use crate::comparison::{Comparison, ENOUGH, PairEvidence, Verdict, strata};
use crate::evidence::{Evidence, Item, Numbers, Seen};
use crate::knowledge::{Era, Side};
use crate::record::id::{FeatureId, VariantId};
use crate::resolve::Catalog;
use crate::vocabulary::{Feature, Kind};

/// Above this number of garments of either variant, one more seldom changes a verdict, so none is
/// tried.
const FEW: usize = 20;

/// The states that are tried at most, commonest first.
const STATES: usize = 4;

/// The open questions about a variant.
#[derive(Clone, Debug)]
pub struct Question {
    /// The variant.
    pub variant: VariantId,
    /// The features to examine on a garment of it, the most useful first.
    pub looks: Vec<Look>,
    /// Sides of its era that little or nothing bounds.
    pub gaps: Vec<(Side, Gap)>,
}

/// A feature to look at.
#[derive(Clone, Debug)]
pub struct Look {
    /// The feature.
    pub feature: FeatureId,
    /// How often it was counted on this variant.
    pub counted: usize,
    /// The comparisons that wait for it, in order of the other variant.
    pub waits: Vec<Wait>,
}

/// A comparison that waits for a feature.
#[derive(Clone, Debug, PartialEq)]
pub struct Wait {
    /// The other variant.
    pub other: VariantId,
    /// Why.
    pub why: Why,
}

/// Why a comparison waits.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// So many more of both together are needed before anything can be said.
    Thin(u64),
    /// One more garment could change the verdict from the first to one of the others.
    Flip(Verdict, BTreeSet<Verdict>),
}

/// The evidence that a bound lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gap {
    /// Nothing bounds it.
    Open,
    /// Only an estimate does.
    Estimated,
    /// It rests on one voice.
    OneVoice,
}

impl Question {
    /// How much there is to settle: a verdict or an open bound is 1, a bound that wants a second voice a half.
    pub fn settles(&self) -> f64 {
        let gaps = self.gaps.iter().map(|(_, gap)| if *gap == Gap::OneVoice { 0.5 } else { 1.0 });
        self.looks.iter().map(Look::settles).chain(gaps).sum()
    }
}

impl Look {
    /// How much one garment settles: a verdict that could change is 1, one of several garments its share of a verdict.
    pub fn settles(&self) -> f64 {
        let each = self.waits.iter().map(|wait| match &wait.why {
            Why::Thin(missing) => 1.0 / (*missing).max(1) as f64,
            Why::Flip(..) => 1.0,
        });
        each.sum()
    }
}

/// The questions about every variant of a model that has any, in order of variants.
pub fn of(
    catalog: &Catalog,
    evidence: &BTreeMap<VariantId, Evidence<'_>>,
    comparisons: &[&Comparison],
    era: impl Fn(&VariantId) -> Option<Era>,
) -> Vec<Question> {
    let mut waits: BTreeMap<(&VariantId, &FeatureId), Vec<Wait>> = BTreeMap::new();
    for comparison in comparisons {
        let Some(pair) = Pair::new(catalog, evidence, comparison) else { continue };
        for feature in catalog.vocabulary.current().filter(|feature| is_evidence(feature)) {
            for (variant, wait) in pair.waits(feature) {
                let own = if variant == comparison.a { &comparison.a } else { &comparison.b };
                waits.entry((own, &feature.id)).or_default().push(wait);
            }
        }
    }
    let question = |(variant, evidence): (&VariantId, &Evidence<'_>)| Question {
        variant: variant.clone(),
        looks: looks(catalog, evidence, &waits),
        gaps: gaps(&era(variant).unwrap_or_default()),
    };
    let all = evidence.iter().map(question);
    all.filter(|question| !question.looks.is_empty() || !question.gaps.is_empty()).collect()
}

/// Sorts questions by how much one more observation would settle, the most first.
pub fn ranked(mut questions: Vec<Question>) -> Vec<Question> {
    questions
        .sort_by(|one, other| other.settles().total_cmp(&one.settles()).then_with(|| one.variant.cmp(&other.variant)));
    questions
}

/// Says whether garments are compared by a feature and it could reach a verdict.
fn is_evidence(feature: &Feature) -> bool {
    !feature.defining && matches!(feature.kind, Kind::State { .. } | Kind::Count | Kind::Measure(_))
}

fn looks(
    catalog: &Catalog,
    evidence: &Evidence<'_>,
    waits: &BTreeMap<(&VariantId, &FeatureId), Vec<Wait>>,
) -> Vec<Look> {
    let of = |feature: &Feature| {
        let waits = waits.get(&(&evidence.variant, &feature.id))?.clone();
        Some(Look { feature: feature.id.clone(), counted: evidence.items(&feature.id).len(), waits })
    };
    let mut looks: Vec<Look> = catalog.vocabulary.current().filter_map(of).collect();
    // The sort keeps the vocabulary's order among equals.
    looks.sort_by(|one, other| other.settles().total_cmp(&one.settles()));
    looks
}

/// Names the sides of an era that little or nothing bounds.
pub fn gaps(era: &Era) -> Vec<(Side, Gap)> {
    let gap = |side: Side| match era.bound(side) {
        None => Some(Gap::Open),
        Some(bound) if bound.estimate.is_some() => Some(Gap::Estimated),
        Some(bound) if bound.rests_on_one => Some(Gap::OneVoice),
        Some(_) => None,
    };
    Side::ALL.iter().filter_map(|(side, _)| Some((*side, gap(*side)?))).collect()
}

/// Two variants; a garment may be added to either.
struct Pair<'p, 'a> {
    catalog: &'p Catalog,
    comparison: &'p Comparison,
    sides: [Evidence<'a>; 2],
}

impl<'p, 'a> Pair<'p, 'a> {
    fn new(
        catalog: &'p Catalog,
        evidence: &BTreeMap<VariantId, Evidence<'a>>,
        comparison: &'p Comparison,
    ) -> Option<Pair<'p, 'a>> {
        let sides = [evidence.get(&comparison.a)?.clone(), evidence.get(&comparison.b)?.clone()];
        Some(Pair { catalog, comparison, sides })
    }

    /// The comparisons that wait for a feature, each with the variant to examine.
    fn waits(&self, feature: &Feature) -> Vec<(VariantId, Wait)> {
        let counted = [0, 1].map(|side| self.sides[side].items(&feature.id).len());
        let missing: u64 = counted.iter().map(|count| ENOUGH.saturating_sub(*count as u64)).sum();
        let mut waits = Vec::new();
        for side in [0, 1] {
            let why = if counted == [0, 0] {
                None
            } else if missing > 0 {
                (counted[side] < ENOUGH as usize).then_some(Why::Thin(missing))
            } else if counted.iter().all(|count| *count <= FEW) {
                self.flip(feature, side)
            } else {
                None
            };
            let other = self.sides[1 - side].variant.clone();
            waits.extend(why.map(|why| (self.sides[side].variant.clone(), Wait { other, why })));
        }
        waits
    }

    /// Tries one more garment on a side.
    fn flip(&self, feature: &Feature, side: usize) -> Option<Why> {
        let now = &self.comparison.features.iter().find(|compared| compared.feature == feature.id)?.verdict;
        let beside = Others { catalog: self.catalog, features: &self.comparison.features, feature };
        let mut others = BTreeSet::new();
        for item in self.trials(feature, side) {
            let items = self.sides[side].items(&feature.id).iter().cloned().chain([item]).collect();
            let more = self.sides[side].of_one(&feature.id, items);
            let sides = match side {
                0 => PairEvidence { a: &more, b: &self.sides[1] },
                _ => PairEvidence { a: &self.sides[0], b: &more },
            };
            let Some(counted) = Sides::of(feature, sides.a, sides.b) else { continue };
            let changed = Changed::new(&beside, counted);
            others.insert(changed.verdict(|crude| strata::equal(self.catalog, feature, sides, crude)));
        }
        others.remove(now);
        (!others.is_empty()).then(|| Why::Flip(now.clone(), others))
    }

    /// Garments that one more might be: of each likely showing, as the first counted, and as the first counted of a
    /// decade that the other variant has too.
    fn trials(&self, feature: &Feature, side: usize) -> Vec<Item> {
        let (own, other) = (&self.sides[side], &self.sides[1 - side]);
        let items = own.items(&feature.id);
        let decades: BTreeSet<i32> =
            other.items(&feature.id).iter().filter_map(|item| other.decade(self.catalog, &feature.id, item)).collect();
        let is_shared =
            |item: &&Item| own.decade(self.catalog, &feature.id, item).is_some_and(|decade| decades.contains(&decade));
        let like: BTreeSet<&Numbers> =
            items.first().into_iter().chain(items.iter().find(is_shared)).map(|item| &item.bearers).collect();
        let showings = showings(items, other.items(&feature.id));
        let item =
            |seen: &Seen, bearers: &Numbers| Item { seen: seen.clone(), bearers: bearers.clone(), contested: false };
        showings.iter().flat_map(|seen| like.iter().map(move |bearers| item(seen, bearers))).collect()
    }
}

/// The possible readings of one more garment: the commonest states of either variant, or the middle
/// measure of each.
fn showings(own: &[Item], other: &[Item]) -> Vec<Seen> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for state in own.iter().chain(other).filter_map(|item| item.seen.state()) {
        *counts.entry(state).or_default() += 1;
    }
    let mut states: Vec<(&str, usize)> = counts.into_iter().collect();
    states.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let states = states.into_iter().take(STATES).map(|(state, _)| Seen::State(state.into()));
    states.chain([own, other].into_iter().filter_map(middle)).collect()
}

fn middle(items: &[Item]) -> Option<Seen> {
    let mut measures: Vec<f64> = items.iter().filter_map(|item| item.seen.measure()).collect();
    measures.sort_by(f64::total_cmp);
    measures.get(measures.len() / 2).copied().map(Seen::Measure)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::{Gap, Question, Why, of};
    use crate::comparison::{self, Verdict};
    use crate::compile::example;
    use crate::evidence;
    use crate::knowledge::Side;
    use crate::record::id::{Thing, VariantId, Whole};

    /// Asks about two variants; each garment is a year, `0` for undated, and its features.
    fn asked(a: &[(u32, &str)], b: &[(u32, &str)]) -> Vec<Question> {
        let mut text = String::new();
        for (variant, garments) in [("m/x/a", a), ("m/x/b", b)] {
            let head = "+++\nname = \"One\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
            text += &format!("--- entries/makers/{variant}/variant.md\n{head}");
            for (number, (year, features)) in garments.iter().enumerate() {
                let made = if *year == 0 { String::new() } else { format!("made = \"{year}\"\nmade-by = \"mark\"\n") };
                text += &format!("--- entries/makers/{variant}/g{number:02}.md\n+++\nbasis = \"specimen\"\n");
                text += &format!("placed-by = \"mark\"\n{made}[features]\n{features}\n+++\n");
            }
        }
        let knowledge = example::compile(&text).knowledge;
        let variants = ["m/x/a", "m/x/b"].map(VariantId::new);
        let evidence: BTreeMap<_, _> = variants.iter().map(|id| (id.clone(), evidence::of(&knowledge, id))).collect();
        let comparison = comparison::of(&knowledge.catalog, &evidence[&variants[0]], &evidence[&variants[1]]);
        let era = |id: &VariantId| knowledge.eras.get(&Thing::of(Whole::Variant(id.clone()))).cloned();
        of(&knowledge.catalog, &evidence, &[&comparison], era)
    }

    const RAW: (u32, &str) = (1974, "hem = \"raw\"");
    const CHAIN: (u32, &str) = (1975, "hem = \"chain-stitch\"");

    #[test]
    fn a_feature_never_examined_on_one_variant_waits_for_three() {
        let questions = asked(&[RAW; 4], &[(1975, "zip = \"brass\"")]);
        let look = &questions[1].looks[0];
        assert_eq!((look.feature.as_str(), look.counted, &look.waits[0].why), ("hem", 0, &Why::Thin(3)));
        // The first variant's hem has enough readings; its zip has none.
        assert_eq!(questions[0].looks.len(), 1);
        assert_eq!(
            (questions[0].looks[0].feature.as_str(), &questions[0].looks[0].waits[0].why),
            ("zip", &Why::Thin(5))
        );
    }

    #[test]
    fn the_nearer_to_enough_the_more_a_garment_settles() {
        let two = asked(&[RAW; 4], &[CHAIN; 2])[1].looks[0].settles();
        let one = asked(&[RAW; 4], &[CHAIN; 1])[1].looks[0].settles();
        assert!(two == 1.0 && one == 0.5, "{two} {one}");
    }

    #[test]
    fn a_verdict_on_the_edge_can_flip_and_a_plain_one_cannot() {
        // Wholly apart, 3 against 3 gives p = 2/20 and 4 against 3 gives 1/35: counted by hand over all tables.
        let edge = asked(&[RAW; 3], &[CHAIN; 3]);
        let Some(Why::Flip(now, others)) = edge[0].looks.first().map(|look| &look.waits[0].why) else {
            unreachable!("one more of the first makes it 4 against 3: {edge:?}")
        };
        assert!(*now == Verdict::Unclear && others.contains(&Verdict::Tell), "{now:?} {others:?}");
        let plain = asked(&[RAW; 15], &[CHAIN; 15]);
        assert!(plain.iter().all(|question| question.looks.is_empty()), "{plain:?}");
    }

    #[test]
    fn sides_of_an_era_that_rest_on_one_garment_or_nothing_are_asked_for() {
        let questions = asked(&[RAW], &[(0, "hem = \"raw\"")]);
        let gaps = [(Side::BeginEarliest, Gap::Open), (Side::BeginLatest, Gap::OneVoice)];
        assert_eq!(questions[0].gaps[..2], gaps);
        assert!(questions[1].gaps.iter().all(|(_, gap)| *gap == Gap::Open) && questions[1].gaps.len() == 4);
        assert!(questions[1].settles() > questions[0].settles());
    }

    #[test]
    fn nothing_recorded_asks_for_dates_only() {
        let questions = asked(&[], &[]);
        assert!(questions.len() == 2 && questions.iter().all(|question| question.looks.is_empty()));
        assert!(questions[0].settles().is_finite());
    }
}

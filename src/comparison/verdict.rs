//! Turns the numbers of a feature into its verdict: one ladder for every caller.
//!
//! A number is computed only if the verdict depends on it. Limits are compared as `statistics::limit` has it.

use std::cell::OnceCell;

use crate::comparison::crude::{Crude, Sides};
use crate::comparison::strata::Held;
use crate::comparison::{Compared, ENOUGH, SAME_BELOW, SIGNIFICANT, TELL_ABOVE, Verdict};
use crate::resolve::Catalog;
use crate::statistics::limit;
use crate::statistics::multiple::{self, Test};
use crate::vocabulary::{self, Feature, Kind};

/// The numbers of a feature that a verdict needs.
pub trait Numbers {
    /// How many count of the first variant and of the second.
    fn totals(&self) -> (u64, u64);
    /// The p value before any adjustment.
    fn p(&self) -> f64;
    /// The upper limit of the difference.
    fn high(&self) -> f64;
    /// The crude difference in full.
    fn crude(&self) -> &Crude;
    /// The p value adjusted for the features of the pair that could reach significance.
    fn p_holm(&self) -> Option<f64>;
}

/// Gives the first verdict that fits, in the order of the contract; `hold` holds the difference equal in what could
/// explain it.
pub fn of<'h>(
    feature: &Feature,
    numbers: &impl Numbers,
    others: &Others<'_>,
    hold: impl FnOnce(&Crude) -> Vec<Held<'h>>,
) -> Verdict {
    if feature.defining {
        return Verdict::ByDefinition;
    }
    let (n_a, n_b) = numbers.totals();
    if n_a < ENOUGH || n_b < ENOUGH {
        return Verdict::TooFew;
    }
    if !is_significant(numbers.p()) {
        return if limit::is_below(numbers.high(), SAME_BELOW) { Verdict::Same } else { Verdict::Unclear };
    }
    let held = hold(numbers.crude());
    if let Some(verdict) = accounted(feature, numbers.crude(), &held) {
        return verdict;
    }
    if is_tell(numbers, &held) && others.agree(&held) { Verdict::Tell } else { Verdict::Leaning }
}

/// Says whether a p value is significant.
pub fn is_significant(p: f64) -> bool {
    limit::is_below(p, SIGNIFICANT)
}

/// Says whether at least half of a difference is left.
pub fn is_half_left(left: f64, difference: f64) -> bool {
    !limit::is_below(left, difference / 2.0)
}

/// The verdict if something else accounts for the difference, or may.
fn accounted(feature: &Feature, crude: &Crude, held: &[Held<'_>]) -> Option<Verdict> {
    if let Some(covariate) = held.iter().find(|covariate| explains(covariate, crude.difference)) {
        return Some(Verdict::Explained(covariate.name.to_string()));
    }
    if let Some(covariate) = held.iter().find(|covariate| covariate.must_match && !covariate.is_matched) {
        return Some(Verdict::CannotSeparate(covariate.name.to_string()));
    }
    is_within_tolerance(feature, crude.shift).then_some(Verdict::Same)
}

/// Says whether less than half of a difference remains at equal values, and the rest may be chance.
pub fn explains(covariate: &Held<'_>, difference: f64) -> bool {
    let is_chance = |left: f64| !limit::is_above(left, 0.0) || !covariate.p().is_some_and(is_significant);
    covariate.is_matched && covariate.difference.is_some_and(|left| !is_half_left(left, difference) && is_chance(left))
}

/// Says whether a measure differs by no more than the tape alone can.
pub fn is_within_tolerance(feature: &Feature, shift: Option<f64>) -> bool {
    match (&feature.kind, shift) {
        (Kind::Measure(measure), Some(shift)) => vocabulary::is_within(shift.abs(), measure.tolerance),
        _ => false,
    }
}

/// Says whether a difference is large and sure enough, and all matched covariates together take at most half of it.
/// Then none of them takes more than half by itself.
fn is_tell(numbers: &impl Numbers, held: &[Held<'_>]) -> bool {
    let crude = numbers.crude();
    let matched = held.iter().filter(|covariate| covariate.is_matched);
    let loss = |covariate: &Held<'_>| (crude.difference - covariate.difference.unwrap_or_default()).max(0.0);
    let losses: f64 = matched.map(loss).sum();
    numbers.p_holm().is_some_and(is_significant)
        && limit::is_above(crude.low, TELL_ABOVE)
        && !limit::is_above(losses, crude.difference / 2.0)
}

/// The other features of a pair, as they were compared.
pub struct Others<'c> {
    /// The knowledge base's records.
    pub catalog: &'c Catalog,
    /// Every feature of the pair; the one in question is ignored.
    pub features: &'c [Compared],
    /// The feature in question.
    pub feature: &'c Feature,
}

impl<'c> Others<'c> {
    /// The p value of the feature in question, adjusted for the others; nothing outside the family.
    pub fn adjusted(&self, own: Test) -> Option<f64> {
        let others = self.tested().map(|compared| compared.crude.test());
        let tests: Vec<Test> = std::iter::once(own).chain(others).collect();
        multiple::adjust(&tests).first().copied().flatten()
    }

    /// Says whether a covariate must leave significance after adjustment: it is matched and explains two others.
    ///
    /// If two features of a pair follow a covariate, others may follow it too weakly to show it by themselves.
    pub fn asks(&self, covariate: &Held<'_>) -> bool {
        let explained = self
            .features
            .iter()
            .filter(|compared| matches!(&compared.verdict, Verdict::Explained(name) if *name == covariate.name));
        covariate.is_matched && explained.filter(|compared| compared.feature != self.feature.id).count() >= 2
    }

    /// The p value at equal values of a covariate, adjusted over the features that could reach significance there.
    pub fn adjusted_at(&self, covariate: &Held<'_>) -> Option<f64> {
        let matched = self.tested().flat_map(|compared| &compared.covariates);
        let matched = matched.filter(|other| other.is_matched && *other.name == covariate.name);
        let others = matched.filter_map(|other| Some(Test { p: other.p?, smallest: other.smallest_p? }));
        let tests: Vec<Test> = std::iter::once(covariate.test()?).chain(others).collect();
        multiple::adjust(&tests).first().copied().flatten()
    }

    fn agree(&self, held: &[Held<'_>]) -> bool {
        let mut asked = held.iter().filter(|covariate| self.asks(covariate));
        asked.all(|covariate| self.adjusted_at(covariate).is_some_and(is_significant))
    }

    /// The others that are not defining and have enough garments.
    fn tested(&self) -> impl Iterator<Item = &'c Compared> {
        let others = self.features.iter().filter(|compared| compared.feature != self.feature.id);
        others.filter(|compared| {
            let other = self.catalog.vocabulary.feature(compared.feature.as_str());
            compared.crude.is_enough() && other.is_some_and(|other| !other.defining)
        })
    }
}

/// A feature as it was compared.
pub struct CrudeResult<'c> {
    /// The crude difference.
    pub crude: &'c Crude,
    /// The adjusted p value.
    pub p_holm: Option<f64>,
}

impl Numbers for CrudeResult<'_> {
    fn totals(&self) -> (u64, u64) {
        (self.crude.n_a, self.crude.n_b)
    }

    fn p(&self) -> f64 {
        self.crude.p
    }

    fn high(&self) -> f64 {
        self.crude.high
    }

    fn crude(&self) -> &Crude {
        self.crude
    }

    fn p_holm(&self) -> Option<f64> {
        self.p_holm
    }
}

/// A feature with one garment more or less than was compared; the other features keep their numbers. Each number is
/// computed when first asked for.
pub struct Changed<'s> {
    others: &'s Others<'s>,
    sides: Sides<'s>,
    test: OnceCell<crate::comparison::crude::Test>,
    crude: OnceCell<Crude>,
}

impl<'s> Changed<'s> {
    /// Takes what both variants show now.
    pub fn new(others: &'s Others<'s>, sides: Sides<'s>) -> Changed<'s> {
        Changed { others, sides, test: OnceCell::new(), crude: OnceCell::new() }
    }

    /// Gives the verdict.
    pub fn verdict<'h>(&self, hold: impl FnOnce(&Crude) -> Vec<Held<'h>>) -> Verdict {
        of(self.others.feature, self, self.others, hold)
    }

    fn test(&self) -> crate::comparison::crude::Test {
        *self.test.get_or_init(|| self.sides.test())
    }
}

impl Numbers for Changed<'_> {
    fn totals(&self) -> (u64, u64) {
        self.sides.totals()
    }

    fn p(&self) -> f64 {
        self.test().p
    }

    fn high(&self) -> f64 {
        self.sides.high()
    }

    fn crude(&self) -> &Crude {
        self.crude.get_or_init(|| self.sides.crude(self.test()))
    }

    fn p_holm(&self) -> Option<f64> {
        self.others.adjusted(self.crude().test())
    }
}

//! The probability of a column that a specimen shows, with the specimen left out.
//!
//! Leaving out one garment changes the counts of its own variant; of the others it changes only the centre that shares
//! are drawn to. So the factors of the other variants are computed once for all garments of a variant that show the
//! same.

use std::collections::BTreeMap;

use crate::dating::likelihood::gather::{Counted, ExaminedKind};
use crate::dating::likelihood::held_out::{HeldOut, Likelihoods, Specimen, multiply};
use crate::dating::likelihood::share::{self, Near};

/// The factors that specimens of one variant share, for some centres; kept until one of another variant is judged.
pub struct Kept<const N: usize> {
    toward_pooled: [f64; N],
    member: usize,
    columns: BTreeMap<Column, [Factors; N]>,
}

/// A column of a feature.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column {
    /// The feature's number.
    pub(super) feature: usize,
    /// The column's.
    pub(super) number: usize,
}

/// A column as a specimen shows it.
pub(super) struct ShownColumn {
    /// The column.
    pub(super) column: Column,
    /// The place of the count that the specimen is part of.
    pub(super) count: usize,
}

/// The factors of one column, drawn to one centre.
struct Factors {
    centre: Vec<f64>,
    /// Of each variant in turn, for every run of years; those of the specimen's own may not be filled in.
    runs: Vec<f64>,
}

/// A column for a variant, by its number.
struct MemberColumn {
    member: usize,
    column: Column,
}

impl<const N: usize> Kept<N> {
    /// Keeps nothing yet; shares will be drawn so far to the pooled ones.
    pub fn new(toward_pooled: [f64; N]) -> Kept<N> {
        Kept { toward_pooled, member: 0, columns: BTreeMap::new() }
    }
}

impl HeldOut<'_, '_> {
    /// Multiplies likelihoods by the probability of a column, which the specimen shows as part of a count.
    pub(super) fn multiply_column<const N: usize>(
        &self,
        kept: &mut Kept<N>,
        all: &mut [Likelihoods; N],
        specimen: &Specimen,
        shown: ShownColumn,
    ) {
        let ShownColumn { column, count } = shown;
        let (own, toward_pooled) = (specimen.member, kept.toward_pooled);
        if specimen.left_out.len() > 1 {
            let factors = self.factors(specimen, column, toward_pooled, |_| true);
            all.iter_mut().zip(&factors).for_each(|(all, factors)| multiply(all, &factors.runs));
            return;
        }
        if kept.member != own {
            (kept.member, kept.columns) = (own, BTreeMap::new());
        }
        let made = || self.factors(specimen, column, toward_pooled, |member| member != own);
        let factors = kept.columns.entry(column).or_insert_with(made);
        let removed = [&self.gathered.members[own].items[column.feature][count]];
        for (all, factors) in all.iter_mut().zip(factors) {
            let runs = self.of_mut(&mut factors.runs, own);
            self.fill(MemberColumn { member: own, column }, &removed, &factors.centre, runs);
            multiply(all, &factors.runs);
        }
    }

    /// The factors of a column without a specimen, for some of the variants.
    fn factors<const N: usize>(
        &self,
        specimen: &Specimen,
        column: Column,
        toward_pooled: [f64; N],
        is_wanted: impl Fn(usize) -> bool,
    ) -> [Factors; N] {
        let feature = column.feature;
        let general = match &self.gathered.features[feature].kind {
            ExaminedKind::Columns(general) => *general,
            ExaminedKind::Measure(..) => &[],
        };
        let pooled = share::pooled(self.gathered, feature, general, &specimen.left_out);
        let mut all = toward_pooled.map(|toward_pooled| Factors {
            centre: share::centre(&pooled, toward_pooled),
            runs: vec![1.0; self.gathered.members.len() * self.runs()],
        });
        for member in (0..self.gathered.members.len()).filter(|member| is_wanted(*member)) {
            let removed = self.removed(member, feature, specimen);
            for factors in &mut all {
                let runs = self.of_mut(&mut factors.runs, member);
                self.fill(MemberColumn { member, column }, &removed, &factors.centre, runs);
            }
        }
        all
    }

    /// Writes the probability of a column for a variant in each run of years, without the counts that are taken away.
    fn fill(&self, of: MemberColumn, removed: &[&Counted], centre: &[f64], runs: &mut [f64]) {
        let MemberColumn { member, column: Column { feature, number: column } } = of;
        let examined = self.gathered.features[feature].feature;
        if let Some(claimed) = self.gathered.members[member].claimed.feature(&examined.id) {
            for (run, probability) in runs.iter_mut().enumerate() {
                let (total, columns) = self.near(member, feature, run, removed);
                let near = Near { total, columns: &columns };
                let of = |column| share::probability(examined, &near, column, centre);
                let mut shares: Vec<f64> = (0..centre.len()).map(of).collect();
                share::weigh(&mut shares, claimed.iter(), self.starts[run]);
                *probability = shares[column];
            }
            return;
        }
        let sums = &self.sums[member][feature];
        let smoothing = share::Smoothing::new(examined, centre);
        let counts = sums.totals.iter().zip(&sums.columns[column]).zip(&self.starts);
        for (probability, ((total, of_column), start)) in runs.iter_mut().zip(counts) {
            let (mut total, mut of_column) = (*total, *of_column);
            for counted in removed {
                total -= counted.near[*start];
                if share::column(counted) == Some(column) {
                    of_column -= counted.near[*start];
                }
            }
            *probability = smoothing.probability(centre[column], of_column, total);
        }
    }
}

#[cfg(test)]
mod tests {
    //! Holds the shared factors to the plain method: everything counted again without each specimen.

    #![allow(clippy::unwrap_used)]

    use std::fmt::Write;

    use crate::compile::example;
    use crate::dating::likelihood::gather::ExaminedKind;
    use crate::dating::likelihood::held_out::column::Kept;
    use crate::dating::likelihood::held_out::{HeldOut, Shown, Specimen};
    use crate::dating::likelihood::pool::Pool;
    use crate::dating::likelihood::shared::Shared;
    use crate::dating::likelihood::{measure, share};
    use crate::evidence::{self, CountedEvidence};
    use crate::knowledge::Knowledge;
    use crate::record::id::ModelId;

    const VOCABULARY: &str = r#"--- schema/vocabulary.toml
[hem]
name = "Hem"
kind = "state"
states = ["folded", "chain", "raw"]
look = "Look at the hem."
[loops]
name = "Loops"
kind = "count"
look = "Count them."
[opening]
name = "Opening"
kind = "measure"
unit = "in"
tolerance = 0.25
range = [4, 16]
varies-with = ["hem"]
look = "Measure it."
"#;

    /// Three variants with dated and undated garments, finds within and across variants, and a claim about a state.
    fn world() -> Knowledge {
        let mut text = VOCABULARY.to_string();
        for (number, variant) in ["a", "b", "c"].into_iter().enumerate() {
            let from = 1970 + 4 * number;
            write!(text, "--- entries/makers/m/x/{variant}/variant.md\n+++\nname = \"V\"\nline = \"best\"\n").unwrap();
            writeln!(text, "wearer = \"men\"\n[[claims]]\nevent = \"produced\"\nwhen = \"{from}/{}\"", from + 6)
                .unwrap();
            if variant == "a" {
                text += "[[claims]]\nabout = \"feature:hem=chain\"\nevent = \"introduced\"\nwhen = \"1972\"\n";
            }
            text += "+++\n";
            for garment in 0..9 {
                write!(text, "--- entries/makers/m/x/{variant}/g{garment}.md\n+++\nbasis = \"specimen\"\n").unwrap();
                text += "placed-by = \"mark\"\n";
                if garment % 3 != 0 {
                    writeln!(text, "made = \"{}\"\nmade-by = \"mark\"", from + garment % 6).unwrap();
                }
                if garment == 4 || garment == 5 && variant == "b" {
                    text += "find = \"chest\"\n";
                }
                let hem = ["folded", "chain", "raw"][(garment * 5 + number) % 7 % 3];
                writeln!(text, "[features]\nhem = \"{hem}\"\nloops = {}", 5 + (garment + number) % 3).unwrap();
                writeln!(text, "opening = {}\n+++", 8.0 + number as f64 / 4.0 + (garment * garment % 5) as f64 / 8.0)
                    .unwrap();
            }
        }
        example::compile(&text).knowledge
    }

    fn plain(held_out: &HeldOut<'_, '_>, specimen: &Specimen, toward_pooled: f64) -> Vec<f64> {
        let (gathered, left_out) = (held_out.gathered, &specimen.left_out);
        let mut likelihoods = vec![1.0; gathered.members.len() * held_out.runs()];
        for (feature, shown) in &specimen.readings {
            let examined = &gathered.features[*feature];
            for (member, variant) in gathered.members.iter().enumerate() {
                for (run, start) in held_out.starts.iter().enumerate() {
                    let product = &mut likelihoods[member * held_out.runs() + run];
                    match (shown, &examined.kind) {
                        (Shown::Column { column, .. }, ExaminedKind::Columns(general)) => {
                            let pooled = share::pooled(gathered, *feature, general, left_out);
                            let centre = share::centre(&pooled, toward_pooled);
                            let mut columns = vec![0.0; centre.len()];
                            for counted in share::counts(gathered, member, *feature, left_out) {
                                columns[share::column(counted).unwrap()] += counted.near[*start];
                            }
                            let near = share::Near { total: columns.iter().sum(), columns: &columns };
                            let of = |column| share::probability(examined.feature, &near, column, &centre);
                            let mut shares: Vec<f64> = (0..centre.len()).map(of).collect();
                            if let Some(factors) = variant.claimed.feature(&examined.feature.id) {
                                share::weigh(&mut shares, factors.iter(), *start);
                            }
                            *product *= shares[*column];
                        }
                        (Shown::Measure { reading, alike: Some(alike) }, _) => {
                            let stratum = held_out.alike[*alike].stratum;
                            let table = measure::table(
                                gathered,
                                measure::Measured { feature: *feature, stratum },
                                &[*start],
                                left_out,
                            );
                            if let Some(table) = table {
                                *product *= table.densities(&variant.id, *reading).at(0);
                            }
                        }
                        _ => {}
                    }
                }
            }
        }
        likelihoods
    }

    #[test]
    fn likelihoods_with_what_is_kept_are_those_of_counting_again() {
        let knowledge = world();
        assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
        let counted = CountedEvidence { knowledge: &knowledge, of: &|variant| evidence::of(&knowledge, variant) };
        let pool = Pool::of(counted);
        let shared = Shared::new(counted, &pool);
        let gathered = shared.gather(&ModelId::new("m/x"));
        let held_out = HeldOut::new(&knowledge.catalog, &gathered);
        assert_eq!((held_out.specimens.len(), held_out.alike.len()), (27, 3));
        assert_eq!(held_out.specimens.iter().filter(|specimen| specimen.left_out.len() == 4).count(), 4);
        assert!(held_out.runs() > 10, "dates make runs");
        let centres = [0.0, 0.5, 1.0];
        let mut kept = Kept::new(centres);
        for specimen in &held_out.specimens {
            assert_eq!(specimen.readings.len(), 3);
            for (likelihoods, centre) in held_out.drawn(&mut kept, specimen).iter().zip(centres) {
                for (likelihood, plain) in likelihoods.iter().zip(plain(&held_out, specimen, centre)) {
                    assert!((likelihood / plain - 1.0).abs() < 1e-12, "{likelihood} {plain}");
                }
            }
        }
    }
}

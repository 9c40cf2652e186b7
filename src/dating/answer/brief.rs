//! Bounds, likeliest variant and years of several garments at once, bit for bit as in the full answer.
//!
//! The garments pass each variant together, so that its tables are read once. Operations keep the order that `posterior`
//! has: a sum in another order would have other bits. Reasons and advice are left to the whole answer.

mod layout;
mod question;

use crate::dating::answer::brief::layout::{Layout, MemberLayout};
use crate::dating::answer::brief::question::{Factors, Question};
use crate::dating::answer::garment::Garment;
use crate::dating::answer::posterior::{self, EQUAL, Powers};
use crate::dating::answer::prepared::{Member, Prepared};
use crate::dating::answer::{Hard, Spread};
use crate::dating::likelihood::years::{self, Years};
use crate::record::id::VariantId;

/// How many garments pass each variant together.
pub const TOGETHER: usize = 8;

/// The short answer for a garment.
#[derive(Clone, Debug)]
pub struct Brief {
    /// The hard bounds, which no likelihood can move.
    pub hard: Hard,
    /// Whether the landmarks it bears exclude each other.
    pub is_contradiction: bool,
    /// The most probable variant in question, unless the landmarks exclude each other.
    pub likeliest: Option<(VariantId, f64)>,
    /// The years, unless the answer is about variants only.
    pub years: Option<Spread>,
}

/// Answers for many garments from one set of tables.
pub struct Briefs<'p, 'a> {
    prepared: &'p Prepared<'a>,
    layout: Layout<'p>,
}

impl<'p, 'a> Briefs<'p, 'a> {
    /// Lays out the tables.
    pub fn new(prepared: &'p Prepared<'a>) -> Briefs<'p, 'a> {
        Briefs { prepared, layout: Layout::new(prepared) }
    }

    /// Answers for garments in their order, some at a time.
    pub fn of(&self, garments: &[&Garment]) -> Vec<Brief> {
        garments.chunks(TOGETHER).flat_map(|together| self.together(together)).collect()
    }

    fn together(&self, garments: &[&Garment]) -> Vec<Brief> {
        let mut cases: Vec<Case<'_>> = garments
            .iter()
            .map(|garment| Case::new(Question::of(self.prepared, &self.layout, garment), self.prepared.members.len()))
            .collect();
        for (at, member) in self.prepared.members.iter().enumerate() {
            for case in cases.iter_mut().filter(|case| case.question.is_in[at]) {
                case.weigh(member, &self.layout.members[at]);
            }
        }
        cases.iter_mut().for_each(|case| case.total(self.prepared));
        for (at, member) in self.prepared.members.iter().enumerate() {
            for case in cases.iter_mut().filter(|case| case.question.is_in[at] && case.question.is_dated) {
                case.spread(member, &self.layout.members[at]);
            }
        }
        cases.into_iter().map(|case| case.brief(self.prepared)).collect()
    }
}

/// A garment and the variants weighed so far, each by its place among the variants in question.
struct Case<'q> {
    question: Question<'q>,
    powers: Powers,
    /// For each variant: its greatest sum of cells, the sum of its years relative to it, and its factor.
    greatest: Vec<i32>,
    sums: Vec<f64>,
    factors: Vec<f64>,
    /// The factors of each variant's years, one variant after another: cells, then measures.
    cells: Vec<f64>,
    densities: Vec<f64>,
    /// How far `spread` has read them, and the variants.
    read: Read,
    total: f64,
    years: Years,
}

/// How many variants, cells and densities have been read.
#[derive(Clone, Copy, Default)]
struct Read {
    variants: usize,
    cells: usize,
    densities: usize,
}

impl<'q> Case<'q> {
    fn new(question: Question<'q>, members: usize) -> Case<'q> {
        let powers = Powers::new(question.temper);
        Case {
            question,
            powers,
            greatest: Vec::with_capacity(members),
            sums: Vec::with_capacity(members),
            factors: Vec::new(),
            cells: Vec::new(),
            densities: Vec::new(),
            read: Read::default(),
            total: 0.0,
            years: [0.0; years::COUNT],
        }
    }

    /// Weighs a variant before the total over all variants is known.
    fn weigh(&mut self, member: &Member<'_>, layout: &MemberLayout) {
        let mut sums = [0; years::COUNT];
        let sums = layout.sums(&self.question.columns, &mut sums);
        let (least, greatest) =
            sums.iter().fold((i32::MAX, i32::MIN), |(least, greatest), sum| (least.min(*sum), greatest.max(*sum)));
        let below = self.powers.down_to(greatest.abs_diff(least) as usize);
        let cells = self.cells.len();
        self.cells.extend(sums.iter().map(|sum| below[greatest.abs_diff(*sum) as usize]));
        let densities = self.densities.len();
        self.question.densities(member, layout, &mut self.densities);
        let factors = Factors { cells: &self.cells[cells..], densities: &self.densities[densities..] };
        self.sums.push(posterior::sum(&self.question.joint(member, layout, factors)));
        self.greatest.push(greatest);
    }

    /// Computes the factor of each variant and the total.
    fn total(&mut self, prepared: &Prepared<'_>) {
        // Everything is relative to the greatest product, so that nothing underflows when all are small.
        let overall = self.greatest.iter().copied().max().unwrap_or(0);
        let members = prepared.members.iter().zip(&self.question.is_in).filter(|(_, is_in)| **is_in);
        for ((member, _), own) in members.zip(&self.greatest) {
            let below = overall.abs_diff(*own) as usize;
            let scale = self.powers.down_to(below)[below];
            let sizes = &self.question.sizes;
            self.factors.push(scale / (self.question.models * sizes[member.model_number] * member.total));
        }
        self.sums.iter_mut().zip(&self.factors).for_each(|(sum, factor)| *sum *= factor);
        self.total = self.sums.iter().sum();
    }

    /// Adds the years of a variant to the years of all.
    fn spread(&mut self, member: &Member<'_>, layout: &MemberLayout) {
        let Read { variants, cells, densities } = self.read;
        let (next, last) = (cells + layout.window.len(), densities + self.question.densities_len(member, layout));
        self.read = Read { variants: variants + 1, cells: next, densities: last };
        let factor = self.factors[variants];
        let share = if self.total > 0.0 { factor / self.total } else { 1.0 };
        let factors = Factors { cells: &self.cells[cells..next], densities: &self.densities[densities..last] };
        let joint = self.question.joint(member, layout, factors);
        self.years.iter_mut().zip(&joint).for_each(|(year, joint)| *year += joint * share);
    }

    fn brief(self, prepared: &Prepared<'_>) -> Brief {
        let is_contradiction = self.question.bounded.is_contradiction();
        let members = prepared.members.iter().zip(&self.question.is_in).filter(|(_, is_in)| **is_in);
        let shares = self.sums.iter().map(|sum| if self.total > 0.0 { sum / self.total } else { *sum });
        let mut likeliest: Option<(i64, &VariantId, f64)> = None;
        for ((member, _), share) in members.zip(shares) {
            let rank = (share / EQUAL).round() as i64;
            if likeliest.is_none_or(|(best, ..)| rank > best) {
                likeliest = Some((rank, member.id, share));
            }
        }
        let has_years = self.question.is_dated && !is_contradiction;
        Brief {
            hard: self.question.bounded.hard,
            is_contradiction,
            likeliest: likeliest.filter(|_| !is_contradiction).map(|(_, variant, share)| (variant.clone(), share)),
            years: has_years.then(|| Spread { probability: Box::new(self.years) }),
        }
    }
}

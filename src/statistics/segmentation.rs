//! Splits a sequence of states into segments of like make-up: how probable each number of changes is, and where they lie.
//!
//! The model is a product partition (Barry and Hartigan 1992, Annals of Statistics 20:260–279), the sums over all
//! segmentations are taken exactly by recursion (Fearnhead 2006, Statistics and Computing 16:203–213). It knows neither
//! dates nor what the states are of.

use crate::statistics::wide::Wide;

/// The probability that nothing changes.
const UNCHANGED: f64 = 0.7;

/// The most changes that are looked for.
const MOST_CHANGES: usize = 3;

/// Probabilities that differ by less than this share are alike.
const ALIKE: f64 = 1e-9;

/// One thing seen: its state, and the group within which its state is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Item {
    /// The state, counted from 0.
    pub state: usize,
    /// The group, counted from 0.
    pub group: usize,
}

/// Blocks in order, each of one item or more; changes lie between blocks.
#[derive(Clone, Debug)]
pub struct Sequence {
    blocks: Vec<Vec<Item>>,
    states: usize,
    groups: usize,
}

/// The answers of the model for one sequence.
#[derive(Clone, Debug)]
pub struct Partition<'s> {
    sequence: &'s Sequence,
    /// For each place, the sum over all ways to split the blocks from there on by 0, 1 and 2 changes.
    sums: [Vec<Wide>; MOST_CHANGES],
    /// The same, of the most probable way alone.
    greatest: [Vec<Wide>; MOST_CHANGES],
    /// The probability of each number of changes, from none.
    numbers: Vec<f64>,
}

impl Sequence {
    /// Takes the blocks; `None` if there are none or one is empty.
    pub fn new(blocks: Vec<Vec<Item>>) -> Option<Sequence> {
        if blocks.is_empty() || blocks.iter().any(Vec::is_empty) {
            return None;
        }
        let items = || blocks.iter().flatten();
        let states = items().map(|item| item.state).max()? + 1;
        let groups = items().map(|item| item.group).max()? + 1;
        Some(Sequence { blocks, states, groups })
    }

    /// The same with all items in one group.
    pub fn ungrouped(&self) -> Sequence {
        let alone = |item: &Item| Item { group: 0, ..*item };
        let blocks = self.blocks.iter().map(|block| block.iter().map(alone).collect()).collect();
        Sequence { blocks, states: self.states, groups: 1 }
    }

    /// Lists the blocks.
    pub fn blocks(&self) -> &[Vec<Item>] {
        &self.blocks
    }

    /// The most changes there can be.
    fn most_changes(&self) -> usize {
        MOST_CHANGES.min(self.blocks.len() - 1)
    }

    /// Gives the probabilities of the segments that begin at a block: with that block alone, the next, and so on.
    fn from(&self, first: usize) -> impl Iterator<Item = Wide> + '_ {
        let mut segment = Segment::new(self);
        self.blocks[first..].iter().map(move |block| segment.with(block))
    }

    /// Gives the probabilities of the segments that end with a block: that block alone, with the one before, and so on.
    fn up_to(&self, last: usize) -> impl Iterator<Item = Wide> + '_ {
        let mut segment = Segment::new(self);
        self.blocks[..=last].iter().rev().map(move |block| segment.with(block))
    }
}

/// A segment that grows by blocks: in each group the states are categorical with Dirichlet's prior, ½ for each state.
struct Segment<'s> {
    sequence: &'s Sequence,
    /// For each group, how often each state was seen.
    counts: Vec<u32>,
    /// For each group, how many items were seen.
    totals: Vec<u32>,
    probability: Wide,
}

impl<'s> Segment<'s> {
    fn new(sequence: &'s Sequence) -> Segment<'s> {
        let counts = vec![0; sequence.states * sequence.groups];
        Segment { sequence, counts, totals: vec![0; sequence.groups], probability: Wide::ONE }
    }

    /// Adds a block, and gives the probability of the sequence of all items so far.
    fn with(&mut self, block: &[Item]) -> Wide {
        let states = self.sequence.states;
        for item in block {
            let count = &mut self.counts[item.group * states + item.state];
            let total = &mut self.totals[item.group];
            let next = (f64::from(*count) + 0.5) / (f64::from(*total) + states as f64 / 2.0);
            self.probability = self.probability.scaled(next);
            *count += 1;
            *total += 1;
        }
        self.probability
    }
}

impl<'s> Partition<'s> {
    /// Works out the probabilities of no change to three.
    ///
    /// ```
    /// use bartack::statistics::segmentation::{Item, Partition, Sequence};
    /// let blocks = |state: usize| (0..10).map(move |_| vec![Item { state, group: 0 }]);
    /// let sequence = Sequence::new(blocks(0).chain(blocks(1)).collect()).unwrap();
    /// let partition = Partition::new(&sequence);
    /// assert!(partition.changed() > 0.99);
    /// assert_eq!(partition.gaps(1), [9]);
    /// ```
    pub fn new(sequence: &'s Sequence) -> Partition<'s> {
        let (sums, greatest) = suffixes(sequence);
        let mut weights = vec![sums[0][0].scaled(UNCHANGED)];
        let most = sequence.most_changes();
        let shares: f64 = (1..=most).map(|changes| 0.5f64.powi(changes as i32)).sum();
        for changes in 1..=most {
            let share = (1.0 - UNCHANGED) * 0.5f64.powi(changes as i32) / shares;
            let prior = share / choices(sequence.blocks.len() - 1, changes);
            weights.push(splits(sequence, &sums[changes - 1]).scaled(prior));
        }
        let all = weights.iter().fold(Wide::ZERO, |sum, weight| sum + *weight);
        let numbers = weights.iter().map(|weight| weight.over(all)).collect();
        Partition { sequence, sums, greatest, numbers }
    }

    /// The probability of one change or more.
    pub fn changed(&self) -> f64 {
        self.numbers[1..].iter().sum()
    }

    /// The probability of each number of changes, from none.
    pub fn numbers(&self) -> &[f64] {
        &self.numbers
    }

    /// The most probable number of changes that is not none; of numbers as probable, the least. Nothing with one block.
    pub fn number(&self) -> Option<usize> {
        let better = |best: usize, other: usize| {
            if self.numbers[other] > self.numbers[best] + ALIKE { other } else { best }
        };
        (1..self.numbers.len()).reduce(better)
    }

    /// The most probable gaps of so many changes, of gaps as probable the earliest: gap 0 lies after the first block.
    pub fn gaps(&self, changes: usize) -> Vec<usize> {
        let mut gaps: Vec<usize> = Vec::new();
        for left in (0..changes).rev() {
            let first = gaps.last().map_or(0, |gap| gap + 1);
            let rest = &self.greatest[left];
            let whole = |(last, segment): (usize, Wide)| segment * rest[last + 1];
            let places = || (first..self.sequence.blocks.len() - 1).zip(self.sequence.from(first));
            let best = places().map(whole).fold(Wide::ZERO, |best, other| if other > best { other } else { best });
            let mut alike = places().filter(|place| whole(*place).over(best) > 1.0 - ALIKE);
            gaps.push(alike.next().map_or(first, |(last, _)| last));
        }
        gaps
    }

    /// For each of so many changes, how probably it lies in each gap.
    pub fn places(&self, changes: usize) -> Vec<Vec<f64>> {
        let before = self.prefixes(changes);
        let all = splits(self.sequence, &self.sums[changes - 1]);
        let gaps = self.sequence.blocks.len() - 1;
        (0..changes)
            .map(|change| {
                let after = &self.sums[changes - 1 - change];
                (0..gaps).map(|gap| (before[change][gap] * after[gap + 1]).over(all)).collect()
            })
            .collect()
    }

    /// For each block, the sum over all ways to split the blocks up to it by 0 changes, 1, and so on: so many sums.
    fn prefixes(&self, sums: usize) -> Vec<Vec<Wide>> {
        let mut before: Vec<Vec<Wide>> = vec![self.sequence.from(0).collect()];
        if sums == 1 {
            return before;
        }
        before.resize(sums, vec![Wide::ZERO; self.sequence.blocks.len()]);
        for last in 1..self.sequence.blocks.len() {
            let mut found = [Wide::ZERO; MOST_CHANGES];
            for (first, segment) in (1..=last).rev().zip(self.sequence.up_to(last)) {
                for split in 1..sums {
                    found[split] = found[split] + before[split - 1][first - 1] * segment;
                }
            }
            (1..sums).for_each(|split| before[split][last] = found[split]);
        }
        before
    }
}

/// For each place, and one place past the end, the sum and the greatest over the ways to split the blocks from there on.
fn suffixes(sequence: &Sequence) -> ([Vec<Wide>; MOST_CHANGES], [Vec<Wide>; MOST_CHANGES]) {
    let blocks = sequence.blocks.len();
    let none = vec![Wide::ZERO; blocks + 1];
    let mut sums = [none.clone(), none.clone(), none.clone()];
    let mut greatest = [none.clone(), none.clone(), none];
    let splits = sequence.most_changes().max(1);
    for first in (0..blocks).rev() {
        let mut found = [Wide::ZERO; MOST_CHANGES];
        let mut best = [Wide::ZERO; MOST_CHANGES];
        for (last, segment) in (first..).zip(sequence.from(first)) {
            // The rest after the last change is one segment.
            found[0] = segment;
            for split in 1..splits {
                found[split] = found[split] + segment * sums[split - 1][last + 1];
                let way = segment * greatest[split - 1][last + 1];
                best[split] = if way > best[split] { way } else { best[split] };
            }
        }
        best[0] = found[0];
        (0..splits).for_each(|split| (sums[split][first], greatest[split][first]) = (found[split], best[split]));
    }
    (sums, greatest)
}

/// Sums over the first gap: a segment up to it, and the rest in all ways.
fn splits(sequence: &Sequence, rest: &[Wide]) -> Wide {
    let gaps = sequence.blocks.len() - 1;
    sequence.from(0).take(gaps).enumerate().fold(Wide::ZERO, |sum, (gap, segment)| sum + segment * rest[gap + 1])
}

/// Counts the sets of so many gaps.
fn choices(gaps: usize, changes: usize) -> f64 {
    (0..changes).fold(1.0, |product, step| product * (gaps - step) as f64 / (step + 1) as f64)
}

#[cfg(test)]
mod tests;

//! The recursion against the sum over all segmentations one by one, and against what can be worked by hand.

#![allow(clippy::unwrap_used)]

use super::{Item, Partition, Sequence};

/// Numbers that look random: the multiplier of Knuth's MMIX generator, the same on every run.
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end
    }
}

fn alone(states: &[usize]) -> Sequence {
    Sequence::new(states.iter().map(|state| vec![Item { state: *state, group: 0 }]).collect()).unwrap()
}

/// ln Γ of half a whole number or of a whole one, by its recurrence.
fn ln_gamma(twice: usize) -> f64 {
    match twice {
        1 => std::f64::consts::PI.sqrt().ln(),
        2 => 0.0,
        _ => ((twice - 2) as f64 / 2.0).ln() + ln_gamma(twice - 2),
    }
}

/// The probability of a segment by its closed form: Γ(K/2) / Γ(n + K/2) · Π Γ(c + ½) / Γ(½) in each group.
fn segment(sequence: &Sequence, first: usize, last: usize) -> f64 {
    let mut product = 0.0;
    for group in 0..sequence.groups {
        let shown = || sequence.blocks[first..=last].iter().flatten().filter(move |item| item.group == group);
        product += ln_gamma(sequence.states) - ln_gamma(2 * shown().count() + sequence.states);
        for state in 0..sequence.states {
            product += ln_gamma(2 * shown().filter(|item| item.state == state).count() + 1) - ln_gamma(1);
        }
    }
    product.exp()
}

/// Every set of up to three gaps with its joint probability, none scaled.
fn every_segmentation(sequence: &Sequence) -> Vec<(Vec<usize>, f64)> {
    let gaps = sequence.blocks.len() - 1;
    let sets = (0u32..1 << gaps).filter(|set| set.count_ones() <= 3);
    let prior: [f64; 4] = match gaps {
        0 => [1.0, 0.0, 0.0, 0.0],
        1 => [0.7, 0.3, 0.0, 0.0],
        2 => [0.7, 0.2, 0.1, 0.0],
        _ => [0.7, 0.3 * 4.0 / 7.0, 0.3 * 2.0 / 7.0, 0.3 / 7.0],
    };
    let mut ways = [0usize; 4];
    sets.clone().for_each(|set| ways[set.count_ones() as usize] += 1);
    let weighed = sets.map(|set| {
        let chosen: Vec<usize> = (0..gaps).filter(|gap| set & (1 << gap) != 0).collect();
        let mut first = 0;
        let mut product = prior[chosen.len()] / ways[chosen.len()] as f64;
        for gap in &chosen {
            product *= segment(sequence, first, *gap);
            first = gap + 1;
        }
        (chosen, product * segment(sequence, first, sequence.blocks.len() - 1))
    });
    weighed.collect()
}

fn assert_near(found: f64, expected: f64, what: &str) {
    assert!((found - expected).abs() < 1e-10, "{what}: {found} is not {expected}");
}

fn assert_is_the_sum_over_all(sequence: &Sequence) {
    let (partition, all) = (Partition::new(sequence), every_segmentation(sequence));
    let sum: f64 = all.iter().map(|(_, weight)| weight).sum();
    for changes in 0..partition.numbers().len() {
        let own: Vec<_> = all.iter().filter(|(gaps, _)| gaps.len() == changes).collect();
        let total: f64 = own.iter().map(|(_, weight)| weight).sum();
        assert_near(partition.numbers()[changes], total / sum, "number of changes");
        if changes == 0 {
            continue;
        }
        let greatest = own.iter().map(|(_, weight)| *weight).fold(0.0, f64::max);
        // The earliest of those alike.
        let best = own.iter().filter(|(_, weight)| *weight > greatest * (1.0 - 1e-9)).map(|(gaps, _)| gaps).min();
        assert_eq!(Some(&partition.gaps(changes)), best, "{sequence:?}");
        for (change, places) in partition.places(changes).iter().enumerate() {
            for (gap, place) in places.iter().enumerate() {
                let there = own.iter().filter(|(gaps, _)| gaps[change] == gap).map(|(_, weight)| weight);
                assert_near(*place, there.sum::<f64>() / total, "place of a change");
            }
        }
    }
}

#[test]
fn every_sequence_of_two_states_up_to_eight_is_the_sum_over_all_segmentations() {
    for length in 1..=8usize {
        for pattern in 0..1usize << length {
            let states: Vec<usize> = (0..length).map(|place| pattern >> place & 1).collect();
            assert_is_the_sum_over_all(&alone(&states));
        }
    }
}

#[test]
fn ten_blocks_of_several_states_and_groups_are_the_sum_over_all_segmentations() {
    let mut random = Random(7);
    for _ in 0..200 {
        let blocks = (0..2 + random.below(9)).map(|_| {
            let count = 1 + random.below(3);
            (0..count).map(|_| Item { state: random.below(3), group: random.below(2) }).collect()
        });
        let sequence = Sequence::new(blocks.collect()).unwrap();
        assert_is_the_sum_over_all(&sequence);
        assert_is_the_sum_over_all(&sequence.ungrouped());
    }
}

#[test]
fn one_block_cannot_change() {
    let partition = Sequence::new(vec![vec![Item { state: 0, group: 0 }, Item { state: 1, group: 0 }]]).unwrap();
    let partition = Partition::new(&partition);
    assert_eq!((partition.changed(), partition.number(), partition.numbers()), (0.0, None, &[1.0][..]));
    assert!(Sequence::new(Vec::new()).is_none() && Sequence::new(vec![Vec::new()]).is_none());
}

#[test]
fn probabilities_of_two_items_are_those_worked_by_hand() {
    // One segment of a, b: ½ · ¼ = 1/8; two of one each: ½ · ½. 0.7 / 8 against 0.3 / 4.
    let sequence = alone(&[0, 1]);
    assert!((Partition::new(&sequence).changed() - 0.075 / (0.075 + 0.0875)).abs() < 1e-15);
}

#[test]
fn thousands_of_items_neither_vanish_nor_lose_a_change() {
    let states: Vec<usize> = (0..3000).map(|place| usize::from((1000..2000).contains(&place))).collect();
    let sequence = alone(&states);
    let partition = Partition::new(&sequence);
    assert!(partition.changed() > 1.0 - 1e-12 && partition.number() == Some(2));
    assert_eq!(partition.gaps(2), [999, 1999]);
    let places = partition.places(2);
    assert!(places.iter().all(|change| (change.iter().sum::<f64>() - 1.0).abs() < 1e-9));
}

#[test]
fn groups_that_differ_and_never_change_are_no_change() {
    // The state follows the group, and the group follows the time.
    let blocks = (0..24).map(|place| vec![Item { state: place / 12, group: place / 12 }]);
    let sequence = Sequence::new(blocks.collect()).unwrap();
    assert!(Partition::new(&sequence).changed() < 0.2, "within groups nothing changes");
    assert!(Partition::new(&sequence.ungrouped()).changed() > 0.99);
}

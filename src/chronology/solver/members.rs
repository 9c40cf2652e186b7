//! Sets of the voices of one tangle, as bits.

use std::cmp::Ordering;

use smallvec::SmallVec;

/// A set of numbers below a count that all sets of a tangle share.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Members {
    words: SmallVec<[u64; 4]>,
}

impl Members {
    /// Makes an empty set of numbers below the count.
    pub fn none(count: usize) -> Members {
        Members { words: SmallVec::from_elem(0, count.div_ceil(64)) }
    }

    /// Makes the set of all numbers below the count.
    pub fn all(count: usize) -> Members {
        Members::of(count, 0..count as u32)
    }

    /// Makes a set of some numbers below the count.
    pub fn of(count: usize, numbers: impl IntoIterator<Item = u32>) -> Members {
        let mut members = Members::none(count);
        numbers.into_iter().for_each(|number| members.insert(number));
        members
    }

    /// Adds a number.
    pub fn insert(&mut self, number: u32) {
        self.words[number as usize / 64] |= 1 << (number % 64);
    }

    /// Takes out a number.
    pub fn remove(&mut self, number: u32) {
        self.words[number as usize / 64] &= !(1 << (number % 64));
    }

    /// Says whether it holds a number.
    pub fn contains(&self, number: u32) -> bool {
        self.words[number as usize / 64] >> (number % 64) & 1 == 1
    }

    /// Says whether all its numbers are in another set.
    pub fn is_within(&self, other: &Members) -> bool {
        self.words.iter().zip(&other.words).all(|(one, other)| one & !other == 0)
    }

    /// Adds the numbers of another set; says whether any was new.
    pub fn join(&mut self, other: &Members) -> bool {
        let mut grew = false;
        for (one, other) in self.words.iter_mut().zip(&other.words) {
            grew |= other & !*one != 0;
            *one |= other;
        }
        grew
    }

    /// The numbers that are in both sets.
    pub fn shared(&self, other: &Members) -> Members {
        Members { words: self.words.iter().zip(&other.words).map(|(one, other)| one & other).collect() }
    }

    /// The numbers that are not in another set.
    pub fn without(&self, other: &Members) -> Members {
        Members { words: self.words.iter().zip(&other.words).map(|(one, other)| one & !other).collect() }
    }

    /// Counts the numbers.
    pub fn len(&self) -> usize {
        self.words.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// Says whether there are none.
    pub fn is_empty(&self) -> bool {
        self.words.iter().all(|word| *word == 0)
    }

    /// The numbers in order.
    pub fn iter(&self) -> impl Iterator<Item = u32> {
        let word = |(at, word): (usize, &u64)| Bits { rest: *word, first: at as u32 * 64 };
        self.words.iter().enumerate().flat_map(word)
    }

    /// Orders sets of one size as their sorted numbers would be: the first is the one with the least number that the
    /// other lacks.
    pub fn by_numbers(&self, other: &Members) -> Ordering {
        for (one, other) in self.words.iter().zip(&other.words) {
            let differing = one ^ other;
            if differing != 0 {
                let is_in_one = one >> differing.trailing_zeros() & 1 == 1;
                return if is_in_one { Ordering::Less } else { Ordering::Greater };
            }
        }
        Ordering::Equal
    }
}

/// The bits of a word that are left to list.
struct Bits {
    rest: u64,
    first: u32,
}

impl Iterator for Bits {
    type Item = u32;

    fn next(&mut self) -> Option<u32> {
        if self.rest == 0 {
            return None;
        }
        let bit = self.rest.trailing_zeros();
        self.rest &= self.rest - 1;
        Some(self.first + bit)
    }
}

#[cfg(test)]
mod tests {
    use std::cmp::Ordering;
    use std::collections::BTreeSet;

    use super::Members;

    /// Every set of five numbers that lie on both sides of the ends of words.
    fn sets() -> Vec<(BTreeSet<u32>, Members)> {
        let numbers = [0, 63, 64, 100, 129];
        let chosen = |bits: u32| (0..5).filter(move |at| bits >> at & 1 == 1).map(move |at| numbers[at as usize]);
        (0..32).map(|bits| (chosen(bits).collect(), Members::of(130, chosen(bits)))).collect()
    }

    #[test]
    fn sets_of_bits_do_what_sets_do() {
        for (plain, members) in sets() {
            assert_eq!(members.iter().collect::<BTreeSet<u32>>(), plain);
            assert_eq!((members.len(), members.is_empty()), (plain.len(), plain.is_empty()));
            for (other_plain, other) in sets() {
                assert_eq!(members.is_within(&other), plain.is_subset(&other_plain));
                assert_eq!(members.shared(&other).iter().collect::<BTreeSet<u32>>(), &plain & &other_plain);
                assert_eq!(members.without(&other).iter().collect::<BTreeSet<u32>>(), &plain - &other_plain);
                let mut joined = members.clone();
                assert_eq!(joined.join(&other), !other_plain.is_subset(&plain));
                assert_eq!(joined.iter().collect::<BTreeSet<u32>>(), &plain | &other_plain);
                if plain.len() == other_plain.len() {
                    let order = plain.iter().cmp(other_plain.iter());
                    assert_eq!(members.by_numbers(&other), order);
                    assert_eq!(order == Ordering::Equal, members == other);
                }
            }
        }
    }
}

//! Turns counts and numbers into intervals, p values and pooled estimates: pure functions, the same answer on every run.
//!
//! They know nothing of garments, features or verdicts, read nothing and round nothing. No number that leaves them is
//! infinite or not a number: what does not exist is `None`.

pub mod association;
mod binomial;
pub mod difference;
mod fraction;
pub mod interval;
pub mod limit;
pub mod multiple;
pub mod rank;
pub mod segmentation;
pub mod stratified;
pub mod student;
mod wide;

/// How many of a total show something; the total is at least one and the count never exceeds it.
///
/// ```
/// use bartack::statistics::Proportion;
/// assert_eq!(Proportion::new(3, 4).unwrap().share(), 0.75);
/// assert_eq!(Proportion::new(5, 4), None);
/// assert_eq!(Proportion::new(0, 0), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proportion {
    count: u64,
    total: u64,
}

impl Proportion {
    /// Returns the proportion; `None` if the total is zero or less than the count.
    pub fn new(count: u64, total: u64) -> Option<Proportion> {
        (total > 0 && count <= total).then_some(Proportion { count, total })
    }

    /// Counts those that show it.
    pub fn count(self) -> u64 {
        self.count
    }

    /// Counts all.
    pub fn total(self) -> u64 {
        self.total
    }

    /// Gives the share, from 0 to 1.
    pub fn share(self) -> f64 {
        self.count as f64 / self.total as f64
    }
}

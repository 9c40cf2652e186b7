//! Turns a table of states by two groups into the p value of independence, and the smallest p its margins allow.
//!
//! The exact test is Fisher's, extended by Freeman and Halton 1951 (Biometrika 38:141–149), two-sided by probability.
//! It says nothing of how much the groups differ; see `difference`.

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::statistics::binomial::{self, Scale};

/// Tables whose probabilities differ by less than this share count as equally probable.
pub(super) const TOLERANCE: f64 = 1e-7;

/// Above this many tables with the same margins, chi-square takes the place of the exact test.
pub(super) const MOST_TABLES: u64 = 100_000;

/// The states seen, each with how often in group A and how often in group B; both groups have at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    rows: Vec<(u64, u64)>,
    total_a: u64,
    total_b: u64,
}

/// Which test gave a p value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Fisher, Freeman and Halton.
    Exact,
    /// Pearson, without continuity correction.
    ChiSquare,
}

/// A p value and the test that gave it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// The two-sided p value, above 0 to 1 (0 only where a float cannot hold it).
    pub p: f64,
    /// The test.
    pub method: Method,
}

/// Pearson's statistic with its degrees of freedom and p value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChiSquare {
    /// Σ (observed − expected)² / expected.
    pub statistic: f64,
    /// One less than the number of states seen; at least one.
    pub degrees: u64,
    /// The p value.
    pub p: f64,
}

impl Method {
    /// Gives the word for it in exports.
    pub fn name(self) -> &'static str {
        match self {
            Method::Exact => "exact",
            Method::ChiSquare => "chi-square",
        }
    }
}

impl Table {
    /// Makes a table of (count in A, count in B) for each state, or nothing where a group has none; unseen states fall out.
    pub fn new(counts: impl IntoIterator<Item = (u64, u64)>) -> Option<Table> {
        let rows: Vec<_> = counts.into_iter().filter(|count| *count != (0, 0)).collect();
        let total_a = rows.iter().map(|row| row.0).sum();
        let total_b = rows.iter().map(|row| row.1).sum();
        (total_a > 0 && total_b > 0).then_some(Table { rows, total_a, total_b })
    }

    /// Counts group A and group B.
    pub fn totals(&self) -> (u64, u64) {
        (self.total_a, self.total_b)
    }

    fn row_totals(&self) -> impl Iterator<Item = u64> {
        self.rows.iter().map(|row| row.0 + row.1)
    }

    fn total(&self) -> u64 {
        self.total_a + self.total_b
    }
}

/// Tests independence: exactly up to 100,000 tables, else by chi-square; 1 if only one state is seen.
///
/// ```
/// use bartack::statistics::association::{self, Table};
/// // Fisher's tea: 3 of 4 cups named right each way.
/// let table = Table::new([(3, 1), (1, 3)]).unwrap();
/// assert!((association::test(&table).p - 34.0 / 70.0).abs() < 1e-15);
/// ```
pub fn test(table: &Table) -> Test {
    match chi_square(table) {
        Some(chi_square) if tables(table) > MOST_TABLES => Test { p: chi_square.p, method: Method::ChiSquare },
        _ => Test {
            p: exact(table, Scale::fitting(table.total(), table.total_a as f64 / table.total() as f64)),
            method: Method::Exact,
        },
    }
}

/// Counts the tables with the same margins, from the margins; 100,001 stands for that many or more.
pub fn tables(table: &Table) -> u64 {
    let mut ways = vec![0u64; table.total_a as usize + 1];
    ways[0] = 1;
    for row_total in table.row_totals() {
        ways = window_sums(&ways, row_total as usize);
    }
    ways[table.total_a as usize]
}

/// Sums each value with the `reach` values before it; sums stop at the limit, which makes no sum below it wrong.
fn window_sums(values: &[u64], reach: usize) -> Vec<u64> {
    let mut window = 0;
    let mut sums = Vec::with_capacity(values.len());
    for (place, value) in values.iter().enumerate() {
        window += value;
        if place > reach {
            window -= values[place - reach - 1];
        }
        sums.push(window.min(MOST_TABLES + 1));
    }
    sums
}

/// Gives Pearson's chi-square test without continuity correction, or nothing if only one state is seen.
pub fn chi_square(table: &Table) -> Option<ChiSquare> {
    let degrees = table.rows.len() as u64 - 1;
    let distribution = ChiSquared::new(degrees as f64).ok()?;
    let part = |count: u64, row_total: u64, total: u64| {
        let expected = row_total as f64 * total as f64 / table.total() as f64;
        (count as f64 - expected).powi(2) / expected
    };
    let statistic =
        table.rows.iter().map(|&(a, b)| part(a, a + b, table.total_a) + part(b, a + b, table.total_b)).sum::<f64>();
    Some(ChiSquare { statistic, degrees, p: distribution.sf(statistic).clamp(0.0, 1.0) })
}

fn exact(table: &Table, scale: Scale) -> f64 {
    let weights: Vec<_> = table.row_totals().map(|row_total| scale.row(row_total)).collect();
    let observed = table.rows.iter().zip(&weights).fold(1.0, |product, (row, weight)| product * weight[row.0 as usize]);
    let target = table.total_a as usize;
    let mut rests = vec![vec![Rest::NO_ROWS]];
    for weights in weights.iter().rev() {
        rests.push(Rest::with_row(weights, &rests[rests.len() - 1], target));
    }
    rests.reverse();
    let all = rests[0][target].all;
    let mut walk = Walk { weights: &weights, rests: &rests, limit: observed * (1.0 + TOLERANCE), tail: 0.0 };
    walk.visit(0, target, 1.0);
    (walk.tail / all).min(1.0)
}

/// The weights of the ways in which some rows, from one on, can share out what is left for A.
#[derive(Clone, Copy)]
struct Rest {
    /// The smallest weight of any way; infinite if there is none.
    least: f64,
    /// The greatest weight of any way; 0 if there is none.
    most: f64,
    /// The sum of the weights of all ways.
    all: f64,
}

impl Rest {
    const NONE: Rest = Rest { least: f64::INFINITY, most: 0.0, all: 0.0 };
    /// No row takes nothing, in one way.
    const NO_ROWS: Rest = Rest { least: 1.0, most: 1.0, all: 1.0 };

    /// Puts a row before others: for each number up to the target that may be left for them, how they can share it.
    fn with_row(weights: &[f64], others: &[Rest], target: usize) -> Vec<Rest> {
        let reach = (weights.len() + others.len() - 2).min(target);
        let mut rests = vec![Rest::NONE; reach + 1];
        for (count, weight) in weights.iter().enumerate() {
            for (rest, other) in rests.iter_mut().skip(count).zip(others) {
                rest.least = rest.least.min(weight * other.least);
                rest.most = rest.most.max(weight * other.most);
                rest.all += weight * other.all;
            }
        }
        rests
    }
}

/// A walk through the tables with given margins, which adds up the weights of those no more probable than the observed.
///
/// Where all tables that begin alike fall on one side of the limit, they are not walked one by one, as in the network
/// algorithm of Mehta and Patel (1983, Journal of the American Statistical Association 78:427–434).
struct Walk<'w> {
    /// For each row, the weight of each count in A.
    weights: &'w [Vec<f64>],
    /// For each row, how this and all later rows can share out each number that may be left.
    rests: &'w [Vec<Rest>],
    /// The greatest weight that counts as no more probable than the observed table.
    limit: f64,
    /// The sum of the weights up to the limit.
    tail: f64,
}

impl Walk<'_> {
    fn visit(&mut self, row: usize, left: usize, product: f64) {
        let rest = self.rests[row][left];
        if product * rest.most <= self.limit {
            self.tail += product * rest.all;
            return;
        }
        if product * rest.least > self.limit {
            return;
        }
        let weights = &self.weights[row];
        let least = (left + 1).saturating_sub(self.rests[row + 1].len());
        for (weight, count) in weights.iter().zip(0..=left).skip(least) {
            self.visit(row + 1, left - count, product * weight);
        }
    }
}

/// Gives the smallest p value of the exact test that any table with these margins has, ties of tables included.
///
/// The weight of a table, the product of C(row total, count in A), is log-concave along every exchange between two
/// rows, so that a table of the smallest weight has at most one row that is neither wholly A nor wholly B, and for row
/// totals below ten million no other table comes within the tolerance. Such tables are counted by their sums, not walked.
pub fn smallest_p(table: &Table) -> f64 {
    let row_totals: Vec<_> = table.row_totals().collect();
    let target = table.total_a as usize;
    let whole = (table.total(), table.total_a);
    let undivided = sums(row_totals.iter().copied(), target)[target];
    if undivided > 0.0 {
        return binomial::quotient(&[(undivided, 0, 0)], whole).min(1.0);
    }
    let divided: Vec<_> = (0..row_totals.len()).filter_map(|row| least_division(&row_totals, row, target)).collect();
    let single = |term: &(f64, u64, u64)| binomial::quotient(&[(1.0, term.1, term.2)], whole);
    let least = divided.iter().map(single).fold(f64::INFINITY, f64::min);
    let tied: Vec<_> = divided.into_iter().filter(|term| single(term) <= least * (1.0 + TOLERANCE)).collect();
    binomial::quotient(&tied, whole).min(1.0)
}

/// Gives for one divided row the number of tables nearest to undivided, the row's total and its smaller part.
fn least_division(row_totals: &[u64], row: usize, target: usize) -> Option<(f64, u64, u64)> {
    let others = row_totals.iter().enumerate().filter(|other| other.0 != row).map(|other| *other.1);
    let ways = sums(others, target);
    let row_total = row_totals[row] as usize;
    let reached = |count: usize| target.checked_sub(count).map_or(0.0, |sum| ways[sum]);
    (1..=row_total / 2).find_map(|part| {
        let mirrored = if part * 2 == row_total { 0.0 } else { reached(row_total - part) };
        let tables = reached(part) + mirrored;
        (tables > 0.0).then_some((tables, row_total as u64, part as u64))
    })
}

/// Counts, for each sum up to the target, the choices of whole rows that reach it.
fn sums(row_totals: impl Iterator<Item = u64>, target: usize) -> Vec<f64> {
    let mut ways = vec![0.0; target + 1];
    ways[0] = 1.0;
    for row_total in row_totals.map(|row_total| row_total as usize) {
        for sum in (row_total..=target).rev() {
            ways[sum] += ways[sum - row_total];
        }
    }
    ways
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::{Method, Table, Test, chi_square, exact, smallest_p, tables, test};
    use crate::statistics::binomial::Scale;

    #[test]
    fn groups_without_counts_make_no_table() {
        assert_eq!(Table::new([]), None);
        assert_eq!(Table::new([(3, 0), (1, 0)]), None);
    }

    #[test]
    fn one_state_has_p_one_and_no_chi_square() {
        let table = Table::new([(5, 3), (0, 0)]).unwrap();
        assert_eq!(test(&table), Test { p: 1.0, method: Method::Exact });
        assert_eq!(chi_square(&table), None);
        assert_eq!(smallest_p(&table), 1.0);
    }

    #[test]
    fn order_of_states_and_groups_does_not_matter() {
        let rows = [(4, 1), (0, 5), (2, 2), (3, 7)];
        let p = test(&Table::new(rows).unwrap()).p;
        let turned = Table::new(rows.into_iter().rev()).unwrap();
        let swapped = Table::new(rows.map(|row| (row.1, row.0))).unwrap();
        assert!((test(&turned).p - p).abs() < 1e-14 && (test(&swapped).p - p).abs() < 1e-14);
    }

    #[test]
    fn tables_with_the_same_margins_are_counted() {
        // Row totals 2, 2, 2 and 3 in A: of 3 × 3 × 3 tables 1 + 6 have the sum 3.
        assert_eq!(tables(&Table::new([(2, 0), (1, 1), (0, 2)]).unwrap()), 7);
        assert_eq!(tables(&Table::new(vec![(500, 500); 60]).unwrap()), 100_001);
    }

    #[test]
    fn the_method_changes_just_above_a_hundred_thousand_tables() {
        // Two states of 100,000 and 99,999 at most: the smaller margin plus one is the number of tables.
        let at = Table::new([(50_000, 49_999), (49_999, 50_001)]).unwrap();
        let above = Table::new([(50_000, 50_000), (50_000, 50_000)]).unwrap();
        assert_eq!((tables(&at), test(&at).method), (100_000, Method::Exact));
        assert_eq!((tables(&above), test(&above).method), (100_001, Method::ChiSquare));
    }

    #[test]
    fn margins_in_the_thousands_neither_overflow_nor_vanish() {
        let even = test(&Table::new([(3000, 3000), (2000, 2000)]).unwrap());
        assert_eq!((even.p, even.method), (1.0, Method::Exact));
        let parted = test(&Table::new([(3000, 0), (0, 3000)]).unwrap());
        assert!(parted.p.is_finite() && parted.p < 1e-300);
        // One of 3 in A among 3001: (C(3, 0) C(2998, 3) is the most probable, so all but that.
        let uneven = test(&Table::new([(1, 2), (2, 2996)]).unwrap());
        let none = (2998.0 * 2997.0 * 2996.0) / (3001.0 * 3000.0 * 2999.0);
        assert!((uneven.p - (1.0 - none)).abs() < 1e-9);
        assert!(smallest_p(&Table::new([(3000, 0), (0, 3000)]).unwrap()) < 1e-300);
    }

    #[test]
    fn both_scales_give_the_same_p() {
        for rows in [[(4, 1), (0, 5), (2, 2)], [(120, 90), (33, 60), (7, 7)], [(300, 200), (200, 270), (11, 19)]] {
            let table = Table::new(rows).unwrap();
            let (plain, tilted) = (exact(&table, Scale::Plain), exact(&table, Scale::Tilted(0.4)));
            assert!((plain / tilted - 1.0).abs() < 1e-9, "{plain} {tilted}");
        }
    }

    #[test]
    fn a_smallest_p_of_a_twentieth_is_exactly_that() {
        assert_eq!(smallest_p(&Table::new([(1, 0), (0, 19)]).unwrap()), 0.05);
    }
}

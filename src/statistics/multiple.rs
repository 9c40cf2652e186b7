//! Turns the p values of several tests into adjusted ones: Holm's, over the tests that Tarone's rule keeps.
//!
//! Which tests are offered at all (enough garments, not by definition) is the caller's choice.

/// The chance of one false finding in a family.
const LEVEL: f64 = 0.05;

/// The share by which rounding may lift a smallest p above a limit that it equals.
const ROUNDING: f64 = 1e-9;

/// One of several tests; both numbers lie within 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Test {
    /// The p value.
    pub p: f64,
    /// The smallest p value that the margins of the test allow.
    pub smallest: f64,
}

/// Returns for each test its Holm-adjusted p value; `None` if it is outside Tarone's set.
///
/// ```
/// use bartack::statistics::multiple::{Test, adjust};
/// let tests = [Test { p: 0.03, smallest: 0.001 }, Test { p: 0.4, smallest: 0.4 }];
/// assert_eq!(adjust(&tests), [Some(0.03), None]);
/// ```
pub fn adjust(tests: &[Test]) -> Vec<Option<f64>> {
    let smallest: Vec<_> = tests.iter().map(|test| test.smallest).collect();
    let family = tarone(&smallest);
    let adjusted = holm(&family.iter().map(|place| tests[*place].p).collect::<Vec<_>>());
    let mut answers = vec![None; tests.len()];
    for (place, p) in family.into_iter().zip(adjusted) {
        answers[place] = Some(p);
    }
    answers
}

/// Gives the places of the tests in Tarone's set, in order (Tarone 1990, Biometrics 46:515–522).
///
/// k is the least number for which at most k tests have a smallest p of at most 0.05 / k; the set is those tests.
pub fn tarone(smallest: &[f64]) -> Vec<usize> {
    let within = |k: usize| {
        let limit = LEVEL / k as f64 * (1.0 + ROUNDING);
        (0..smallest.len()).filter(|place| smallest[*place] <= limit).collect::<Vec<_>>()
    };
    (1..=smallest.len()).map(|k| (k, within(k))).find(|(k, set)| set.len() <= *k).map_or_else(Vec::new, |found| found.1)
}

/// Gives Holm's adjusted p values, in the order of the given ones (Holm 1979, Scandinavian Journal of Statistics 6:65–70).
pub fn holm(p_values: &[f64]) -> Vec<f64> {
    let mut places: Vec<_> = (0..p_values.len()).collect();
    places.sort_by(|one, other| p_values[*one].total_cmp(&p_values[*other]));
    let mut adjusted = vec![0.0; p_values.len()];
    let mut greatest = 0.0f64;
    for (rank, place) in places.into_iter().enumerate() {
        greatest = greatest.max((p_values.len() - rank) as f64 * p_values[place]).min(1.0);
        adjusted[place] = greatest;
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::{Test, adjust, holm, tarone};

    #[test]
    fn no_tests_make_no_family() {
        assert!(tarone(&[]).is_empty() && holm(&[]).is_empty() && adjust(&[]).is_empty());
        assert!(tarone(&[0.2, 0.06]).is_empty());
    }

    #[test]
    fn the_set_is_the_one_worked_by_hand() {
        // k = 1: 0.05 admits four, more than 1. k = 2: 0.025 admits three (0.02, 0.012, 0.001), more than 2.
        // k = 3: 0.0167 admits two (0.012, 0.001), at most 3. So k = 3 and the set has two tests.
        assert_eq!(tarone(&[0.02, 0.012, 0.3, 0.001, 0.04]), [1, 3]);
    }

    #[test]
    fn as_many_as_k_tests_at_the_limit_itself_are_kept() {
        assert_eq!(tarone(&[0.025, 0.05 / 2.0]), [0, 1]);
        assert_eq!(tarone(&[0.05]), [0]);
        assert_eq!(tarone(&[1.0 / 60.0, 1.0 / 60.0, 1.0 / 60.0, 0.9]), [0, 1, 2]);
    }

    #[test]
    fn adjusted_values_keep_the_order_and_stop_at_one() {
        // 4 × 0.01, then 3 × 0.02 = 0.06, then 2 × 0.03 = 0.06, then 0.9.
        let adjusted = holm(&[0.03, 0.01, 0.9, 0.02]);
        for (got, expected) in adjusted.into_iter().zip([0.06, 0.04, 0.9, 0.06]) {
            assert!((got - expected).abs() < 1e-15);
        }
        assert_eq!(holm(&[0.7, 0.8]), [1.0, 1.0]);
    }

    #[test]
    fn tests_outside_the_set_do_not_weigh_on_those_inside() {
        let tests = [(0.01, 0.001), (0.5, 0.5), (0.04, 0.002)].map(|(p, smallest)| Test { p, smallest });
        assert_eq!(adjust(&tests), [Some(0.02), None, Some(0.04)]);
    }
}

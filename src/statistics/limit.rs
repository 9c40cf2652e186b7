//! Comparisons of numbers with limits: what differs from a limit by rounding alone equals it.

/// By this share of a limit a number may miss it by rounding.
const SHARE: f64 = 1e-9;

/// By so much a number may miss a limit near 0 by rounding.
const LEAST: f64 = 1e-12;

/// Says whether a number lies below a limit by more than rounding.
///
/// ```
/// use bartack::statistics::limit::is_below;
/// assert!(0.3 - 0.1 < 0.2 && !is_below(0.3 - 0.1, 0.2));
/// assert!(is_below(0.1999, 0.2));
/// ```
pub fn is_below(number: f64, limit: f64) -> bool {
    number < limit - rounding(limit)
}

/// Says whether a number lies above a limit by more than rounding.
///
/// ```
/// use bartack::statistics::limit::is_above;
/// assert!(0.1 + 0.2 > 0.3 && !is_above(0.1 + 0.2, 0.3));
/// assert!(is_above(0.3001, 0.3));
/// ```
pub fn is_above(number: f64, limit: f64) -> bool {
    number > limit + rounding(limit)
}

fn rounding(limit: f64) -> f64 {
    (SHARE * limit.abs()).max(LEAST)
}

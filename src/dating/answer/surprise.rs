//! How unlike its best variant a garment is: how much its readings surprise, compared with the expected surprise.

use crate::dating::answer::Case;
use crate::dating::answer::posterior::{Posterior, Reading};

/// The surprise in standard deviations, without tempering and landmarks; `None` if the readings cannot vary.
pub fn of(case: &Case<'_, '_>, posterior: &Posterior<'_>) -> Option<f64> {
    let member = &case.prepared.members[case.members[*posterior.order.first()?]];
    let (mut surprise, mut variance) = (0.0, 0.0);
    for reading in &posterior.readings {
        let Reading::Column(feature, column) = reading else { continue };
        let table = &member.cells[*feature];
        let share = |column: usize| {
            let weighed = member.tables.weights.iter().zip(table.probabilities(column));
            weighed.map(|(weight, probability)| weight * probability).sum::<f64>() / member.total
        };
        let averaged: Vec<f64> = (0..table.columns.len()).map(share).collect();
        // Rounded cells do not sum to 1, and the difference would look like surprise.
        let total: f64 = averaged.iter().sum();
        let shares: Vec<f64> = averaged.iter().map(|share| share / total).collect();
        let bits = |share: f64| -share.log2();
        let mean: f64 = shares.iter().map(|share| share * bits(*share)).sum();
        surprise += bits(shares[*column]) - mean;
        variance += shares.iter().map(|share| share * (bits(*share) - mean).powi(2)).sum::<f64>();
    }
    (variance > VARIES).then(|| surprise / variance.sqrt())
}

/// Less variance than this is rounding.
const VARIES: f64 = 1e-9;

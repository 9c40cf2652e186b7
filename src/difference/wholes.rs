//! Makers, label lines, models and variants that are new or gone.

use crate::difference::state::{Change, Grounds};
use crate::difference::{Cause, When, WholeChange};

/// Finds what is new, then what is gone, makers first.
pub(super) fn changes(change: &Change<'_>) -> Vec<WholeChange> {
    let mut changes = Vec::new();
    for when in [When::Now, When::Earlier] {
        let state = change.state(when);
        for (whole, record) in &state.wholes {
            if !change.is_in_both(whole) {
                let mut grounds = Grounds::default();
                grounds.speak.insert(state.path(*record));
                let cause = Cause { is_others: false, ..change.cause(&grounds) };
                changes.push(WholeChange { when, whole: whole.clone(), cause });
            }
        }
    }
    changes
}

//! Makers, label lines, models and variants that are new or gone.

use std::collections::BTreeMap;

use crate::difference::state::{Change, Grounds};
use crate::difference::{Cause, When, WholeChange};
use crate::record::id::Whole;
use crate::resolve::{Catalog, RecordIndex};

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

/// Everything that has a record, or is listed in one.
pub(super) fn all(catalog: &Catalog) -> BTreeMap<Whole, RecordIndex> {
    let makers = catalog.makers.iter().map(|(id, entry)| (Whole::Maker(id.clone()), entry.record));
    let lines = catalog.lines.iter().map(|(id, record)| (Whole::Line(id.clone()), *record));
    let models = catalog.models.iter().map(|(id, entry)| (Whole::Model(id.clone()), entry.record));
    let variants = catalog.variants.iter().map(|(id, entry)| (Whole::Variant(id.clone()), entry.record));
    makers.chain(lines).chain(models).chain(variants).collect()
}

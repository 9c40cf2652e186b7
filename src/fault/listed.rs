//! Keeps as many faults of one family in one file as anybody would read, and counts the rest.
//!
//! One line of a hostile file can hold hundreds of thousands of mistakes; each would cost a sentence.

use std::collections::BTreeMap;

use crate::fault::{Family, Fault, FaultKind};
use crate::source::{FileId, Place};

/// How many faults of a family are kept of one file.
pub const MOST: usize = 100;

/// Keeps the first faults of each family in each file, in their order, and counts the rest at the first of these.
pub fn first(faults: Vec<Fault>) -> Vec<Fault> {
    let mut counts: BTreeMap<(FileId, Family), (usize, Option<Place>)> = BTreeMap::new();
    let mut kept = Vec::with_capacity(faults.len());
    for fault in faults {
        let Some((family, weight)) = family(&fault.kind) else {
            kept.push(fault);
            continue;
        };
        let (seen, beyond) = counts.entry((fault.place.file, family)).or_default();
        let is_one = !matches!(fault.kind, FaultKind::Unlisted { .. });
        if is_one && *seen < MOST {
            kept.push(fault);
        } else {
            beyond.get_or_insert(fault.place);
        }
        *seen += weight;
    }
    kept.extend(counts.into_iter().filter_map(|((_, family), (seen, beyond))| {
        let kind = FaultKind::Unlisted { family, count: seen.saturating_sub(MOST) };
        beyond.map(|place| Fault::new(place, kind))
    }));
    kept
}

/// The family of a fault, with how many mistakes it stands for; `None` for faults that a file has only a few of.
fn family(kind: &FaultKind) -> Option<(Family, usize)> {
    match kind {
        FaultKind::Schema(_) => Some((Family::Field, 1)),
        FaultKind::Term(_) => Some((Family::Term, 1)),
        FaultKind::Reference(_) => Some((Family::Reference, 1)),
        FaultKind::Unlisted { family, count } => Some((*family, *count)),
        FaultKind::Unreadable(_) | FaultKind::Malformed(_) | FaultKind::Misplaced(_) | FaultKind::Photograph(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{MOST, first};
    use crate::fault::{Family, Fault, FaultKind, SchemaFault};
    use crate::source::{FileId, Place, Span};

    fn faults(file: u32, count: usize) -> Vec<Fault> {
        let kind = || FaultKind::Schema(SchemaFault::WrongType { found: "a".into(), expected: "b".into() });
        (0..count).map(|at| Fault::new(Place { file: FileId(file), span: Span::new(at, at) }, kind())).collect()
    }

    fn unlisted(faults: &[Fault]) -> Vec<(FileId, usize, usize)> {
        let of = |fault: &Fault| match fault.kind {
            FaultKind::Unlisted { count, .. } => Some((fault.place.file, fault.span().start(), count)),
            _ => None,
        };
        faults.iter().filter_map(of).collect()
    }

    #[test]
    fn each_file_keeps_a_hundred_and_counts_the_rest() {
        let kept = first([faults(0, MOST), faults(1, MOST + 1)].concat());
        assert_eq!(kept.len(), 2 * MOST + 1);
        assert_eq!(unlisted(&kept), [(FileId(1), MOST, 1)]);
    }

    #[test]
    fn what_was_counted_before_is_counted_on() {
        let more = FaultKind::Unlisted { family: Family::Field, count: 7 };
        let place = Place { file: FileId(0), span: Span::new(500, 500) };
        let kept = first([faults(0, MOST + 3), vec![Fault::new(place, more)]].concat());
        assert_eq!(unlisted(&kept), [(FileId(0), MOST, 10)]);
    }
}

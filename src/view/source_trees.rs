//! Sources in the order of an indented tree: sources that repeat nothing first, each followed by
//! the sources that repeat it.
//!
//! A source that repeats several comes under the first of them; the first member of a circle is a
//! root.

use crate::resolve::{CitedSource, SourceIndex};

/// A source with its depth in the tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Which source.
    pub source: SourceIndex,
    /// 0 for a root.
    pub depth: usize,
}

/// The sources that repeat each source, in order.
pub fn repeaters(sources: &[CitedSource]) -> Vec<Vec<SourceIndex>> {
    let mut repeaters = vec![Vec::new(); sources.len()];
    for (number, source) in (0_u32..).zip(sources) {
        for repeated in &source.repeats {
            repeaters[repeated.0 as usize].push(SourceIndex(number));
        }
    }
    repeaters
}

/// The trees of all sources, one after the other: a root is followed by all below it.
pub fn trees(sources: &[CitedSource]) -> Vec<Place> {
    let repeaters = repeaters(sources);
    let (mut places, mut placed) = (Vec::new(), vec![false; sources.len()]);
    let mut grow = |root: SourceIndex| {
        let mut waiting = vec![Place { source: root, depth: 0 }];
        while let Some(place) = waiting.pop() {
            let at = place.source.0 as usize;
            if !std::mem::replace(&mut placed[at], true) {
                places.push(place);
                let below = repeaters[at].iter().rev().filter(|source| stands_under(sources, **source, place.source));
                waiting.extend(below.map(|source| Place { source: *source, depth: place.depth + 1 }));
            }
        }
    };
    let all = || (0_u32..).zip(sources).map(|(number, source)| (SourceIndex(number), source));
    all().filter(|(_, source)| source.repeats.is_empty()).for_each(|(index, _)| grow(index));
    // The remaining sources lead back only to circles; each circle starts at its first member.
    all().filter(|(_, source)| source.in_cycle).for_each(|(index, _)| grow(index));
    all().for_each(|(index, _)| grow(index));
    places
}

/// Says whether a source comes under another: the first source it repeats, or any that it repeats
/// within a circle.
fn stands_under(sources: &[CitedSource], source: SourceIndex, other: SourceIndex) -> bool {
    let source = &sources[source.0 as usize];
    source.in_cycle || source.repeats.first() == Some(&other)
}

/// The tags before each place that nest lists of one tree, and those that close the last.
pub fn nesting(places: &[Place]) -> (Vec<String>, String) {
    let mut open: Option<usize> = None;
    let close = |from: usize, to: usize| "</li></ul>".repeat(from - to);
    let before = places.iter().map(|place| {
        let tags = match open {
            None => String::new(),
            Some(depth) if place.depth > depth => "<ul>".to_string(),
            Some(depth) => close(depth, place.depth) + "</li>",
        };
        open = Some(place.depth);
        tags
    });
    let before = before.collect();
    let after = open.map_or_else(String::new, |depth| close(depth, 0) + "</li>");
    (before, after)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{Place, nesting, trees};
    use crate::record::citation::SourceKind;
    use crate::resolve::{CitedSource, SourceIndex};

    fn source(repeats: &[u32], in_cycle: bool) -> CitedSource {
        CitedSource {
            name: "source".into(),
            places: Vec::new(),
            citation: "Source".into(),
            kind: SourceKind::Book,
            date: None,
            url: None,
            archived: None,
            repeats: repeats.iter().map(|number| SourceIndex(*number)).collect(),
            roots: BTreeSet::new(),
            in_cycle,
            record: None,
        }
    }

    fn drawn(sources: &[CitedSource]) -> Vec<(u32, usize)> {
        trees(sources).iter().map(|place| (place.source.0, place.depth)).collect()
    }

    #[test]
    fn what_repeats_a_source_stands_below_it() {
        let sources = [source(&[2], false), source(&[0, 2], false), source(&[], false), source(&[], false)];
        assert_eq!(drawn(&sources), [(2, 0), (0, 1), (1, 2), (3, 0)]);
    }

    #[test]
    fn circles_and_what_hangs_on_them_are_there_once() {
        let sources = [source(&[1], false), source(&[2], true), source(&[1], true), source(&[0], false)];
        assert_eq!(drawn(&sources), [(1, 0), (0, 1), (3, 2), (2, 1)]);
    }

    #[test]
    fn lists_are_closed_as_they_were_opened() {
        let at = |depth: usize| Place { source: SourceIndex(0), depth };
        let (before, after) = nesting(&[at(0), at(1), at(2), at(0), at(1)]);
        assert_eq!(before, ["", "<ul>", "<ul>", "</li></ul></li></ul></li>", "<ul>"]);
        assert_eq!(after, "</li></ul></li>");
        assert_eq!(nesting(&[]), (Vec::new(), String::new()));
    }
}

//! Counts the elements that a drawing's `use` elements would draw, so that a small text cannot stall a browser.
//!
//! It also counts copies within parts that are never drawn, and counts two parts of one id as one.

use std::collections::BTreeMap;

/// Elements that all copies of a drawing may draw together.
const LIMIT: usize = 100_000;
/// Copies within copies that are followed; a copy of itself passes any depth.
const DEPTH: usize = 64;

/// The elements and `use` elements below each id.
#[derive(Default)]
pub struct Copies {
    parts: BTreeMap<String, Part>,
    targets: Vec<String>,
}

#[derive(Default)]
struct Part {
    elements: usize,
    targets: Vec<String>,
}

impl Copies {
    /// Counts an element that has these ids or lies within them, and the elements it copies.
    pub fn count<'a>(&mut self, ids: impl Iterator<Item = &'a str>, reference: Option<&String>) {
        let target = reference.map(|reference| reference.trim_start_matches('#').to_owned());
        for id in ids {
            let part = self.parts.entry(id.to_owned()).or_default();
            part.elements += 1;
            part.targets.extend(target.clone());
        }
        self.targets.extend(target);
    }

    /// Says whether the copies draw more than the limit, or nest too deep to tell.
    pub fn are_too_many(&self) -> bool {
        let mut known = BTreeMap::new();
        self.total(&self.targets, DEPTH, &mut known).is_none()
    }

    fn total<'a>(&'a self, targets: &'a [String], depth: usize, known: &mut BTreeMap<&'a str, usize>) -> Option<usize> {
        let mut total = 0;
        for target in targets {
            total += self.drawn(target, depth, known)?;
            if total > LIMIT {
                return None;
            }
        }
        Some(total)
    }

    fn drawn<'a>(&'a self, id: &'a str, depth: usize, known: &mut BTreeMap<&'a str, usize>) -> Option<usize> {
        if let Some(drawn) = known.get(id) {
            return Some(*drawn);
        }
        let Some(part) = self.parts.get(id) else { return Some(0) };
        let drawn = part.elements + self.total(&part.targets, depth.checked_sub(1)?, known)?;
        known.insert(id, drawn);
        Some(drawn)
    }
}

#[cfg(test)]
mod tests {
    use super::Copies;

    fn doubling(levels: usize) -> Copies {
        let mut copies = Copies::default();
        for level in 0..levels {
            let (id, next) = (format!("a{level}"), format!("#a{}", level + 1));
            copies.count([id.as_str()].into_iter(), Some(&next));
            copies.count([id.as_str()].into_iter(), Some(&next));
        }
        copies
    }

    #[test]
    fn copies_of_copies_are_bounded() {
        assert!(!doubling(10).are_too_many());
        assert!(doubling(30).are_too_many());
    }

    #[test]
    fn a_part_that_copies_itself_is_too_much() {
        let mut copies = Copies::default();
        copies.count(["a"].into_iter(), Some(&"#b".to_owned()));
        copies.count(["b"].into_iter(), Some(&"#a".to_owned()));
        assert!(copies.are_too_many());
    }

    #[test]
    fn many_plain_copies_are_fine() {
        let mut copies = Copies::default();
        copies.count(["button"].into_iter(), None);
        for _ in 0..1000 {
            copies.count(std::iter::empty(), Some(&"#button".to_owned()));
        }
        assert!(!copies.are_too_many());
    }
}

//! The files written so far, by path: the size and hash of each.
//!
//! Files that describe others are made after them, so that nothing is made twice or kept in memory.

use std::collections::BTreeMap;

/// When a file is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// With most files: it describes no other.
    First,
    /// After the first turn: it describes those files.
    Second,
    /// After all others.
    Last,
}

impl Turn {
    /// Every turn, in order.
    pub const ALL: [Turn; 3] = [Turn::First, Turn::Second, Turn::Last];
}

/// The size and hash of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Its bytes.
    pub bytes: u64,
    /// The hash of its content.
    pub hash: blake3::Hash,
}

impl Stamp {
    /// Stamps a content.
    pub fn of(content: &[u8]) -> Stamp {
        Stamp { bytes: content.len() as u64, hash: blake3::hash(content) }
    }
}

/// The files of earlier turns.
pub type OutputLog = BTreeMap<String, Stamp>;

/// The files that a browser keeps for use without a network: pages, what they load, and the rules that *Garment in hand* reads.
pub fn kept_offline(log: &OutputLog) -> BTreeMap<&str, Stamp> {
    let is_page = |path: &str| path.ends_with(".html") && path != "404.html";
    let is_loaded = |path: &str| path.starts_with("assets/") || path.starts_with("photographs/");
    let others = ["search.js", "rules/rules.js", "drawings.js", "recording.js", "site.webmanifest"];
    let kept = log.iter().map(|(path, stamp)| (path.as_str(), *stamp));
    kept.filter(|(path, _)| is_page(path) || is_loaded(path) || others.contains(path)).collect()
}

/// Writes a size for people: `840 bytes`, `12 KB`, `2.3 MB`; a KB is 1,000 bytes.
pub fn weight(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..999_500 => format!("{} KB", (bytes + 500) / 1_000),
        _ => format!("{:.1} MB", bytes as f64 / 1_000_000.0),
    }
}

#[cfg(test)]
mod tests {
    use super::weight;

    #[test]
    fn weights_are_rounded_to_what_people_read() {
        let written = [0, 999, 1_000, 1_499, 1_500, 999_499, 999_500, 2_345_678].map(weight);
        assert_eq!(written, ["0 bytes", "999 bytes", "1 KB", "1 KB", "2 KB", "999 KB", "1.0 MB", "2.3 MB"]);
    }
}

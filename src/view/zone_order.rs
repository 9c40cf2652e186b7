//! The order in which a garment is turned over in the hands, which pages and sheets follow.

/// The parts of a garment: the outside from top to bottom, front before back, then the inside. Parts with other names
/// follow in the vocabulary's order.
pub const PARTS: [&str; 17] = [
    "collar",
    "front",
    "bib",
    "straps",
    "sleeve",
    "cuff",
    "waistband",
    "fly",
    "pockets",
    "back",
    "tail",
    "leg",
    "hem",
    "seams",
    "lining",
    "inside",
    "label",
];

/// The name of a part that no feature names.
pub const ELSEWHERE: &str = "elsewhere";

/// The place of a part in that order.
pub fn place(part: &str) -> usize {
    PARTS.iter().position(|known| *known == part).unwrap_or(PARTS.len())
}

//! Describes a drawing in words, for people who do not see it.
//!
//! It mentions only what the drawing has marks of, and no number that the page lacks.

use crate::figure::{ABSENT, Drawing, Feature, Known};
use crate::typography::capital;

/// Says what the drawing shows: `Belt loops: 5; hem: chain stitch on 5 of 8. Not examined: zip puller.`
pub fn of(drawing: &Drawing, features: &[Feature<'_>]) -> String {
    let drawn: Vec<&Feature<'_>> = features.iter().filter(|feature| drawing.shows(feature.id)).collect();
    let seen = drawn.iter().filter_map(|feature| Some(format!("{}: {}", lower(feature.name), shown(feature)?)));
    let seen: Vec<String> = seen.collect();
    let unseen = drawn.iter().filter(|feature| feature.known == Known::Unexamined);
    let unseen: Vec<String> = unseen.map(|feature| lower(feature.name)).collect();
    let mut sentences = Vec::new();
    if !seen.is_empty() {
        sentences.push(format!("{}.", capital(&seen.join("; "))));
    }
    if !unseen.is_empty() {
        sentences.push(format!("Not examined: {}.", unseen.join(", ")));
    }
    sentences.join(" ")
}

fn shown(feature: &Feature<'_>) -> Option<String> {
    match &feature.known {
        Known::Seen(_) => {
            let (state, count, total) = feature.known.most()?;
            let state = match feature.label {
                Some(label) => label.to_string(),
                None if state == ABSENT => "none".to_string(),
                None => state.replace('-', " "),
            };
            Some(if count == total { state } else { format!("{state} on {count} of {total}") })
        }
        Known::Read(words) => Some(words.clone()),
        Known::Altered => Some("seen only altered".to_string()),
        Known::Uncounted => Some("seen, but not counted".to_string()),
        Known::Unexamined => None,
    }
}

/// Writes a name for use within a sentence; a capital before another one begins an abbreviation.
fn lower(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => {
            first.to_lowercase().collect::<String>() + &name[first.len_utf8()..]
        }
        _ => name.to_string(),
    }
}

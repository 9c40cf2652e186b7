//! The paragraph that a seller may paste under an offer.
//!
//! `site/assets/dating-words.js` writes the same in a browser.

use crate::dating::answer::Answer;
use crate::dating::answer::garment::Garment;
use crate::explain::{CAUTION, card, codes, dating};
use crate::knowledge::Knowledge;

/// Writes the paragraph: bounds and years with what they rest on, and how far to trust them.
pub fn paragraph(knowledge: &Knowledge, version: &str, garment: &Garment, answer: &Answer) -> String {
    let mut sentences = vec![format!("Dated with {}, version {version}.", knowledge.catalog.about.title)];
    sentences.extend(seen(knowledge, garment));
    sentences.extend(dating::bounds(knowledge, &answer.hard));
    sentences.extend(codes::sentences(knowledge, answer));
    sentences.extend(card::sentences(knowledge, garment, answer));
    if answer.is_unlike() {
        sentences.push("It is unlike anything recorded.".to_string());
    }
    sentences.push(CAUTION.to_string());
    sentences.join(" ")
}

/// Says what was examined, by the names of the vocabulary.
fn seen(knowledge: &Knowledge, garment: &Garment) -> Option<String> {
    let said = garment.features.iter().filter_map(|(id, value)| {
        let feature = knowledge.catalog.vocabulary.feature(id.as_str())?;
        Some(format!("{}: {}", feature.name, dating::reading(feature, value)))
    });
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| format!("Seen: {}.", said.join("; ")))
}

//! The change of a day without each claim or garment of its chain.

use crate::chronology::without::{Asked, Piece, Without};
use crate::date::{Day, spoken};
use crate::explain::Sentence;
use crate::knowledge::Knowledge;

/// How many voices that would count again are named.
const NAMED: usize = 3;

/// Says of each piece of a chain what the day would be without it.
pub fn changes(without: &Without<'_>, asked: Asked, because: &[crate::knowledge::VoiceIndex]) -> Vec<Sentence> {
    let now = without.reason(asked).map(|reason| reason.day);
    let pieces = without.pieces(because);
    pieces.iter().map(|piece| change(without, asked, now, piece)).collect()
}

fn change(without: &Without<'_>, asked: Asked, now: Option<Day>, piece: &Piece) -> Sentence {
    if without.is_too_entangled(piece) {
        return untold(without, piece);
    }
    let outcome = match without.day(asked, piece) {
        // Only an estimate bounds a side that has a chain but no day from voices.
        None if now.is_none() => {
            "the estimate would lose this link to the bound; the estimates were not recomputed".to_string()
        }
        day if day == now => "it would not change".to_string(),
        Some(day) => format!("it would be {}", spoken::by(day)),
        None => "nothing would limit it".to_string(),
    };
    let returning = returning(without, piece);
    Sentence::new(0, format!("Without {}, {outcome}{returning}.", name(without.knowledge(), piece)))
}

/// Says that the effect of leaving a piece out is not known.
pub fn untold(without: &Without<'_>, piece: &Piece) -> Sentence {
    let name = name(without.knowledge(), piece);
    Sentence::new(0, format!("The effect of removing {name} was not computed: too many claims contradict it."))
}

/// Names the voices that would count again, as the end of a sentence; empty if there are none.
pub fn returning(without: &Without<'_>, piece: &Piece) -> String {
    let returning = without.returning(piece);
    let named = |index: &crate::knowledge::VoiceIndex| format!("`{}`", without.knowledge().voice(*index).name);
    let names: Vec<String> = returning.iter().take(NAMED).map(named).collect();
    match returning.len().saturating_sub(NAMED) {
        0 if names.is_empty() => String::new(),
        0 => format!(", and {} would count again", names.join(" and ")),
        more => format!(", and {} and {more} more would count again", names.join(", ")),
    }
}

/// Names a piece: the garment by its entry, a claim by its name.
pub fn name(knowledge: &Knowledge, piece: &Piece) -> String {
    if let Some(garment) = piece.garment {
        let first = knowledge.catalog.garment(garment).observations[0];
        return format!("the garment in `{}`", knowledge.catalog.record(first).path);
    }
    let names: Vec<String> = piece.voices.iter().map(|voice| format!("`{}`", knowledge.voice(*voice).name)).collect();
    names.join(" and ")
}

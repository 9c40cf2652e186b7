//! Explains a conflict: which claims contradict one another, what became of them, and what would count without each.

use std::collections::BTreeSet;

use crate::chronology::without::{Piece, Without};
use crate::date::DaySpan;
use crate::evidence::landmark;
use crate::explain::era::reason;
use crate::explain::{Sentence, span, without};
use crate::knowledge::{Conflict, Knowledge, Standing, VoiceIndex};
use crate::source::Place;

/// Explains a conflict.
pub fn sentences(without: &Without<'_>, conflict: &Conflict) -> Vec<Sentence> {
    let knowledge = without.knowledge();
    let first = match conflict.members.len() {
        1 => "This cannot be true on its own:".to_string(),
        count => format!("These {count} statements cannot all be true; remove any one, and the rest can be:"),
    };
    let mut sentences = vec![Sentence::new(0, first)];
    for member in &conflict.members {
        let standing = match knowledge.voice(*member).standing {
            Standing::Kept => "counts: ",
            Standing::Contested => "contested: ",
            Standing::SetAside => "set aside: ",
        };
        sentences.push(reason(knowledge, 1, standing, *member));
        sentences.extend(landmarks(knowledge, *member));
    }
    sentences.push(Sentence::new(0, outcome(knowledge, conflict)));
    sentences.extend(changes(without, conflict));
    sentences
}

/// Says for each member of a conflict what would count without it.
pub fn changes(without: &Without<'_>, conflict: &Conflict) -> Vec<Sentence> {
    without.pieces(&conflict.members).iter().map(|piece| left_out(without, piece)).collect()
}

/// The landmarks that a placing brings with it.
fn landmarks(knowledge: &Knowledge, member: VoiceIndex) -> Vec<Sentence> {
    let catalog = &knowledge.catalog;
    let found = knowledge.voice(member).landmarks.iter();
    let found = found.filter_map(|index| Some((catalog.record(*index), landmark::of(catalog, *index)?)));
    found
        .map(|(record, landmark)| {
            let first = landmark::not_before(landmark, catalog.circa());
            let last = landmark::not_after(landmark, catalog.circa());
            let allows = span(DaySpan::new(first, last).unwrap_or(DaySpan::OPEN));
            let place = Place { file: record.file, span: landmark.when.span };
            Sentence::new(2, format!("a garment that shows this was made {allows}: `{}`", record.path)).at([place])
        })
        .collect()
}

/// The voices of a knot.
pub fn of_knot(knowledge: &Knowledge, knot: &str) -> BTreeSet<VoiceIndex> {
    let listed = knowledge.conflicts.iter().filter(|conflict| conflict.knot.as_str() == knot);
    listed.flat_map(|conflict| conflict.members.iter().copied()).collect()
}

fn outcome(knowledge: &Knowledge, conflict: &Conflict) -> String {
    if knowledge.unsearched.contains(&conflict.knot) {
        return format!(
            "The search for the lightest solution stopped: choosing which of {} statements around `{}` to set aside takes too many steps. All of them are contested and not counted until some are settled in `entries/disputes/`.",
            of_knot(knowledge, conflict.knot.as_str()).len(),
            conflict.knot
        );
    }
    let standing = |wanted: Standing| {
        let members = conflict.members.iter().map(|member| knowledge.voice(*member));
        members.filter(|voice| voice.standing == wanted).map(|voice| voice.weight.as_f64()).collect::<Vec<f64>>()
    };
    let (kept, aside) = (standing(Standing::Kept), standing(Standing::SetAside));
    let sum = |weights: &[f64]| weights.iter().sum::<f64>();
    match (aside.as_slice(), standing(Standing::Contested).as_slice()) {
        ([], []) => "All of them count: they agree only because `~` was read broadly.".to_string(),
        ([], _) => {
            "No solution is clearly the lightest, so the contested statements are not counted until more is known."
                .to_string()
        }
        (aside, _) if kept.is_empty() => format!("The statements set aside weigh {}.", sum(aside)),
        (aside, _) => {
            let (kept, aside) = (sum(&kept), sum(aside));
            format!("Setting aside a weight of {aside} is the lightest solution; the other statements weigh {kept}.")
        }
    }
}

fn left_out(without: &Without<'_>, piece: &Piece) -> Sentence {
    if without.is_too_entangled(piece) {
        return without::untold(without, piece);
    }
    let knowledge = without.knowledge();
    let returning = without::returning(without, piece);
    let name = without::name(knowledge, piece);
    let words = match returning.as_str() {
        "" => format!("Without {name}, nothing more would count than counts now."),
        returning => format!("Without {name}, the conflict would be gone{returning}."),
    };
    Sentence::new(0, words)
}

//! Explains when a garment was made: its first and last day, each with the chain behind it and what would change it.

use crate::chronology::solver::bounds::Direction;
use crate::chronology::without::Without;
use crate::date::{DaySpan, spoken};
use crate::explain::era::reason;
use crate::explain::{Sentence, span, without};
use crate::knowledge::{Saying, Standing, VoiceIndex};
use crate::resolve::{GarmentIndex, RecordIndex};

/// Explains when a garment was made.
pub fn sentences(without: &Without<'_>, garment: GarmentIndex) -> Vec<Sentence> {
    let knowledge = without.knowledge();
    let name = &knowledge.catalog.record(knowledge.catalog.garment(garment).observations[0]).path;
    let made = knowledge.made.get(&garment).copied().unwrap_or(DaySpan::OPEN);
    let mut sentences = vec![match made.is_open() {
        true => Sentence::new(0, format!("Nothing shows when the garment in `{name}` was made.")),
        false => Sentence::new(0, format!("The garment in `{name}` was made {}.", span(made))),
    }];
    let ways = [
        (Direction::Earliest, "On the evidence, it was not made before"),
        (Direction::Latest, "On the evidence, it was made by"),
    ];
    for (direction, known) in ways {
        sentences.extend(end(without, garment, direction, known));
    }
    sentences.extend(placing(without, garment));
    sentences.extend(estimates(without, garment));
    sentences
}

fn end(without: &Without<'_>, garment: GarmentIndex, direction: Direction, known: &str) -> Vec<Sentence> {
    let asked = without.garment(garment, direction);
    let Some((asked, found)) = asked.and_then(|asked| Some((asked, without.reason(asked)?))) else {
        return Vec::new();
    };
    let said = if direction == Direction::Earliest { spoken::before } else { spoken::by };
    let mut sentences = vec![Sentence::new(0, format!("{known} {}:", said(found.day)))];
    sentences.extend(found.voices.iter().map(|index| reason(without.knowledge(), 1, "because ", *index)));
    let changes = without::changes(without, asked, &found.voices);
    sentences.extend(changes.into_iter().map(|change| Sentence { depth: 1, ..change }));
    sentences
}

/// The standing of its placing, if it is set aside or contested.
fn placing(without: &Without<'_>, garment: GarmentIndex) -> Option<Sentence> {
    let knowledge = without.knowledge();
    let index = *knowledge.placings.get(&garment)?;
    match knowledge.voice(index).standing {
        Standing::Kept => None,
        Standing::Contested => Some(reason(knowledge, 0, "Its placing is contested: ", index)),
        Standing::SetAside => Some(reason(knowledge, 0, "Its placing is set aside: ", index)),
    }
}

fn estimates(without: &Without<'_>, garment: GarmentIndex) -> Vec<Sentence> {
    // Estimates come garment by garment, so those of one stand together.
    let all = &without.knowledge().estimates;
    let first = all.partition_point(|estimate| estimate.garment < garment);
    let own = all[first..].iter().take_while(|estimate| estimate.garment == garment);
    own.map(|estimate| {
        let fits = match (estimate.fits, estimate.excluded_by) {
            (false, _) => "contradicts the other evidence",
            (true, Some(_)) => "fits the other evidence but contradicts another estimate, so neither limits anything",
            (true, None) => "fits the other evidence",
        };
        Sentence::new(0, format!("It is also judged to have been made {}, which {fits}.", span(estimate.span)))
            .at([estimate.place])
    })
    .collect()
}

/// Says whether the garment's first and last day rest on anything but its own date.
pub fn rests_on_others(without: &Without<'_>, garment: GarmentIndex) -> bool {
    let knowledge = without.knowledge();
    let is_own = |index: &VoiceIndex| {
        let voice = knowledge.voice(*index);
        voice.garment == Some(garment) && matches!(voice.says, Saying::Made(_))
    };
    [Direction::Earliest, Direction::Latest].into_iter().any(|direction| {
        let reason = without.garment(garment, direction).and_then(|asked| without.reason(asked));
        reason.is_some_and(|reason| !reason.voices.iter().all(is_own))
    })
}

/// The garment that an observation is of, if it counts as one.
pub fn of_observation(without: &Without<'_>, observation: RecordIndex) -> Option<GarmentIndex> {
    let garments = &without.knowledge().catalog.garments;
    let at = garments.iter().position(|garment| garment.observations.contains(&observation))?;
    Some(GarmentIndex(at as u32))
}

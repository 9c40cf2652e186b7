//! Explains an era: each bound with the chain behind it and what would change it, then what was not counted.

use crate::chronology::without::Without;
use crate::date::spoken;
use crate::explain::{Sentence, authority, made, saying, span, weight, without};
use crate::knowledge::{Bound, Era, Knowledge, Saying, Side, Standing, Voice, VoiceIndex};
use crate::record::id::Thing;

/// How many claims of one voice are named.
const NAMED: usize = 3;

/// Explains an era.
pub fn sentences(without: &Without<'_>, thing: &Thing, era: &Era) -> Vec<Sentence> {
    let mut sentences = vec![Sentence::new(0, format!("`{thing}` {}.", made(era)))];
    for (side, _) in Side::ALL {
        sentences.extend(bound(without, thing, side, era.bound(side)));
    }
    sentences.extend(not_counted(without.knowledge(), thing));
    sentences
}

fn bound(without: &Without<'_>, thing: &Thing, side: Side, bound: Option<&Bound>) -> Vec<Sentence> {
    let (known, unknown) = match side {
        Side::BeginEarliest => ("It did not begin before", "Nothing limits how early it began."),
        Side::BeginLatest => ("It had begun by", "Nothing shows by when it had begun."),
        Side::EndEarliest => ("It had not ended before", "Nothing shows how long it was made."),
        Side::EndLatest => ("It had ended by", "Nothing limits how late it ended."),
    };
    let knowledge = without.knowledge();
    let Some(bound) = bound else { return vec![Sentence::new(0, unknown)] };
    let said = if matches!(side, Side::BeginEarliest | Side::EndEarliest) { spoken::before } else { spoken::by };
    let mut sentences = vec![Sentence::new(0, format!("{known} {}:", said(bound.day)))];
    sentences.extend(bound.because.iter().map(|index| reason(knowledge, 1, "because ", *index)));
    if let Some(estimate) = bound.estimate.and_then(|at| knowledge.estimates.get(at)) {
        let path = &knowledge.catalog.record(estimate.record).path;
        let judged = span(estimate.span);
        let words = format!("estimated: `{path}` judges it made {judged}; no other voice limits this side");
        sentences.push(Sentence::new(1, words).at([estimate.place]));
    }
    if bound.rests_on_one {
        let words = "This rests on one voice: without it the limit would be open or would move by more than a year.";
        sentences.push(Sentence::new(1, words));
    }
    let changes = without.side(thing, side).map(|asked| without::changes(without, asked, &bound.because));
    sentences.extend(changes.into_iter().flatten().map(|change| Sentence { depth: 1, ..change }));
    sentences
}

/// Gives a voice's statement, authority and weight, after some first words.
pub fn reason(knowledge: &Knowledge, depth: usize, first: &str, index: VoiceIndex) -> Sentence {
    let voice = knowledge.voice(index);
    let parts = voice.claims.iter().take(NAMED);
    let names: Vec<String> = parts.clone().map(|part| format!("`{}`", part.name)).collect();
    let more = voice.claims.len().saturating_sub(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    let rests = voice.claims.first().map(|part| authority(knowledge, voice, part)).unwrap_or_default();
    let says = saying(knowledge, voice);
    let words = format!("{first}{}{more}: {says} (on {rests}; {})", names.join(", "), weight(voice));
    Sentence::new(depth, words).at(parts.map(|part| part.place))
}

/// The voices about a thing that are not counted, with the reasons.
fn not_counted(knowledge: &Knowledge, thing: &Thing) -> Vec<Sentence> {
    let speaks_of = |voice: &Voice| match &voice.says {
        Saying::Began(about, _) | Saying::Ended(about, _) | Saying::Attested(about, _) => **about == *thing,
        Saying::Before(about, other) => **about == *thing || **other == *thing,
        _ => false,
    };
    let numbered = (0..).map(VoiceIndex).zip(&knowledge.voices);
    let out = numbered.filter(|(_, voice)| !voice.is_kept() && speaks_of(voice));
    out.map(|(index, voice)| match voice.standing {
        Standing::Contested => reason(knowledge, 0, "Contested, so not counted: ", index),
        _ => reason(knowledge, 0, "Set aside, so not counted: ", index),
    })
    .collect()
}

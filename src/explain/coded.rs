//! The codes of garments, in words: how each figure was read, which dates remain, why the others went, and what counts.

use std::collections::BTreeMap;

use crate::chronology::solver::bounds::Direction;
use crate::chronology::without::Without;
use crate::code::calendar::CodeDate;
use crate::date::{Day, DaySpan, spoken};
use crate::evidence::coded::{self, CodedGarment};
use crate::evidence::key;
use crate::explain::Sentence;
use crate::explain::dating;
use crate::explain::era::reason;
use crate::explain::key::{dates, explained, forms, quoted, reading, unread, years};
use crate::knowledge::{Knowledge, Standing, VoiceIndex};
use crate::record::id::KeyId;
use crate::resolve::{Catalog, GarmentIndex};

/// Explains every code of a garment that a key speaks of.
pub fn of_garment(without: &Without<'_>, garment: GarmentIndex) -> Vec<Sentence> {
    let knowledge = without.knowledge();
    let catalog = &knowledge.catalog;
    let codes = coded::of_garment(catalog, &key::standing(catalog), catalog.garment(garment));
    let sentences = codes.iter().flat_map(|code| {
        let figures = explained(knowledge, &code.code.seen).into_iter().map(|words| Sentence::new(1, words));
        let head = Sentence::new(
            0,
            format!(
                "Its code {}: {}",
                quoted(code.code.seen.code),
                counts(catalog, code, |name| knowledge.voice_of(name).map(|voice| voice.standing))
            ),
        );
        let left = knowledge.made.get(&garment).and_then(|made| remains(code, *made));
        let left = left.into_iter().map(|words| Sentence::new(1, words));
        let gone = ruled_out(without, garment, code).into_iter();
        let gone = gone.map(|sentence| Sentence { depth: sentence.depth + 1, ..sentence });
        std::iter::once(head).chain(figures).chain(left).chain(gone).collect::<Vec<Sentence>>()
    });
    sentences.collect()
}

/// Explains a key: what it reads, who says so, and each recorded code that it speaks of.
pub fn of_key(knowledge: &Knowledge, id: &KeyId) -> Option<Vec<Sentence>> {
    let catalog = &knowledge.catalog;
    let index = *catalog.keys.get(id)?;
    let found = key::of(catalog, index)?;
    let record = catalog.record(index);
    let makers: Vec<String> = found.makers.iter().map(|maker| format!("`{}`", maker.value)).collect();
    let makers = if makers.is_empty() { "any maker".to_string() } else { makers.join(", ") };
    let cited = dating::citations(knowledge, record, &found.sources).join("; ");
    let standing = key::StandingKey { id, index, key: found };
    let mut sentences = vec![
        Sentence::new(
            0,
            format!(
                "The key `{}`, “{}”, reads `{}` on garments of {makers}, from {}: {}.",
                record.path,
                found.title.value,
                found.reads.value,
                years(found),
                forms(found)
            ),
        ),
        Sentence::new(1, format!("It rests on {cited}.")),
        Sentence::new(
            1,
            format!(
                "For a garment in hand, years outside its reading are {} times less likely.",
                key::odds(catalog, standing)
            ),
        ),
    ];
    let voice = knowledge.voices.iter().position(|voice| {
        voice.claims.iter().any(|claim| claim.name.as_str().strip_suffix("#key") == Some(record.path.as_str()))
    });
    sentences.extend(voice.map(|place| standing_of(knowledge, VoiceIndex(place as u32))));
    let claims = knowledge
        .voices
        .iter()
        .flat_map(|voice| voice.claims.iter().map(|claim| (claim.name.as_str(), voice.standing)));
    let standings: BTreeMap<&str, Standing> = claims.collect();
    for garment in coded::all(catalog) {
        let counts = counts(catalog, &garment, |name| standings.get(name).copied());
        sentences.extend(code_of(catalog, id, &garment, counts));
    }
    Some(sentences)
}

fn standing_of(knowledge: &Knowledge, voice: VoiceIndex) -> Sentence {
    let lead = match knowledge.voice(voice).standing {
        Standing::Kept => "It counts: ",
        Standing::Contested => "It is contested and does not count: ",
        Standing::SetAside => "It is set aside and does not count: ",
    };
    reason(knowledge, 1, lead, voice)
}

/// The code of one garment as a key reads it; `None` if the key does not cover the garment.
fn code_of(catalog: &Catalog, id: &KeyId, garment: &CodedGarment<'_>, counts: &str) -> Option<Sentence> {
    let seen = &garment.code.seen;
    let read = seen.reads.iter().find(|read| read.key.id == id);
    let says = match read {
        Some(read) => {
            let figures: Vec<String> = read.reading.forms.iter().flat_map(crate::explain::key::figures).collect();
            format!("{}. It reads {}. {counts}", figures.join("; "), reading(&read.reading))
        }
        None => {
            let (key, why) = seen.unread.iter().find(|(key, _)| key.id == id)?;
            format!("{}.", unread(key.key, why))
        }
    };
    let path = &catalog.record(garment.code.record).path;
    Some(Sentence::new(0, format!("{} on `{path}`: {says}", quoted(seen.code))).at([garment.code.place]))
}

/// Says which dates fit everything else known; `None` if all do.
pub fn remains(garment: &CodedGarment<'_>, made: DaySpan) -> Option<String> {
    let all = &garment.code.seen.used().first()?.reading.dates;
    let left: Vec<CodeDate> = all.iter().filter(|date| days(**date).overlaps(made)).copied().collect();
    match (left.len(), all.len()) {
        (_, 1) => None,
        (0, _) => Some("None of these dates fits everything else known about the garment.".to_string()),
        (some, every) if some == every => None,
        _ => Some(format!("Only {} fits everything else known about the garment.", dates(&left))),
    }
}

/// Why dates that the code can mean are too early or too late, each with the chain behind it.
pub fn ruled_out(without: &Without<'_>, garment: GarmentIndex, code: &CodedGarment<'_>) -> Vec<Sentence> {
    let Some(read) = code.code.seen.used().first() else { return Vec::new() };
    let ways = [
        (Direction::Earliest, "was not made before", spoken::before as fn(Day) -> String),
        (Direction::Latest, "was not made after", spoken::by),
    ];
    let mut sentences = Vec::new();
    for (direction, known, said) in ways {
        let asked = without.garment(garment, direction);
        let Some(found) = asked.and_then(|asked| without.reason(asked)) else { continue };
        let is_out = |date: &CodeDate| match direction {
            Direction::Earliest => date.last < found.day,
            Direction::Latest => date.first > found.day,
        };
        let out: Vec<CodeDate> = read.reading.dates.iter().copied().filter(is_out).collect();
        if !out.is_empty() {
            let words = format!("{} is ruled out: the garment {known} {}.", dates(&out), said(found.day));
            sentences.push(Sentence::new(0, words));
            sentences.extend(found.voices.iter().map(|voice| reason(without.knowledge(), 1, "because ", *voice)));
        }
    }
    sentences
}

fn days(date: CodeDate) -> DaySpan {
    DaySpan::new(Some(date.first), Some(date.last)).expect("a date ends after it begins")
}

/// Whether the reading dates the garment; `standing` says what became of a voice, by its name.
pub fn counts(
    catalog: &Catalog,
    garment: &CodedGarment<'_>,
    standing: impl Fn(&str) -> Option<Standing>,
) -> &'static str {
    let seen = &garment.code.seen;
    let entries = || garment.observations.iter().filter_map(|index| catalog.record(*index).content.observation());
    let made = standing(&format!("{}#made", catalog.record(garment.code.record).path));
    let keys = seen.used().iter().filter_map(|read| standing(&format!("{}#key", catalog.record(read.key.index).path)));
    // The date is kept while the code and any of its keys are.
    let both = made.zip(keys.min()).map(|(made, key)| made.max(key));
    match (seen.reads.is_empty(), seen.used().is_empty(), both) {
        (true, ..) => "So it dates nothing.",
        (_, true, _) => "Neither is preferred, so the code dates nothing.",
        _ if entries().any(key::has_own_date) => match garment.own_dates_against(catalog).is_empty() {
            true => "The entry gives a date that agrees with it; the date in the entry counts.",
            false => "The entry gives a different date, which counts; the code does not.",
        },
        (.., Some(Standing::Kept)) => "That is the garment's date.",
        (.., Some(Standing::Contested)) => "Other evidence contradicts it, so it is contested and limits nothing.",
        (.., Some(Standing::SetAside)) => "Other evidence contradicts it, so it is set aside.",
        (.., None) => "It limits no era: the variant of the garment is not known, or the date is left out.",
    }
}

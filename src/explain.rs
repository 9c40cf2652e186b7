//! Explains a conclusion in sentences, for the terminal, the findings and the site.
//!
//! It adds no knowledge and formats only words; a conclusion that cannot be explained here should not exist.

pub mod card;
pub mod changes;
pub mod coded;
pub mod codes;
pub mod comparison;
pub mod conflict;
pub mod dating;
pub mod era;
pub mod garment;
pub mod key;
pub mod lines;
pub mod listing;
pub mod speaking;
pub mod steps;
pub mod verdict;
pub mod without;

use crate::date::{DaySpan, spoken};
use crate::evidence;
use crate::knowledge::{Era, Knowledge, Saying, Voice, VoiceClaim};
use crate::record::claim::Claim;
use crate::record::id::whole_claim;
use crate::record::key::CodeKey;
use crate::record::observation::{MadeBy, Observation, PlacedBy, Value};
use crate::source::Place;

/// The caution shown with every answer.
pub const CAUTION: &str = "This is an opinion drawn from what people recorded, not an authentication. Parts get \
    replaced and labels get moved to other garments. Tell a buyer what you measured yourself, and keep to the \
    consumer law of the place where you sell.";

/// Says when, as part of a sentence: `in 1977`, `from March to May 1971`, `in or before 1979`.
///
/// ```
/// use bartack::date::{Day, DaySpan};
/// let year = DaySpan::new(Day::from_ymd(1977, 1, 1), Day::from_ymd(1977, 12, 31)).unwrap();
/// assert_eq!(bartack::explain::span(year), "in 1977");
/// ```
pub fn span(span: DaySpan) -> String {
    spoken::within(span)
}

/// Gives a voice's statement, as a sentence without a full stop.
pub fn saying(knowledge: &Knowledge, voice: &Voice) -> String {
    match &voice.says {
        Saying::Began(thing, days) => format!("`{thing}` was first made {}", span(*days)),
        Saying::Ended(thing, days) => format!("`{thing}` was last made {}", span(*days)),
        Saying::Attested(thing, days) => format!("`{thing}` was being made {}", span(*days)),
        Saying::Before(thing, other) => format!("`{thing}` ended before `{other}` began"),
        Saying::Document(days) => format!("a document shows {} {}", of_variant(knowledge, voice), span(*days)),
        Saying::Made(days) => format!("this garment was made {}", span(*days)),
        Saying::Seen(days) => seen(&of_variant(knowledge, voice), *days),
        Saying::Key => match code_key(knowledge, voice) {
            Some(key) => format!("the key to “{}” reads codes correctly", key.title.value),
            None => "date codes read through this key are right".to_string(),
        },
    }
}

fn seen(variant: &str, days: DaySpan) -> String {
    let placed = format!("this garment is of {variant} and has the features recorded");
    if days.is_open() {
        return placed;
    }
    format!("{placed}; its landmarks allow only dates {}, {}", span(days), dating::ORIGINAL)
}

fn of_variant(knowledge: &Knowledge, voice: &Voice) -> String {
    let garment = voice.garment.and_then(|garment| knowledge.catalog.garment(garment).variant.as_ref());
    let placed = || {
        let observation = observation(knowledge, voice.claims.first()?)?;
        match &observation.placement {
            crate::record::observation::Placement::Variant(variant) => Some(variant),
            crate::record::observation::Placement::Unplaced(_) => None,
        }
    };
    garment.or_else(placed).map_or_else(|| "its variant".to_string(), |variant| format!("`{variant}`"))
}

/// Names what a part of a voice rests on: its sources, the garment in hand, or the person who says so.
pub fn authority(knowledge: &Knowledge, voice: &Voice, part: &VoiceClaim) -> String {
    let observation = observation(knowledge, part);
    match (&voice.says, observation) {
        (Saying::Key, _) => match code_key(knowledge, voice) {
            Some(key) => sources_or(&key.sources, None),
            None => "the source of the key".to_string(),
        },
        (Saying::Seen(_), Some(observation)) => placing(observation).to_string(),
        (Saying::Made(_), Some(observation)) => dating(observation),
        (Saying::Document(_), Some(observation)) => sources_or(&observation.sources, Some(observation)),
        _ => {
            let sources = claim(knowledge, part).map_or(&[][..], |claim| claim.sources.as_slice());
            sources_or(sources, observation)
        }
    }
}

/// The key that a voice represents, if it is one.
fn code_key<'a>(knowledge: &'a Knowledge, voice: &Voice) -> Option<&'a CodeKey> {
    evidence::key::of(&knowledge.catalog, voice.claims.first()?.record?)
}

fn placing(observation: &Observation) -> &'static str {
    match observation.placed_by.as_ref().map(|by| by.value) {
        Some(PlacedBy::Mark) => "a mark on the garment",
        Some(PlacedBy::Paper) => "a paper with the garment",
        Some(PlacedBy::Judged) => "the judgement of the person who recorded it",
        None => "the garment as recorded",
    }
}

fn dating(observation: &Observation) -> String {
    match observation.made_by.as_ref().map(|by| by.value) {
        Some(MadeBy::Mark) => "a date on the garment".to_string(),
        Some(MadeBy::Paper) => "a dated paper".to_string(),
        Some(MadeBy::Key) => match &observation.made_source {
            Some(source) => format!("a code read through `{}`", source.value.id),
            None => "a code read through a key".to_string(),
        },
        // An estimate is no voice: the code dates such an entry.
        Some(MadeBy::Estimate) | None => "the code on it, read through a key".to_string(),
    }
}

fn sources_or(
    sources: &[crate::source::Spanned<crate::record::claim::SourceReference>],
    observation: Option<&Observation>,
) -> String {
    let named: Vec<String> = sources
        .iter()
        .map(|source| match source.value.locator.as_str() {
            "" => format!("`{}`", source.value.id),
            locator => format!("`{} {locator}`", source.value.id),
        })
        .collect();
    match (named.as_slice(), observation.and_then(|observation| observation.observer.as_ref())) {
        ([], Some(observer)) => format!("`{}`, who names no source", observer.value),
        ([], None) => "this entry, which names no source".to_string(),
        (some, _) => some.join(" and "),
    }
}

fn observation<'a>(knowledge: &'a Knowledge, part: &VoiceClaim) -> Option<&'a Observation> {
    knowledge.catalog.record(part.record?).content.observation()
}

/// Finds the claim that a part of a voice was made from, if it was one.
pub fn claim<'a>(knowledge: &'a Knowledge, part: &VoiceClaim) -> Option<&'a Claim> {
    let record = knowledge.catalog.record(part.record?);
    let (_, name) = part.name.as_str().rsplit_once('#')?;
    record.content.claim(whole_claim(name))
}

/// Gives the date of a part of a voice as it is written, if a `~` or `%` widens it.
pub fn widened<'a>(knowledge: &'a Knowledge, voice: &Voice, part: &VoiceClaim) -> Option<&'a str> {
    let when = match &voice.says {
        Saying::Made(_) | Saying::Document(_) => observation(knowledge, part)?.made.as_ref()?,
        _ => claim(knowledge, part)?.event.value.when()?,
    };
    let written = when.value.as_str();
    written.contains(['~', '%']).then_some(written)
}

/// Labels a part of a voice: what it says, on whose authority, and with what weight.
pub fn testimony(knowledge: &Knowledge, voice: &Voice, part: &VoiceClaim) -> String {
    let written = widened(knowledge, voice, part).map_or(String::new(), |written| format!(", written `{written}`"));
    let says = saying(knowledge, voice);
    format!("{says}{written} (on {}; {})", authority(knowledge, voice, part), weight(voice))
}

/// Writes what a reading shows.
pub fn value(value: &Value) -> String {
    match value {
        Value::State(state) => format!("`{state}`"),
        Value::Count(count) => count.to_string(),
        Value::Measure(number) | Value::Number(number) => number.to_string(),
        Value::Code(code) => format!("`{code}`"),
        Value::Absent => "`absent`".to_string(),
        Value::Lost => "`lost`".to_string(),
        Value::Other(words) => format!("something with no word in the vocabulary yet: `{words}`"),
    }
}

/// Writes how many times as likely one thing is as another: `30 to 1`.
pub fn odds(ratio: f64) -> String {
    match ratio {
        ratio if ratio < 1_000.5 => format!("{ratio:.0} to 1"),
        _ => "more than 1,000 to 1".to_string(),
    }
}

/// Writes a weight: `weight 4`, `weight 0.5`.
pub fn weight(voice: &Voice) -> String {
    format!("weight {}", voice.weight.as_f64())
}

/// Says when something was surely and possibly made, as the end of a sentence.
pub fn made(era: &Era) -> String {
    let (first, last) = era.possibly_made();
    let possibly = DaySpan::new(first, last).unwrap_or(DaySpan::OPEN);
    match (era.surely_made(), possibly.is_open()) {
        (_, true) if era.is_open() => "has no known dates".to_string(),
        (Some(surely), true) => {
            format!("was surely made {}; nothing limits the years it may have been made", span(surely))
        }
        (Some(surely), false) => format!("was surely made {}, and possibly made {}", span(surely), span(possibly)),
        (None, false) => format!("was possibly made {}; no year is sure", span(possibly)),
        (None, true) => "may have been made at any time".to_string(),
    }
}

/// A sentence of an explanation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sentence {
    /// Its words, with names in backticks.
    pub words: String,
    /// Its depth: a reason is one level deeper than what it explains.
    pub depth: usize,
    /// The places it is about.
    pub places: Vec<Place>,
}

impl Sentence {
    /// Gives a sentence at a depth.
    pub fn new(depth: usize, words: impl Into<String>) -> Sentence {
        Sentence { words: words.into(), depth, places: Vec::new() }
    }

    /// Adds the places it is about.
    pub fn at(mut self, places: impl IntoIterator<Item = Place>) -> Sentence {
        self.places.extend(places);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::{odds, span};
    use crate::date::{Day, DaySpan};

    #[test]
    fn odds_are_whole_and_end_at_a_thousand() {
        let words = [10.0, 29.6, 1_000.4, 1_000.6, f64::INFINITY].map(odds);
        let (last, most) = ("1000 to 1", "more than 1,000 to 1");
        assert_eq!(words, ["10 to 1", "30 to 1", last, most, most]);
    }

    #[test]
    fn spans_read_as_people_say_them() {
        let day = Day::from_ymd;
        let cases = [
            (None, None, "at some time"),
            (day(1977, 1, 1), day(1977, 12, 31), "in 1977"),
            (day(1975, 1, 1), day(1979, 12, 31), "from 1975 to 1979"),
            (day(1975, 3, 1), day(1979, 12, 31), "from March 1975 to December 1979"),
            (day(1975, 3, 1), day(1975, 3, 1), "on 1 March 1975"),
            (day(1975, 1, 1), None, "in or after 1975"),
            (None, day(1979, 12, 31), "in or before 1979"),
            (None, day(1979, 12, 30), "on or before 30 December 1979"),
        ];
        for (first, last, words) in cases {
            assert_eq!(span(DaySpan::new(first, last).expect("not inverted")), words);
        }
    }
}

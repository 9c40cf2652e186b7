//! Codes as voices: a garment without a date of its own was made when its keys say, while code and key both hold.

use ecow::eco_format;
use smallvec::{SmallVec, smallvec};

use crate::chronology::solver::constraint::Unknown;
use crate::chronology::voice::weight::{Authority, roots};
use crate::chronology::voice::{Builder, Draft, DraftIndex, Key, Spans};
use crate::date::DaySpan;
use crate::evidence::key::{self, CodeBearer, GarmentCode, StandingKey};
use crate::knowledge::{Chain, Saying, VoiceClaim};
use crate::record::id::VoiceName;
use crate::resolve::{Catalog, Garment, GarmentIndex, RecordIndex};
use crate::source::Place;

/// A code that dates a garment.
pub struct DatedCode {
    record: RecordIndex,
    place: Place,
    span: DaySpan,
    keys: SmallVec<[RecordIndex; 1]>,
}

/// The codes that date a garment; none where an entry of it gives a date by mark, paper or key.
pub fn of_garment<'a>(
    catalog: &'a Catalog,
    keys: &[StandingKey<'a>],
    garment: &Garment,
    bearer: CodeBearer<'_, 'a>,
) -> Vec<DatedCode> {
    let entries = || garment.observations.iter().filter_map(|index| catalog.record(*index).content.observation());
    if keys.is_empty() || entries().any(key::has_own_date) {
        return Vec::new();
    }
    let codes = key::of_garment(catalog, keys, bearer).into_iter();
    codes.filter(|code| !catalog.is_set_aside(code.record, "made")).filter_map(|code| dated(&code)).collect()
}

fn dated(code: &GarmentCode<'_>) -> Option<DatedCode> {
    let used = code.seen.used();
    let span = used.first()?.span();
    let keys = used.iter().map(|read| read.key.index).collect();
    Some(DatedCode { record: code.record, place: code.place, span, keys })
}

/// Adds the dates that a garment's codes give, with the voices of each date, the code itself first.
pub fn add(builder: &mut Builder<'_>, garment: GarmentIndex, made: Unknown, codes: &[DatedCode]) -> Vec<Chain> {
    let mut dates = Vec::new();
    for of_entry in codes.chunk_by(|one, other| one.record == other.record) {
        let voice = made_voice(builder, garment, of_entry);
        for code in of_entry {
            let spans = Spans { widened: code.span, as_written: code.span };
            for key in &code.keys {
                let holds = key_voice(builder, *key);
                builder.within(made, spans, &[voice, holds]);
                dates.push(smallvec![voice.unsorted(), holds.unsorted()]);
            }
        }
    }
    dates
}

/// The voice of all codes that one entry records.
fn made_voice(builder: &mut Builder<'_>, garment: GarmentIndex, codes: &[DatedCode]) -> DraftIndex {
    let first = &codes[0];
    let span = codes.iter().try_fold(first.span, |span, code| span.intersection(code.span)).unwrap_or(first.span);
    let name = VoiceName::new(eco_format!("{}#made", builder.catalog.record(first.record).path));
    let claim = VoiceClaim { name, record: Some(first.record), place: first.place };
    let authority = Authority::in_hand(builder.catalog.about.weight.in_hand, false);
    let draft = Draft::new(Saying::Made(span), authority, Some(garment));
    builder.new_voice(Draft { claims: SmallVec::from_elem(claim, 1), ..draft })
}

/// The voice that says a key holds.
fn key_voice(builder: &mut Builder<'_>, index: RecordIndex) -> DraftIndex {
    let catalog = builder.catalog;
    builder.voice(Key::Reads(index), || {
        let record = catalog.record(index);
        let (sources, title) =
            key::of(catalog, index).map_or((&[][..], None), |key| (&key.sources[..], Some(&key.title)));
        let authority = Authority::of_roots(roots(catalog, index, sources), false);
        let name = VoiceName::new(eco_format!("{}#key", record.path));
        let span = title.map_or(record.body, |title| title.span);
        let claim = VoiceClaim { name, record: Some(index), place: Place { file: record.file, span } };
        Draft { claims: SmallVec::from_elem(claim, 1), ..Draft::new(Saying::Key, authority, None) }
    })
}

//! The garments of a thing that show a feature and are dated, in order of time.
//!
//! An item counts as in every comparison: a garment, or a find or the copies of a document once for each state.

use ecow::EcoString;

use crate::date::{Day, DaySpan};
use crate::evidence::{Evidence, Item};
use crate::record::Content;
use crate::record::id::VariantId;
use crate::resolve::{Catalog, RecordIndex};
use crate::vocabulary::Feature;

/// The longest span, in years, of an item that counts as dated.
const LONGEST_SPAN: i32 = 4;

/// A variant of the thing.
#[derive(Clone, Debug)]
pub struct Member<'a> {
    /// The counted evidence of the item.
    pub evidence: &'a Evidence<'a>,
    /// Model, line and wearer: runs of one setting are alike.
    pub setting: String,
}

impl<'a> Member<'a> {
    /// Finds the setting of what was counted.
    pub fn new(catalog: &Catalog, evidence: &'a Evidence<'a>) -> Member<'a> {
        Member { evidence, setting: setting(catalog, &evidence.variant) }
    }
}

fn setting(catalog: &Catalog, id: &VariantId) -> String {
    let entry = catalog.variants.get(id);
    let line = entry.and_then(|entry| entry.line.as_ref()).map_or("", |line| line.line());
    let wearer = entry.and_then(|entry| match &catalog.record(entry.record).content {
        Content::Variant(variant) => Some(variant.wearer.word()),
        _ => None,
    });
    format!("{} {line} {}", id.model(), wearer.unwrap_or_default())
}

/// An item with a known date.
#[derive(Clone, Debug)]
pub struct Dated {
    /// Its reading.
    pub state: EcoString,
    /// The days on which it was made.
    pub span: DaySpan,
    /// The middle of them.
    pub middle: Day,
    /// The observations behind it.
    pub records: Vec<RecordIndex>,
    /// The variant it counts for.
    pub variant: VariantId,
    /// The member it was counted in.
    pub(super) member: usize,
    /// Its place among the member's items of the feature.
    pub(super) place: usize,
}

/// The dated items of a feature, in order of their middle days, then of entries.
pub(super) fn of(catalog: &Catalog, feature: &Feature, members: &[Member<'_>]) -> Vec<Dated> {
    let mut items: Vec<Dated> = Vec::new();
    for (number, member) in members.iter().enumerate() {
        let own = member.evidence.items(&feature.id).iter().enumerate();
        items.extend(own.filter_map(|(place, item)| {
            let (span, middle) = date(catalog, feature, member.evidence, item)?;
            let state = EcoString::from(item.seen.state()?);
            let records = item.bearers.iter().flat_map(|bearer| &member.evidence.bearers[*bearer].records);
            let (records, variant) = (records.copied().collect(), member.evidence.variant.clone());
            Some(Dated { state, span, middle, records, variant, member: number, place })
        }));
    }
    items.sort_by_key(|item| item.middle);
    items
}

/// The hull of the dates of an item's bearers and its middle day, if it is short enough; undated bearers are left out.
fn date(catalog: &Catalog, feature: &Feature, evidence: &Evidence<'_>, item: &Item) -> Option<(DaySpan, Day)> {
    let bearers = item.bearers.iter().map(|bearer| &evidence.bearers[*bearer]);
    let dates = bearers.filter_map(|bearer| bearer.own_date().or_else(|| bearer.guess(catalog, &feature.id)));
    let ends = dates.map(|date| Some((date.first()?, date.last()?)));
    let hull = ends.reduce(|one, other| {
        let ((first, last), (other_first, other_last)) = (one?, other?);
        Some((first.min(other_first), last.max(other_last)))
    });
    let (first, last) = hull??;
    let middle = Day::from_number((first.number() + last.number()).div_euclid(2));
    let span = DaySpan::new(Some(first), Some(last))?;
    (last < first.plus_years(LONGEST_SPAN)).then_some((span, middle))
}

//! Documents as voices: what they show was made when they were.

use ecow::eco_format;

use crate::chronology::voice::weight::{Authority, roots};
use crate::chronology::voice::{Builder, Draft, DraftIndex, Key, Spans, days};
use crate::date::DaySpan;
use crate::date::edtf::Edtf;
use crate::evidence::reading;
use crate::knowledge::{Saying, VoiceClaim};
use crate::record::id::{Thing, VariantId, VoiceName, Whole};
use crate::record::observation::{Basis, Observation, Placement};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::{Place, Span};

/// Adds every document that is filed under a variant.
pub fn add_documents(builder: &mut Builder<'_>) {
    let catalog = builder.catalog;
    for number in 0..catalog.records.len() {
        let index = RecordIndex(number as u32);
        let Some(observation) = catalog.record(index).content.observation() else { continue };
        let is_document = observation.basis.value == Basis::Document && !catalog.withheld.contains(&index);
        if let (Placement::Variant(variant), true) = (&observation.placement, is_document) {
            add_document(builder, index, observation, variant);
        }
    }
}

fn add_document(builder: &mut Builder<'_>, index: RecordIndex, observation: &Observation, variant: &VariantId) {
    let shown = reading::of_document(builder.catalog, index);
    let mut pairs = Vec::new();
    for (feature, state) in reading::states(builder.catalog, &shown) {
        let thing = Builder::state(variant, &feature, state);
        pairs.push((feature, builder.thing(&thing)));
        builder.firm.insert(thing);
    }
    let Some(dated) = document_date(builder.catalog, index, observation) else { return };
    if builder.catalog.is_set_aside(index, "made") {
        return;
    }
    let voice = document_voice(builder, index, observation, &dated);
    let whole = builder.thing(&Thing::of(Whole::Variant(variant.clone())));
    builder.attested(whole, dated.spans, voice);
    for (feature, pair) in pairs {
        if !shown[&feature].judged && !shown[&feature].differs() {
            builder.attested(pair, dated.spans, voice);
        }
    }
}

fn document_voice(
    builder: &mut Builder<'_>,
    index: RecordIndex,
    observation: &Observation,
    dated: &Dated,
) -> DraftIndex {
    let roots = roots(builder.catalog, index, &observation.sources);
    let key = Key::Document(roots.keys().cloned().collect(), days(dated.spans.widened));
    let authority = Authority::of_roots(roots, dated.uncertain);
    let first = authority.clone();
    let says = Saying::Document(dated.spans.widened);
    let voice = builder.voice(key, || Draft::new(says, first, None));
    let record = builder.catalog.record(index);
    let name = VoiceName::new(eco_format!("{}#made", record.path));
    let place = Place { file: record.file, span: dated.span };
    let document = builder.draft(voice);
    document.authority.join(authority);
    document.claims.push(VoiceClaim { name, record: Some(index), place });
    voice
}

/// The date of a document.
pub struct Dated {
    spans: Spans,
    uncertain: bool,
    span: Span,
}

/// The date of a document unless its sources are withheld: its own, or that of its first source; widened by a year both ways where that is an offer.
fn document_date(catalog: &Catalog, index: RecordIndex, observation: &Observation) -> Option<Dated> {
    let record = catalog.record(index);
    if catalog.rests_on_withheld(record.file, &observation.sources) {
        return None;
    }
    let first = observation.sources.first();
    let source = first.and_then(|first| catalog.source_named(record.file, &first.value.id));
    let source = source.map(|source| catalog.cited(source));
    let (date, span): (&Edtf, Span) = match (&observation.made, first) {
        (Some(made), _) => (&made.value, made.span),
        (None, Some(first)) => (source?.date.as_ref()?, first.span),
        (None, None) => return None,
    };
    let years = if source.is_some_and(|source| source.kind.is_offer()) { 1 } else { 0 };
    let widened = date.span(catalog.circa()).widened_by_years(years);
    let spans = Spans { widened, as_written: date.unwidened().widened_by_years(years) };
    Some(Dated { spans, uncertain: date.is_uncertain(), span })
}

/// The span of days a document is of, as offered; nothing where it has no date.
pub fn document_span(catalog: &Catalog, index: RecordIndex) -> Option<DaySpan> {
    let observation = catalog.record(index).content.observation()?;
    document_date(catalog, index, observation).map(|dated| dated.spans.widened)
}

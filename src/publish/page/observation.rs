//! An observation's page: what was seen, as it was recorded, and what follows from it.

mod amending;

use serde::Serialize;

use crate::date::spoken;
use crate::evidence::reading;
use crate::explain;
use crate::page::{PageError, description};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::page::observation::amending::Amending;
use crate::record::Record;
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::observation::{Basis, Observation, PlacedBy, Placement, Unplaced};
use crate::resolve::{GarmentIndex, RecordIndex};
use crate::view::claims::{self, ClaimView};
use crate::view::context::Context;
use crate::view::leaf::{Cited, Frame, Leaf, Link};
use crate::view::path;
use crate::view::photographs::pictures::{self, PhotographView};
use crate::view::readings::codes::{self, CodeView};
use crate::view::readings::{self, ZoneView};
use crate::view::reasons::{self, VoiceView};

/// Writes the observations' pages.
pub const PUBLISHER: Publisher = Publisher {
    name: "observation",
    description: "a page for each observation, placed or not",
    owns: &["makers/*/*/*/*.html", "unplaced/*.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    name: String,
    /// Its own link, for what opens over the page.
    own: Link,
    file: String,
    amending: Amending,
    body: String,
    basis: &'static str,
    withheld: Option<String>,
    placed: Option<Placed>,
    fits: Option<Fits>,
    unplaced: Option<NotPlaced>,
    facts: Vec<Fact>,
    same_garment: Vec<Link>,
    date: Option<Date>,
    estimate: Option<&'static str>,
    concluded: Option<String>,
    /// Why that is, and what would change it.
    why: Vec<String>,
    codes: Vec<CodeView>,
    zones: Vec<ZoneView>,
    has_remarks: bool,
    photographs: Vec<PhotographView>,
    sources: Vec<Cited>,
    claims: Vec<ClaimView>,
}

#[derive(Serialize)]
struct Placed {
    variant: Link,
    by: &'static str,
    voice: Option<VoiceView>,
}

/// Another variant that the other garments of the model say it fits better.
#[derive(Serialize)]
struct Fits {
    variant: Link,
    odds: String,
}

#[derive(Serialize)]
struct NotPlaced {
    known: Vec<Link>,
    wearer: Option<&'static str>,
    perhaps: Vec<Link>,
}

#[derive(Serialize)]
struct Fact {
    name: &'static str,
    value: String,
}

#[derive(Serialize)]
struct Date {
    code: String,
    said: String,
    /// Which days "about" leaves open.
    words: Option<String>,
    by: Option<&'static str>,
    as_written: Option<String>,
    note: Option<String>,
    key: Option<Cited>,
    voice: Option<VoiceView>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let records = (0_u32..).map(RecordIndex).zip(&context.knowledge.catalog.records);
    let pages = records.filter_map(|(index, record)| {
        record.content.observation()?;
        Some(OutputFile::new(path::record(record), move || page(context, index)))
    });
    pages.chain(moved::pages(context, moved::Kind::Observation)).collect()
}

fn page<'a>(context: &'a Context<'a>, index: RecordIndex) -> Result<Vec<u8>, PageError> {
    let record = context.knowledge.catalog.record(index);
    let leaf = Leaf::new(context, path::record(record));
    let missing = || PageError::Words(format!("{} is not an observation", record.path));
    let seen = record.content.observation().ok_or_else(missing)?;
    let garment = context.index.garment(index);
    let span = garment.and_then(|garment| context.knowledge.made.get(&garment));
    let (placed, unplaced, trail) = placing(&leaf, record, seen);
    let title = Leaf::new(context, "").name(index);
    let about = format!(
        "{title}: a {}, entry {}, with {} examined{}.",
        readings::basis(seen.basis.value),
        record.path.stem(),
        description::counted(seen.features.len(), "feature"),
        span.filter(|span| !span.is_open()).map_or_else(String::new, |span| format!(", made {}", explain::span(*span)))
    );
    let zones = readings::of(&leaf, seen);
    let view = View {
        amending: amending::of(&leaf, record, &title),
        // The page says above its heading what it is of; its title stands alone, in a tab or a list of finds.
        frame: leaf.frame(title, &about, trail),
        caution: explain::CAUTION,
        name: leaf.title(index),
        own: leaf.observation(index),
        file: record.path.to_string(),
        body: leaf.prose(record),
        basis: readings::basis(seen.basis.value),
        withheld: leaf.catalog().withheld.contains(&index).then(|| withheld(&leaf, record, seen)),
        placed,
        fits: garment.and_then(|garment| fits(&leaf, garment)),
        unplaced,
        facts: facts(seen),
        same_garment: same_garment(&leaf, index),
        date: date(&leaf, record, seen),
        estimate: estimate(&leaf, index),
        why: garment.map(|garment| why(&leaf, garment)).unwrap_or_default(),
        concluded: span.filter(|span| !span.is_open()).map(|span| explain::span(*span)),
        codes: codes::of(&leaf, index),
        has_remarks: zones.iter().any(ZoneView::has_remarks),
        zones,
        photographs: pictures::of(&leaf, index, seen),
        sources: seen.sources.iter().map(|source| leaf.cited(record.file, &source.value)).collect(),
        claims: claims::written_in(&leaf, index),
    };
    leaf.render("observation.html", &view)
}

/// The reasons for the days between which a garment was made, unless they are its own date, which stands above them.
fn why(leaf: &Leaf<'_>, garment: GarmentIndex) -> Vec<String> {
    let without = leaf.context.analysis.without();
    if !explain::garment::rests_on_others(&without, garment) {
        return Vec::new();
    }
    reasons::sentences(leaf, &explain::garment::sentences(&without, garment)[1..])
}

fn placing(leaf: &Leaf<'_>, record: &Record, seen: &Observation) -> (Option<Placed>, Option<NotPlaced>, Vec<Link>) {
    match &seen.placement {
        Placement::Variant(variant) => {
            let of = |whole: Whole| leaf.thing(&Thing::of(whole));
            let own = leaf.catalog().variants.get(variant).map(|entry| leaf.record(entry.record));
            let trail = [Some(of(Whole::Maker(variant.maker()))), Some(of(Whole::Model(variant.model()))), own];
            (Some(placed(leaf, record, seen, variant)), None, trail.into_iter().flatten().collect())
        }
        Placement::Unplaced(known) => (None, Some(not_placed(leaf, known)), Vec::new()),
    }
}

fn placed(leaf: &Leaf<'_>, record: &Record, seen: &Observation, variant: &VariantId) -> Placed {
    let voice = leaf.context.index.voice(&format!("{}#seen", record.path));
    let by = match reading::placed_by(leaf.catalog(), seen) {
        PlacedBy::Mark => "a label or number on it names it",
        PlacedBy::Paper if seen.basis.value == Basis::Document => "the document names it",
        PlacedBy::Paper => "a paper with it names it",
        PlacedBy::Judged => "somebody judged so",
    };
    Placed {
        variant: leaf.thing(&Thing::of(Whole::Variant(variant.clone()))),
        by,
        voice: voice.map(|voice| reasons::voice(leaf, voice)),
    }
}

/// Another variant that fits a garment much better, by all other garments of its model.
fn fits(leaf: &Leaf<'_>, garment: GarmentIndex) -> Option<Fits> {
    let model = leaf.catalog().garment(garment).variant.as_ref()?.model();
    let misplaced = leaf.context.analysis.misplaced_of(&model).iter().find(|found| found.garment == garment)?;
    let variant = leaf.thing(&Thing::of(Whole::Variant(misplaced.better.clone())));
    Some(Fits { variant, odds: explain::odds(misplaced.ratio) })
}

fn not_placed(leaf: &Leaf<'_>, known: &Unplaced) -> NotPlaced {
    let wholes = [
        known.maker.as_ref().map(|maker| Whole::Maker(maker.value.clone())),
        known.model.as_ref().map(|model| Whole::Model(model.value.clone())),
        known.line.as_ref().map(|line| Whole::Line(line.value.clone())),
    ];
    let perhaps = known.perhaps.iter().map(|variant| Whole::Variant(variant.value.clone()));
    NotPlaced {
        known: wholes.into_iter().flatten().map(|whole| leaf.thing(&Thing::of(whole))).collect(),
        wearer: known.wearer.map(|wearer| wearer.word()),
        perhaps: perhaps.map(|whole| leaf.thing(&Thing::of(whole))).collect(),
    }
}

fn facts(seen: &Observation) -> Vec<Fact> {
    let facts = [
        ("Looked at on", seen.observed.as_ref().map(|day| spoken::day(day.value))),
        ("By", seen.observer.as_ref().map(|observer| observer.value.clone())),
        ("Found with", seen.find.as_ref().map(|find| in_words(find))),
        ("Factory", seen.factory.as_ref().map(|factory| in_words(factory))),
        ("Sold new in", seen.market().map(str::to_string)),
    ];
    facts.into_iter().filter_map(|(name, value)| Some(Fact { name, value: value? })).collect()
}

/// The words of an id.
fn in_words(id: &str) -> String {
    id.replace('-', " ")
}

fn same_garment(leaf: &Leaf<'_>, index: RecordIndex) -> Vec<Link> {
    let garment = leaf.context.index.garment(index).map(|garment| leaf.catalog().garment(garment));
    let observations = garment.map_or(&[][..], |garment| garment.observations.as_slice());
    observations.iter().filter(|other| **other != index).map(|other| leaf.record(*other)).collect()
}

fn date(leaf: &Leaf<'_>, record: &Record, seen: &Observation) -> Option<Date> {
    let made = readings::date(leaf.catalog(), record.file, seen)?;
    let voice = leaf.context.index.voice(&format!("{}#made", record.path));
    Some(Date {
        code: made.as_str().to_string(),
        said: spoken::date(made).unwrap_or_else(|| "unknown".to_string()),
        words: made.is_approximate().then(|| explain::span(made.span(leaf.catalog().circa()))),
        by: readings::dated_by(seen),
        as_written: seen.made_as_written.clone(),
        note: seen.made_note.clone(),
        key: seen.made_source.as_ref().map(|source| leaf.cited(record.file, &source.value)),
        voice: voice.map(|voice| reasons::voice(leaf, voice)),
    })
}

fn estimate(leaf: &Leaf<'_>, index: RecordIndex) -> Option<&'static str> {
    let estimate = leaf.context.index.estimate(index)?;
    Some(match (estimate.fits, estimate.excluded_by) {
        (false, _) => "contradicts the other evidence and limits nothing",
        (true, Some(_)) => "fits the other evidence but contradicts another estimate, so neither limits anything",
        (true, None) => "fits the other evidence",
    })
}

fn withheld(leaf: &Leaf<'_>, record: &Record, seen: &Observation) -> String {
    use crate::record::WithheldWhat;
    let address = record.path.address();
    let found = leaf.catalog().about.withheld.iter().find(|withheld| match &withheld.what.value {
        WithheldWhat::Path(path) => address == path || address.starts_with(&format!("{path}/")),
        WithheldWhat::Source(_) => false,
        WithheldWhat::Observer(name) => seen.observer.as_ref().is_some_and(|observer| observer.value == *name),
    });
    found.map_or_else(String::new, |withheld| withheld.reason.clone())
}

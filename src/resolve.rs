//! All records to a catalog: grouped and linked by id, with the ids that lead nowhere as faults.
//!
//! Nothing is concluded here; a garment is joined from its entries, a source from its copies, and that is all.

mod described;
mod forward;
mod garments;
mod group;
pub mod leaders;
mod moved;
mod references;
mod said;
mod sources;
pub mod title;
mod withheld;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Display;

use smallvec::SmallVec;

use crate::date::edtf::{CircaYears, Edtf};
use crate::fault::Fault;
use crate::record::citation::SourceKind;
use crate::record::claim::{Claim, SourceReference};
use crate::record::id::{KeyId, LandmarkId, LineId, MakerId, ModelId, SourceId, Thing, VariantId, VoiceName, Whole};
use crate::record::{About, Content, DisputeStatus, Record, Weights};
use crate::resolve::forward::Moves;
use crate::source::{FileId, Place, Sources, Spanned};
use crate::validate::Validated;
use crate::vocabulary::Vocabulary;

/// A record's place in [`Catalog::records`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordIndex(pub u32);

/// A source's place in [`Catalog::cited`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceIndex(pub u32);

/// A garment's place in [`Catalog::garments`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct GarmentIndex(pub u32);

/// Every record, grouped and linked.
#[derive(Clone, Debug)]
pub struct Catalog {
    /// The text behind it.
    pub sources: Sources,
    /// The settings.
    pub about: About,
    /// The features and states.
    pub vocabulary: Vocabulary,
    /// All usable records, sorted by path.
    pub records: Vec<Record>,
    /// Makers, by id.
    pub makers: BTreeMap<MakerId, MakerEntry>,
    /// Label lines, by id, with the maker's record that lists them.
    pub lines: BTreeMap<LineId, RecordIndex>,
    /// Models, by id.
    pub models: BTreeMap<ModelId, ModelEntry>,
    /// Variants, by id.
    pub variants: BTreeMap<VariantId, VariantEntry>,
    /// Landmarks, by id.
    pub landmarks: BTreeMap<LandmarkId, RecordIndex>,
    /// Keys to codes, by id.
    pub keys: BTreeMap<KeyId, RecordIndex>,
    /// Disputes, in order of path.
    pub disputes: Vec<RecordIndex>,
    /// Unplaced observations, in order of path.
    pub unplaced: Vec<RecordIndex>,
    /// Every source, shared ones by id first, then local ones by path; equal local ones once.
    pub cited: Vec<CitedSource>,
    /// The meaning of an id in a file: local sources by file and id, shared ones under no file.
    pub source_names: BTreeMap<(Option<FileId>, SourceId), SourceIndex>,
    /// Garments counted or not, each with its placed observations, in order of their first path.
    pub garments: Vec<Garment>,
    /// Records withheld from all conclusions.
    pub withheld: BTreeSet<RecordIndex>,
    /// Sources withheld from all conclusions.
    pub withheld_sources: BTreeSet<SourceIndex>,
    /// The voices that settled disputes set aside.
    pub set_aside: BTreeSet<VoiceName>,
    /// Earlier addresses, to where the record is now: addresses under `entries/` without `.md`.
    pub moved: BTreeMap<String, String>,
}

/// A maker with what it made.
#[derive(Clone, Debug)]
pub struct MakerEntry {
    pub record: RecordIndex,
    /// Its lines, in the order of its record.
    pub lines: Vec<LineId>,
    /// Its models, sorted.
    pub models: Vec<ModelId>,
}

/// A model with its variants.
#[derive(Clone, Debug)]
pub struct ModelEntry {
    pub record: RecordIndex,
    /// Its variants, sorted.
    pub variants: Vec<VariantId>,
}

/// A variant with its observations.
#[derive(Clone, Debug)]
pub struct VariantEntry {
    pub record: RecordIndex,
    /// Its label line, if it is one of the maker's.
    pub line: Option<LineId>,
    /// Its observations, in order of path.
    pub observations: Vec<RecordIndex>,
}

/// A source, shared or local, joined from its copies.
#[derive(Clone, Debug)]
pub struct CitedSource {
    /// The shared id, or `<path>#<id>` of the first file that has it.
    pub name: String,
    /// Its places; several if local copies are one source.
    pub places: Vec<Place>,
    /// How to find it again.
    pub citation: String,
    pub kind: SourceKind,
    /// When it appeared or was said.
    pub date: Option<Edtf>,
    /// Its address on the web.
    pub url: Option<String>,
    /// A lasting copy.
    pub archived: Option<String>,
    /// The sources of its statements.
    pub repeats: BTreeSet<SourceIndex>,
    /// Its roots: the sources it leads back to that repeat nothing; a cycle is one root, its first
    /// member.
    pub roots: BTreeSet<SourceIndex>,
    /// Whether it repeats itself through others.
    pub in_cycle: bool,
    /// The shared record, if it is one.
    pub record: Option<RecordIndex>,
}

/// A garment, joined from its observations.
#[derive(Clone, Debug)]
pub struct Garment {
    /// Its specimen observations, in order of path; the first gives it its name.
    pub observations: SmallVec<[RecordIndex; 4]>,
    /// The variant, where all observations agree.
    pub variant: Option<VariantId>,
    /// The variants it is filed under, sorted.
    pub variants: SmallVec<[VariantId; 1]>,
}

impl CitedSource {
    /// Says whether it names an address on the web, its own or that of a lasting copy.
    pub fn has_address(&self) -> bool {
        self.url.is_some() || self.archived.is_some()
    }
}

impl Catalog {
    /// The record of an index that this catalog gave out.
    pub fn record(&self, index: RecordIndex) -> &Record {
        &self.records[index.0 as usize]
    }

    /// The source of an index that this catalog gave out.
    pub fn cited(&self, index: SourceIndex) -> &CitedSource {
        &self.cited[index.0 as usize]
    }

    /// The garment of an index that this catalog gave out.
    pub fn garment(&self, index: GarmentIndex) -> &Garment {
        &self.garments[index.0 as usize]
    }

    /// The source that an id means in a file: its own, or a shared one.
    pub fn source_named(&self, file: FileId, id: &SourceId) -> Option<SourceIndex> {
        let local = self.source_names.get(&(Some(file), id.clone()));
        local.or_else(|| self.source_names.get(&(None, id.clone()))).copied()
    }

    /// The roots of a source that are not withheld; none of a source that is withheld itself.
    pub fn standing_roots(&self, source: SourceIndex) -> impl Iterator<Item = SourceIndex> {
        let roots = (!self.withheld_sources.contains(&source)).then(|| self.cited(source).roots.iter());
        roots.into_iter().flatten().copied().filter(|root| !self.withheld_sources.contains(root))
    }

    /// Says whether a statement names sources in its file, and all that they go back to is withheld.
    pub fn rests_on_withheld(&self, file: FileId, sources: &[Spanned<SourceReference>]) -> bool {
        let named = || sources.iter().filter_map(|source| self.source_named(file, &source.value.id));
        !self.withheld_sources.is_empty()
            && named().next().is_some()
            && named().all(|source| self.standing_roots(source).next().is_none())
    }

    /// Says whether a thing is of a maker, line, model or variant that has a record, and its state one the vocabulary has.
    pub fn has_thing(&self, thing: &Thing) -> bool {
        let whole = match &thing.whole {
            Whole::Maker(id) => self.makers.contains_key(id),
            Whole::Line(id) => self.lines.contains_key(id),
            Whole::Model(id) => self.models.contains_key(id),
            Whole::Variant(id) => self.variants.contains_key(id),
        };
        whole
            && thing.state.as_ref().is_none_or(|(feature, _)| {
                !matches!(thing.whole, Whole::Line(_)) && self.vocabulary.feature(feature.as_str()).is_some()
            })
    }

    /// The name of a claim: `<path>#<id or n>`.
    pub fn claim_name(&self, record: RecordIndex, claim: &Claim) -> VoiceName {
        let path = &self.record(record).path;
        match &claim.id {
            Some(id) => VoiceName::new(format!("{path}#{}", id.value)),
            None => VoiceName::new(format!("{path}#{}", claim.number)),
        }
    }

    /// The names of the voice that says a source's key holds: `<path>#key`, of a local source one for each file.
    pub fn key_names(&self, source: SourceIndex) -> impl Iterator<Item = (VoiceName, Place)> {
        let places = self.cited(source).places.iter();
        places.map(|place| (self.key_name(*place), *place))
    }

    /// Says whether a settled dispute sets a part of a record aside, such as `made` or `features.hem`.
    pub fn is_set_aside(&self, record: RecordIndex, part: impl Display) -> bool {
        // Most knowledge bases settle few disputes or none, and putting a name together for each reading takes time.
        !self.set_aside.is_empty()
            && self.set_aside.contains(&VoiceName::new(format!("{}#{part}", self.record(record).path)))
    }

    /// The name of the key in a source through which a file reads its date; `None` if no record holds the source.
    ///
    /// Where several files have copies of one local source, each has its own name for the key.
    pub fn key_read_in(&self, file: FileId, source: SourceIndex) -> Option<VoiceName> {
        let places = &self.cited(source).places;
        places.iter().find(|place| place.file == file).or(places.first()).map(|place| self.key_name(*place))
    }

    fn key_name(&self, place: Place) -> VoiceName {
        VoiceName::new(format!("{}#key", self.sources.file(place.file).path()))
    }

    /// How far `~` widens a year.
    pub fn circa(&self) -> CircaYears {
        CircaYears(self.about.circa_years)
    }

    /// The place of a spanned value of a record.
    pub fn place<T>(&self, record: &Record, value: &Spanned<T>) -> Place {
        Place { file: record.file, span: value.span }
    }
}

/// Groups and links all records; gives the ids that lead nowhere as faults.
pub fn catalog(sources: Sources, validated: Validated) -> (Catalog, Vec<Fault>) {
    let unusable = references::UnusableRecords::new(&validated);
    let mut catalog = empty(sources, validated);
    let (moved, mut faults) = moved::addresses(&catalog, &unusable);
    catalog.moved = moved;
    forward(&mut catalog);
    group::records(&mut catalog);
    faults.extend(sources::link(&mut catalog, &unusable));
    faults.extend(references::check(&catalog, &unusable));
    faults.extend(withheld::take_out(&mut catalog, &unusable));
    catalog.set_aside = set_aside(&catalog);
    faults.extend(garments::join(&mut catalog, &unusable));
    faults.sort_by_key(|fault| fault.place);
    (catalog, faults)
}

fn empty(sources: Sources, validated: Validated) -> Catalog {
    let about = validated.records.iter().find_map(|record| match &record.content {
        Content::About(about) => Some(About::clone(about)),
        _ => None,
    });
    Catalog {
        sources,
        about: about.unwrap_or_else(nameless),
        vocabulary: validated.vocabulary,
        records: validated.records,
        makers: BTreeMap::new(),
        lines: BTreeMap::new(),
        models: BTreeMap::new(),
        variants: BTreeMap::new(),
        landmarks: BTreeMap::new(),
        keys: BTreeMap::new(),
        disputes: Vec::new(),
        unplaced: Vec::new(),
        cited: Vec::new(),
        source_names: BTreeMap::new(),
        garments: Vec::new(),
        withheld: BTreeSet::new(),
        withheld_sources: BTreeSet::new(),
        set_aside: BTreeSet::new(),
        moved: BTreeMap::new(),
    }
}

/// The settings of a knowledge base whose own cannot be used.
fn nameless() -> About {
    About {
        title: "Untitled knowledge base".into(),
        summary: String::new(),
        licence: "NOASSERTION".into(),
        language: "en".into(),
        address: None,
        edit_url: None,
        contact: None,
        circa_years: 2,
        withheld: Vec::new(),
        weight: Weights::default(),
    }
}

/// The voices that settled disputes set aside.
fn set_aside(catalog: &Catalog) -> BTreeSet<VoiceName> {
    let disputes = catalog.disputes.iter().filter_map(|index| match &catalog.record(*index).content {
        Content::Dispute(dispute) if dispute.status == DisputeStatus::Settled => Some(dispute),
        _ => None,
    });
    disputes.flat_map(|dispute| dispute.set_aside.iter().map(|name| name.value.clone())).collect()
}

/// Rewrites what records say of one another under earlier addresses.
fn forward(catalog: &mut Catalog) {
    if catalog.moved.is_empty() {
        return;
    }
    let moves = Moves(&catalog.moved);
    catalog.records.iter_mut().for_each(|record| moves.rewrite(record));
}

//! Files to grounds: the makers that anything written joins, with all files that can bear on them.
//!
//! A ground holds what is shared by all, what was recorded of its makers, garments that may be theirs, disputes about
//! them, and the sources of all these with what those go back to. Nothing outside it says a word about its makers, so
//! nothing that is concluded about them hangs on it.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use crate::record::claim::{Event, SourceReference};
use crate::record::id::{MakerId, VoiceName};
use crate::record::observation::{Observation, Placement};
use crate::record::{Content, Record};
use crate::resolve::leaders::Leaders;
use crate::resolve::{Catalog, SourceIndex, garments};
use crate::source::FileId;

/// Where makers stand together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ground<'a> {
    /// The makers, sorted.
    pub makers: Vec<&'a MakerId>,
    /// The files that can bear on them, in order.
    pub files: Vec<FileId>,
}

/// Finds the grounds of a catalog that holds a record of every file; what a broken one speaks of is not known.
pub fn of(catalog: &Catalog) -> Vec<Ground<'_>> {
    let mut joined = Joined::new(catalog);
    joined.join_what_is_spoken_of();
    joined.join_sources();
    joined.grounds()
}

impl Ground<'_> {
    /// Says whether what lies beside the entries under a path may be shown with the makers.
    pub fn shows(&self, path: &str) -> bool {
        match part(path) {
            Part::Own(name) if name != path => self.makers.binary_search_by(|maker| maker.as_str().cmp(name)).is_ok(),
            _ => true,
        }
    }
}

/// What a file is to makers.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part<'p> {
    /// Joined with what it speaks of, and with what speaks of it: all files of a maker, or a single one.
    Own(&'p str),
    /// Of those that cite it.
    Source,
    /// Of all.
    Shared,
}

fn part(path: &str) -> Part<'_> {
    let address = path.strip_prefix("entries/").unwrap_or_default();
    match address.split_once('/') {
        Some(("makers", rest)) => Part::Own(rest.split('/').next().unwrap_or(rest)),
        Some(("unplaced" | "disputes", _)) => Part::Own(path),
        Some(("sources", _)) => Part::Source,
        _ => Part::Shared,
    }
}

struct Joined<'a> {
    catalog: &'a Catalog,
    /// Every part that is its own, by name.
    numbers: BTreeMap<&'a str, u32>,
    leaders: Leaders,
    /// The sources that each part cites, and all that these go back to; under no number those of shared files.
    cited: BTreeMap<Option<u32>, BTreeSet<SourceIndex>>,
}

impl<'a> Joined<'a> {
    fn new(catalog: &'a Catalog) -> Joined<'a> {
        let parts = catalog.sources.iter().map(|(_, file)| part(file.path().as_str()));
        let names: BTreeSet<&str> =
            parts.filter_map(|part| if let Part::Own(name) = part { Some(name) } else { None }).collect();
        let leaders = Leaders::new(names.len());
        Joined { catalog, numbers: names.into_iter().zip(0..).collect(), leaders, cited: BTreeMap::new() }
    }

    fn number(&self, path: &str) -> Option<u32> {
        match part(path) {
            Part::Own(name) => self.numbers.get(name).copied(),
            Part::Source | Part::Shared => None,
        }
    }

    fn join_what_is_spoken_of(&mut self) {
        for record in &self.catalog.records {
            let own = self.number(record.path.as_str());
            for other in spoken_of(self.catalog, record) {
                if let (Some(own), Some(other)) = (own, self.numbers.get(other.as_ref())) {
                    self.leaders.unite(own, *other);
                }
            }
            let cited = cited(record).filter_map(|reference| self.catalog.source_named(record.file, &reference.id));
            self.cited.entry(own).or_default().extend(cited);
        }
    }

    /// Local sources are one where they say the same, so those who cite one are joined with all who have it.
    fn join_sources(&mut self) {
        for (own, cited) in &mut self.cited {
            *cited = with_repeated(self.catalog, cited);
            let places = cited.iter().flat_map(|source| &self.catalog.cited(*source).places);
            for place in places {
                let other = part(self.catalog.sources.file(place.file).path().as_str());
                if let (Some(own), Part::Own(other)) = (own, other)
                    && let Some(other) = self.numbers.get(other)
                {
                    self.leaders.unite(*own, *other);
                }
            }
        }
    }

    fn grounds(mut self) -> Vec<Ground<'a>> {
        let mut files: BTreeMap<u32, Vec<FileId>> = BTreeMap::new();
        let mut shared = Vec::new();
        for (file, source) in self.catalog.sources.iter() {
            let path = source.path().as_str();
            match self.number(path) {
                Some(number) => files.entry(self.leaders.of(number)).or_default().push(file),
                None if part(path) == Part::Shared => shared.push(file),
                None => {}
            }
        }
        for (number, cited) in &self.cited {
            let of = number.map(|number| self.leaders.of(number));
            let records = cited.iter().filter_map(|source| self.catalog.cited(*source).record);
            let of = of.map_or(&mut shared, |leader| files.entry(leader).or_default());
            of.extend(records.map(|record| self.catalog.record(record).file));
        }
        let mut makers: BTreeMap<u32, Vec<&MakerId>> = BTreeMap::new();
        for maker in self.catalog.makers.keys() {
            if let Some(number) = self.numbers.get(maker.as_str()) {
                makers.entry(self.leaders.of(*number)).or_default().push(maker);
            }
        }
        let grounds = makers.into_iter().map(|(leader, makers)| {
            let mut files = files.remove(&leader).unwrap_or_default();
            files.extend(&shared);
            files.sort_unstable();
            files.dedup();
            Ground { makers, files }
        });
        grounds.collect()
    }
}

/// The parts that a record speaks of, by name.
fn spoken_of<'r>(catalog: &'r Catalog, record: &'r Record) -> Vec<Cow<'r, str>> {
    let mut parts: Vec<Cow<'r, str>> = Vec::new();
    for claim in record.content.claims() {
        parts.push(maker(claim.about.value.whole.as_str()));
        if let Event::Before(other) = &claim.event.value {
            parts.push(maker(other.value.whole.as_str()));
        }
    }
    match &record.content {
        Content::Variant(variant) => {
            parts.push(maker(variant.line.value.as_str()));
            parts.extend(variant.revives.iter().map(|id| maker(id.value.as_str())));
        }
        Content::Observation(observation) => parts.extend(of_observation(catalog, record, observation)),
        Content::Dispute(dispute) => {
            let claims = dispute.claims.iter().map(|claim| &claim.claim.value);
            parts.extend(claims.chain(dispute.set_aside.iter().map(|name| &name.value)).filter_map(of_voice));
        }
        _ => {}
    }
    parts
}

fn of_observation<'r>(catalog: &Catalog, record: &Record, observation: &'r Observation) -> Vec<Cow<'r, str>> {
    let mut parts = Vec::new();
    if let Some(same_as) = &observation.same_as {
        let path = format!("entries/{}.md", garments::address(catalog, &record.path, &same_as.value));
        if let Part::Own(name) = part(&path) {
            parts.push(Cow::Owned(name.to_string()));
        }
    }
    if let Placement::Unplaced(unplaced) = &observation.placement {
        parts.extend(unplaced.maker.iter().map(|id| maker(id.value.as_str())));
        parts.extend(unplaced.model.iter().map(|id| maker(id.value.as_str())));
        parts.extend(unplaced.line.iter().map(|id| maker(id.value.as_str())));
        parts.extend(unplaced.perhaps.iter().map(|id| maker(id.value.as_str())));
    }
    parts
}

fn of_voice(name: &VoiceName) -> Option<Cow<'_, str>> {
    let (path, _) = name.as_str().split_once('#').unwrap_or((name.as_str(), ""));
    match part(path) {
        Part::Own(name) => Some(name.into()),
        Part::Source | Part::Shared => None,
    }
}

/// The maker in the name of a whole.
fn maker(whole: &str) -> Cow<'_, str> {
    whole.split('/').next().unwrap_or(whole).into()
}

/// The sources that a record names.
fn cited(record: &Record) -> impl Iterator<Item = &SourceReference> {
    let own = match &record.content {
        Content::Landmark(landmark) => [landmark.sources.as_slice(), &[]],
        Content::Observation(observation) => [observation.sources.as_slice(), observation.made_source.as_slice()],
        _ => [&[][..], &[]],
    };
    let claims = record.content.claims().iter().map(|claim| claim.sources.as_slice());
    claims.chain(own).flatten().map(|reference| &reference.value)
}

/// Adds all that sources repeat, however many steps away.
fn with_repeated(catalog: &Catalog, sources: &BTreeSet<SourceIndex>) -> BTreeSet<SourceIndex> {
    let mut found = BTreeSet::new();
    let mut open: Vec<SourceIndex> = sources.iter().copied().collect();
    while let Some(source) = open.pop() {
        if found.insert(source) {
            open.extend(&catalog.cited(source).repeats);
        }
    }
    found
}

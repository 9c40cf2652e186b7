//! Sources, shared and local, with what they go back to.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::Fault;
use crate::record::Content;
use crate::record::citation::Source;
use crate::record::id::SourceId;
use crate::resolve::references::UnusableRecords;
use crate::resolve::{Catalog, CitedSource, RecordIndex, SourceIndex};
use crate::source::{FileId, Place, Spanned};

/// Fills in the catalog's sources and their roots; gives the ids of repeated sources that lead nowhere.
pub fn link(catalog: &mut Catalog, unusable: &UnusableRecords) -> Vec<Fault> {
    let mut repeats: Vec<(SourceIndex, FileId, Vec<Spanned<SourceId>>)> = Vec::new();
    let records: Vec<(RecordIndex, FileId, Vec<Source>, bool)> = listed(catalog);
    let mut same: BTreeMap<(String, Option<String>), SourceIndex> = BTreeMap::new();
    for (record, file, sources, is_shared) in records {
        for source in sources {
            let key = (source.citation.value.clone(), source.date.as_ref().map(|date| date.value.as_str().to_string()));
            let place = Place { file, span: source.span };
            let index = match same.get(&key).filter(|_| !is_shared) {
                Some(index) => {
                    catalog.cited[index.0 as usize].places.push(place);
                    *index
                }
                None => add(catalog, &source, place, is_shared.then_some(record)),
            };
            if !is_shared {
                same.insert(key, index);
            }
            let scope = if is_shared { None } else { Some(file) };
            catalog.source_names.entry((scope, source.id.value.clone())).or_insert(index);
            repeats.push((index, file, source.repeats));
        }
    }
    let faults = add_repeats(catalog, unusable, repeats);
    add_roots(&mut catalog.cited);
    faults
}

/// Shared sources by id, then the local ones of each record by path.
fn listed(catalog: &Catalog) -> Vec<(RecordIndex, FileId, Vec<Source>, bool)> {
    let records = || catalog.records.iter().enumerate().map(|(number, record)| (RecordIndex(number as u32), record));
    let shared = records().filter_map(|(index, record)| match &record.content {
        Content::Source(source) => Some((index, record.file, vec![Source::clone(source)], true)),
        _ => None,
    });
    let local = records().map(|(index, record)| (index, record.file, record.content.local_sources().to_vec(), false));
    shared.chain(local.filter(|(_, _, sources, _)| !sources.is_empty())).collect()
}

fn add(catalog: &mut Catalog, source: &Source, place: Place, record: Option<RecordIndex>) -> SourceIndex {
    let name = match record {
        Some(_) => source.id.value.to_string(),
        None => format!("{}#{}", catalog.sources.file(place.file).path(), source.id.value),
    };
    catalog.cited.push(CitedSource {
        name,
        places: vec![place],
        citation: source.citation.value.clone(),
        kind: source.kind.value,
        date: source.date.as_ref().map(|date| date.value.clone()),
        url: source.url.as_ref().map(|url| url.value.clone()),
        archived: source.archived.as_ref().map(|url| url.value.clone()),
        repeats: BTreeSet::new(),
        roots: BTreeSet::new(),
        in_cycle: false,
        record,
    });
    SourceIndex(catalog.cited.len() as u32 - 1)
}

fn add_repeats(
    catalog: &mut Catalog,
    unusable: &UnusableRecords,
    repeats: Vec<(SourceIndex, FileId, Vec<Spanned<SourceId>>)>,
) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (index, file, ids) in repeats {
        for id in ids {
            match catalog.source_named(file, &id.value) {
                Some(other) => _ = catalog.cited[index.0 as usize].repeats.insert(other),
                None => faults.extend(unusable.no_source(catalog, Place { file, span: id.span }, &id.value)),
            }
        }
    }
    faults
}

/// Follows what each source repeats to those that repeat nothing; the members of a cycle have its first as root.
fn add_roots(cited: &mut [CitedSource]) {
    let components = Components::of(cited);
    for index in 0..cited.len() {
        cited[index].in_cycle = components.in_cycle(index, cited);
    }
    // Components come out after all that they lead to, so their roots are known.
    let mut roots: Vec<BTreeSet<SourceIndex>> = Vec::new();
    for members in &components.members {
        let own = components.of[members[0]];
        let others = members.iter().flat_map(|member| &cited[*member].repeats);
        let others = others.map(|other| components.of[other.0 as usize]).filter(|other| *other != own);
        let mut found: BTreeSet<SourceIndex> = others.flat_map(|other| roots[other].clone()).collect();
        if found.is_empty() {
            let first = members.iter().min().copied().unwrap_or(0);
            found.insert(SourceIndex(first as u32));
        }
        roots.push(found);
    }
    for (index, source) in cited.iter_mut().enumerate() {
        source.roots = roots[components.of[index]].clone();
    }
}

/// Strongly connected components, each after those it leads to (Tarjan 1972), without recursion.
struct Components {
    of: Vec<usize>,
    members: Vec<Vec<usize>>,
}

impl Components {
    fn of(cited: &[CitedSource]) -> Components {
        let mut walk = Walk {
            next: 0,
            found: vec![usize::MAX; cited.len()],
            low: vec![usize::MAX; cited.len()],
            stack: Vec::new(),
            components: Components { of: vec![usize::MAX; cited.len()], members: Vec::new() },
        };
        let leads: Vec<Vec<usize>> =
            cited.iter().map(|source| source.repeats.iter().map(|other| other.0 as usize).collect()).collect();
        for start in 0..cited.len() {
            if walk.found[start] == usize::MAX {
                walk.from(start, &leads);
            }
        }
        walk.components
    }

    fn in_cycle(&self, index: usize, cited: &[CitedSource]) -> bool {
        self.members[self.of[index]].len() > 1 || cited[index].repeats.contains(&SourceIndex(index as u32))
    }
}

struct Walk {
    next: usize,
    found: Vec<usize>,
    low: Vec<usize>,
    stack: Vec<usize>,
    components: Components,
}

impl Walk {
    fn from(&mut self, start: usize, leads: &[Vec<usize>]) {
        let mut path = vec![(start, 0)];
        self.enter(start);
        while let Some((at, done)) = path.pop() {
            if let Some(next) = leads[at].get(done).copied() {
                path.push((at, done + 1));
                if self.found[next] == usize::MAX {
                    self.enter(next);
                    path.push((next, 0));
                } else if self.components.of[next] == usize::MAX {
                    self.low[at] = self.low[at].min(self.found[next]);
                }
                continue;
            }
            if let Some((parent, _)) = path.last() {
                self.low[*parent] = self.low[*parent].min(self.low[at]);
            }
            if self.low[at] == self.found[at] {
                self.close(at);
            }
        }
    }

    fn enter(&mut self, at: usize) {
        self.found[at] = self.next;
        self.low[at] = self.next;
        self.next += 1;
        self.stack.push(at);
    }

    fn close(&mut self, root: usize) {
        let mut members = Vec::new();
        while let Some(member) = self.stack.pop() {
            self.components.of[member] = self.components.members.len();
            members.push(member);
            if member == root {
                break;
            }
        }
        self.components.members.push(members);
    }
}

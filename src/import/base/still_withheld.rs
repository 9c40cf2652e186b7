//! Keeps imported entries withheld if the other knowledge base withholds them, by lines in the
//! settings here.
//!
//! An entry that cannot stay withheld is not imported.

use std::collections::{BTreeMap, BTreeSet};

use crate::difference::moved::Moves;
use crate::import::base::Plan;
use crate::import::base::withholding::{self, Line, SETTINGS};
use crate::import::{Candidate, Corrects, Gathered, Origin, Trouble};
use crate::parse;
use crate::record::id::SourceId;
use crate::rename::rewriting;
use crate::resolve::{self, Catalog};
use crate::source::{FileId, FilePath, SourceFile, Sources};
use crate::validate;

/// Adds the settings with what is to be withheld, before everything else; takes out what cannot be.
pub fn add(plan: &Plan<'_>, moves: &Moves, wrong: &BTreeSet<Origin>, gathered: &mut Gathered) {
    let mut withheld: BTreeMap<usize, BTreeSet<Line>> = BTreeMap::new();
    for (number, candidate) in gathered.candidates.iter().enumerate() {
        withheld.entry(number).or_default().extend(own_line(plan, candidate));
    }
    let counted = sources(plan, moves, &gathered.candidates, &mut withheld);
    leave_out(gathered, &counted, "rests on a source that is withheld there and counts here; withhold it here first");
    withheld.retain(|number, lines| !counted.contains(number) && !lines.is_empty());
    if withheld.is_empty() {
        return;
    }
    let lines: Vec<Line> = withheld.values().flatten().cloned().collect::<BTreeSet<Line>>().into_iter().collect();
    let origin = Origin::Entry(SETTINGS.to_string());
    let file = plan.ours.sources.find(SETTINGS).map(|id| plan.ours.sources.file(id));
    let change = file.and_then(|file| Some((file.text(), withholding::added(file.text(), &lines)?)));
    match change.filter(|_| !wrong.contains(&origin)) {
        Some((before, text)) => {
            let lines = lines.iter().map(Line::written).collect();
            let corrects = Corrects { before: before.to_string(), why: String::new(), lines };
            let candidate =
                Candidate { corrects: Some(corrects), ..Candidate::new(origin, SETTINGS.to_string(), text) };
            gathered.candidates.insert(0, candidate);
        }
        None => {
            // Numbers count what was there before anything was left out.
            let paths: BTreeSet<usize> = withheld.keys().map(|number| number - before(&counted, *number)).collect();
            leave_out(
                gathered,
                &paths,
                "is withheld there, and `entries/about.md` here cannot be changed to withhold it",
            );
        }
    }
}

fn before(left_out: &BTreeSet<usize>, number: usize) -> usize {
    left_out.range(..number).count()
}

/// Takes entries out, by their numbers, and says why.
fn leave_out(gathered: &mut Gathered, numbers: &BTreeSet<usize>, message: &str) {
    if numbers.is_empty() {
        return;
    }
    let all = std::mem::take(&mut gathered.candidates);
    for (number, candidate) in all.into_iter().enumerate() {
        if numbers.contains(&number) {
            gathered.troubles.push(Trouble::new(candidate.origin, None, message.to_string()));
        } else {
            gathered.candidates.push(candidate);
        }
    }
}

/// The line that withholds an entry, if it is withheld there and not yet here.
fn own_line(plan: &Plan<'_>, candidate: &Candidate) -> Option<Line> {
    let catalog = &plan.theirs.knowledge.catalog;
    let Origin::Entry(path) = &candidate.origin else { return None };
    let index = plan.records.get(path.as_str()).filter(|index| catalog.withheld.contains(index))?;
    let address = FilePath::new(candidate.path.as_str()).address().to_string();
    if withholding::is_covered(plan.ours, &address) {
        return None;
    }
    Some(Line { key: "path", name: address, reason: withholding::reason(catalog, catalog.record(*index)) })
}

/// Finds the lines that withhold sources; gives the entries that name one that counts here.
fn sources(
    plan: &Plan<'_>,
    moves: &Moves,
    candidates: &[Candidate],
    withheld: &mut BTreeMap<usize, BTreeSet<Line>>,
) -> BTreeSet<usize> {
    let catalog = &plan.theirs.knowledge.catalog;
    let mut counted = BTreeSet::new();
    if catalog.withheld_sources.is_empty() {
        return counted;
    }
    let together = together(plan.ours, candidates);
    let brought: BTreeSet<&str> = candidates.iter().map(|candidate| candidate.path.as_str()).collect();
    for (number, candidate) in candidates.iter().enumerate() {
        let Origin::Entry(path) = &candidate.origin else { continue };
        let files = (catalog.sources.find(path), together.sources.find(&candidate.path));
        let (Some(there), Some(here)) = files else { continue };
        for Named { id, now } in named(catalog.sources.file(there), moves) {
            let Some(source) = catalog.source_named(there, &id) else { continue };
            let Some(own) = together.source_named(here, &now) else { continue };
            if !catalog.withheld_sources.contains(&source) || together.withheld_sources.contains(&own) {
                continue;
            }
            let cited = together.cited(own);
            let is_brought = |file: FileId| brought.contains(together.sources.file(file).path().as_str());
            if cited.places.iter().all(|place| is_brought(place.file)) {
                let reason = withholding::reason_of_source(catalog, &catalog.cited(source).name);
                let line = Line { key: "source", name: cited.name.clone(), reason };
                withheld.entry(number).or_default().insert(line);
            } else {
                counted.insert(number);
            }
        }
    }
    counted
}

/// Both knowledge bases in one.
fn together(ours: &Catalog, candidates: &[Candidate]) -> Catalog {
    let own = ours.sources.iter().map(|(_, file)| file.clone());
    let new = candidates.iter().map(|one| SourceFile::new(FilePath::new(one.path.as_str()), one.text.clone()));
    let sources = Sources::new(own.chain(new).collect());
    let validated = validate::all(&sources, &|| {});
    resolve::catalog(sources, validated).0
}

/// A source that an entry names.
struct Named {
    /// Its id there.
    id: SourceId,
    /// Its id here.
    now: SourceId,
}

/// The sources that an entry names, its own ones, and the one that it is.
fn named(file: &SourceFile, moves: &Moves) -> Vec<Named> {
    let front = parse::record(FileId(0), file).value.front;
    let own = front.tables("source").filter_map(|source| source.words("id"));
    let own = own.map(|id| Named { id: SourceId::new(id.as_str()), now: SourceId::new(id) });
    let itself = file.path().as_str().starts_with("entries/sources/").then(|| file.path().stem().to_string());
    let shared = rewriting::shared_sources(&front).into_iter().chain(itself).map(|id| {
        let now = moves.address(&format!("sources/{id}"));
        let now = now.as_deref().and_then(|now| now.strip_prefix("sources/")).unwrap_or(&id).to_string();
        Named { now: SourceId::new(now), id: SourceId::new(id) }
    });
    own.chain(shared).collect()
}

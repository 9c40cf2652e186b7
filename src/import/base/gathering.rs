//! The entries of another knowledge base, one by one: brought under a name that is free, recorded already, or kept back.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::wording::quote;
use crate::difference::moved::Moves;
use crate::import::base::garments::{self, Beside};
use crate::import::base::matching::{self, Waiting, Watch};
use crate::import::base::withholding::SETTINGS;
use crate::import::base::{Plan, still_withheld, units};
use crate::import::name::Names;
use crate::import::question::Asked;
use crate::import::toml_string::quoted;
use crate::import::{Candidate, Gathered, Origin, Trouble};
use crate::parse;
use crate::rename::rewriting;
use crate::source::{FileId, FilePath, SourceFile};

/// An entry that may be brought.
struct Ready<'p> {
    /// As it is there.
    there: &'p SourceFile,
    /// As it would be here under its own name.
    here: SourceFile,
}

/// The decision about an observation.
enum Place {
    /// It is recorded here, at a path.
    Recorded(String),
    /// It goes to a path.
    New(String),
}

/// Gathers all entries except those in `wrong`.
pub fn gather(plan: &Plan<'_>, wrong: &BTreeSet<Origin>) -> Gathered {
    let mut gathered = Gathered::default();
    let ready = ready(plan, wrong, &mut gathered);
    let mut names = Names::of(&plan.ours.sources);
    let places = places(plan, &ready, &mut names, &mut gathered);
    let mut all = plan.matching.names.clone();
    for (one, place) in ready.iter().zip(&places) {
        let path = match place {
            Some(Place::Recorded(path) | Place::New(path)) if path != one.here.path().as_str() => path,
            _ => continue,
        };
        all.records.insert(one.there.path().address().to_string(), FilePath::new(path.as_str()).address().to_string());
    }
    let moves = Moves::of_all(all);
    let mut beside = Beside::new(&mut names, &plan.recorded);
    for (one, place) in ready.iter().zip(&places) {
        if let Some(Place::Recorded(path)) = place {
            beside.note(one.there, plan.recorded.find(path));
        }
    }
    for (one, place) in ready.into_iter().zip(places) {
        let Some(text) = rewriting::once(one.there, &moves) else { continue };
        let origin = Origin::Entry(one.there.path().to_string());
        match place {
            Some(Place::Recorded(path)) => gathered.recorded.push((origin, path)),
            Some(Place::New(path)) => {
                let mut candidate = Candidate::new(origin, path, text);
                beside.rename(one.there.path(), &mut candidate);
                gathered.candidates.push(candidate);
            }
            None if garments::is_observation(one.there.path()) => {}
            None => other(plan, Candidate::new(origin, moves.path(one.there.path()).to_string(), text), &mut gathered),
        }
    }
    still_withheld::add(plan, &moves, wrong, &mut gathered);
    gathered
}

/// Adds a maker, model, variant, source, landmark, key or dispute, unless another one has its path.
fn other(plan: &Plan<'_>, candidate: Candidate, gathered: &mut Gathered) {
    let Candidate { origin, path, text, .. } = &candidate;
    let here = plan.ours.sources.find(path).map(|id| plan.ours.sources.file(id));
    match here {
        Some(here) if here.text().trim_end() == text.trim_end() => {
            gathered.recorded.push((origin.clone(), path.clone()))
        }
        Some(_) => {
            let message = format!(
                "{} is here and says something else. Compare the two and change one by hand, or leave this one out: \
                 write `{} = \"\"` below `[values.entry]`",
                quote(path),
                quoted(&origin.to_string())
            );
            gathered.troubles.push(Trouble::new(origin.clone(), None, message));
        }
        None if gathered.candidates.iter().any(|other| other.path == *path) => {
            let message = format!("another entry of it goes to {} too", quote(path));
            gathered.troubles.push(Trouble::new(origin.clone(), None, message));
        }
        None => gathered.candidates.push(candidate),
    }
}

/// The entries that nothing keeps back; the reasons that keep back the others become troubles.
fn ready<'p>(plan: &'p Plan<'_>, wrong: &BTreeSet<Origin>, gathered: &mut Gathered) -> Vec<Ready<'p>> {
    let (watch, moves) = (plan.matching.watch(), plan.matching.moves());
    let mut wholes: BTreeMap<String, BTreeSet<Trouble>> = BTreeMap::new();
    let mut ready = Vec::new();
    let files = plan.theirs.knowledge.catalog.sources.iter().map(|(_, file)| file);
    for file in files.filter(|file| file.path().as_str().starts_with("entries") && file.path().as_str() != SETTINGS) {
        let path = file.path().as_str();
        if wrong.contains(&Origin::Entry(path.to_string())) {
            continue;
        }
        if let Some(trouble) = plan.refused.get(path) {
            gathered.troubles.push(trouble.clone());
            continue;
        }
        if !path.ends_with(".md") || plan.matching.here.contains_key(file.path().address()) {
            continue;
        }
        let mut troubles: BTreeSet<Trouble> = watch.troubles(file).into_iter().collect();
        if plan.answers.value("entry", path) == Some("") {
            troubles.insert(matching::trouble(file.path(), &Waiting::left_out("the entry")));
        }
        for above in above(path) {
            let known = wholes.entry(above).or_insert_with_key(|above| of_whole(plan, &watch, above, wrong));
            let origin = || Origin::Entry(path.to_string());
            troubles.extend(known.iter().map(|trouble| Trouble { origin: origin(), ..trouble.clone() }));
        }
        if !troubles.is_empty() {
            gathered.troubles.extend(troubles);
            continue;
        }
        match as_here(plan, file, &moves) {
            Ok(here) => ready.push(Ready { there: file, here }),
            Err(message) => {
                gathered.troubles.push(Trouble::new(Origin::Entry(path.to_string()), None, message));
            }
        }
    }
    ready
}

/// The paths of the maker, model and variant that an entry lies below.
fn above(path: &str) -> Vec<String> {
    let folders: Vec<&str> = path.split('/').collect();
    let ["entries", "makers", folders @ .., _] = folders.as_slice() else { return Vec::new() };
    let files = ["maker", "model", "variant"].iter().enumerate().take(folders.len());
    let paths = files.map(|(depth, file)| format!("entries/makers/{}/{file}.md", folders[..=depth].join("/")));
    paths.filter(|above| above != path).collect()
}

/// The reason that keeps back everything below a maker, model or variant; `None` if that is here or is brought too.
fn of_whole(plan: &Plan<'_>, watch: &Watch<'_>, path: &str, wrong: &BTreeSet<Origin>) -> BTreeSet<Trouble> {
    let sources = &plan.theirs.knowledge.catalog.sources;
    let Some(file) = sources.find(path).map(|id| sources.file(id)) else { return BTreeSet::new() };
    if plan.matching.here.contains_key(file.path().address()) {
        return BTreeSet::new();
    }
    let origin = Origin::Entry(path.to_string());
    if wrong.contains(&origin) || plan.refused.contains_key(path) {
        let message = format!("{} is not brought, and without it this is not", quote(path));
        return BTreeSet::from([Trouble::new(origin, None, message)]);
    }
    watch.troubles(file).into_iter().collect()
}

/// An entry as it would be here under its own name, or why it cannot be.
fn as_here(plan: &Plan<'_>, file: &SourceFile, moves: &Moves) -> Result<SourceFile, String> {
    let text = rewriting::once(file, moves).ok_or(
        "writes a reading in several places, such as `hem.state` and `hem.note`, while features exchange their names; write \
         it there as `hem = { … }`",
    )?;
    let here = SourceFile::new(moves.path(file.path()), text);
    let [front, after] = [file, &here].map(|file| parse::record(FileId(0), file).value.front);
    if rewriting::shared_sources(&front).len() != rewriting::shared_sources(&after).len() {
        return Err(
            "has a source of its own with the name that a shared source has here; rename one of them".to_string()
        );
    }
    let vocabularies = (&plan.theirs.knowledge.catalog.vocabulary, &plan.ours.vocabulary);
    if let Some(mistaken) = units::mistaken(&front, vocabularies.0, vocabularies.1, |feature| moves.feature(feature)) {
        return Err(mistaken);
    }
    let earlier = front.texts("formerly");
    let taken = earlier
        .iter()
        .map(|path| FilePath::new(path.value.as_str()))
        .find(|path| plan.ours.moved.get(path.address()).is_some_and(|now| now != here.path().address()));
    match taken {
        Some(path) => Err(format!(
            "its earlier address {} is one of another record here; remove it from `formerly` there",
            quote(path.as_str())
        )),
        None => Ok(here),
    }
}

/// Finds the place of each observation; nothing for other records, and where somebody must be asked.
fn places(plan: &Plan<'_>, ready: &[Ready<'_>], names: &mut Names, gathered: &mut Gathered) -> Vec<Option<Place>> {
    let mut recorded = plan.recorded.clone();
    let mut places: Vec<Option<Place>> = ready.iter().map(|_| None).collect();
    let observations: Vec<usize> =
        (0..ready.len()).filter(|number| garments::is_observation(ready[*number].there.path())).collect();
    for number in &observations {
        places[*number] = recorded.take_same_path(&ready[*number].here).map(Place::Recorded);
    }
    for number in &observations {
        if places[*number].is_none() {
            let now = moved(plan, ready[*number].here.path());
            places[*number] = now.and_then(|now| recorded.take_moved(now, &ready[*number].here)).map(Place::Recorded);
        }
    }
    for number in &observations {
        if places[*number].is_none() {
            places[*number] = recorded.take_alike(&ready[*number].here).map(Place::Recorded);
        }
    }
    for number in observations {
        if places[number].is_some() {
            continue;
        }
        match place(plan, &ready[number], names) {
            Ok(place) => places[number] = Some(place),
            Err(waiting) => gathered.troubles.push(matching::trouble(ready[number].there.path(), &waiting)),
        }
    }
    places
}

/// The entry here that had a path before it was renamed.
fn moved<'p>(plan: &'p Plan<'_>, path: &FilePath) -> Option<&'p SourceFile> {
    let now = plan.ours.moved.get(path.address())?;
    let sources = &plan.ours.sources;
    sources.find(&format!("entries/{now}.md")).map(|id| sources.file(id))
}

fn place(plan: &Plan<'_>, one: &Ready<'_>, names: &mut Names) -> Result<Place, Box<Waiting>> {
    let (there, wish) = (one.there.path().as_str(), one.here.path());
    let free =
        |name: &str, names: &mut Names| Place::New(format!("{}/{}.md", wish.folder(), names.take(wish.folder(), name)));
    let sources = &plan.ours.sources;
    match plan.answers.value("entry", there) {
        Some(answer) if sources.find(answer).is_some() => return Ok(Place::Recorded(answer.to_string())),
        Some(answer) => return Ok(free(FilePath::new(answer).stem(), names)),
        None => {}
    }
    let taken = sources.find(wish.as_str()).map(|id| sources.file(id));
    let moved = moved(plan, wish);
    if let Some(own) = moved.or(taken.filter(|own| garments::may_be_one(own, &one.here))) {
        let path = own.path().to_string();
        let message = format!(
            "{} here may be the same and says something else. Name it to keep what is here, or write another name to \
             bring this one too",
            quote(&path)
        );
        let waiting = Waiting::asked(Asked::Value("entry", there.to_string()), there, vec![path], message);
        return Err(Box::new(waiting));
    }
    Ok(free(wish.stem(), names))
}

//! The difference between two states in words: a headline, and sections of items with their causes.
//!
//! It ranks nothing anew and leaves out no conclusion; it lists only the first of the new records.
//! The forms are in its submodules.

pub mod json;
pub mod markdown;
mod newcomers;
mod questions;
pub mod text;

use crate::changeover::History;
use crate::comparison::Verdict;
use crate::diagnostic::wording;
use crate::difference::{BoundChange, Cause, ConflictChange, Difference, EraChange, PairChange, Reached};
use crate::difference::{ChangeoverChange, LineChange, VerdictChange, VoiceChange, When, WholeChange};
use crate::explain;
use crate::explain::comparison as words;
use crate::knowledge::{Knowledge, Side, Standing, Voice};
use crate::record::id::{Thing, Whole};
use crate::source::FilePath;

/// Stands behind what rests on entries of other people.
const OTHERS: &str = " (rests on other people's entries too)";

/// How many files are named as the cause of one thing.
const MOST_NAMED: usize = 5;

/// How many new observations, sources and keys are listed, of each.
const MOST_NEW: usize = 50;

/// A difference with the two states it lies between.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The state before.
    pub earlier: &'a Knowledge,
    /// The state now.
    pub now: &'a Knowledge,
    pub difference: &'a Difference,
    /// The earlier state as the caller named it.
    pub revision: &'a str,
    /// The id of its commit.
    pub commit: &'a str,
}

/// A difference in words; ids and paths stand in backticks.
#[derive(Clone, Debug)]
pub struct Account {
    /// Sentences: first what moved of other people's, then how much changed.
    pub headline: Vec<String>,
    /// The changes, the most important first.
    pub sections: Vec<Section>,
}

/// Things of one sort that changed.
#[derive(Clone, Debug)]
pub struct Section {
    /// The title of the items.
    pub title: &'static str,
    /// Each of them, or the first.
    pub items: Vec<Item>,
    /// How many more there are.
    pub more: usize,
}

/// One thing that changed.
#[derive(Clone, Debug)]
pub struct Item {
    /// The thing that changed.
    pub lead: String,
    /// Its changes, and their causes.
    pub details: Vec<String>,
}

/// Puts a difference into words.
pub fn account(told: &Told<'_>) -> Account {
    let difference = told.difference;
    let conflicts = |when: When| -> Vec<Item> {
        let found = difference.conflicts.iter().filter(|conflict| conflict.when == when);
        found.map(|found| conflict(told, found)).collect()
    };
    let (states, wholes): (Vec<&EraChange>, Vec<&EraChange>) =
        difference.eras.iter().partition(|era| era.thing.state.is_some());
    let sections = [
        ("New sources without a copy that overturn older statements", newcomers::from_nowhere(told)),
        ("New landmarks that rest only on sources without a copy", newcomers::landmarks(told)),
        ("Conflicts opened", conflicts(When::Now)),
        ("Eras moved", wholes.into_iter().map(|found| era(told, found)).collect()),
        ("Voices set aside, or counted again", difference.voices.iter().map(|found| voice(told, found)).collect()),
        ("Verdicts changed", difference.verdicts.iter().map(|found| pair(told, found)).collect()),
        ("Verdicts on lines and wearers changed", difference.lines.iter().map(|found| lines(told, found)).collect()),
        ("Changeovers moved", difference.changeovers.iter().map(|found| changeover(told, found)).collect()),
        ("Conflicts closed", conflicts(When::Earlier)),
        ("New and gone", difference.wholes.iter().map(|found| whole(told, found)).collect()),
        ("Eras of single features moved", states.into_iter().map(|found| era(told, found)).collect()),
        ("Questions answered", questions::items(told, When::Earlier)),
        ("New questions", questions::items(told, When::Now)),
    ];
    let new = [
        ("New observations", newcomers::observations(told)),
        ("New sources", newcomers::sources(told)),
        ("New keys", newcomers::keys(told)),
    ];
    let sections = sections.into_iter().map(|(title, items)| Section { title, items, more: 0 });
    let sections = sections.chain(new.into_iter().map(|(title, items)| first(title, items)));
    let sections = sections.filter(|section| !section.items.is_empty()).collect();
    Account { headline: headline(told), sections }
}

/// A section of the first items, with a count of the rest.
fn first(title: &'static str, mut items: Vec<Item>) -> Section {
    let more = items.len().saturating_sub(MOST_NEW);
    items.truncate(MOST_NEW);
    Section { title, items, more }
}

fn headline(told: &Told<'_>) -> Vec<String> {
    let (difference, files) = (told.difference, told.difference.files.all().len());
    let since = format!("since {}", wording::quote(told.revision));
    let changed = if files == 0 {
        format!("No entry changed {since}.")
    } else {
        format!("{} of entries and schema changed {since}.", wording::count(files, "file"))
    };
    if difference.is_empty() {
        return vec!["No conclusion changed.".to_string(), changed];
    }
    let others = difference.others;
    let first = match (others.total(), &parts([others.bounds, others.conflicts, others.voices, others.verdicts])[..]) {
        (0, _) => "No conclusion that rests on other people's entries moved.".to_string(),
        (1, parts) => format!("1 conclusion that rests on other people's entries moved: {}.", parts.join(", ")),
        (total, parts) => {
            format!("{total} conclusions that rest on other people's entries moved: {}.", parts.join(", "))
        }
    };
    let all = parts([
        difference.eras.iter().map(|era| era.bounds.len()).sum(),
        difference.conflicts.len(),
        difference.voices.len(),
        difference.verdicts.iter().map(|pair| pair.verdicts.len()).sum::<usize>()
            + difference.lines.iter().map(|pair| pair.verdicts.len()).sum::<usize>(),
    ]);
    let all = (!all.is_empty()).then(|| format!("Changed in all: {}.", all.join(", ")));
    [Some(first), all, Some(changed)].into_iter().flatten().collect()
}

fn parts([bounds, conflicts, voices, verdicts]: [usize; 4]) -> Vec<String> {
    let named = [(bounds, "bound of an era", "bounds of eras"), (conflicts, "conflict", "conflicts")];
    let rest = [(voices, "standing of a voice", "standings of voices"), (verdicts, "verdict", "verdicts")];
    let counted = named.into_iter().chain(rest).filter(|(count, ..)| *count > 0);
    counted.map(|(count, one, many)| format!("{count} {}", if count == 1 { one } else { many })).collect()
}

impl<'a> Told<'a> {
    fn state(&self, when: When) -> &'a Knowledge {
        match when {
            When::Now => self.now,
            When::Earlier => self.earlier,
        }
    }
}

/// Says which files did it, as the end of a sentence; empty where no single one did.
fn because(cause: &Cause) -> String {
    let named: Vec<String> = cause.because.iter().take(MOST_NAMED).map(quoted).collect();
    let more = cause.because.len() - named.len();
    let named = if more == 0 { words::join(&named) } else { format!("{} and {more} more", named.join(", ")) };
    if named.is_empty() { String::new() } else { format!(", because of {named}") }
}

/// Marks what rests on other people's entries too.
fn others<'a>(mut causes: impl Iterator<Item = &'a Cause>) -> &'static str {
    if causes.any(|cause| cause.is_others) { OTHERS } else { "" }
}

/// One thing with several changes; a cause they all share is stated once, other causes with each
/// change.
fn item(lead: &str, changes: Vec<(String, &Cause)>) -> Item {
    let mut causes = changes.iter().map(|(_, cause)| &cause.because);
    let first = causes.next();
    let is_one = causes.all(|other| Some(other) == first);
    let once = changes.first().filter(|_| is_one).map_or(String::new(), |(_, cause)| because(cause));
    let lead = format!("{lead}{once}{}", others(changes.iter().map(|(_, cause)| *cause)));
    let each = |(text, cause): (String, &Cause)| if is_one { text } else { text + &because(cause) };
    Item { lead, details: changes.into_iter().map(each).collect() }
}

fn quoted(path: &FilePath) -> String {
    format!("`{}`", path.as_str().replace('`', "'"))
}

fn conflict(told: &Told<'_>, change: &ConflictChange) -> Item {
    let knowledge = told.state(change.when);
    let members: Vec<&Voice> = change.conflict.members.iter().map(|index| knowledge.voice(*index)).collect();
    let main = members.iter().max_by_key(|voice| (voice.standing, std::cmp::Reverse(&voice.name)));
    let says = main.map(|voice| explain::saying(knowledge, voice)).unwrap_or_default();
    let lead = match (change.when, change.is_settled, members.len()) {
        (When::Now, _, 1) => format!("{says}: this cannot be true on its own"),
        (When::Now, ..) => format!("{says}: these statements cannot all be true"),
        (When::Earlier, true, _) => format!("{says}: settled by a dispute"),
        (When::Earlier, false, _) => format!("{says}: no longer contradicted in this way"),
    };
    let member = |voice: &&Voice| {
        let part = voice.claims.first()?;
        Some(format!("`{}`: {}", part.name, explain::testimony(knowledge, voice, part)))
    };
    let details = members.iter().filter_map(member).collect();
    Item { lead: lead + &because(&change.cause) + others([&change.cause].into_iter()), details }
}

fn era(told: &Told<'_>, change: &EraChange) -> Item {
    let lead = match (told.now.eras.get(&change.thing), change.following) {
        (Some(era), 0) => format!("`{}` {}", change.thing, explain::made(era)),
        (Some(era), states) => {
            let states = wording::count(states, "state");
            format!("`{}` {}; {states} of its features moved along", change.thing, explain::made(era))
        }
        (None, _) => format!("`{}` no longer has an era", change.thing),
    };
    item(&lead, change.bounds.iter().map(|change| (bound(change), &change.cause)).collect())
}

/// Says how a bound moved.
fn bound(change: &BoundChange) -> String {
    let side = match change.side {
        Side::BeginEarliest => "not begun before",
        Side::BeginLatest => "begun by",
        Side::EndEarliest => "not ended before",
        Side::EndLatest => "ended by",
    };
    match (change.from, change.to) {
        (from, Some(to)) => format!("{side} {}; {}", reached(to), from.map_or("was open".to_string(), was)),
        (Some(from), None) => format!("{side}: open; {}", was(from)),
        (None, None) => side.to_string(),
    }
}

fn was(reached_then: Reached) -> String {
    format!("was {}", reached(reached_then))
}

fn reached(reached: Reached) -> String {
    format!("{}{}", reached.day, if reached.is_estimated { " (estimated)" } else { "" })
}

fn voice(told: &Told<'_>, change: &VoiceChange) -> Item {
    let knowledge = told.state(change.when);
    let voice = knowledge.voice(change.voice);
    let to = match (change.to, change.is_settled) {
        (Some(Standing::SetAside), _) => "is outweighed and is set aside",
        (Some(Standing::Contested), _) => "is contested and not counted",
        (Some(Standing::Kept), _) => "counts now",
        (None, true) => "is taken out by a settled dispute",
        (None, false) => "is gone",
    };
    let from = match change.from {
        Some(Standing::SetAside) => "; it was set aside",
        Some(Standing::Contested) => "; it was contested",
        Some(Standing::Kept) => "; it counted",
        None => "; it is new",
    };
    let says = explain::saying(knowledge, voice);
    let why = because(&change.cause) + others([&change.cause].into_iter());
    Item { lead: format!("`{}` {to}{from}{why}", voice.name), details: vec![says] }
}

fn pair(told: &Told<'_>, change: &PairChange) -> Item {
    let remark = match change.only {
        Some(When::Now) => ", compared for the first time",
        Some(When::Earlier) => ", no longer compared",
        None => "",
    };
    let lead = format!("`{}` and `{}`{remark}", change.a, change.b);
    item(&lead, change.verdicts.iter().map(|found| (verdict(told, found), &found.cause)).collect())
}

/// Says what a verdict was and is.
fn verdict(told: &Told<'_>, change: &VerdictChange) -> String {
    let now = &told.now.catalog;
    let catalog = if now.vocabulary.feature(change.feature.as_str()).is_some() { now } else { &told.earlier.catalog };
    let says = |verdict: &Option<Verdict>| match verdict {
        Some(verdict) => words::verdict_words(verdict, catalog),
        None => "too little to tell".to_string(),
    };
    let (from, to) = (says(&change.from), says(&change.to));
    format!("{}: {to}; was {from}", words::the(catalog, &change.feature))
}

fn lines(told: &Told<'_>, change: &LineChange) -> Item {
    let lead = format!("`{}` and `{}`", change.a, change.b);
    item(&lead, change.verdicts.iter().map(|found| (verdict(told, found), &found.cause)).collect())
}

/// The words for a changeover now, and before.
fn changeover(told: &Told<'_>, change: &ChangeoverChange) -> Item {
    let says = |knowledge: &Knowledge, history: &Option<History>| match history {
        Some(history) => explain::changes::sentence(&knowledge.catalog, history),
        None => "No change is reported.".to_string(),
    };
    let now = &told.now.catalog;
    let catalog = if now.vocabulary.feature(change.feature.as_str()).is_some() { now } else { &told.earlier.catalog };
    let lead = format!("{} of `{}`", words::the(catalog, &change.feature), change.thing.as_str());
    let details =
        vec![format!("Now: {}", says(told.now, &change.to)), format!("Before: {}", says(told.earlier, &change.from))];
    Item { lead: lead + &because(&change.cause) + others([&change.cause].into_iter()), details }
}

fn whole(told: &Told<'_>, change: &WholeChange) -> Item {
    let sort = match &change.whole {
        Whole::Maker(_) => "maker",
        Whole::Line(_) => "label line",
        Whole::Model(_) => "model",
        Whole::Variant(_) => "variant",
    };
    let name = change.whole.as_str();
    let lead = match (change.when, told.now.eras.get(&Thing::of(change.whole.clone()))) {
        (When::Earlier, _) => format!("`{name}` is gone, a {sort}"),
        (When::Now, Some(era)) => format!("`{name}` is a new {sort}; it {}", explain::made(era)),
        (When::Now, None) => format!("`{name}` is a new {sort}"),
    };
    Item { lead: lead + &because(&change.cause), details: Vec::new() }
}

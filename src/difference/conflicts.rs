//! Conflicts that opened and closed, and voices that now stand alone or no longer do.
//!
//! A voice is the same in both states if they share a claim: by name and content, or else by one of the two.

use std::collections::{BTreeMap, BTreeSet};

use crate::difference::state::{Change, Grounds, State};
use crate::difference::{ConflictChange, VoiceChange, When};
use crate::knowledge::{Conflict, Saying, Standing, Voice, VoiceIndex};
use crate::record::id::{Thing, VoiceName};
use crate::source::FilePath;

/// Finds both.
pub(super) fn changes(change: &Change<'_>) -> (Vec<ConflictChange>, Vec<VoiceChange>) {
    let pairing = Pairing::new(change);
    (conflicts(change, &pairing), voices(change, &pairing))
}

/// The voices of both states, each with its counterpart.
struct Pairing {
    to_now: BTreeMap<VoiceIndex, VoiceIndex>,
    to_earlier: BTreeMap<VoiceIndex, BTreeSet<VoiceIndex>>,
}

/// A claim as it is looked for: in a file, under a name, and saying something; one of the last two may be left open.
type Claim = (FilePath, Option<VoiceName>, Option<Said>);

/// The content of a voice, under the present names.
type Said = (u8, Option<Thing>, Option<Thing>, Option<i32>, Option<i32>);

impl Pairing {
    fn new(change: &Change<'_>) -> Pairing {
        let mut pairing = Pairing { to_now: BTreeMap::new(), to_earlier: BTreeMap::new() };
        let keys: [fn(&Claim) -> Claim; 3] = [
            Claim::clone,
            |(path, _, said)| (path.clone(), None, said.clone()),
            |(path, name, _)| (path.clone(), name.clone(), None),
        ];
        for key in keys {
            let open = |state: &State<'_>, is_open: &dyn Fn(VoiceIndex) -> bool| -> BTreeMap<Claim, VoiceIndex> {
                let claims = claims(state).into_iter().filter(|(_, voice)| is_open(*voice));
                claims.map(|(claim, voice)| (key(&claim), voice)).collect()
            };
            let now = open(&change.now, &|voice| !pairing.to_earlier.contains_key(&voice));
            let earlier = open(&change.earlier, &|voice| !pairing.to_now.contains_key(&voice));
            for (claim, voice) in earlier {
                if let Some(counterpart) = now.get(&claim) {
                    pairing.to_now.entry(voice).or_insert(*counterpart);
                    pairing.to_earlier.entry(*counterpart).or_default().insert(voice);
                }
            }
        }
        pairing
    }

    /// The earlier standing of a present voice: the worst of those it corresponds to.
    fn earlier_standing(&self, change: &Change<'_>, voice: VoiceIndex) -> Option<Standing> {
        let before = self.to_earlier.get(&voice).into_iter().flatten();
        before.map(|before| change.earlier.knowledge.voice(*before).standing).max()
    }
}

fn claims(state: &State<'_>) -> Vec<(Claim, VoiceIndex)> {
    let mut claims = Vec::new();
    for (number, voice) in state.knowledge.voices.iter().enumerate() {
        for part in &voice.claims {
            let name = state.name(&part.name);
            let path = FilePath::new(name.as_str().split_once('#').map_or("", |(path, _)| path));
            claims.push(((path, Some(name), Some(said(state, voice))), VoiceIndex(number as u32)));
        }
    }
    claims
}

fn said(state: &State<'_>, voice: &Voice) -> Said {
    let thing = |thing: &Thing| Some(state.moves.thing(thing));
    let (kind, one, other, days) = match &voice.says {
        Saying::Began(about, days) => (0, thing(about), None, Some(days)),
        Saying::Ended(about, days) => (1, thing(about), None, Some(days)),
        Saying::Attested(about, days) => (2, thing(about), None, Some(days)),
        Saying::Before(about, other) => (3, thing(about), thing(other), None),
        Saying::Document(days) => (4, None, None, Some(days)),
        Saying::Made(days) => (5, None, None, Some(days)),
        // The days that landmarks allow may change while the placing stays the same.
        Saying::Seen(_) => (6, None, None, None),
        Saying::Key => (7, None, None, None),
    };
    let number = |day: Option<crate::date::Day>| day.map(crate::date::Day::number);
    let (first, last) = days.map_or((None, None), |days| (number(days.first()), number(days.last())));
    (kind, one, other, first, last)
}

/// Those that opened, then those that closed; each first where other people's entries take part.
fn conflicts(change: &Change<'_>, pairing: &Pairing) -> Vec<ConflictChange> {
    let listed = |state: &State<'_>| -> BTreeSet<Vec<VoiceIndex>> {
        state.knowledge.conflicts.iter().map(|conflict| conflict.members.clone()).collect()
    };
    let stays = |conflict: &Conflict| -> Option<Vec<VoiceIndex>> {
        let mut members: Vec<VoiceIndex> =
            conflict.members.iter().map(|member| pairing.to_now.get(member).copied()).collect::<Option<_>>()?;
        members.sort();
        Some(members)
    };
    let now = listed(&change.now);
    let before: BTreeSet<Vec<VoiceIndex>> = change.earlier.knowledge.conflicts.iter().filter_map(stays).collect();
    let opened = change.now.knowledge.conflicts.iter().filter(|conflict| !before.contains(&conflict.members));
    let closed = change.earlier.knowledge.conflicts.iter();
    let closed = closed.filter(|conflict| stays(conflict).is_none_or(|members| !now.contains(&members)));
    let opened = opened.map(|conflict| conflict_change(change, When::Now, conflict));
    let mut changes: Vec<ConflictChange> =
        opened.chain(closed.map(|conflict| conflict_change(change, When::Earlier, conflict))).collect();
    // The sort keeps the order of knots among equals.
    changes.sort_by_key(|found| (found.when, !found.cause.is_others));
    changes
}

fn conflict_change(change: &Change<'_>, when: When, conflict: &Conflict) -> ConflictChange {
    let state = change.state(when);
    let mut grounds = Grounds::default();
    conflict.members.iter().for_each(|member| change.add(&mut grounds, when, *member));
    let names: Vec<VoiceName> =
        conflict.members.iter().flat_map(|member| names(state, state.knowledge.voice(*member))).collect();
    let settling = settled_by(change, &names);
    let is_settled = when == When::Earlier && !settling.is_empty();
    if is_settled {
        grounds.behind.extend(settling);
    }
    grounds.around.extend(naming(change, &names));
    ConflictChange { when, conflict: conflict.clone(), is_settled, cause: change.cause(&grounds) }
}

/// The present names of a voice's claims.
fn names(state: &State<'_>, voice: &Voice) -> Vec<VoiceName> {
    voice.claims.iter().map(|part| state.name(&part.name)).collect()
}

/// The disputes of the change that take one of the claims out.
fn settled_by(change: &Change<'_>, names: &[VoiceName]) -> Vec<FilePath> {
    let catalog = &change.now.knowledge.catalog;
    if !names.iter().any(|name| catalog.set_aside.contains(name)) {
        return Vec::new();
    }
    naming(change, names)
}

/// The disputes of the change that name one of the claims, in either state.
fn naming(change: &Change<'_>, names: &[VoiceName]) -> Vec<FilePath> {
    let found = change.states().into_iter().flat_map(|state| names.iter().flat_map(|name| state.naming(name)));
    found.filter(|path| change.files.touch(path)).collect()
}

/// First the voices that now stand alone; of those first the ones of other people, then by weight and name.
fn voices(change: &Change<'_>, pairing: &Pairing) -> Vec<VoiceChange> {
    let numbers = |state: &State<'_>| (0..state.knowledge.voices.len()).map(|number| VoiceIndex(number as u32));
    let now = numbers(&change.now).filter_map(|voice| {
        let (from, to) = (pairing.earlier_standing(change, voice), change.now.knowledge.voice(voice).standing);
        let was = from.unwrap_or(Standing::Kept);
        (was != to).then(|| voice_change(change, When::Now, voice, [from, Some(to)]))
    });
    let gone = numbers(&change.earlier).filter(|voice| !pairing.to_now.contains_key(voice));
    let gone = gone.filter_map(|voice| {
        let from = change.earlier.knowledge.voice(voice).standing;
        (from != Standing::Kept).then(|| voice_change(change, When::Earlier, voice, [Some(from), None]))
    });
    let mut changes: Vec<VoiceChange> = now.chain(gone).collect();
    changes.sort_by_cached_key(|found| {
        let voice = change.state(found.when).knowledge.voice(found.voice);
        let is_better = found.to.is_none_or(|to| to == Standing::Kept);
        (is_better, !found.cause.is_others, std::cmp::Reverse((found.to, voice.weight)), voice.name.clone())
    });
    changes
}

fn voice_change(change: &Change<'_>, when: When, voice: VoiceIndex, [from, to]: [Option<Standing>; 2]) -> VoiceChange {
    let state = change.state(when);
    let mut grounds = Grounds::default();
    change.add(&mut grounds, when, voice);
    let names = names(state, state.knowledge.voice(voice));
    grounds.around.extend(naming(change, &names));
    let is_settled = to.is_none() && !settled_by(change, &names).is_empty();
    if is_settled {
        grounds.behind.extend(naming(change, &names));
    }
    VoiceChange { when, voice, from, to, is_settled, cause: change.cause(&grounds) }
}

//! Compares two states of a knowledge base: the conclusions that changed, each with the entries that changed it.
//!
//! It has types and no words, and leaves out what did not change. A record that was renamed through `formerly` is the
//! same one.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::changeover::History;
use crate::comparison::Verdict;
use crate::comparison::question::Gap;
use crate::date::Day;
use crate::difference::from_nowhere::FromNowhere;
use crate::difference::landmarks::UnsupportedLandmark;
use crate::difference::moved::Moves;
use crate::difference::newcomers::Newcomers;
use crate::difference::state::Change;
use crate::knowledge::{Conflict, Side, Standing, VoiceIndex};
use crate::record::id::{FeatureId, Thing, VariantId, Whole};
use crate::source::FilePath;

mod changeovers;
mod conflicts;
mod eras;
pub mod from_nowhere;
pub mod landmarks;
mod lines;
pub mod moved;
pub mod newcomers;
mod others;
mod questions;
mod state;
#[cfg(test)]
mod tests;
mod verdicts;
mod wholes;

/// The changes between two states; every list begins with the most important.
#[derive(Clone, Debug, Default)]
pub struct Difference {
    /// The files that changed.
    pub files: Files,
    /// How many changed conclusions rest on what other people recorded.
    pub others: Others,
    /// Conflicts that opened, then those that closed.
    pub conflicts: Vec<ConflictChange>,
    /// Eras that moved, by thing.
    pub eras: Vec<EraChange>,
    /// Voices that now stand alone or no longer do.
    pub voices: Vec<VoiceChange>,
    /// Verdicts that flipped, by pair of variants.
    pub verdicts: Vec<PairChange>,
    /// Verdicts on two lines or two wearers that flipped.
    pub lines: Vec<LineChange>,
    /// Changeovers that moved, came or went, by thing and feature.
    pub changeovers: Vec<ChangeoverChange>,
    /// Makers, lines, models and variants that are new or gone.
    pub wholes: Vec<WholeChange>,
    /// Open questions that were answered or are new.
    pub questions: Vec<QuestionChange>,
    /// New sources without a copy that overturn older statements.
    pub from_nowhere: Vec<FromNowhere>,
    /// New landmarks that rest only on sources without a copy.
    pub landmarks: Vec<UnsupportedLandmark>,
    /// Other additions, whether a conclusion changed or not.
    pub newcomers: Newcomers,
}

/// The files that changed, by the paths that they have now, or had last.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files {
    /// Those that are new.
    pub added: BTreeSet<FilePath>,
    /// Those whose text changed.
    pub changed: BTreeSet<FilePath>,
    /// Those that are gone.
    pub removed: BTreeSet<FilePath>,
    /// Those that were renamed, with their earlier paths.
    pub moved: BTreeMap<FilePath, FilePath>,
}

/// How many changed conclusions rest on entries of other people: untouched, and not by an observer of the change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Others {
    /// Bounds of eras.
    pub bounds: usize,
    /// Conflicts opened or closed.
    pub conflicts: usize,
    /// Voices that now stand alone, or no longer do.
    pub voices: usize,
    /// Earlier verdicts.
    pub verdicts: usize,
}

/// Which of the two states something is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// The state after the change.
    Now,
    /// The state before it.
    Earlier,
}

/// Why a conclusion changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cause {
    /// The files of the change behind it: those it rests on, or else those that contradict what it rests on.
    pub because: Vec<FilePath>,
    /// Whether it rests, or rested, on entries of other people.
    pub is_others: bool,
}

/// A conflict that opened or closed.
#[derive(Clone, Debug)]
pub struct ConflictChange {
    /// Now for one that opened, earlier for one that closed.
    pub when: When,
    /// The conflict, in that state's own numbers.
    pub conflict: Conflict,
    /// Whether a settled dispute of the change took one of its sides out.
    pub is_settled: bool,
    /// Why.
    pub cause: Cause,
}

/// A thing with the bounds of its era that moved.
#[derive(Clone, Debug)]
pub struct EraChange {
    /// The thing, as it is called now.
    pub thing: Thing,
    /// The bounds, in the order of their sides; for a state, only those that do not repeat its whole's.
    pub bounds: Vec<BoundChange>,
    /// How many of its states moved only along with it.
    pub following: usize,
}

/// A bound that moved.
#[derive(Clone, Debug)]
pub struct BoundChange {
    /// Which.
    pub side: Side,
    /// Where it was, if anything bounded it.
    pub from: Option<Reached>,
    /// Where it is now.
    pub to: Option<Reached>,
    /// Why.
    pub cause: Cause,
}

/// A day that an era reaches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reached {
    /// The day.
    pub day: Day,
    /// Whether only an estimate gives it.
    pub is_estimated: bool,
}

/// A voice whose standing changed.
#[derive(Clone, Debug)]
pub struct VoiceChange {
    /// The state that the voice's number is of: now, unless it is gone.
    pub when: When,
    /// The voice.
    pub voice: VoiceIndex,
    /// Its standing before; `None` for a new voice.
    pub from: Option<Standing>,
    /// Its standing now; `None` for one that is gone.
    pub to: Option<Standing>,
    /// Whether a settled dispute took it out.
    pub is_settled: bool,
    /// Why.
    pub cause: Cause,
}

/// Two variants with the features whose verdicts changed.
#[derive(Clone, Debug)]
pub struct PairChange {
    /// The first, by id, as it is called now.
    pub a: VariantId,
    /// The other.
    pub b: VariantId,
    /// Whether the two are compared in both states or only one, and in which.
    pub only: Option<When>,
    /// The verdicts, first those that matter most.
    pub verdicts: Vec<VerdictChange>,
}

/// A verdict that changed, appeared or went; too few garments count as no verdict.
#[derive(Clone, Debug)]
pub struct VerdictChange {
    /// The feature.
    pub feature: FeatureId,
    /// The earlier verdict.
    pub from: Option<Verdict>,
    /// The present verdict.
    pub to: Option<Verdict>,
    /// Why.
    pub cause: Cause,
}

/// Two lines or two wearers with the features whose verdicts changed.
#[derive(Clone, Debug)]
pub struct LineChange {
    /// The first, by name: `<maker>/line:<line>` or `<maker>/wearer:<wearer>`, as it is called now.
    pub a: String,
    /// The other.
    pub b: String,
    /// The verdicts, first those that matter most.
    pub verdicts: Vec<VerdictChange>,
}

/// A feature of a thing whose change of state has other years or other states than before.
#[derive(Clone, Debug)]
pub struct ChangeoverChange {
    /// The variant, model or line, as it is called now.
    pub thing: Whole,
    /// The feature.
    pub feature: FeatureId,
    /// The change before; `None` if there was none.
    pub from: Option<History>,
    /// The change now.
    pub to: Option<History>,
    /// Why.
    pub cause: Cause,
}

/// Something that only one of the two states has.
#[derive(Clone, Debug)]
pub struct WholeChange {
    /// Now for what is new, earlier for what is gone.
    pub when: When,
    pub whole: Whole,
    /// Why.
    pub cause: Cause,
}

/// A question that was answered, or is new.
#[derive(Clone, Debug)]
pub struct QuestionChange {
    /// Now for a question that is new, earlier for one that was answered.
    pub when: When,
    /// The question.
    pub question: Open,
    /// Why.
    pub cause: Cause,
}

/// An open question.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Open {
    /// The disagreement in the dispute at this path.
    Dispute(FilePath),
    /// Where this garment belongs.
    Unplaced(FilePath),
    /// When a variant was surely made.
    NeverSure(VariantId),
    /// The evidence for a bound of a variant's era.
    Bound(VariantId, Side, Gap),
    /// Whether a feature tells two variants apart, for which too few garments of the first are recorded.
    Thin(VariantId, FeatureId, VariantId),
    /// Whether a verdict holds that one more garment of the first could change.
    Edge(VariantId, FeatureId, VariantId),
}

/// Finds what changed from an earlier state to now.
pub fn of<'a>(earlier: &'a Analysis<'a>, now: &'a Analysis<'a>) -> Difference {
    under(earlier, now, Moves::between(&earlier.knowledge.catalog, &now.knowledge.catalog))
}

/// Finds what changed from an earlier state to now, given what was renamed between them.
pub fn under<'a>(earlier: &'a Analysis<'a>, now: &'a Analysis<'a>, moves: Moves) -> Difference {
    let change = Change::new(earlier, now, moves);
    let (conflicts, voices) = conflicts::changes(&change);
    let models = verdicts::models(&change, &voices);
    let compared = verdicts::compared(&change, &models);
    let mut difference = Difference {
        conflicts,
        voices,
        eras: eras::changes(&change),
        verdicts: verdicts::changes(&change, &compared),
        lines: lines::changes(&change, &models),
        changeovers: changeovers::changes(&change, &models),
        wholes: wholes::changes(&change),
        questions: questions::changes(&change, &compared),
        from_nowhere: from_nowhere::of(earlier.knowledge, now.knowledge, &change.earlier.moves),
        landmarks: landmarks::of(earlier.knowledge, now.knowledge, &change.earlier.moves),
        newcomers: newcomers::of(&change),
        others: Others::default(),
        files: change.files,
    };
    difference.others = others::count(&difference);
    difference
}

impl Difference {
    /// Says whether no conclusion changed, whatever files did.
    pub fn is_empty(&self) -> bool {
        let Difference {
            files: _,
            others: _,
            conflicts,
            eras,
            voices,
            verdicts,
            lines,
            changeovers,
            wholes,
            questions,
            // The statements it overturns are listed among the voices.
            from_nowhere: _,
            landmarks: _,
            newcomers: _,
        } = self;
        conflicts.is_empty()
            && eras.is_empty()
            && voices.is_empty()
            && verdicts.is_empty()
            && lines.is_empty()
            && changeovers.is_empty()
            && wholes.is_empty()
            && questions.is_empty()
    }
}

impl Others {
    /// All of them together.
    pub fn total(self) -> usize {
        self.bounds + self.conflicts + self.voices + self.verdicts
    }
}

impl Files {
    /// Says whether a file, by the path it has now or had last, is part of the change.
    pub fn touch(&self, path: &FilePath) -> bool {
        self.added.contains(path)
            || self.changed.contains(path)
            || self.removed.contains(path)
            || self.moved.contains_key(path)
    }

    /// Every file of the change, in order of path.
    pub fn all(&self) -> BTreeSet<&FilePath> {
        let whole = self.added.iter().chain(&self.changed).chain(&self.removed);
        whole.chain(self.moved.keys()).collect()
    }
}

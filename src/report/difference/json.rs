//! A difference as JSON, in types of its own that change only by adding fields.
//!
//! The form is `bartack-difference` version 1; its schema is `schema/difference.schema.json`.

mod newcomers;
mod verdicts;

use serde::Serialize;

use crate::comparison::question::Gap;
use crate::compile;
use crate::difference::{BoundChange, ConflictChange, EraChange, Open, QuestionChange, Reached};
use crate::difference::{VoiceChange, When, WholeChange};
use crate::explain;
use crate::knowledge::{Side, Standing};
use crate::report::difference::json::newcomers::{FromNowhereObject, LandmarkObject, NewObject};
use crate::report::difference::json::verdicts::{CauseObject, ChangeoverObject, LineObject, PairObject};
use crate::report::difference::json::verdicts::{cause, change, changeover, lines, pair};
use crate::report::difference::{Told, questions};
use crate::source::FilePath;

#[derive(Serialize)]
struct Object<'a> {
    format: &'static str,
    version: u32,
    earlier: State<'a>,
    now: State<'a>,
    files: FilesObject<'a>,
    rests_on_others: OthersObject,
    conflicts: Vec<ConflictObject<'a>>,
    eras: Vec<EraObject>,
    voices: Vec<VoiceObject<'a>>,
    verdicts: Vec<PairObject<'a>>,
    lines: Vec<LineObject<'a>>,
    changeovers: Vec<ChangeoverObject<'a>>,
    known: Vec<WholeObject<'a>>,
    questions: Vec<QuestionObject<'a>>,
    from_nowhere: Vec<FromNowhereObject<'a>>,
    landmarks: Vec<LandmarkObject<'a>>,
    new: NewObject<'a>,
    caution: &'static str,
}

#[derive(Serialize)]
struct State<'a> {
    /// As the caller named it; null for the files as they lie there.
    revision: Option<&'a str>,
    commit: Option<&'a str>,
    knowledge_base: String,
}

#[derive(Serialize)]
struct FilesObject<'a> {
    added: Vec<&'a str>,
    changed: Vec<&'a str>,
    removed: Vec<&'a str>,
    moved: Vec<MovedObject<'a>>,
}

#[derive(Serialize)]
struct MovedObject<'a> {
    from: &'a str,
    to: &'a str,
}

#[derive(Serialize)]
struct OthersObject {
    total: usize,
    bounds: usize,
    conflicts: usize,
    voices: usize,
    verdicts: usize,
}

#[derive(Serialize)]
struct ConflictObject<'a> {
    conflict: &'a str,
    change: &'static str,
    settled: bool,
    voices: Vec<&'a str>,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

#[derive(Serialize)]
struct EraObject {
    thing: String,
    /// How many states of its features moved along with it.
    states_following: usize,
    bounds: Vec<BoundObject>,
}

#[derive(Serialize)]
struct BoundObject {
    bound: &'static str,
    from: Option<DayObject>,
    to: Option<DayObject>,
    because: Vec<String>,
    rests_on_others: bool,
}

#[derive(Serialize)]
struct DayObject {
    day: String,
    estimated: bool,
}

#[derive(Serialize)]
struct VoiceObject<'a> {
    voice: &'a str,
    says: String,
    from: Option<&'static str>,
    to: Option<&'static str>,
    settled: bool,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

#[derive(Serialize)]
struct WholeObject<'a> {
    thing: &'a str,
    change: &'static str,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

#[derive(Serialize)]
struct QuestionObject<'a> {
    change: &'static str,
    /// `dispute`, `unplaced`, `never_sure`, `bound`, `thin` or `edge`.
    sort: &'static str,
    variant: Option<&'a str>,
    other: Option<&'a str>,
    feature: Option<&'a str>,
    bound: Option<&'static str>,
    gap: Option<&'static str>,
    entry: Option<&'a str>,
    sentence: String,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

/// Writes the difference as one JSON object, with a newline at its end.
pub fn render(told: &Told<'_>) -> String {
    let mut text = serde_json::to_string_pretty(&object(told)).expect("texts and numbers have a JSON form");
    text.push('\n');
    text
}

fn object<'a>(told: &Told<'a>) -> Object<'a> {
    let difference = told.difference;
    let id = |when: When| compile::content_id(&told.state(when).catalog.sources);
    let others = difference.others;
    Object {
        format: "bartack-difference",
        version: 1,
        earlier: State { revision: Some(told.revision), commit: Some(told.commit), knowledge_base: id(When::Earlier) },
        now: State { revision: None, commit: None, knowledge_base: id(When::Now) },
        files: files(told),
        rests_on_others: OthersObject {
            total: others.total(),
            bounds: others.bounds,
            conflicts: others.conflicts,
            voices: others.voices,
            verdicts: others.verdicts,
        },
        conflicts: difference.conflicts.iter().map(|found| conflict(told, found)).collect(),
        eras: difference.eras.iter().map(era).collect(),
        voices: difference.voices.iter().map(|found| voice(told, found)).collect(),
        verdicts: difference.verdicts.iter().map(pair).collect(),
        lines: difference.lines.iter().map(lines).collect(),
        changeovers: difference.changeovers.iter().map(|found| changeover(told, found)).collect(),
        known: difference.wholes.iter().map(whole).collect(),
        questions: difference.questions.iter().map(question).collect(),
        from_nowhere: newcomers::from_nowhere(told),
        landmarks: newcomers::landmarks(told),
        new: newcomers::new(told),
        caution: explain::CAUTION,
    }
}

fn files<'a>(told: &Told<'a>) -> FilesObject<'a> {
    let files = &told.difference.files;
    FilesObject {
        added: files.added.iter().map(FilePath::as_str).collect(),
        changed: files.changed.iter().map(FilePath::as_str).collect(),
        removed: files.removed.iter().map(FilePath::as_str).collect(),
        moved: files.moved.iter().map(|(to, from)| MovedObject { from: from.as_str(), to: to.as_str() }).collect(),
    }
}

fn conflict<'a>(told: &Told<'a>, change: &'a ConflictChange) -> ConflictObject<'a> {
    let knowledge = told.state(change.when);
    let members = change.conflict.members.iter();
    ConflictObject {
        conflict: &change.conflict.id,
        change: if change.when == When::Now { "opened" } else { "closed" },
        settled: change.is_settled,
        voices: members.map(|index| knowledge.voice(*index).name.as_str()).collect(),
        cause: cause(&change.cause),
    }
}

fn era(change: &EraChange) -> EraObject {
    let bounds = change.bounds.iter().map(bound).collect();
    EraObject { thing: change.thing.to_string(), states_following: change.following, bounds }
}

fn bound(change: &BoundChange) -> BoundObject {
    let day = |reached: Reached| DayObject { day: reached.day.to_string(), estimated: reached.is_estimated };
    BoundObject {
        bound: side(change.side),
        from: change.from.map(day),
        to: change.to.map(day),
        because: change.cause.because.iter().map(ToString::to_string).collect(),
        rests_on_others: change.cause.is_others,
    }
}

fn side(side: Side) -> &'static str {
    match side {
        Side::BeginEarliest => "begin_earliest",
        Side::BeginLatest => "begin_latest",
        Side::EndEarliest => "end_earliest",
        Side::EndLatest => "end_latest",
    }
}

fn voice<'a>(told: &Told<'a>, change: &'a VoiceChange) -> VoiceObject<'a> {
    let knowledge = told.state(change.when);
    let voice = knowledge.voice(change.voice);
    VoiceObject {
        voice: voice.name.as_str(),
        says: explain::saying(knowledge, voice),
        from: change.from.map(standing),
        to: change.to.map(standing),
        settled: change.is_settled,
        cause: cause(&change.cause),
    }
}

/// The word of a standing.
fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Kept => "kept",
        Standing::Contested => "contested",
        Standing::SetAside => "set aside",
    }
}

fn whole(found: &WholeChange) -> WholeObject<'_> {
    WholeObject { thing: found.whole.as_str(), change: change(Some(found.when)), cause: cause(&found.cause) }
}

fn question(found: &QuestionChange) -> QuestionObject<'_> {
    let open = &found.question;
    let mut object = QuestionObject {
        change: if found.when == When::Now { "new" } else { "answered" },
        sort: "",
        variant: None,
        other: None,
        feature: None,
        bound: None,
        gap: None,
        entry: None,
        sentence: questions::sentence(open),
        cause: cause(&found.cause),
    };
    match open {
        Open::Dispute(path) => (object.sort, object.entry) = ("dispute", Some(path.as_str())),
        Open::Unplaced(path) => (object.sort, object.entry) = ("unplaced", Some(path.as_str())),
        Open::NeverSure(variant) => (object.sort, object.variant) = ("never_sure", Some(variant.as_str())),
        Open::Bound(variant, wanted, wants) => {
            (object.sort, object.variant) = ("bound", Some(variant.as_str()));
            (object.bound, object.gap) = (Some(side(*wanted)), Some(gap(*wants)));
        }
        Open::Thin(variant, feature, other) | Open::Edge(variant, feature, other) => {
            object.sort = if matches!(open, Open::Thin(..)) { "thin" } else { "edge" };
            (object.variant, object.other) = (Some(variant.as_str()), Some(other.as_str()));
            object.feature = Some(feature.as_str());
        }
    }
    object
}

fn gap(gap: Gap) -> &'static str {
    match gap {
        Gap::Open => "open",
        Gap::Estimated => "estimated",
        Gap::OneVoice => "one voice",
    }
}

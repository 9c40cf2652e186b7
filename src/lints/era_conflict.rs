//! Statements about dates that contradict one another.
//!
//! It turns the conflicts that `chronology` lists into diagnostics and weighs nothing.

use crate::date::DaySpan;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::landmark;
use crate::explain;
use crate::knowledge::{Conflict, Knowledge, Saying, Standing, Voice};
use crate::record::observation::PlacedBy;
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "era-conflict",
    level: Level::Warning,
    title: "statements about dates contradict one another",
    explanation: "\
Claims, dates and placings together limit when something was made. A conflict is a smallest set of them that cannot all be true: remove any one, and the rest can be. Each is shown with what it says, on whose authority and with what weight.

If one of them weighs clearly less than the others, it is set aside: the site shows it but does not count it. If the two sides are about equal, all are contested and none counts, so the era is wider than it need be. Nothing is refused: a conflict is published with both sides.

Look again at the statement that is alone, or at the lightest. Correct it if it was copied wrongly; if a garment was placed wrongly, move it. If people have looked into the conflict, record it as a dispute in `entries/disputes/`, with the decision. Allow it only if the entry must stay as it is and nothing more can be found out.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1975\"
sources = [\"spring-list\"]
[[source]]
id = \"spring-list\"
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"mark\"
made = \"1971\"
made-by = \"mark\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
event = \"introduced\"
when = \"1971\"
sources = [\"spring-list\"]
[[source]]
id = \"spring-list\"
citation = \"Hollin, list for spring 1971\"
kind = \"price-list\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
placed-by = \"mark\"
made = \"1971\"
made-by = \"mark\"
+++
",
    check: Check::Knowledge(check),
};

/// How many claims of one voice are marked; the last one says how many more there are.
const MOST_MARKED: usize = 3;

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let listed = knowledge.conflicts.iter().filter_map(|conflict| word(knowledge, conflict));
    let unsearched = knowledge.unsearched.iter().filter_map(|name| too_large(knowledge, name.as_str()));
    listed.chain(unsearched).collect()
}

fn word(knowledge: &Knowledge, conflict: &Conflict) -> Option<Diagnostic> {
    let members: Vec<&Voice> = conflict.members.iter().map(|index| knowledge.voice(*index)).collect();
    let main = members.iter().max_by_key(|voice| (voice.standing, std::cmp::Reverse(&voice.name)))?;
    let (first, more) = main.claims.split_first()?;
    let message = match members.len() - 1 {
        0 if !main.landmarks.is_empty() => {
            "landmarks leave no day on which this garment could have been made".to_string()
        }
        0 => format!("{}: this cannot be true on its own", explain::saying(knowledge, main)),
        others => format!("{}: {} against it", explain::saying(knowledge, main), stand(others)),
    };
    let mut diagnostic = LINT.at(first.place, message).saying(explain::testimony(knowledge, main, first));
    diagnostic = also(knowledge, diagnostic, main, more.len().min(MOST_MARKED - 1) + 1, 1);
    for voice in members.iter().filter(|voice| voice.name != main.name) {
        diagnostic = also(knowledge, diagnostic, voice, MOST_MARKED, 0);
    }
    diagnostic = members.iter().fold(diagnostic, |diagnostic, voice| landmarks(knowledge, diagnostic, voice));
    let advice = advice(knowledge, &members, main);
    Some(diagnostic.help(format!("{advice}; `bartack explain {}` shows the full explanation", conflict.id)))
}

fn stand(others: usize) -> String {
    match others {
        1 => "1 other statement stands".to_string(),
        others => format!("{others} other statements together stand"),
    }
}

/// Labels the claims of a voice from one to another, and says how many there are beyond.
fn also(knowledge: &Knowledge, diagnostic: Diagnostic, voice: &Voice, until: usize, from: usize) -> Diagnostic {
    let until = until.min(voice.claims.len());
    let beyond = voice.claims.len() - until;
    let marked = voice.claims.iter().enumerate().take(until).skip(from);
    marked.fold(diagnostic, |diagnostic, (at, part)| {
        let mut text = explain::testimony(knowledge, voice, part);
        if at + 1 == until && beyond > 0 {
            text.push_str(&format!("; {beyond} more say the same"));
        }
        diagnostic.label(part.place, text)
    })
}

/// Labels the landmarks that a placing brings with it.
fn landmarks(knowledge: &Knowledge, diagnostic: Diagnostic, voice: &Voice) -> Diagnostic {
    let catalog = &knowledge.catalog;
    voice.landmarks.iter().fold(diagnostic, |diagnostic, index| {
        let Some(found) = landmark::of(catalog, *index) else { return diagnostic };
        let (first, last) = (landmark::not_before(found, catalog.circa()), landmark::not_after(found, catalog.circa()));
        let allows = explain::span(DaySpan::new(first, last).unwrap_or(DaySpan::OPEN));
        let place = Place { file: catalog.record(*index).file, span: found.when.span };
        diagnostic.label(place, format!("a garment that shows this was made {allows}"))
    })
}

fn advice(knowledge: &Knowledge, members: &[&Voice], main: &Voice) -> String {
    let look = look_again(knowledge, main);
    if members.len() == 1 {
        return format!("{look}; it is set aside");
    }
    match main.standing {
        Standing::SetAside => {
            let set_aside = members.iter().filter(|voice| voice.standing == Standing::SetAside).count();
            let alone = if set_aside == 1 { "stands alone against the rest" } else { "is outweighed by the rest" };
            format!(
                "{look}: it {alone} ({} against {}) and is set aside; if it is right after all, say why in `entries/disputes/`",
                explain::weight(main),
                against(members, main)
            )
        }
        _ => format!(
            "neither side clearly outweighs the other, so the contested statements are not counted; {look}; {} would settle it, or record in `entries/disputes/` what people decided",
            what_would_settle(members)
        ),
    }
}

fn against(members: &[&Voice], main: &Voice) -> f64 {
    members.iter().filter(|voice| voice.name != main.name).map(|voice| voice.weight.as_f64()).sum()
}

fn look_again(knowledge: &Knowledge, voice: &Voice) -> String {
    let record = voice.claims.first().and_then(|part| part.record).map(|index| knowledge.catalog.record(index));
    let path = record.map_or(String::new(), |record| format!(" in `{}`", record.path));
    let placed = record.and_then(|record| record.content.observation()).and_then(|seen| seen.placed_by.as_ref());
    match (&voice.says, placed.map(|by| by.value)) {
        (Saying::Made(_), _) => format!("look again at the date of the garment{path}"),
        (Saying::Document(_), _) => format!("look again at the date of the document{path}"),
        (Saying::Seen(_), Some(PlacedBy::Mark | PlacedBy::Paper)) => {
            format!("look again at the garment's mark and features{path}")
        }
        (Saying::Seen(_), _) => format!("check again whether the garment is of this variant{path}"),
        (Saying::Key, _) => format!("look again at the key{path}"),
        _ => format!("look up the claim again{path}"),
    }
}

/// A piece of evidence from the years on which the two sides disagree.
fn what_would_settle(members: &[&Voice]) -> String {
    let spans = || members.iter().filter_map(|voice| days(voice));
    let (last, first) = (spans().filter_map(DaySpan::last).min(), spans().filter_map(DaySpan::first).max());
    match (last, first) {
        (Some(last), Some(first)) if last.year() < first.year() => {
            format!("a catalogue or a garment with a date on it, from the years {} to {},", last.year(), first.year())
        }
        _ => "a catalogue of those years or a garment with a date on it".to_string(),
    }
}

fn days(voice: &Voice) -> Option<DaySpan> {
    match &voice.says {
        Saying::Began(_, days) | Saying::Ended(_, days) | Saying::Attested(_, days) => Some(*days),
        Saying::Document(days) | Saying::Made(days) | Saying::Seen(days) => Some(*days),
        Saying::Before(..) | Saying::Key => None,
    }
}

fn too_large(knowledge: &Knowledge, name: &str) -> Option<Diagnostic> {
    let voice = knowledge.voice_of(name)?;
    let part = voice.claims.first()?;
    let message = format!(
        "the search around {} stopped: choosing which of {} statements to set aside takes too many steps, so all of them are contested",
        wording::quote(name),
        explain::conflict::of_knot(knowledge, name).len()
    );
    let diagnostic = LINT.at(part.place, message).saying(explain::testimony(knowledge, voice, part));
    Some(diagnostic.help("settle some of them in `entries/disputes/`; the rest can then be told apart"))
}

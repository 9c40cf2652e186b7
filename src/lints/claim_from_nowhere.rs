//! New sources without a copy that overturn older claims, and new landmarks on such sources: said where two states are
//! compared.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::difference::from_nowhere::{self, FromNowhere};
use crate::difference::landmarks::{self, UnsupportedLandmark};
use crate::difference::moved::Moves;
use crate::explain;
use crate::knowledge::{Knowledge, Standing, Voice, VoiceClaim};

/// How many claims on the source, and how many older statements, are pointed to.
const MOST: usize = 8;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "claim-from-nowhere",
    level: Level::Warning,
    title: "a new source or landmark that nobody can look up decides dates",
    explanation: "\
A source is new in this change, gives neither `url` nor `archived`, and no entry with photographs cites it. It causes statements that counted before the change to be set aside or contested. A new source counts like any other, so one line that nobody can check can overturn what many people recorded.

A new landmark bounds the date of every garment that bears its sign, whether it overturns anything today or not. So it is reported, on the line of its title, if none of its sources, new or old, has a copy.

Ask for a copy: a scan, an address, a photograph of the page. If the source cannot be shown, ask a second person to read it; then allow this in the entry and say who did. A source whose citation or kind changed counts as new too.

Only `check --since` raises this, because it compares two states. `diff` lists the same sources and landmarks, allowed or not.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/yearbook.md
+++
basis = \"statement\"
[[claims]]
event = \"discontinued\"
when = \"1960\"
sources = [\"yearbook\"]
[[source]]
id = \"yearbook\"
citation = \"Yearbook of the trade\"
kind = \"book\"
+++
--- entries/makers/hollin/no-4/no-4-best/list.md (new)
+++
basis = \"statement\"
allow = [{ lint = \"era-conflict\", reason = \"for the example\" }]
[[claims]]
event = \"introduced\"
when = \"1970\"
sources = [\"list\"]
[[source]]
id = \"list\"
citation = \"Price list of spring\"
kind = \"price-list\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/yearbook.md
+++
basis = \"statement\"
[[claims]]
event = \"discontinued\"
when = \"1960\"
sources = [\"yearbook\"]
[[source]]
id = \"yearbook\"
citation = \"Yearbook of the trade\"
kind = \"book\"
+++
--- entries/makers/hollin/no-4/no-4-best/list.md (new)
+++
basis = \"statement\"
allow = [{ lint = \"era-conflict\", reason = \"for the example\" }]
[[claims]]
event = \"introduced\"
when = \"1970\"
sources = [\"list\"]
[[source]]
id = \"list\"
citation = \"Price list of spring\"
kind = \"price-list\"
archived = \"https://example.org/list\"
+++
",
    check: Check::Compared(check),
};

fn check(now: &Knowledge, earlier: &Knowledge) -> Vec<Diagnostic> {
    let moves = Moves::between(&earlier.catalog, &now.catalog);
    let overturning = from_nowhere::of(earlier, now, &moves);
    let unsupported = landmarks::of(earlier, now, &moves);
    let landmarks = unsupported.iter().map(|found| bounding(now, found));
    overturning.iter().map(|found| word(now, found)).chain(landmarks).collect()
}

fn bounding(now: &Knowledge, found: &UnsupportedLandmark) -> Diagnostic {
    let landmark = wording::quote(now.catalog.record(found.record).path.address());
    let sources = match found.sources.as_slice() {
        [source] => format!("{}, which names no copy", wording::quote(&now.catalog.cited(*source).citation)),
        several => format!("{} that name no copy", wording::count(several.len(), "source")),
    };
    let drawn =
        LINT.at(found.place, format!("the landmark {landmark} is new, bounds dates, and rests only on {sources}"));
    let drawn = drawn.help("ask for a copy: add `url` or `archived` to its source");
    let sources = found.sources.iter().map(|source| now.catalog.cited(*source));
    sources.take(MOST).fold(drawn, |drawn, source| drawn.label(source.places[0], "this source names no copy"))
}

fn word(now: &Knowledge, found: &FromNowhere) -> Diagnostic {
    let citation = wording::quote(&now.catalog.cited(found.source).citation);
    let overturned = wording::count(found.overturned.len(), "older statement");
    let message = format!("{citation} is new, names no copy, and overturns {overturned}");
    let help = "ask for a copy: add `url` or `archived`, or photographs to the entry that cites it";
    let drawn = LINT.at(found.place, message).help(help);
    let claims = found.claims(now).into_iter().take(MOST);
    let drawn = claims.fold(drawn, |drawn, (voice, part)| {
        drawn.label(part.place, format!("rests on it: {}", explain::saying(now, voice)))
    });
    let shown = found.overturned.iter().take(MOST).map(|statement| statement.of(now));
    shown.fold(drawn, |drawn, (voice, part)| drawn.label(part.place, fallen(now, voice, part)))
}

/// An older statement: its words, its source, and its new standing.
fn fallen(now: &Knowledge, voice: &Voice, part: &VoiceClaim) -> String {
    let became = if voice.standing == Standing::SetAside { "set aside now" } else { "contested now" };
    format!("{became}: {}", explain::testimony(now, voice, part))
}

//! Verdicts and changeovers of a difference as JSON, each with the files behind it.

use serde::Serialize;

use crate::changeover::History;
use crate::comparison::Verdict;
use crate::difference::{Cause, ChangeoverChange, LineChange, PairChange, VerdictChange, When};
use crate::explain;
use crate::report::difference::Told;
use crate::source::FilePath;

/// Why something changed.
#[derive(Serialize)]
pub struct CauseObject<'a> {
    because: Vec<&'a str>,
    rests_on_others: bool,
}

/// Two variants whose verdicts changed.
#[derive(Serialize)]
pub struct PairObject<'a> {
    a: &'a str,
    b: &'a str,
    change: &'static str,
    features: Vec<VerdictObject<'a>>,
}

/// A verdict that changed.
#[derive(Serialize)]
pub struct VerdictObject<'a> {
    feature: &'a str,
    from: Option<String>,
    to: Option<String>,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

/// Two lines or two wearers whose verdicts changed.
#[derive(Serialize)]
pub struct LineObject<'a> {
    a: &'a str,
    b: &'a str,
    features: Vec<VerdictObject<'a>>,
}

/// A changeover that moved, came or went.
#[derive(Serialize)]
pub struct ChangeoverObject<'a> {
    thing: &'a str,
    feature: &'a str,
    /// The earlier verdict in words; null if there was no change.
    from: Option<String>,
    to: Option<String>,
    #[serde(flatten)]
    cause: CauseObject<'a>,
}

/// Lists the files behind a change.
pub fn cause(cause: &Cause) -> CauseObject<'_> {
    CauseObject { because: cause.because.iter().map(FilePath::as_str).collect(), rests_on_others: cause.is_others }
}

/// Says whether something is new, gone, or in both states.
pub fn change(only: Option<When>) -> &'static str {
    match only {
        Some(When::Now) => "new",
        Some(When::Earlier) => "gone",
        None => "changed",
    }
}

/// Gives the verdicts on two variants.
pub fn pair(found: &PairChange) -> PairObject<'_> {
    let features = found.verdicts.iter().map(verdict).collect();
    PairObject { a: found.a.as_str(), b: found.b.as_str(), change: change(found.only), features }
}

fn verdict(found: &VerdictChange) -> VerdictObject<'_> {
    VerdictObject {
        feature: found.feature.as_str(),
        from: found.from.as_ref().map(Verdict::words),
        to: found.to.as_ref().map(Verdict::words),
        cause: cause(&found.cause),
    }
}

/// Gives the verdicts on two lines or wearers.
pub fn lines(found: &LineChange) -> LineObject<'_> {
    LineObject { a: &found.a, b: &found.b, features: found.verdicts.iter().map(verdict).collect() }
}

/// A changeover before and after the change.
pub fn changeover<'a>(told: &Told<'_>, found: &'a ChangeoverChange) -> ChangeoverObject<'a> {
    let says = |when: When, history: &Option<History>| {
        let catalog = &told.state(when).catalog;
        history.as_ref().map(|history| explain::changes::sentence(catalog, history))
    };
    ChangeoverObject {
        thing: found.thing.as_str(),
        feature: found.feature.as_str(),
        from: says(When::Earlier, &found.from),
        to: says(When::Now, &found.to),
        cause: cause(&found.cause),
    }
}

//! Disputes whose claims have changed, or no longer conflict.

use std::collections::BTreeSet;

use crate::chronology::settle;
use crate::chronology::voice;
use crate::code::{Form, Part};
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::evidence::coded;
use crate::evidence::key;
use crate::knowledge::{Conflict, Knowledge, Voice};
use crate::record::claim::Event;
use crate::record::id::whole_claim;
use crate::record::observation::Observation;
use crate::record::{Content, Dispute, DisputeStatus, DisputedClaim, Record};
use crate::resolve::{Catalog, RecordIndex};
use crate::source::{Place, Span};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "stale-dispute",
    level: Level::Warning,
    title: "a dispute is about something that has changed",
    explanation: "\
A dispute records what people found out about a conflict, and a settled one takes claims out of all conclusions. It repeats each claim as it was at the time. If a claim has changed since, or the claims no longer contradict anything, the decision is out of date, and may hide a claim that is now right.

If the search for conflicts stopped early (`era-conflict` says so), or no steps are left to test what would conflict without the dispute, only changed claims are reported.

Read the claims again. Bring `says` up to date if the decision still holds; delete the dispute if there is nothing left to decide. `says` is the event and its date, such as `introduced 1977~`. For `#made` it is `made` and the date, or what keys read from the code if the entry gives no date. For `#seen` it is the word `seen`. For the `#key` of a source it is the word `key`; for the `#key` of a key, what it reads and its years, such as `reads month year-of-century 1950/1969`.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
id = \"start\"
event = \"introduced\"
when = \"1975\"
sources = [\"spring-list\"]
[[source]]
id = \"spring-list\"
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
+++
--- entries/disputes/start-of-no-4.md
+++
status = \"open\"
claims = [{ claim = \"entries/makers/hollin/no-4/no-4-best/variant.md#start\", says = \"introduced 1975\" }]
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4 Best\"
line = \"best\"
wearer = \"men\"
[[claims]]
id = \"start\"
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
--- entries/disputes/start-of-no-4.md
+++
status = \"settled\"
set-aside = [\"entries/makers/hollin/no-4/no-4-best/variant.md#start\"]
claims = [{ claim = \"entries/makers/hollin/no-4/no-4-best/variant.md#start\", says = \"introduced 1975\" }]
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let disputes: Vec<(&Record, &Dispute)> = catalog
        .disputes
        .iter()
        .map(|index| catalog.record(*index))
        .filter_map(|record| match &record.content {
            Content::Dispute(dispute) => Some((record, &**dispute)),
            _ => None,
        })
        .collect();
    let open = in_conflict(&knowledge.conflicts, &knowledge.voices);
    let is_settled = |dispute: &Dispute| dispute.status == DisputeStatus::Settled;
    let is_any_settled = disputes.iter().any(|(_, dispute)| is_settled(dispute));
    let settled = if is_any_settled { unsettled(catalog, knowledge.steps_left / 2) } else { None };
    let open = Some(open).filter(|_| knowledge.unsearched.is_empty());
    disputes
        .iter()
        .flat_map(|(record, dispute)| {
            let conflicting = if is_settled(dispute) { &settled } else { &open };
            of_dispute(catalog, record, dispute, conflicting.as_ref())
        })
        .collect()
}

/// The names of all claims in listed conflicts.
fn in_conflict(conflicts: &[Conflict], voices: &[Voice]) -> BTreeSet<String> {
    let members = conflicts.iter().flat_map(|conflict| &conflict.members);
    let claims = members.flat_map(|index| &voices[index.0 as usize].claims);
    claims.map(|claim| whole_claim(claim.name.as_str()).to_string()).collect()
}

/// The conflicts if nothing had been settled; `None` if that takes more than the given steps.
fn unsettled(catalog: &Catalog, mut steps: u64) -> Option<BTreeSet<String>> {
    let before = Catalog { set_aside: BTreeSet::new(), ..catalog.clone() };
    let collected = voice::collect(&before);
    let (settlement, _) = settle::settle(&collected.widened, &collected.voices, |_| true, &mut steps);
    settlement.unsearched.is_empty().then(|| in_conflict(&settlement.conflicts, &collected.voices))
}

/// The mistake in a dispute. If it is unknown whether the claims still conflict, that is not
/// checked.
fn of_dispute(
    catalog: &Catalog,
    record: &Record,
    dispute: &Dispute,
    conflicting: Option<&BTreeSet<String>>,
) -> Vec<Diagnostic> {
    let changed: Vec<Diagnostic> =
        dispute.claims.iter().filter_map(|disputed| changed(catalog, record, disputed)).collect();
    let named = dispute.claims.iter().map(|disputed| disputed.claim.value.as_str());
    // Readings are no voices, so a dispute about one is judged by what it says alone.
    let judged: Vec<&str> = named.filter(|name| !name.contains("#features.")).collect();
    let conflicts = conflicting.is_none_or(|all| judged.iter().any(|name| all.contains(whole_claim(name))));
    if !changed.is_empty() || conflicts || judged.is_empty() {
        return changed;
    }
    let first = dispute.claims.first().map(|disputed| Place { file: record.file, span: disputed.claim.span });
    let message = "the claims of this dispute no longer conflict";
    first
        .map(|place| LINT.at(place, message).help("delete the dispute, or name the claims that conflict now"))
        .into_iter()
        .collect()
}

fn changed(catalog: &Catalog, record: &Record, disputed: &DisputedClaim) -> Option<Diagnostic> {
    let (says, stands) = says_now(catalog, disputed.claim.value.as_str())?;
    let written = disputed.says.value.split_whitespace().collect::<Vec<&str>>().join(" ");
    if written == says {
        return None;
    }
    let place = Place { file: record.file, span: disputed.says.span };
    let message = format!("the claim no longer says {}, it says {}", wording::quote(&written), wording::quote(&says));
    let diagnostic = LINT.at(place, message).label(stands, format!("here it says {}", wording::quote(&says)));
    Some(diagnostic.help(format!("if the decision still holds, write {}", wording::quote(&says))))
}

/// The present words and place of a claim; `None` if there is no such claim, which
/// `dangling-reference` reports.
fn says_now(catalog: &Catalog, name: &str) -> Option<(String, Place)> {
    let (path, part) = whole_claim(name).rsplit_once('#')?;
    let at = catalog.records.binary_search_by(|record| record.path.as_str().cmp(path)).ok()?;
    let record = &catalog.records[at];
    let (says, span) = match (part, record.content.observation()) {
        ("made", Some(observation)) => {
            // An estimate is no voice, so a dispute about the date means what keys read from the code.
            let own = observation.made.as_ref().filter(|_| key::has_own_date(observation));
            match own.map(|made| (made.value.as_str().to_string(), made.span)).or_else(|| by_code(catalog, at)) {
                Some((date, span)) => (format!("made {date}"), span),
                None => observation.made.as_ref().map(|made| (format!("made {}", made.value.as_str()), made.span))?,
            }
        }
        ("seen", Some(observation)) => ("seen".to_string(), observation.basis.span),
        (part, observation) => match part.strip_prefix("features.") {
            Some(feature) => reading(observation?, feature)?,
            None => claimed(record, part).or_else(|| (part == "key").then(|| as_key(&record.content))?)?,
        },
    };
    Some((says, Place { file: record.file, span }))
}

/// The forms and years of a key, as its file writes them; a source that once served as a key has no
/// other words.
fn as_key(content: &Content) -> Option<(String, Span)> {
    match content {
        Content::Key(key) => {
            let years =
                [&key.not_before, &key.not_after].map(|end| end.as_ref().map_or("..", |end| end.value.as_str()));
            let forms: Vec<String> = key.notation.forms.iter().map(meanings).collect();
            Some((format!("reads {} {}", forms.join(" or "), years.join("/")), key.title.span))
        }
        Content::Source(source) => Some(("key".to_string(), source.citation.span)),
        content => content.local_sources().first().map(|source| ("key".to_string(), source.citation.span)),
    }
}

fn meanings(form: &Form) -> String {
    let fields = form.parts.iter().filter_map(|part| match part {
        Part::Field(field) => Some(field.meaning.word()),
        Part::Text(_) => None,
    });
    fields.collect::<Vec<&str>>().join(" ")
}

/// The readings that keys give the code of an entry, and the code's place.
fn by_code(catalog: &Catalog, record: usize) -> Option<(String, Span)> {
    let index = RecordIndex(u32::try_from(record).ok()?);
    let garment = catalog.garments.iter().find(|garment| garment.observations.contains(&index))?;
    let codes = coded::of_garment(catalog, &key::standing(catalog), garment);
    let code = codes.iter().map(|garment| &garment.code).find(|code| code.record == index)?;
    Some((code.seen.used().first()?.reading.edtf(), code.place.span))
}

fn reading(observation: &Observation, feature: &str) -> Option<(String, Span)> {
    let reading = observation.features.get(feature)?;
    Some((crate::explain::value(&reading.value).replace('`', ""), reading.span))
}

fn claimed(record: &Record, part: &str) -> Option<(String, Span)> {
    let claim = record.content.claim(part)?;
    let date = match &claim.event.value {
        Event::Before(other) => other.value.to_string(),
        dated => dated.when().map(|when| when.value.as_str().to_string()).unwrap_or_default(),
    };
    Some((format!("{} {date}", claim.event.value.word()), claim.event.span))
}

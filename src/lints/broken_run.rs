//! Variants with long silence between dated garments: perhaps two runs.

use std::collections::BTreeMap;

use crate::date::{Day, DaySpan};
use crate::diagnostic::{Check, Diagnostic, Level, Lint};
use crate::explain;
use crate::knowledge::{Knowledge, Saying, Voice};
use crate::record::claim::Event;
use crate::record::id::{Thing, VariantId, Whole};
use crate::record::observation::{MadeBy, Placement};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "broken-run",
    level: Level::Note,
    title: "nothing dates this variant for more than 15 years",
    explanation: "\
A variant is one unbroken run of production. If dated garments and documents leave a gap of more than 15 years, the later ones may belong to a revival. A revival is another variant, which names the first in `revives`; the details of the two should not be mixed. The check counts garments dated by a mark, paper or key, documents, and claims that the variant was made on some day. A claim that it was produced throughout the gap silences this.

Check whether the later garments differ. If they do, give them a variant of their own that `revives` this one. If the run was unbroken, record a claim or a garment from the years between. Allow it if the gap is only in the record.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"1951\"
made-by = \"mark\"
+++
--- entries/makers/hollin/no-4/no-4-best/shop-find.md
+++
basis = \"specimen\"
made = \"1968\"
made-by = \"mark\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
made = \"1951\"
made-by = \"mark\"
+++
--- entries/makers/hollin/no-4/no-4-best/shop-find.md
+++
basis = \"specimen\"
made = \"1966\"
made-by = \"mark\"
+++
",
    check: Check::Knowledge(check),
};

/// The longest silence that is not remarked, in years; a revival after less is rarely told from slow trade.
/// Common practice, no source.
const LONGEST_GAP: i32 = 15;

/// A span in which a variant is shown to have been made.
struct Shown {
    first: Day,
    last: Day,
    place: Place,
}

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let mut shown: BTreeMap<&VariantId, Vec<Shown>> = BTreeMap::new();
    for voice in knowledge.voices.iter().filter(|voice| voice.is_kept()) {
        if let Some((variant, one)) = shows(knowledge, voice) {
            shown.entry(variant).or_default().push(one);
        }
    }
    shown.into_iter().flat_map(|(variant, spans)| gaps(knowledge, variant, spans)).collect()
}

fn shows<'a>(knowledge: &'a Knowledge, voice: &'a Voice) -> Option<(&'a VariantId, Shown)> {
    let part = voice.claims.first()?;
    let (variant, span) = match &voice.says {
        Saying::Attested(about, span) => match &about.whole {
            Whole::Variant(variant) => (variant, *span),
            _ => return None,
        },
        Saying::Made(span) | Saying::Document(span) => {
            let observation = knowledge.catalog.record(part.record?).content.observation()?;
            // A key that is set aside dates nothing; keys are too few to name them.
            let by = observation.made_by.as_ref().map(|by| by.value);
            let is_by_key = !matches!(by, Some(MadeBy::Mark | MadeBy::Paper)) && matches!(voice.says, Saying::Made(_));
            if is_by_key && !keys_hold(knowledge) {
                return None;
            }
            let Placement::Variant(variant) = &observation.placement else { return None };
            (variant, *span)
        }
        _ => return None,
    };
    Some((variant, Shown { first: span.first()?, last: span.last()?, place: part.place }))
}

fn keys_hold(knowledge: &Knowledge) -> bool {
    knowledge.voices.iter().all(|voice| voice.says != Saying::Key || voice.is_kept())
}

fn gaps(knowledge: &Knowledge, variant: &VariantId, mut shown: Vec<Shown>) -> Vec<Diagnostic> {
    shown.sort_by_key(|one| (one.first, one.last, one.place));
    let mut diagnostics = Vec::new();
    let mut latest: Option<&Shown> = None;
    for next in &shown {
        if let Some(before) = latest
            && before.last.plus_years(LONGEST_GAP) < next.first
            && !is_claimed_throughout(knowledge, variant, before.last, next.first)
        {
            diagnostics.push(word(variant, before, next));
        }
        if latest.is_none_or(|before| before.last < next.last) {
            latest = Some(next);
        }
    }
    diagnostics
}

/// Says whether somebody claims that the variant was produced from before the gap until after it.
fn is_claimed_throughout(knowledge: &Knowledge, variant: &VariantId, from: Day, to: Day) -> bool {
    let thing = Thing::of(Whole::Variant(variant.clone()));
    let claims = knowledge.catalog.records.iter().flat_map(|record| record.content.claims());
    claims.filter(|claim| claim.about.value == thing).any(|claim| {
        let Event::Produced(when) = &claim.event.value else { return false };
        let Some((begin, end)) = when.value.ends() else { return false };
        let begins = begin.span(knowledge.catalog.circa()).first().is_some_and(|first| first <= from);
        begins && end.span(knowledge.catalog.circa()).last().is_some_and(|last| to <= last)
    })
}

fn word(variant: &VariantId, before: &Shown, next: &Shown) -> Diagnostic {
    let when = |one: &Shown| explain::span(DaySpan::new(Some(one.first), Some(one.last)).unwrap_or(DaySpan::OPEN));
    let message = format!(
        "nothing shows `{variant}` between {} and {}, more than {LONGEST_GAP} years: a revival?",
        before.last, next.first
    );
    let diagnostic = LINT.at(next.place, message).saying(format!("made {}", when(next)));
    let diagnostic = diagnostic.label(before.place, format!("the last before it, made {}", when(before)));
    diagnostic.help("if the later ones differ, give them a variant of their own with `revives`; if not, record evidence from the years between")
}

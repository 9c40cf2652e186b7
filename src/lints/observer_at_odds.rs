//! Observers whose garments are too often unlike the others.

use std::collections::{BTreeMap, BTreeSet};

use crate::analysis::Analysis;
use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::{Knowledge, Standing, VoiceIndex};
use crate::record::id::ModelId;
use crate::resolve::GarmentIndex;
use crate::source::{Place, Span};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "observer-at-odds",
    level: Level::Note,
    title: "many of an observer's garments are unlike the others",
    explanation: "\
Somebody recorded at least five garments of the models under review. At least a third of these are unlike the others of their variant, or had their date or placing set aside. One strange garment is an accident; many from one person point to a habit: a different way of counting, labels taken from memory, garments filed by guess, or garments never seen.

Ask the observer, and look at a few garments together. If the records cannot be trusted, `withheld` in about.md takes the observer's entries out of all conclusions; they stay readable. Somebody who looks for rare garments may differ from everybody and be right: then allow it in the entry where it is reported. It is reported only for models under review, with `check PATH` or `check --since`.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"raw\", zip = \"steel\", belt-loops = 9, pockets = 3 }
allow = [{ lint = \"unlike-its-variant\", reason = \"seen twice\" }]
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"chain-stitch\", zip = \"steel\", belt-loops = 7, pockets = 2 }
allow = [{ lint = \"unlike-its-variant\", reason = \"seen twice\" }]
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
observer = \"wren-t\"
placed-by = \"paper\"
features = { hem = \"folded\", zip = \"brass\", belt-loops = 5, pockets = 5 }
+++
",
    check: Check::Reviewed(check),
};

/// The fewest garments of an observer for a finding.
const ENOUGH: usize = 5;

/// One in so many may be at odds.
const ONE_IN: usize = 3;

fn check(analysis: &Analysis<'_>, models: &BTreeSet<ModelId>) -> Vec<Diagnostic> {
    if models.is_empty() {
        return Vec::new();
    }
    let knowledge = analysis.knowledge;
    let mut odd: BTreeSet<GarmentIndex> = analysis.unlikely(models).iter().map(|found| found.garment).collect();
    odd.extend(analysis.misplaced(models).iter().map(|found| found.garment));
    odd.extend(knowledge.placings.keys().filter(|garment| is_set_aside(knowledge, **garment)));
    let mut by_observer: BTreeMap<&str, Vec<GarmentIndex>> = BTreeMap::new();
    for garment in knowledge.placings.keys() {
        let entry = knowledge.catalog.garment(*garment);
        let is_reviewed = entry.variant.as_ref().is_some_and(|variant| models.contains(&variant.model()));
        if let Some(observer) = observer(knowledge, *garment).filter(|_| is_reviewed) {
            by_observer.entry(observer).or_default().push(*garment);
        }
    }
    by_observer.into_iter().filter_map(|(observer, garments)| word(knowledge, observer, &garments, &odd)).collect()
}

/// The person who recorded the garment first.
fn observer(knowledge: &Knowledge, garment: GarmentIndex) -> Option<&str> {
    let first = knowledge.catalog.garment(garment).observations.first()?;
    let observation = knowledge.catalog.record(*first).content.observation()?;
    observation.observer.as_ref().map(|observer| observer.value.as_str())
}

fn is_set_aside(knowledge: &Knowledge, garment: GarmentIndex) -> bool {
    let is_aside = |voice: &VoiceIndex| knowledge.voice(*voice).standing == Standing::SetAside;
    let dates = knowledge.dates.get(&garment).into_iter().flatten().flatten();
    knowledge.placings.get(&garment).into_iter().chain(dates).any(is_aside)
}

fn word(
    knowledge: &Knowledge,
    observer: &str,
    garments: &[GarmentIndex],
    odd: &BTreeSet<GarmentIndex>,
) -> Option<Diagnostic> {
    let at_odds: Vec<GarmentIndex> = garments.iter().copied().filter(|garment| odd.contains(garment)).collect();
    if garments.len() < ENOUGH || at_odds.len() * ONE_IN < garments.len() {
        return None;
    }
    let place = |garment: &GarmentIndex| {
        let record = knowledge.catalog.garment(*garment).observations.first()?;
        Some(Place { file: knowledge.catalog.record(*record).file, span: Span::default() })
    };
    let message = format!(
        "{} of the {} garments that {} recorded here are unlike the others, or set aside",
        at_odds.len(),
        garments.len(),
        wording::quote(observer)
    );
    let mut places = at_odds.iter().filter_map(place);
    let first = LINT
        .at(places.next()?, message)
        .help("ask how the observer looked at them; `withheld` in about.md takes an observer out of all conclusions");
    Some(places.fold(first, |diagnostic, place| diagnostic.label(place, "this one, too")))
}

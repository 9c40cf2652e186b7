//! A knowledge base before and after a renaming to whether anything but names would change: errors, or conclusions.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::comparison::Verdict;
use crate::compile::Compilation;
use crate::diagnostic::{Diagnostic, Level, wording};
use crate::difference::moved::Moves;
use crate::difference::{self, Difference, Open, VerdictChange, When};
use crate::rename::refusal::Refusal;
use crate::resolve::Catalog;

/// How many of each are named.
const MOST_NAMED: usize = 5;

/// Compares the states before and after; only new differences count.
///
/// Returns in words the differences that depend on the order of names alone.
pub fn check(before: &Compilation, after: &Compilation, moves: &Moves) -> Result<Vec<String>, Refusal> {
    let errors = new_errors(before, after, moves);
    if !errors.is_empty() {
        return Err(Refusal::Errors(errors));
    }
    let states = [before, after].map(|state| Analysis::new(&state.knowledge));
    let mut difference = difference::under(&states[0], &states[1], moves.clone());
    let turned = take_turned(&mut difference, &before.knowledge.catalog, moves);
    // Whether one more garment could change a verdict is tried on the first garments in order of name.
    difference.questions.retain(|change| !matches!(change.question, Open::Edge(..)));
    // Of several smallest conflicts of a voice the first by name is listed.
    let opened = difference.conflicts.iter().filter(|conflict| conflict.when == When::Now).count();
    if opened * 2 == difference.conflicts.len() {
        difference.conflicts.clear();
    }
    if difference.is_empty() { Ok(turned) } else { Err(Refusal::Conclusions(changed(&difference))) }
}

/// Holds one state against the other after two things became one: errors, other verdicts and new conflicts refuse it.
///
/// Gives in words what else changed.
pub fn check_merged(before: &Compilation, after: &Compilation) -> Result<Vec<String>, Refusal> {
    let errors = new_errors(before, after, &Moves::default());
    if !errors.is_empty() {
        return Err(Refusal::Errors(errors));
    }
    let states = [before, after].map(|state| Analysis::new(&state.knowledge));
    let mut difference = difference::under(&states[0], &states[1], Moves::default());
    let mut lost = difference.clone();
    let is_lost = |change: &VerdictChange| change.from.is_some();
    lost.verdicts.iter_mut().for_each(|pair| pair.verdicts.retain(is_lost));
    lost.lines.iter_mut().for_each(|pair| pair.verdicts.retain(is_lost));
    lost.conflicts.retain(|conflict| conflict.when == When::Now);
    let lost =
        Difference { conflicts: lost.conflicts, verdicts: lost.verdicts, lines: lost.lines, ..Difference::default() };
    let words = changed(&lost);
    if !words.is_empty() {
        return Err(Refusal::Verdicts(words));
    }
    difference.questions.retain(|change| !matches!(change.question, Open::Edge(..)));
    Ok(changed(&difference))
}

/// Takes verdicts out that changed because the other of a pair is the first by name now: where two show nothing that
/// differs, the greatest difference there may be is not the same in both directions.
fn take_turned(difference: &mut Difference, earlier: &Catalog, moves: &Moves) -> Vec<String> {
    let variants = earlier.variants.keys().map(|id| (moves.variant(id).to_string(), id.to_string()));
    let lines = earlier.lines.keys().map(|id| (moves.line(id).to_string(), id.to_string()));
    let old: BTreeMap<String, String> = variants.chain(lines).collect();
    let was = |name: &str| old.get(name).map_or_else(|| name.to_string(), Clone::clone);
    let mut turned = Vec::new();
    let mut take = |a: &str, b: &str, verdicts: &mut Vec<VerdictChange>| {
        let is_turned = was(a) > was(b);
        verdicts.retain(|change| match (&change.from, &change.to) {
            (Some(from @ (Verdict::Same | Verdict::Unclear)), Some(to @ (Verdict::Same | Verdict::Unclear)))
                if is_turned =>
            {
                turned.push(format!(
                    "{} between {a} and {b}: {}, was {}, because the other now comes first by name",
                    change.feature,
                    to.words(),
                    from.words()
                ));
                false
            }
            _ => true,
        });
    };
    difference.verdicts.iter_mut().for_each(|pair| take(pair.a.as_str(), pair.b.as_str(), &mut pair.verdicts));
    difference.lines.iter_mut().for_each(|pair| take(&pair.a, &pair.b, &mut pair.verdicts));
    difference.verdicts.retain(|pair| !pair.verdicts.is_empty());
    difference.lines.retain(|pair| !pair.verdicts.is_empty());
    turned
}

fn errors(compilation: &Compilation) -> impl Iterator<Item = &Diagnostic> {
    compilation.diagnostics.iter().filter(|diagnostic| diagnostic.level() == Level::Error)
}

/// Errors beyond as many of a kind as a file had before: their words may hold names, so these are not compared.
fn new_errors(before: &Compilation, after: &Compilation, moves: &Moves) -> Vec<String> {
    let mut known: BTreeMap<(String, &str), usize> = BTreeMap::new();
    for error in errors(before) {
        let file = before.knowledge.catalog.sources.file(error.primary().place.file);
        *known.entry((moves.path(file.path()).to_string(), error.lint().code)).or_default() += 1;
    }
    let is_new = |error: &&Diagnostic| {
        let path = after.knowledge.catalog.sources.file(error.primary().place.file).path().to_string();
        match known.get_mut(&(path, error.lint().code)) {
            Some(left) if *left > 0 => {
                *left -= 1;
                false
            }
            _ => true,
        }
    };
    let new = errors(after).filter(is_new).map(|error| {
        let file = after.knowledge.catalog.sources.file(error.primary().place.file);
        let line = file.line_of(error.primary().place.span.start());
        format!("{}:{line}: {}", file.path(), error.message())
    });
    new.take(MOST_NAMED).collect()
}

fn changed(difference: &Difference) -> Vec<String> {
    let eras = difference.eras.iter().map(|era| format!("the era of {}", wording::quote(&era.thing.to_string())));
    let wholes =
        difference.wholes.iter().map(|whole| format!("whether there is {}", wording::quote(whole.whole.as_str())));
    let verdicts = difference.verdicts.iter().flat_map(|pair| {
        let (a, b) = (wording::quote(pair.a.as_str()), wording::quote(pair.b.as_str()));
        pair.verdicts.iter().map(move |verdict| format!("the verdict on `{}` between {a} and {b}", verdict.feature))
    });
    let lines = difference.lines.iter().flat_map(|pair| {
        let (a, b) = (wording::quote(&pair.a), wording::quote(&pair.b));
        pair.verdicts.iter().map(move |verdict| format!("the verdict on `{}` between {a} and {b}", verdict.feature))
    });
    let changeovers = difference
        .changeovers
        .iter()
        .map(|change| format!("when `{}` of {} changed", change.feature, wording::quote(change.thing.as_str())));
    let counts = [
        (difference.conflicts.len(), "conflict"),
        (difference.voices.len(), "standing of a claim, date or placing"),
        (difference.questions.len(), "open question"),
    ];
    let counts = counts.into_iter().filter(|(number, _)| *number > 0);
    let counts = counts.map(|(number, thing)| format!("{number} of this kind: {thing}"));
    wholes.chain(eras).chain(verdicts).chain(lines).chain(changeovers).take(MOST_NAMED).chain(counts).collect()
}

//! Writes the answer for a garment as text for a terminal.

use std::fmt::Write;

use crate::date::spoken;
use crate::dating::answer::brief::Brief;
use crate::dating::answer::garment::Garment;
use crate::dating::answer::{Answer, Spread, Weighed};
use crate::dating::likelihood::years;
use crate::explain::card;
use crate::explain::codes::{self, Detail};
use crate::explain::comparison::the;
use crate::explain::dating as words;
use crate::explain::listing;
use crate::explain::speaking::{self, Speaking};
use crate::report::answer::Answered;

/// The width of the longest bar.
const BAR: f64 = 40.0;

/// How many variants are listed.
const VARIANTS: usize = 6;

/// The smallest share of variants and years a mark must rule out to be worth looking for.
const WORTHWHILE: f64 = 0.005;

/// The bounds, each landmark with the feature that shows it.
fn bounds(answered: &Answered<'_>) -> String {
    let mut text = String::new();
    let hard = &answered.answer.hard;
    for (says, day, by) in [
        ("Not made before", hard.not_before.map(spoken::before), &hard.not_before_by),
        ("Not made after", hard.not_after.map(spoken::by), &hard.not_after_by),
    ] {
        let Some(day) = day else { continue };
        let _ = writeln!(text, "{says} {day}, {}", words::ORIGINAL);
        for landmark in by {
            let title = words::title(answered.knowledge, landmark);
            let _ = writeln!(text, "  {title}: {}", words::cited(answered.knowledge, landmark).join("; "));
        }
    }
    if text.is_empty() { words::UNBOUND.to_string() + "\n" } else { text }
}

/// Everything the answer says: the card, bounds, codes, variants, years, reasons, advice and the caution.
pub(super) fn whole(answered: &Answered<'_>, changes: &[Speaking], detail: Detail) -> String {
    let answer = answered.answer;
    let mut text = card::sentences(answered.knowledge, answered.garment, answer).join("\n") + "\n\n";
    text.push_str(&bounds(answered));
    let codes = codes::lines(answered.knowledge, answered.garment, answer, detail);
    if !codes.is_empty() {
        let _ = writeln!(text, "\n{}", codes.join("\n"));
    }
    if answer.is_contradiction {
        text.push('\n');
        text.push_str(&doubts(answered));
    }
    text.push_str(&variants(answered));
    text.push_str(&answer.years.as_ref().map(chart).unwrap_or_default());
    text.push_str(&reasons(answered));
    if !changes.is_empty() {
        text.push_str("\nChanges that support these years\n");
    }
    for one in changes {
        let _ = writeln!(text, "  {}", speaking::sentence(answered.knowledge, one));
    }
    text.push_str(&unlike(answer));
    text.push_str(&advice(answered));
    let paragraph = listing::paragraph(answered.knowledge, answered.version, answered.garment, answer);
    let _ = write!(text, "\nTo quote\n  {paragraph}\n");
    text
}

/// One garment of a sheet in one line: id, bounds, first variant, years.
pub(super) fn line(id: Option<&str>, garment: &Garment, brief: &Brief) -> String {
    let day = |day: Option<crate::date::Day>| day.map_or("..".to_string(), |day| day.to_string());
    let bounds = format!("{}/{}", day(brief.hard.not_before), day(brief.hard.not_after));
    let said = match (brief.is_contradiction, &brief.likeliest) {
        (true, _) => "contradiction".to_string(),
        (false, None) => "no variant fits".to_string(),
        (false, Some((variant, probability))) if garment.known.has_maker() => {
            format!("{variant} {} %", words::percent(*probability))
        }
        (false, Some((variant, probability))) => format!("nearest {variant} {} %", words::percent(*probability)),
    };
    let years = brief.years.as_ref().map_or("-".to_string(), |years| card::span(years, 0.95));
    format!("{}\t{bounds}\t{said}\t{years}\n", id.unwrap_or("-"))
}

fn variants(answered: &Answered<'_>) -> String {
    let answer = answered.answer;
    // If nothing was examined, every variant is equally likely.
    if answer.variants.is_empty() || answered.garment.features.is_empty() {
        return String::new();
    }
    let heading = if answered.garment.known.has_maker() { "Variants that fit" } else { "Variants" };
    let mut text = format!("\n{heading}");
    if !answered.garment.known.has_maker() {
        let _ = write!(text, ": {}", words::NEAREST);
    }
    text.push('\n');
    for (variant, probability) in answer.variants.iter().take(VARIANTS) {
        let name = words::name(answered.knowledge, variant);
        let _ = writeln!(text, "  {:>3} %  {name}  ({variant})", words::percent(*probability));
    }
    if let Some(more) = answer.variants.len().checked_sub(VARIANTS).filter(|more| *more > 0) {
        let rest: f64 = answer.variants[VARIANTS..].iter().map(|(_, probability)| probability).sum();
        let _ = writeln!(text, "  {:>3} %  {more} others together", words::percent(rest));
    }
    text
}

/// A bar for each year of the 95 % span.
fn chart(spread: &Spread) -> String {
    let mut text = "\nYears\n".to_string();
    let at = |year: i32| spread.probability[(year - years::FIRST) as usize];
    let shown: Vec<i32> = spread.spans(0.95).iter().flat_map(|(first, last)| *first..=*last).collect();
    let greatest = shown.iter().map(|year| at(*year)).fold(0.0, f64::max);
    // If there are many possible years, each bar stands for five.
    let step = if shown.len() > 40 { 5 } else { 1 };
    let mut bars: Vec<(i32, f64)> = Vec::new();
    for year in shown {
        let start = year - year.rem_euclid(step);
        match bars.last_mut() {
            Some((last, sum)) if *last == start => *sum += at(year),
            _ => bars.push((start, at(year))),
        }
    }
    let longest = if step == 1 { greatest } else { bars.iter().map(|(_, sum)| *sum).fold(0.0, f64::max) };
    for (year, probability) in bars {
        let label = if step == 1 { year.to_string() } else { format!("{year}-{}", year + step - 1) };
        let bar = "#".repeat((BAR * probability / longest).round() as usize);
        let _ = writeln!(text, "  {label:>9}  {bar} {} %", words::percent(probability));
    }
    text
}

fn reasons(answered: &Answered<'_>) -> String {
    let features = &answered.answer.features;
    let mut weighed: Vec<(&Weighed, f64)> =
        features.iter().filter_map(|weighed| Some((weighed, weighed.bits?))).collect();
    if weighed.is_empty() {
        return String::new();
    }
    weighed.sort_by(|(_, one), (_, other)| other.abs().total_cmp(&one.abs()));
    let vocabulary = &answered.knowledge.catalog.vocabulary;
    let mut text = "\nWhy the first rather than the next\n".to_string();
    for (weighed, bits) in weighed {
        let Some(feature) = vocabulary.feature(weighed.feature.as_str()) else { continue };
        let seen = words::reading(feature, &weighed.value);
        let _ = writeln!(text, "  {}: {seen}: {}", feature.name, card::times(bits));
    }
    text
}

fn unlike(answer: &Answer) -> String {
    match answer.is_unlike() {
        true => {
            "\nIt is unlike anything recorded: its features do not occur together in any of these variants.\n".into()
        }
        false if answer.unlike.is_some() => format!("\n{}\n", words::SILENCE),
        false => String::new(),
    }
}

fn advice(answered: &Answered<'_>) -> String {
    let answer = answered.answer;
    let vocabulary = &answered.knowledge.catalog.vocabulary;
    let mut text = String::new();
    if !answer.look_next.is_empty() {
        text.push_str("\nLook next\n");
    }
    for next in &answer.look_next {
        if let Some(feature) = vocabulary.feature(next.feature.as_str()) {
            let _ = writeln!(text, "  {}: {}", feature.name, feature.look);
        }
    }
    let marks: Vec<_> = answer.would_bound.iter().filter(|mark| mark.rules_out >= WORTHWHILE).collect();
    if !marks.is_empty() {
        text.push_str("\nMarks to look for\n");
    }
    for mark in marks {
        let title = words::title(answered.knowledge, &mark.landmark);
        let share = words::ruled_out(mark.rules_out);
        let name = vocabulary.feature(mark.feature.as_str()).map_or(mark.feature.as_str(), |feature| &feature.name);
        let state = vocabulary.label(&mark.feature, &mark.state);
        let _ = writeln!(text, "  {name}: {state} would rule out {share} of what is likely ({title})");
    }
    text
}

fn doubts(answered: &Answered<'_>) -> String {
    if answered.answer.doubt.is_empty() {
        return "More than two of its details would have to be wrong.\n".to_string();
    }
    let mut text = "They would not if one of these were replaced or misread:\n".to_string();
    for doubt in &answered.answer.doubt {
        let features = doubt.features.iter().map(|feature| the(&answered.knowledge.catalog, feature));
        let features: Vec<String> = features.collect();
        let bounds = words::bounds(answered.knowledge, &doubt.hard).join(" ");
        let _ = writeln!(text, "  without {}: {bounds}", features.join(" and "));
        if let Some(years) = &doubt.years {
            let _ = writeln!(text, "      {}", card::years_of(years));
        }
    }
    text
}

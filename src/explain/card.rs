//! The answer for a garment in two sentences: its years and its variant.
//!
//! A page, its bar, a print, a listing and the terminal say them in the same words; `site/assets/dating-words.js` writes
//! them in a browser.

use crate::dating::answer::garment::Garment;
use crate::dating::answer::{Answer, Spread};
use crate::dating::likelihood::years;
use crate::explain::dating::{name, percent};
use crate::knowledge::Knowledge;
use crate::record::id::VariantId;

/// The sentence if nothing was entered.
pub const UNTOUCHED: &str = "Too little seen yet.";

/// The sentence if marks exclude each other.
pub const CONTRADICTION: &str = "Its details contradict one another; one of its parts may be replaced or misread.";

/// A gap between two runs of years that holds less than this share is ignored.
const GAP: f64 = 0.05;

/// The most runs of years that are shown.
const RUNS: usize = 2;

/// The least share of a variant that is named alone.
const LEADING: f64 = 0.5;

/// The most tied variants that are named.
const NAMED: usize = 3;

/// Years and variant, each in a sentence if there is something to say.
pub fn sentences(knowledge: &Knowledge, garment: &Garment, answer: &Answer) -> Vec<String> {
    if answer.is_contradiction {
        return vec![CONTRADICTION.to_string()];
    }
    if !garment.known.is_anything() && garment.features.is_empty() {
        return vec![UNTOUCHED.to_string()];
    }
    let years = answer.years.as_ref().map(|spread| match garment.known.has_maker() {
        true => years_of(spread),
        false => format!("If its maker is among those recorded, most likely {}.", spans(spread)),
    });
    let variant = match garment.known.has_maker() {
        // Nothing was examined, so no variant is likelier than another.
        true if garment.features.is_empty() => None,
        true => likeness(knowledge, &answer.variants),
        false => Some("Its maker is not known, so no variant is named.".to_string()),
    };
    years.into_iter().chain(variant).collect()
}

/// Says in which years it was made, with 95 and with 50 percent.
pub fn years_of(spread: &Spread) -> String {
    format!("Most likely {}.", spans(spread))
}

fn spans(spread: &Spread) -> String {
    let [most, half] = [0.95, 0.5].map(|share| span(spread, share));
    match most == half {
        true => format!("{most} (95 %)"),
        false => format!("{most} (95 %), best guess {half}"),
    }
}

/// Says how much likelier a reading is in one variant than in the next, from the weight of evidence in bits.
pub fn times(bits: f64) -> String {
    let times = bits.abs().exp2();
    let said = if times < 9.95 { format!("{times:.1}") } else { format!("{times:.0}") };
    match (said.as_str(), bits > 0.0) {
        ("1.0", _) => "as likely in both".to_string(),
        (_, true) => format!("{said} times as likely in the first"),
        (_, false) => format!("{said} times as likely in the next"),
    }
}

/// The years that hold a share, as people say them: `1953–90 or 1994–2003`.
pub fn span(spread: &Spread, share: f64) -> String {
    words(&read_over(spread, share))
}

/// The runs of years that hold a share, without gaps that hold little, and few enough to read.
fn read_over(spread: &Spread, share: f64) -> Vec<(i32, i32)> {
    let mut runs = spread.spans(share);
    while runs.len() > 1 {
        let held = |first: i32, last: i32| -> f64 {
            (first..=last).map(|year| spread.probability[(year - years::FIRST) as usize]).sum()
        };
        let gaps = runs.windows(2).map(|pair| held(pair[0].1 + 1, pair[1].0 - 1)).enumerate();
        let Some((at, least)) = gaps.min_by(|(_, one), (_, other)| one.total_cmp(other)) else { break };
        if least >= GAP && runs.len() <= RUNS {
            break;
        }
        runs[at].1 = runs[at + 1].1;
        runs.remove(at + 1);
    }
    runs
}

fn words(runs: &[(i32, i32)]) -> String {
    let said = runs.iter().map(|(first, last)| match (first == last, first / 100 == last / 100) {
        (true, _) => first.to_string(),
        (false, true) => format!("{first}–{:02}", last % 100),
        (false, false) => format!("{first}–{last}"),
    });
    said.collect::<Vec<String>>().join(" or ")
}

/// Names the variant that leads, or those that are tied.
fn likeness(knowledge: &Knowledge, variants: &[(VariantId, f64)]) -> Option<String> {
    let said = |(id, probability): &(VariantId, f64)| format!("{} ({} %)", name(knowledge, id), percent(*probability));
    let (first, rest) = variants.split_first()?;
    let next = rest.first().map_or(0.0, |(_, probability)| *probability);
    if first.1 >= 2.0 * next {
        return Some(match (first.1 >= LEADING, rest.first()) {
            (false, Some(next)) => format!("No variant has half: {}, then {}.", said(first), said(next)),
            _ => format!("Of the recorded variants it is most like {}.", said(first)),
        });
    }
    let tied = tied(variants);
    let mut named: Vec<String> = variants.iter().take(tied.min(NAMED)).map(said).collect();
    if tied > NAMED {
        named.push(format!("{} more", tied - NAMED));
    }
    let last = named.pop()?;
    Some(format!("{tied} variants are tied: {} and {last}.", named.join(", ")))
}

/// The variants that the card names, if any: the leading one, or the first of those tied.
pub fn named(variants: &[(VariantId, f64)]) -> &[(VariantId, f64)] {
    &variants[..tied(variants).min(NAMED)]
}

fn tied(variants: &[(VariantId, f64)]) -> usize {
    let most = variants.first().map_or(0.0, |(_, probability)| *probability);
    variants.iter().take_while(|(_, probability)| 2.0 * probability > most).count()
}

#[cfg(test)]
mod tests {
    use super::{read_over, times, words};
    use crate::dating::answer::Spread;
    use crate::dating::likelihood::years;

    fn spread(shares: &[(i32, f64)]) -> Spread {
        let mut probability = Box::new([0.0; years::COUNT]);
        for (year, share) in shares {
            probability[(year - years::FIRST) as usize] = *share;
        }
        Spread { probability }
    }

    #[test]
    fn runs_of_years_read_as_people_say_them() {
        assert_eq!(words(&[(1953, 1990), (1994, 2003)]), "1953–90 or 1994–2003");
        assert_eq!(words(&[(1900, 1905), (1971, 1971)]), "1900–05 or 1971");
    }

    #[test]
    fn bits_are_said_as_times() {
        assert_eq!(times(1.0), "2.0 times as likely in the first");
        assert_eq!(times(-3.33), "10 times as likely in the next");
        assert_eq!(times(0.02), "as likely in both");
    }

    #[test]
    fn a_gap_that_holds_little_is_read_over_and_one_that_holds_more_stays() {
        let narrow = spread(&[(1960, 0.48), (1961, 0.04), (1962, 0.48)]);
        assert_eq!(read_over(&narrow, 0.95), [(1960, 1962)]);
        let wide = spread(&[(1960, 0.47), (1961, 0.03), (1962, 0.03), (1963, 0.47)]);
        assert_eq!((wide.spans(0.9).len(), read_over(&wide, 0.9).len()), (2, 2), "the gap holds 6 %");
    }

    #[test]
    fn no_more_than_two_runs_are_said() {
        // Even years hold 6 %, odd ones 5 %: many runs, and no gap holds less than 5 %.
        let comb: Vec<(i32, f64)> = (1950..1968).map(|year| (year, if year % 2 == 0 { 0.06 } else { 0.051 })).collect();
        assert!(spread(&comb).spans(0.5).len() > 2);
        assert_eq!(read_over(&spread(&comb), 0.5).len(), 2);
    }
}

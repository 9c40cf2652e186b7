//! How the variants of a model follow one another in time, and which of them nothing recorded tells apart.

use std::collections::{BTreeMap, BTreeSet};

use crate::comparison::{Comparison, Verdict};
use crate::date::{Day, DaySpan};
use crate::knowledge::Era;
use crate::record::id::VariantId;

/// A gap of fewer days is left out: few dates are that exact.
const LEAST_GAP: i32 = 365;

/// The most variants that a stretch of time names; the others are counted.
const NAMED: usize = 12;

/// The variants of a model through time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Succession {
    /// At least a year in which no variant can have been made, between years in which some can.
    pub impossible: Vec<DaySpan>,
    /// Stretches of at least a year without a variant surely in production, between years with one;
    /// with the variants that may have been made then.
    pub unsure: Vec<Stretch>,
    /// Days on which two or more variants were surely made.
    pub overlaps: Vec<Stretch>,
    /// The largest sets of variants in which no two are told apart.
    pub alike: Vec<Alike>,
}

/// A stretch of time and some variants.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// The days.
    pub days: DaySpan,
    /// The first variants, in the model's order.
    pub variants: Vec<VariantId>,
    /// How many more there are.
    pub more: usize,
}

/// Variants that nothing recorded tells apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alike {
    /// The variants.
    pub variants: Vec<VariantId>,
    /// Whether too few garments were seen to judge any feature of any two of them.
    pub is_thin: bool,
}

/// A variant with the days on which it was made, both inclusive.
#[derive(Clone, Copy)]
struct MadeSpan {
    place: usize,
    first: i32,
    last: i32,
}

impl Succession {
    /// Says whether there is nothing to tell.
    pub fn is_empty(&self) -> bool {
        self == &Succession::default()
    }
}

/// Orders the variants of a model in time, given their comparisons.
pub fn of<'k>(
    variants: &[VariantId],
    era: impl Fn(&VariantId) -> Option<&'k Era>,
    comparisons: &[Comparison],
) -> Succession {
    let made = |days: fn(&Era) -> Option<DaySpan>| -> Vec<MadeSpan> {
        let spans = variants.iter().enumerate().filter_map(|(place, variant)| Some((place, days(era(variant)?)?)));
        let number = |day: Option<Day>, open: i32| day.map_or(open, Day::number);
        let made = |(place, span): (usize, DaySpan)| {
            let (first, last) = (number(span.first(), i32::MIN), number(span.last(), i32::MAX));
            MadeSpan { place, first, last }
        };
        spans.map(made).collect()
    };
    let surely = made(Era::surely_made);
    // A variant without any date may have been made at any time and would hide every gap.
    let possibly =
        made(|era| DaySpan::new(era.possibly_made().0, era.possibly_made().1).filter(|span| !span.is_open()));
    let may_be_then = |days: DaySpan| {
        let (first, last) = (days.first().map_or(i32::MIN, Day::number), days.last().map_or(i32::MAX, Day::number));
        let then = possibly.iter().filter(|made| made.first <= last && made.last >= first);
        stretch(variants, days, &then.map(|made| made.place).collect())
    };
    Succession {
        impossible: gaps(&possibly),
        unsure: gaps(&surely).into_iter().map(may_be_then).collect(),
        overlaps: overlaps(variants, &surely),
        alike: alike(variants, comparisons),
    }
}

fn stretch(variants: &[VariantId], days: DaySpan, places: &BTreeSet<usize>) -> Stretch {
    let named = places.iter().take(NAMED).map(|place| variants[*place].clone()).collect();
    Stretch { days, variants: named, more: places.len().saturating_sub(NAMED) }
}

fn span(first: i32, last: i32) -> Option<DaySpan> {
    DaySpan::new(Some(Day::from_number(first)), Some(Day::from_number(last)))
}

/// The gaps between spans, in order of time.
fn gaps(made: &[MadeSpan]) -> Vec<DaySpan> {
    let mut sorted = made.to_vec();
    sorted.sort_by_key(|made| made.first);
    let mut gaps = Vec::new();
    let mut covered = sorted.first().map_or(i32::MAX, |made| made.last);
    for made in sorted {
        if made.first > covered.saturating_add(LEAST_GAP) {
            gaps.extend(span(covered + 1, made.first - 1));
        }
        covered = covered.max(made.last);
    }
    gaps
}

/// The stretches in which two or more were made, cut where one begins or ends.
fn overlaps(variants: &[VariantId], made: &[MadeSpan]) -> Vec<Stretch> {
    let mut changes: BTreeMap<i32, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
    for made in made {
        changes.entry(made.first).or_default().0.push(made.place);
        changes.entry(made.last.saturating_add(1)).or_default().1.push(made.place);
    }
    let days: Vec<i32> = changes.keys().copied().collect();
    let mut now: BTreeSet<usize> = BTreeSet::new();
    let mut found = Vec::new();
    for (at, (begun, ended)) in changes.values().enumerate() {
        now.extend(begun);
        for place in ended {
            now.remove(place);
        }
        let days = days.get(at + 1).and_then(|next| span(days[at], next - 1));
        found.extend(days.filter(|_| now.len() > 1).map(|days| stretch(variants, days, &now)));
    }
    found
}

/// The largest sets in which every two were compared and are not told apart; each such pair is in at least one.
fn alike(variants: &[VariantId], comparisons: &[Comparison]) -> Vec<Alike> {
    let places: BTreeMap<&VariantId, usize> = variants.iter().enumerate().map(|(at, variant)| (variant, at)).collect();
    let untold = comparisons.iter().filter(|comparison| !comparison.features.iter().any(|one| one.tells_apart()));
    let pairs: BTreeMap<(usize, usize), &Comparison> = untold
        .filter_map(|comparison| {
            let (a, b) = (*places.get(&comparison.a)?, *places.get(&comparison.b)?);
            Some(((a.min(b), a.max(b)), comparison))
        })
        .collect();
    let is_pair = |a: usize, b: usize| pairs.contains_key(&(a.min(b), a.max(b)));
    let mut sets: Vec<BTreeSet<usize>> = Vec::new();
    for &(a, b) in pairs.keys() {
        if sets.iter().any(|set| set.contains(&a) && set.contains(&b)) {
            continue;
        }
        let mut set = BTreeSet::from([a, b]);
        for other in 0..variants.len() {
            if set.iter().all(|place| is_pair(*place, other)) {
                set.insert(other);
            }
        }
        sets.push(set);
    }
    let within = |set: &BTreeSet<usize>| {
        let inside = pairs.iter().filter(|((a, b), _)| set.contains(a) && set.contains(b));
        let is_thin = inside.flat_map(|(_, pair)| &pair.features).all(|one| one.verdict == Verdict::TooFew);
        Alike { variants: set.iter().map(|place| variants[*place].clone()).collect(), is_thin }
    };
    sets.iter().map(within).collect()
}

#[cfg(test)]
mod tests {
    use super::{Alike, Succession};
    use crate::analysis::Analysis;
    use crate::compile::example;
    use crate::explain;
    use crate::record::id::ModelId;

    /// The variants of a model; each has a name, its record's claims and its garments' hems.
    fn of(variants: &[(&str, &str, &[&str])]) -> Succession {
        let mut text = String::new();
        for (name, claims, hems) in variants {
            let at = format!("--- entries/makers/m/x/{name}");
            text += &format!("{at}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n{claims}+++\n");
            for (number, hem) in hems.iter().enumerate() {
                text += &format!("{at}/g{number:02}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n");
                // Without a date, the decade might explain every difference.
                text += "made = \"1952\"\nmade-by = \"mark\"\n";
                text += &format!("[features]\nhem = \"{hem}\"\n+++\n");
            }
        }
        let knowledge = example::compile(&text).knowledge;
        Analysis::new(&knowledge).succession(&ModelId::new("m/x"))
    }

    /// Claims that a variant was surely made in exactly these years.
    fn made(first: u16, last: u16) -> String {
        let claim = |event: &str, year: u16| format!("[[claims]]\nevent = \"{event}\"\nwhen = \"{year}\"\n");
        claim("introduced", first) + &claim("discontinued", last)
    }

    fn named(variants: &[crate::record::id::VariantId]) -> Vec<&str> {
        variants.iter().map(|variant| variant.variant()).collect()
    }

    #[test]
    fn a_gap_names_who_may_fill_it_and_where_nobody_can() {
        let (a, b) = (made(1950, 1955), made(1965, 1969));
        let found = of(&[("a", &a, &[]), ("b", &b, &[])]);
        let spans: Vec<String> = found.impossible.iter().map(|days| explain::span(*days)).collect();
        assert_eq!(spans, ["from 1956 to 1964"]);
        assert_eq!(found.unsure.len(), 1, "{found:?}");
        assert_eq!(found.overlaps, []);
        // Somebody saw the first as late as 1958: then it is sure of no more, but may fill some of the gap.
        let later = "[[claims]]\nevent = \"introduced\"\nwhen = \"1950\"\n[[claims]]\nevent = \"discontinued\"\nwhen = \"1955/1962\"\n";
        let found = of(&[("a", later, &[]), ("b", &b, &[])]);
        assert_eq!(explain::span(found.impossible[0]), "from 1963 to 1964");
        assert_eq!(named(&found.unsure[0].variants), ["a", "b"], "the ends of its years are not sure: {found:?}");
    }

    #[test]
    fn variants_that_follow_at_once_have_no_gap_and_no_overlap() {
        let (a, b) = (made(1950, 1955), made(1956, 1960));
        let found = of(&[("a", &a, &[]), ("b", &b, &[])]);
        assert!(found.impossible.is_empty() && found.overlaps.is_empty(), "{found:?}");
    }

    #[test]
    fn an_overlap_is_cut_where_another_begins_or_ends() {
        let spans = [made(1950, 1960), made(1953, 1970), made(1956, 1958)];
        let found = of(&[("a", &spans[0], &[]), ("b", &spans[1], &[]), ("c", &spans[2], &[])]);
        let sets: Vec<Vec<&str>> = found.overlaps.iter().map(|stretch| named(&stretch.variants)).collect();
        assert_eq!(sets, [vec!["a", "b"], vec!["a", "b", "c"], vec!["a", "b"]], "{found:?}");
        assert!(found.unsure.is_empty(), "{found:?}");
    }

    #[test]
    fn a_long_list_of_variants_is_counted() {
        let claims = made(1950, 1955);
        let names: Vec<String> = (0..15).map(|number| format!("v{number:02}")).collect();
        let variants: Vec<(&str, &str, &[&str])> =
            names.iter().map(|name| (name.as_str(), claims.as_str(), &[][..])).collect();
        let found = of(&variants);
        assert_eq!((found.overlaps.len(), found.overlaps[0].variants.len(), found.overlaps[0].more), (1, 12, 3));
    }

    #[test]
    fn sets_hold_only_variants_of_which_no_two_are_told_apart() {
        let (raw, chain) = (["raw"; 9], ["chain-stitch"; 9]);
        let found = of(&[("a", "", &raw), ("b", "", &raw), ("c", "", &chain)]);
        let sets: Vec<(Vec<&str>, bool)> = found.alike.iter().map(|set| (named(&set.variants), set.is_thin)).collect();
        assert_eq!(sets, [(vec!["a", "b"], false)]);
    }

    #[test]
    fn variants_that_nobody_looked_at_are_not_told_apart_and_thin() {
        let found = of(&[("a", "", &["raw"]), ("b", "", &[]), ("c", "", &["chain-stitch"])]);
        let Alike { variants, is_thin } = &found.alike[0];
        assert!(found.alike.len() == 1 && named(variants) == ["a", "b", "c"] && *is_thin, "{found:?}");
    }
}

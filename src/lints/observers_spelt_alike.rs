//! Names of observers that are spelt almost like a name that is used much more often.
//!
//! A slip is a letter changed, missing or added, or two that changed places. It looks for one, in longer names for two.

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::resolve::Catalog;
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "observers-spelt-alike",
    level: Level::Note,
    title: "an observer's name may be a slip for another one",
    explanation: "\
A name of an observer stands in one or two entries, and differs by one slip from a name with at least five times as many. A slip is a letter that is changed, missing or added, two letters that changed places, or a difference only in capitals, spaces and signs. In names of eight letters or more, two slips are noticed too, if each word begins with the same letter. Two spellings count as two people. So one person's garments look as if two had found the same, and `withheld` and `observer-at-odds` see only a part of them.

Ask the person, or somebody who knows who handed the entry in; the history of the file shows when it came. If it is the same person, write the name as in the other entries. If it is somebody else, allow this in the entry and say so: two people may have names that are spelt alike.

Names of fewer than five letters are left out, and so are names that differ in a number or an initial, such as `A. Bell` and `B. Bell`. A name with three slips is not noticed.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/f.md
+++
basis = \"specimen\"
observer = \"Ana Bell\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/a.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/b.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/c.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/d.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/e.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
--- entries/makers/hollin/no-4/no-4-best/f.md
+++
basis = \"specimen\"
observer = \"Ann Bell\"
+++
",
    check: Check::Knowledge(check),
};

/// The most entries of a name that may be a slip.
const SELDOM: usize = 2;

/// How many times as many entries the other name must have.
const TIMES: usize = 5;

/// The fewest letters and digits of a name that is looked at: more short names differ by one letter than are slips.
const FEWEST_LETTERS: usize = 5;

/// The fewest letters and digits of two names that two slips may set apart.
const FEWEST_FOR_TWO: usize = 8;

/// The most letters of a name that is looked at.
const MOST_LETTERS: usize = 60;

/// How many names are remembered for one text that a slip leaves: a thousand names alike are a thousand steps.
const MOST_REMEMBERED: usize = 8;

/// A name as it is compared.
struct Name<'a> {
    /// As it is written.
    written: &'a str,
    /// Its words in small letters, with single spaces.
    plain: String,
    /// The first letters of its words, if it is long enough for two slips.
    initials: Option<String>,
    /// Its letters in their order in the alphabet.
    sorted: Vec<char>,
    /// The words that distinguish people even if the rest agrees: words of one letter, and digits.
    marks: Vec<String>,
    /// The entries that it stands in.
    places: Vec<Place>,
}

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let names = names(&knowledge.catalog);
    let (seldom, often): (Vec<Name<'_>>, Vec<Name<'_>>) =
        names.into_iter().partition(|name| name.places.len() <= SELDOM);
    if seldom.is_empty() || often.is_empty() {
        return Vec::new();
    }
    let remembered = remember(&often);
    seldom.iter().filter_map(|name| word(name, likeliest(name, &remembered)?)).collect()
}

/// The names of all observers that are long enough, in order.
fn names(catalog: &Catalog) -> Vec<Name<'_>> {
    let mut by_name: BTreeMap<&str, Vec<Place>> = BTreeMap::new();
    for record in &catalog.records {
        let observer = record.content.observation().and_then(|observation| observation.observer.as_ref());
        if let Some(observer) = observer {
            by_name.entry(&observer.value).or_default().push(catalog.place(record, observer));
        }
    }
    by_name.into_iter().filter_map(|(written, places)| name(written, places)).collect()
}

fn name(written: &str, places: Vec<Place>) -> Option<Name<'_>> {
    let letters = written.chars().filter(|letter| letter.is_alphanumeric()).count();
    if !(FEWEST_LETTERS..=MOST_LETTERS).contains(&letters) {
        return None;
    }
    let plain = written.to_lowercase();
    let words: Vec<&str> =
        plain.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let initials = words.iter().filter(|word| word.chars().count() == 1).map(ToString::to_string);
    let digits = plain.chars().filter(|letter| letter.is_numeric()).map(|digit| digit.to_string());
    let (plain, marks) = (words.join(" "), initials.chain(digits).collect());
    let first = || words.iter().filter_map(|word| word.chars().next()).collect();
    let initials = (letters >= FEWEST_FOR_TWO).then(first);
    let mut sorted: Vec<char> = plain.chars().collect();
    sorted.sort_unstable();
    Some(Name { written, plain, initials, sorted, marks, places })
}

/// The names that others may be slips for, the most used first.
struct Remembered<'n, 'a> {
    /// Under each text that one slip can leave of them.
    by_slip: BTreeMap<String, Vec<&'n Name<'a>>>,
    /// Those that are long enough for two slips, by the first letters of their words.
    by_initials: BTreeMap<&'n str, Vec<&'n Name<'a>>>,
}

fn remember<'n, 'a>(often: &'n [Name<'a>]) -> Remembered<'n, 'a> {
    let mut ordered: Vec<&Name<'_>> = often.iter().collect();
    ordered.sort_by_key(|name| Reverse(name.places.len()));
    let mut remembered = Remembered { by_slip: BTreeMap::new(), by_initials: BTreeMap::new() };
    for name in ordered {
        for left in left_by_a_slip(&name.plain) {
            let names = remembered.by_slip.entry(left).or_default();
            if names.len() < MOST_REMEMBERED {
                names.push(name);
            }
        }
        if let Some(initials) = &name.initials {
            remembered.by_initials.entry(initials).or_default().push(name);
        }
    }
    remembered
}

/// A text, and what is left of it without any one letter: texts that one slip sets apart have one of these in common.
fn left_by_a_slip(text: &str) -> BTreeSet<String> {
    let without = |(at, letter): (usize, char)| format!("{}{}", &text[..at], &text[at + letter.len_utf8()..]);
    std::iter::once(text.to_string()).chain(text.char_indices().map(without)).collect()
}

/// The name that another one is likeliest a slip for: the nearest, then the most used, then the first.
fn likeliest<'n, 'a>(name: &Name<'_>, remembered: &Remembered<'n, 'a>) -> Option<&'n Name<'a>> {
    let left = left_by_a_slip(&name.plain);
    let near = left.iter().filter_map(|left| remembered.by_slip.get(left)).flatten().copied();
    nearest(name, near, 1).or_else(|| {
        let alike = remembered.by_initials.get(name.initials.as_deref()?)?.iter().copied();
        nearest(name, alike.filter(|other| may_be_two_slips(&name.sorted, &other.sorted)), 2)
    })
}

/// Says whether two slips may set texts apart, by their sorted letters alone: fewer than three of either have no like.
fn may_be_two_slips(one: &[char], other: &[char]) -> bool {
    let (mut at, mut there, mut alone) = (0, 0, [0; 2]);
    while at < one.len() || there < other.len() {
        let order = match (one.get(at), other.get(there)) {
            (Some(one), Some(other)) => one.cmp(other),
            (Some(_), None) => Ordering::Less,
            (None, _) => Ordering::Greater,
        };
        at += usize::from(order.is_le());
        there += usize::from(order.is_ge());
        alone[0] += usize::from(order.is_lt());
        alone[1] += usize::from(order.is_gt());
        if alone.iter().any(|count| *count > 2) {
            return false;
        }
    }
    true
}

/// The nearest of some names that so many slips at most set apart from one.
fn nearest<'n, 'a: 'n>(
    name: &Name<'_>,
    others: impl Iterator<Item = &'n Name<'a>>,
    most: usize,
) -> Option<&'n Name<'a>> {
    let near = others.filter(|other| other.marks == name.marks && other.places.len() >= TIMES * name.places.len());
    let measured = near.map(|other| (strsim::damerau_levenshtein(&name.plain, &other.plain), other));
    let slips = measured.filter(|(distance, _)| *distance <= most);
    slips
        .min_by_key(|(distance, other)| (*distance, Reverse(other.places.len()), other.written))
        .map(|(_, other)| other)
}

fn word(name: &Name<'_>, other: &Name<'_>) -> Option<Diagnostic> {
    let (first, rest) = name.places.split_first()?;
    let (written, alike) = (wording::quote(name.written), wording::quote(other.written));
    // Without counts: a finding whose words change with every entry would be new in every change.
    let message = format!(
        "the observer {written} is spelt almost like {alike}, who has at least {TIMES} times as many entries; \
         expected one spelling for one person"
    );
    let help = format!("ask who recorded it: if it was {alike}, write the name so; if not, allow this here and say so");
    let diagnostic = LINT.at(*first, message).help(help);
    Some(rest.iter().fold(diagnostic, |diagnostic, place| diagnostic.label(*place, "here, too")))
}

#[cfg(test)]
mod tests {
    use super::{left_by_a_slip, likeliest, may_be_two_slips, name, remember};
    use crate::source::{FileId, Place, Span};

    /// Says whether a name in `seldom` entries is a slip for one in `often`.
    fn is_slip(seldom: &str, often: &str) -> bool {
        let place = Place { file: FileId(0), span: Span::default() };
        let Some(other) = name(often, vec![place; 5]) else { return false };
        let others = [other];
        name(seldom, vec![place]).is_some_and(|name| likeliest(&name, &remember(&others)).is_some())
    }

    /// The pairs of names are invented; which slips are common is common practice, no source.
    #[test]
    fn one_slip_is_noticed_and_another_initial_number_or_short_name_is_not() {
        for slip in ["Ana Bell", "An Bell", "Annn Bell", "Ann Blel", "AnnBell", "ann bell", "Ann-Bell", "Ann  Bell"] {
            assert!(is_slip(slip, "Ann Bell"), "{slip}");
        }
        for (one, other) in [
            ("A. Bell", "B. Bell"),
            ("Ann B. Bell", "Ann Bell"),
            ("hobday-k", "hobday-j"),
            ("moth 2 hall", "moth 3 hall"),
            ("mothhall2", "mothhall"),
            ("Ana Bull", "Ann Bell"),
            ("Dan Bell", "Ann Bell"),
            ("Ana", "Ann"),
            ("osk-r", "osk-s"),
        ] {
            assert!(!is_slip(one, other), "{one}, {other}");
        }
        assert!(is_slip("A. Bel, Tarn", "A. Bell, Tarn"), "the same initial");
        assert!(is_slip("山田ようこお", "山田ようこ"), "letters are not bytes");
    }

    /// The names are invented. The letters that begin a word, and those of a short name, are seldom slips.
    #[test]
    fn two_slips_are_noticed_in_a_longer_name_whose_words_begin_alike() {
        for (slip, name) in
            [("Anna Hobdey", "Ana Hobday"), ("jaon-brindlecot", "joan-brindlecote"), ("wrenfrod tran", "wrenford tarn")]
        {
            assert!(is_slip(slip, name), "{slip}, {name}");
        }
        for (one, other) in [
            ("Ann Bell", "Ana Bull"),
            ("Jana Hobdey", "Ana Hobday"),
            ("Ana Bobdey", "Ana Hobday"),
            ("Anna Hobdeye", "Ana Hobday"),
            ("Hobbdaye", "Hobday of"),
            ("wren 12 barrow", "wren 34 barrow"),
        ] {
            assert!(!is_slip(one, other), "{one}, {other}");
        }
    }

    /// All words of two letters up to four long.
    fn short_words() -> Vec<String> {
        let mut words = vec![String::new()];
        for from in 0..31 {
            if words[from].len() < 4 {
                words.extend(["a", "b"].map(|letter| format!("{}{letter}", words[from])));
            }
        }
        words
    }

    /// The sieve lets every pair of short words through that two slips set apart.
    #[test]
    fn the_sieve_of_letters_lets_every_two_slips_through() {
        let words = short_words();
        let sorted = |word: &str| {
            let mut letters: Vec<char> = word.chars().collect();
            letters.sort_unstable();
            letters
        };
        for one in &words {
            for other in words.iter().filter(|other| strsim::damerau_levenshtein(one, other) <= 2) {
                assert!(may_be_two_slips(&sorted(one), &sorted(other)), "{one:?}, {other:?}");
            }
        }
        assert!(!may_be_two_slips(&sorted("aaab"), &sorted("b")));
    }

    /// Every pair of short words that one slip sets apart has a text in common.
    #[test]
    fn every_pair_at_distance_one_is_met() {
        let words = short_words();
        for one in &words {
            for other in words.iter().filter(|other| strsim::damerau_levenshtein(one, other) == 1) {
                assert!(!left_by_a_slip(one).is_disjoint(&left_by_a_slip(other)), "{one:?}, {other:?}");
            }
        }
    }
}

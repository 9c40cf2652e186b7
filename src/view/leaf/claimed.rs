//! The subject of a claim, a date, a placing, a reading or a key, and a heading for several that
//! contradict one another.
//!
//! It makes no link and knows no page.

use crate::record::claim::{Claim, Event};
use crate::record::id::Thing;

/// The subject of a statement, as a noun within a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// With the name of its thing or entry: `the end of Culmer 31`.
    pub words: String,
    /// The name of its thing or entry.
    of: String,
    /// Next to another statement about the same: `its end`.
    brief: String,
}

impl Subject {
    /// When a thing was first made.
    pub fn beginning(of: String) -> Subject {
        Subject { words: format!("the beginning of {of}"), brief: "its beginning".into(), of }
    }

    /// When a thing was last made.
    pub fn end(of: String) -> Subject {
        Subject { words: format!("the end of {of}"), brief: "its end".into(), of }
    }

    /// When a thing was made.
    pub fn making(of: String) -> Subject {
        Subject { words: format!("when {of} was made"), brief: "when it was made".into(), of }
    }

    /// Which of two things came first.
    pub fn order(of: String, other: &str) -> Subject {
        Subject { words: format!("the order of {of} and {other}"), brief: format!("its order and that of {other}"), of }
    }

    /// The date of an entry.
    pub fn date(of: String) -> Subject {
        Subject { words: format!("the date of the {of}"), brief: "the date".into(), of }
    }

    /// The placing of an entry.
    pub fn placing(of: String) -> Subject {
        Subject { words: format!("the placing of the {of}"), brief: "the placing".into(), of }
    }

    /// A feature of an entry, with its article.
    pub fn reading(of: String, feature: String) -> Subject {
        Subject { words: format!("{feature} of the {of}"), brief: feature, of }
    }

    /// A key to codes.
    pub fn key(of: String) -> Subject {
        Subject { words: format!("the key “{of}”"), brief: "the key".into(), of }
    }
}

/// The subject of a claim; `named` names a thing.
pub fn subject(claim: &Claim, named: impl Fn(&Thing) -> String) -> Subject {
    let about = named(&claim.about.value);
    match &claim.event.value {
        Event::Introduced(_) => Subject::beginning(about),
        Event::Discontinued(_) => Subject::end(about),
        Event::Produced(_) | Event::Attested(_) => Subject::making(about),
        Event::NotOffered(_) => {
            let words = format!("when {about} was not offered");
            Subject { words, brief: "when it was not offered".into(), of: about }
        }
        Event::Before(other) => Subject::order(about, &named(&other.value)),
    }
}

/// Says what contradicts what: several dates for one thing, or one statement against another.
pub fn against(about: &Subject, subjects: &[Subject]) -> String {
    let words = &about.words;
    match subjects.iter().filter(|subject| *subject == about).count() {
        0 | 1 => match subjects.iter().find(|subject| *subject != about) {
            Some(other) if other.of == about.of => format!("{words} against {}", other.brief),
            Some(other) => format!("{words} against {}", other.words),
            None => words.clone(),
        },
        2 => format!("two dates for {words}"),
        3 => format!("three dates for {words}"),
        more => format!("{more} dates for {words}"),
    }
}

#[cfg(test)]
mod tests {
    use super::{Subject, against};

    #[test]
    fn headings_say_what_contradicts_what() {
        let end = || Subject::end("X".into());
        let date = || Subject::date("coat of 1960".into());
        for (subjects, said) in [
            (vec![end()], "the end of X"),
            (vec![end(), end()], "two dates for the end of X"),
            (vec![end(), end(), end()], "three dates for the end of X"),
            (vec![end(), end(), date(), end(), end()], "4 dates for the end of X"),
            (vec![end(), Subject::making("X".into())], "the end of X against when it was made"),
            (vec![end(), Subject::making("Y".into())], "the end of X against when Y was made"),
            (vec![end(), date()], "the end of X against the date of the coat of 1960"),
        ] {
            assert_eq!(against(&end(), &subjects), said);
        }
        let placing = Subject::placing("coat of 1960".into());
        assert_eq!(against(&date(), &[date(), placing]), "the date of the coat of 1960 against the placing");
    }
}

//! Writes `search.js`, the index of the search field on each page: a prefix index as a classic script.
//!
//! It is a script, not data to fetch, since a page from a folder may fetch nothing. The browser searches it with
//! `site/assets/search-index.js`.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::view::context::Context;
use crate::view::leaf::spaced;
use crate::view::letters;
use crate::view::named::{Named, Sort};

/// Writes the index.
pub const PUBLISHER: Publisher = Publisher {
    name: "search",
    description: "the index for the search field on each page",
    owns: &["search.js"],
    publish,
};

/// Years that stand for an open side and for no years at all.
const OPEN: (i32, i32) = (1, 9999);
const NONE: (i32, i32) = (0, 0);

/// Lists of one length, an item for each thing; words sorted, each with the things it names.
#[derive(Serialize)]
struct Data<'a> {
    sorts: Vec<&'static str>,
    sort: Vec<u8>,
    /// Empty where it is the last part of the path with spaces for hyphens; the place of the first of one name.
    names: Vec<Name<'a>>,
    /// From the site's top; `/x` lies in the folder of what it belongs to, nothing is the same page.
    paths: Vec<String>,
    /// For each name, how many places before it the name stands that it belongs to; 0 if it belongs to none.
    up: Vec<usize>,
    from: Vec<i32>,
    to: Vec<i32>,
    words: Vec<String>,
    /// For each word the places of things, each as the distance to the one before.
    posts: Vec<Vec<usize>>,
}

/// A name as the index has it.
#[derive(Debug, PartialEq, Serialize)]
#[serde(untagged)]
enum Name<'a> {
    Text(&'a str),
    /// Its name is that of the thing at this place: many garments are dated alike.
    SameAs(usize),
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("search.js", move || script(letters::named(context)))]
}

/// The index as a script, with nothing in it that could end a script element.
fn script(named: &[Named]) -> Result<Vec<u8>, serde_json::Error> {
    let json = serde_json::to_string(&data(named))?;
    let json = json.replace('<', "\\u003c").replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    Ok(format!("window.bartackSearch = {json};\n").into_bytes())
}

fn data(named: &[Named]) -> Data<'_> {
    let years = |one: &Named| {
        one.years.map_or(NONE, |(from, to)| (from.unwrap_or(OPEN.0).max(OPEN.0), to.unwrap_or(OPEN.1).min(OPEN.1)))
    };
    let (words, posts) = posts(named).into_iter().unzip();
    Data {
        sorts: Sort::ALL.map(|(_, word)| word).to_vec(),
        sort: named.iter().map(|one| one.sort as u8).collect(),
        names: names(named),
        paths: named.iter().map(|one| below_parent(named, one)).collect(),
        up: named.iter().enumerate().map(|(place, one)| one.parent.map_or(0, |parent| place - parent)).collect(),
        from: named.iter().map(|one| years(one).0).collect(),
        to: named.iter().map(|one| years(one).1).collect(),
        words,
        posts,
    }
}

fn names(named: &[Named]) -> Vec<Name<'_>> {
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    let names = named.iter().enumerate().map(|(place, one)| {
        if is_spelt_in_path(one) {
            return Name::Text("");
        }
        match first.get(one.name.as_str()) {
            Some(same) if one.sort == Sort::Observation => Name::SameAs(*same),
            _ => {
                first.insert(&one.name, place);
                Name::Text(&one.name)
            }
        }
    });
    names.collect()
}

fn is_spelt_in_path(one: &Named) -> bool {
    one.path
        .rsplit_once('/')
        .and_then(|(_, file)| file.strip_suffix(".html"))
        .is_some_and(|stem| spaced(stem) == one.name)
}

fn below_parent(named: &[Named], one: &Named) -> String {
    let parent = one.parent.map_or("", |parent| named[parent].path.as_str());
    if one.path == parent {
        return String::new();
    }
    let rest = parent.strip_suffix(".html").and_then(|folder| one.path.strip_prefix(folder));
    let slug = rest.and_then(|rest| rest.strip_prefix('/')?.strip_suffix(".html"));
    slug.map_or_else(|| one.path.clone(), |slug| format!("/{slug}"))
}

fn posts(named: &[Named]) -> BTreeMap<String, Vec<usize>> {
    let mut places: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, one) in named.iter().enumerate() {
        for word in words(&one.name).into_iter().chain(words(&one.also)) {
            let posts = places.entry(word).or_default();
            if posts.last() != Some(&place) {
                posts.push(place);
            }
        }
    }
    for posts in places.values_mut() {
        for later in (1..posts.len()).rev() {
            posts[later] -= posts[later - 1];
        }
    }
    places
}

/// The words of a text as the browser splits them: letters, digits and marks above letters, without apostrophes.
fn words(text: &str) -> Vec<String> {
    let text: String = text.to_lowercase().chars().filter(|character| !matches!(character, '\'' | '’')).collect();
    let is_within = |character: char| character.is_alphanumeric() || ('\u{300}'..='\u{36f}').contains(&character);
    text.split(|character| !is_within(character)).filter(|word| !word.is_empty()).map(str::to_string).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Name, Named, Sort, data, script, words};

    fn named(sort: Sort, name: &str, path: &str, parent: Option<usize>) -> Named {
        Named { sort, name: name.into(), path: path.into(), parent, years: None, also: String::new() }
    }

    #[test]
    fn words_have_no_apostrophes_and_no_punctuation() {
        assert_eq!(words("Yarrick’s Own, No. 4 (men's)"), ["yarricks", "own", "no", "4", "mens"]);
    }

    #[test]
    fn what_can_be_worked_out_from_what_it_belongs_to_is_left_out() {
        let list = [
            named(Sort::Maker, "Hollin", "makers/hollin.html", None),
            named(Sort::Model, "no 4", "makers/hollin/no-4.html", Some(0)),
            named(Sort::Line, "Best", "makers/hollin.html#line-best", Some(0)),
        ];
        let data = data(&list);
        assert_eq!(data.paths, ["makers/hollin.html", "/no-4", "makers/hollin.html#line-best"]);
        assert_eq!(data.names, ["Hollin", "", "Best"].map(Name::Text));
        assert_eq!(data.up, [0, 1, 2]);
    }

    #[test]
    fn a_title_that_many_garments_have_stands_there_once() {
        let seen = |path: &str| named(Sort::Observation, "Shirt dated 1967", path, None);
        let list = [named(Sort::Maker, "Hollin", "makers/hollin.html", None), seen("a.html"), seen("b.html")];
        assert_eq!(data(&list).names, [Name::Text("Hollin"), Name::Text("Shirt dated 1967"), Name::SameAs(1)]);
    }

    #[test]
    fn no_name_can_end_a_script() {
        let text = script(&[named(Sort::Source, "</script>\u{2028}", "x.html", None)]).unwrap();
        let text = String::from_utf8(text).unwrap();
        assert!(!text.contains("</") && !text.contains('\u{2028}'), "{text}");
    }
}

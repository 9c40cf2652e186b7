//! Finds what is wrong with a knowledge base's own templates and drawings: each mistake with its file and place.
//!
//! A template is only parsed here; missing values show when a page is made.

use std::collections::BTreeMap;

use tera::{Error, ErrorKind};

use crate::page::{PageError, built_in_files, drawings, templates};
use crate::source::Span;

/// A template or drawing that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flaw {
    /// The file, by path below `site/`.
    pub path: String,
    /// The wrong bytes, if known.
    pub span: Span,
    pub problem: String,
}

/// Finds every file of a knowledge base's `site/` that cannot be used; without these, the rest can.
pub fn of(own: &BTreeMap<String, Vec<u8>>) -> Vec<Flaw> {
    let drawing = |(path, content): (&String, &Vec<u8>)| {
        let (problem, offset) = drawings::problem(path, content)?;
        Some(Flaw { path: path.clone(), span: Span::new(offset, offset), problem })
    };
    let mut flaws: Vec<Flaw> = own.iter().filter_map(drawing).collect();
    let is_template = |(path, _): &(&String, &Vec<u8>)| path.starts_with("templates/");
    let guide = own.iter().filter(|(path, _)| path.starts_with("guide/"));
    let no_text = guide.filter(|(path, content)| path.ends_with(".md") && std::str::from_utf8(content).is_err());
    flaws.extend(no_text.map(|(path, _)| no_utf8(path)));
    let mut left: BTreeMap<String, Vec<u8>> =
        own.iter().filter(is_template).map(|(path, content)| (path.clone(), content.clone())).collect();
    let built_in = if left.is_empty() { BTreeMap::new() } else { built_in_files() };
    for path in left.clone().into_keys() {
        if std::str::from_utf8(&left[&path]).is_err() {
            left.remove(&path);
            flaws.push(no_utf8(&path));
        }
    }
    // A mistake hides later ones, so the file with the mistake is dropped and the rest is tried again.
    while let (false, Err(error)) = (left.is_empty(), templates(&built_in, &left)) {
        let flaw = blamed(&error, &left);
        left.remove(&flaw.path);
        flaws.push(flaw);
    }
    flaws.sort_by(|one, other| one.path.cmp(&other.path));
    flaws
}

fn no_utf8(path: &str) -> Flaw {
    Flaw { path: path.to_string(), span: Span::default(), problem: "it is not UTF-8".to_string() }
}

/// The file that an error is about: the one it names, or the first where it names none of these.
fn blamed(error: &Error, left: &BTreeMap<String, Vec<u8>>) -> Flaw {
    let (name, span, problem) = match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
            let range = &report.span().range;
            (report.filename(), Span::new(range.start, range.end), report.message().to_string())
        }
        ErrorKind::MissingParent { current, parent } => {
            (current.as_str(), Span::default(), format!("it extends `{parent}`, which is not there"))
        }
        ErrorKind::CircularExtend { tpl, .. } => (tpl.as_str(), Span::default(), "it extends itself".to_string()),
        ErrorKind::CircularInclude { tpl, .. } => (tpl.as_str(), Span::default(), "it includes itself".to_string()),
        _ => ("", Span::default(), error.to_string()),
    };
    let path = format!("templates/{}", name.strip_prefix("own/").unwrap_or(name));
    let first = || left.keys().next().cloned().unwrap_or_default();
    if left.contains_key(&path) {
        Flaw { path, span, problem }
    } else {
        Flaw { path: first(), span: Span::default(), problem }
    }
}

/// Why a template that could be parsed does not fit the data of a page: the file and the place in it.
pub fn of_rendering(error: &Error) -> PageError {
    let ErrorKind::RenderingError(report) = error.kind() else { return PageError::Words(error.to_string()) };
    let (place, problem) = (report.span(), report.message().to_string());
    let at = |file: &str| format!("{file}, line {}, column {}: {problem}", place.start_line, place.start_col + 1);
    let Some(own) = report.filename().strip_prefix("own/") else { return PageError::Words(at(report.filename())) };
    let words = at(&format!("site/templates/{own}"));
    let span = Span::new(place.range.start, place.range.end);
    PageError::Own { words, flaw: Box::new(Flaw { path: format!("templates/{own}"), span, problem }) }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::of;
    use crate::page::Site;

    #[test]
    fn every_broken_file_is_named_and_the_rest_can_be_used() {
        let files = [
            ("templates/one.html", "<p>\n{% if %}</p>"),
            ("templates/two.html", "{% extends \"nowhere.html\" %}"),
            ("templates/three.html", "<p>{{ name }}</p>"),
            ("templates/loop.html", "{% extends \"loop.html\" %}"),
            ("figures/smock-front.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\">"),
            ("figures/smock.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>"),
            ("figures/smock-back.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>"),
        ];
        let mut own: BTreeMap<String, Vec<u8>> =
            files.into_iter().map(|(path, text)| (path.to_string(), text.as_bytes().to_vec())).collect();
        own.insert("templates/bytes.html".to_string(), vec![0xff, 0xfe]);
        own.insert("guide/bytes.md".to_string(), vec![0xff, 0xfe]);
        let found = of(&own);
        let paths: Vec<&str> = found.iter().map(|flaw| flaw.path.as_str()).collect();
        let broken = [
            "figures/smock-front.svg",
            "figures/smock.svg",
            "guide/bytes.md",
            "templates/bytes.html",
            "templates/loop.html",
            "templates/one.html",
            "templates/two.html",
        ];
        assert_eq!(paths, broken, "{found:?}");
        assert!(found.iter().any(|flaw| flaw.path == "templates/one.html" && flaw.span.start() >= 4), "{found:?}");
        assert!(Site::new(&own).is_err());
        own.retain(|path, _| !broken.contains(&path.as_str()));
        assert!(Site::new(&own).is_ok());
    }
}

//! The shared sources of another knowledge base: those that are here already, and free names for the others.
//!
//! Two are one source where they have one ISBN, or one citation and date. One address on the web is only a proposal.

use crate::diagnostic::wording::{join_quoted, quote};
use crate::import::base::answers::{self, Answers};
use crate::import::base::here;
use crate::import::base::matching::{Matching, Subject, Waiting};
use crate::import::heading::plain;
use crate::import::question::Asked;
use crate::record::Content;
use crate::record::citation::Source;
use crate::resolve::Catalog;

/// The sources of both knowledge bases, and what somebody answered about them.
pub struct Cited<'a> {
    /// The records here.
    pub ours: &'a Catalog,
    /// The records there.
    pub theirs: &'a Catalog,
    pub answers: &'a Answers,
}

impl Cited<'_> {
    /// Notes what every shared source there is here; an answer that cannot be meant is refused.
    pub fn match_all(&self, matching: &mut Matching) -> Result<(), String> {
        let ids = || shared(self.theirs).map(|source| source.id.value.as_str());
        if let Some(unknown) = self.answers.values("source").find(|name| !ids().any(|id| id == *name)) {
            return Err(answers::unknown("source", unknown, ids()));
        }
        shared(self.theirs).try_for_each(|source| self.match_one(source, matching))
    }

    fn match_one(&self, theirs: &Source, matching: &mut Matching) -> Result<(), String> {
        let id = theirs.id.value.as_str();
        let subject = Subject::Record(format!("sources/{id}"));
        match self.answers.value("source", id) {
            Some("") => matching.waits(subject, Waiting::left_out(&format!("the source {}", quote(id)))),
            Some(answer) if self.is_here(answer) => note_here(id, answer, matching),
            Some(answer) if is_name(answer) && self.is_free(answer) => {
                matching.is(subject, &format!("sources/{answer}"))
            }
            Some(answer) => {
                return Err(format!(
                    "`[values.source]`: {} is neither a source here nor a free name in small letters, digits and hyphens",
                    quote(answer)
                ));
            }
            None => self.unanswered(theirs, matching),
        }
        Ok(())
    }

    fn unanswered(&self, theirs: &Source, matching: &mut Matching) {
        let id = theirs.id.value.as_str();
        let subject = Subject::Record(format!("sources/{id}"));
        let same: Vec<&Source> = shared(self.ours).filter(|ours| are_one(ours, theirs)).collect();
        match same.as_slice() {
            [] => {
                let free = here::numbered(id).find(|name| name == id && self.is_free(name) || self.is_new(name));
                if let Some(free) = free.filter(|free| free != id) {
                    matching.is(subject, &format!("sources/{free}"));
                }
            }
            [one] if one.kind.value == theirs.kind.value && is_certain(one, theirs) => {
                note_here(id, one.id.value.as_str(), matching);
            }
            [one] => {
                let message = format!("the source {}: {}", quote(id), doubt(one, theirs));
                let asked = Asked::Value("source", id.to_string());
                matching.waits(subject, Waiting::proposed(asked, id, one.id.value.to_string(), message));
            }
            several => {
                let near: Vec<String> = several.iter().map(|source| source.id.value.to_string()).collect();
                let message = format!("the source {} may be {} here", quote(id), join_quoted(&near, "or"));
                let asked = Asked::Value("source", id.to_string());
                matching.waits(subject, Waiting::asked(asked, id, near, message));
            }
        }
    }

    fn is_here(&self, id: &str) -> bool {
        shared(self.ours).any(|source| source.id.value.as_str() == id)
    }

    fn is_free(&self, id: &str) -> bool {
        let is_moved = self.ours.moved.contains_key(&format!("sources/{id}"));
        !is_moved && self.ours.sources.find(&format!("entries/sources/{id}.md")).is_none()
    }

    fn is_new(&self, id: &str) -> bool {
        self.is_free(id) && !shared(self.theirs).any(|source| source.id.value.as_str() == id)
    }
}

fn note_here(there: &str, here: &str, matching: &mut Matching) {
    let (there, here) = (format!("sources/{there}"), format!("sources/{here}"));
    if there != here {
        matching.is(Subject::Record(there.clone()), &here);
    }
    matching.here.insert(there, here);
}

fn is_name(name: &str) -> bool {
    !name.is_empty() && name.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
}

fn shared(catalog: &Catalog) -> impl Iterator<Item = &Source> {
    catalog.records.iter().filter_map(|record| match &record.content {
        Content::Source(source) => Some(&**source),
        _ => None,
    })
}

/// The reason to doubt that a source here is the same as one there.
fn doubt(ours: &Source, theirs: &Source) -> String {
    let own = quote(ours.id.value.as_str());
    if is_certain(ours, theirs) {
        let [here, there] = [ours, theirs].map(|source| source.kind.value.word());
        return format!(
            "{own} has the same citation here, but is of the kind `{here}`, not `{there}`; is it the same?"
        );
    }
    let [here, there] = [ours, theirs].map(|source| quote(&source.citation.value));
    format!("{own} has the same `url` here; is it the same? The citation is {here} here and {there} there")
}

/// Says whether two sources may be one: one address can hold several.
fn are_one(one: &Source, other: &Source) -> bool {
    let [first, second] =
        [one, other].map(|source| source.url.as_ref().map(|url| url.value.trim_end_matches('/').to_string()));
    first.is_some() && first == second || is_certain(one, other)
}

/// Says whether two sources are one.
fn is_certain(one: &Source, other: &Source) -> bool {
    let [first, second] = [one, other].map(|source| {
        let date = source.date.as_ref().map(|date| date.value.as_str().to_string());
        (isbn(&source.citation.value), (plain(&source.citation.value), date))
    });
    first.0.is_some() && first.0 == second.0 || first.1 == second.1
}

/// The figures of an ISBN that name the book, in its form of ten and of thirteen figures (ISO 2108): the longer one has a
/// prefix before them, and each has a last figure of its own, which only checks the others. The prefix 979 has no shorter form.
fn isbn(citation: &str) -> Option<String> {
    let at = citation.to_ascii_uppercase().find("ISBN")?;
    let rest = citation.get(at + "ISBN".len()..)?;
    let rest = ["-13", "-10"].iter().find_map(|form| rest.strip_prefix(form)).unwrap_or(rest);
    let is_part = |letter: &char| letter.is_ascii_digit() || matches!(letter, 'X' | 'x' | '-' | ' ' | ':');
    let figures: String = rest.chars().take_while(is_part).filter(char::is_ascii_alphanumeric).collect();
    let named = match (figures.get(..13), figures.get(..10)) {
        (Some(longer), _) if longer.starts_with("978") => &longer[3..12],
        (Some(longer), _) if longer.starts_with("979") => &longer[..12],
        (_, Some(shorter)) => &shorter[..9],
        _ => return None,
    };
    named.bytes().all(|figure| figure.is_ascii_digit()).then(|| named.to_string())
}

#[cfg(test)]
mod tests {
    use super::isbn;

    #[test]
    fn an_isbn_is_read_in_both_forms() {
        // From memory: one number in both forms. The last figure checks the others in each by the rule of ISO 2108.
        let rows = [
            ("A book, 1980. ISBN 0-306-40615-2", Some("030640615")),
            ("A book, ISBN-13: 978-0-306-40615-7, p. 4", Some("030640615")),
            ("isbn 030640615X", Some("030640615")),
            ("ISBN 979-10-90636-07-1", Some("979109063607")),
            ("A book, ISBN 12", None),
            ("A book", None),
        ];
        for (citation, expected) in rows {
            assert_eq!(isbn(citation).as_deref(), expected, "{citation}");
        }
    }
}

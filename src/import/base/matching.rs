//! What the names of another knowledge base mean here: the names that change, those of what is here already, and those
//! about which somebody must be asked first.
//!
//! A name that waits for an answer is found in an entry by giving it a name that nothing else has.

use std::collections::BTreeMap;

use crate::difference::moved::{Moves, NewNames};
use crate::import::question::{Asked, Query};
use crate::import::{Origin, Trouble};
use crate::record::id::{FeatureId, LineId, MakerId, StateId};
use crate::rename::rewriting;
use crate::source::{FilePath, SourceFile};

/// The marks around the number of a waiting name.
const MARK: [&str; 2] = ["zz-waits-", "-zz"];

/// Something of the other knowledge base that has a name.
#[derive(Clone, Debug)]
pub enum Subject {
    Feature(FeatureId),
    /// A state of one of its features.
    State(FeatureId, StateId),
    /// A label line.
    Line(LineId),
    /// A record, by its address.
    Record(String),
}

/// How every message ends about what an answer leaves out.
const LEFT_OUT: &str = " is left out by your answer";

/// Why entries that name something are not brought yet, or not at all.
#[derive(Clone, Debug)]
pub struct Waiting {
    /// The question to ask.
    pub message: String,
    /// The question that an answer would settle; `None` if the answer was to leave it out.
    pub query: Option<Query>,
    /// Whether one answer is proposed, which only has to be agreed to.
    pub is_proposed: bool,
}

impl Waiting {
    /// A question, with the answers that are near.
    pub fn asked(asked: Asked, words: &str, near: Vec<String>, message: String) -> Waiting {
        Waiting { message, query: Some(Query { asked, words: words.to_string(), near }), is_proposed: false }
    }

    /// A question with the one answer that is likely.
    pub fn proposed(asked: Asked, words: &str, answer: String, message: String) -> Waiting {
        Waiting { is_proposed: true, ..Waiting::asked(asked, words, vec![answer], message) }
    }

    /// The question about a thing that an answer leaves out.
    pub fn left_out(what: &str) -> Waiting {
        Waiting { message: format!("{what}{LEFT_OUT}"), query: None, is_proposed: false }
    }
}

/// The meaning of all names.
#[derive(Clone, Debug, Default)]
pub struct Matching {
    /// The names that change.
    pub names: NewNames,
    /// Records that are here already, by their addresses there, with those here.
    pub here: BTreeMap<String, String>,
    /// Names that wait, each with one that says which it is.
    marked: NewNames,
    /// The questions that names wait for.
    waiting: Vec<Waiting>,
}

impl Matching {
    /// Notes what something is called here; for a record the address, for a line its id with the maker.
    pub fn is(&mut self, subject: Subject, name: &str) {
        put(&mut self.names, subject, name);
    }

    /// Notes that something waits.
    pub fn waits(&mut self, subject: Subject, waiting: Waiting) {
        let [start, end] = MARK;
        let mark = format!("{start}{}{end}", self.waiting.len());
        self.waiting.push(waiting);
        let name = match &subject {
            Subject::Line(line) => LineId::of(&line.maker(), &mark).to_string(),
            Subject::Record(address) => marked_address(address, &mark),
            Subject::Feature(_) | Subject::State(..) => mark,
        };
        put(&mut self.marked, subject, &name);
    }

    /// The id here of a label line, given its maker's id here.
    pub fn line(&self, line: &LineId, maker: &MakerId) -> LineId {
        self.names.lines.get(line).cloned().unwrap_or_else(|| LineId::of(maker, line.line()))
    }

    /// The question that a label line waits for.
    pub fn waiting_line(&self, line: &LineId) -> Option<Waiting> {
        let number = marks(self.marked.lines.get(line)?.as_str()).first().copied()?;
        self.waiting.get(number).cloned()
    }

    /// The names that change.
    pub fn moves(&self) -> Moves {
        Moves::of_all(self.names.clone())
    }

    /// Everything to say about what waits.
    pub fn watch(&self) -> Watch<'_> {
        Watch { moves: Moves::of_all(self.marked.clone()), waiting: &self.waiting }
    }

    /// The answers that only have to be agreed to.
    pub fn proposals(&self) -> impl Iterator<Item = &Asked> {
        let proposed = self.waiting.iter().filter(|waiting| waiting.is_proposed);
        proposed.filter_map(|waiting| Some(&waiting.query.as_ref()?.asked))
    }
}

/// Finds in entries what waits.
pub struct Watch<'m> {
    moves: Moves,
    waiting: &'m [Waiting],
}

impl Watch<'_> {
    /// Gives what keeps an entry from being brought, each once.
    pub fn troubles(&self, file: &SourceFile) -> Vec<Trouble> {
        let own = self.moves.address(file.path().address());
        let mut numbers: Vec<usize> = own.iter().flat_map(|address| marks(address)).collect();
        for words in rewriting::new_words(file, &self.moves) {
            numbers.extend(marks(&words));
        }
        numbers.sort_unstable();
        numbers.dedup();
        let waiting = numbers.into_iter().filter_map(|number| self.waiting.get(number));
        waiting.map(|waiting| trouble(file.path(), waiting)).collect()
    }
}

/// Says whether an answer leaves the entry out, so that nothing is wrong.
pub fn is_left_out(trouble: &Trouble) -> bool {
    trouble.query.is_none() && trouble.message.ends_with(LEFT_OUT)
}

/// The trouble of an entry that waits for an answer.
pub fn trouble(path: &FilePath, waiting: &Waiting) -> Trouble {
    let origin = Origin::Entry(path.to_string());
    Trouble { query: waiting.query.clone(), ..Trouble::new(origin, None, waiting.message.clone()) }
}

fn put(names: &mut NewNames, subject: Subject, name: &str) {
    match subject {
        Subject::Feature(feature) => drop(names.features.insert(feature, FeatureId::new(name))),
        Subject::State(feature, state) => drop(names.states.insert((feature, state), StateId::new(name))),
        Subject::Line(line) => drop(names.lines.insert(line, LineId::new(name))),
        Subject::Record(address) => drop(names.records.insert(address, name.to_string())),
    }
}

/// An address whose last name is a mark: the folder of a maker, model or variant, otherwise the file.
fn marked_address(address: &str, mark: &str) -> String {
    let Some((folder, file)) = address.rsplit_once('/') else { return mark.to_string() };
    match folder.rsplit_once('/') {
        Some((above, _)) if ["maker", "model", "variant"].contains(&file) => format!("{above}/{mark}/{file}"),
        _ => format!("{folder}/{mark}"),
    }
}

fn marks(words: &str) -> Vec<usize> {
    let [start, end] = MARK;
    words.split(start).skip(1).filter_map(|rest| rest.split(end).next()?.parse().ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::{Matching, Subject, Waiting};
    use crate::import::question::Asked;
    use crate::record::id::{FeatureId, LineId, StateId};
    use crate::source::{FilePath, SourceFile};

    #[test]
    fn an_entry_waits_for_each_thing_it_names_once() {
        let mut matching = Matching::default();
        let hem = FeatureId::new("hem");
        for (subject, message) in [
            (Subject::Feature(FeatureId::new("cuff")), "cuff"),
            (Subject::State(hem, StateId::new("raw")), "raw"),
            (Subject::Line(LineId::new("m/line:best")), "best"),
            (Subject::Record("makers/m/x/model".to_string()), "x"),
            (Subject::Record("sources/list".to_string()), "list"),
            (Subject::Record("makers/other/maker".to_string()), "other"),
        ] {
            let asked = Asked::Value("maker", message.to_string());
            matching.waits(subject, Waiting::asked(asked, message, Vec::new(), message.to_string()));
        }
        let waits = |path: &str, text: &str| {
            let file = SourceFile::new(FilePath::new(path), format!("+++\n{text}\n+++\n"));
            let troubles = matching.watch().troubles(&file);
            troubles.iter().map(|trouble| trouble.message.clone()).collect::<Vec<String>>().join(" ")
        };
        let path = "entries/makers/m/y/v/o.md";
        assert_eq!(waits(path, "[features]\nhem = \"raw\"\nzip = \"raw\""), "raw");
        assert_eq!(waits(path, "placed-from = [\"cuff\"]\n[features]\ncuff = 2"), "cuff");
        assert_eq!(waits(path, "[[claims]]\nabout = \"m/line:best\"\nsources = [\"list p. 3\"]"), "best list");
        assert_eq!(waits("entries/makers/m/x/v/o.md", "same-as = \"makers/other/y/v/o\""), "x other");
        assert_eq!(waits("entries/makers/m/y/v/variant.md", "line = \"best\"\nrevives = \"m/x/old\""), "best x");
        assert_eq!(waits(path, "[features]\nhem = \"folded\""), "");
    }
}

//! The label lines of a maker that both knowledge bases have.
//!
//! A maker that is here keeps its own list of lines, so a line that is not in it is asked about.

use crate::diagnostic::wording::{self, quote};
use crate::import::base::answers::Answers;
use crate::import::base::matching::{Matching, Subject, Waiting};
use crate::import::heading::plain;
use crate::import::question::Asked;
use crate::record::id::{LineId, MakerId};
use crate::resolve::Catalog;

/// The lines of both knowledge bases, and what somebody answered about them.
pub struct Lines<'a> {
    /// The records here.
    pub ours: &'a Catalog,
    /// The records there.
    pub theirs: &'a Catalog,
    pub answers: &'a Answers,
}

impl Lines<'_> {
    /// Notes what a label line is; of a maker that is new, lines keep their names.
    pub fn match_one(&self, id: &LineId, maker: &MakerId, matching: &mut Matching) -> Result<(), String> {
        let Some(entry) = self.ours.makers.get(maker) else { return Ok(()) };
        let lines = entry.lines.iter().filter_map(|own| Some((own, self.ours.line(own)?.name.as_str())));
        let lines: Vec<(&LineId, &str)> = lines.collect();
        let theirs = self.theirs.line(id).map_or("", |line| &line.name);
        if let Some(answer) = self.answers.value("line", id.as_str()) {
            if answer.is_empty() {
                matching.waits(Subject::Line(id.clone()), Waiting::left_out(&format!("the line {}", quote(id.line()))));
                return Ok(());
            }
            let found = lines.iter().find(|(own, _)| own.as_str() == answer || own.line() == answer);
            let refused =
                || format!("`[values.line]`: {} is no line of the maker {} here", quote(answer), quote(maker.as_str()));
            matching.is(Subject::Line(id.clone()), found.ok_or_else(refused)?.0.as_str());
            return Ok(());
        }
        let wish = LineId::of(maker, id.line());
        if lines.iter().any(|(own, name)| **own == wish && plain(name) == plain(theirs)) {
            matching.is(Subject::Line(id.clone()), wish.as_str());
            return Ok(());
        }
        let asked = Asked::Value("line", id.to_string());
        let missing = format!("the maker {} has no line {} ({theirs}) here", quote(maker.as_str()), quote(id.line()));
        let alike: Vec<&LineId> =
            lines.iter().filter(|(_, name)| plain(name) == plain(theirs)).map(|(own, _)| *own).collect();
        let waiting = match alike.as_slice() {
            [one] => {
                let message = format!("{missing}; by its name it may be {}", quote(one.as_str()));
                Waiting::proposed(asked, id.as_str(), one.to_string(), message)
            }
            _ => {
                let ids: Vec<String> = lines.iter().map(|(own, _)| own.to_string()).collect();
                let near = wording::nearest(wish.as_str(), &ids, 2).into_iter().map(str::to_string).collect();
                let message = format!(
                    "{missing}. Name the line that it is, or copy it into `entries/makers/{maker}/maker.md`: a line of \
                     the same id and another name gets another id there"
                );
                Waiting::asked(asked, id.as_str(), near, message)
            }
        };
        matching.waits(Subject::Line(id.clone()), waiting);
        Ok(())
    }
}

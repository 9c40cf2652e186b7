//! The result of importing another knowledge base, in lines: entries to import, questions, and
//! entries that cannot be imported. Everything except the answers begins with `#`, so that a saved
//! result can serve as the file of answers.

use std::collections::{BTreeMap, BTreeSet};

use crate::cli::import::text::{Mode, titled, told};
use crate::diagnostic::wording;
use crate::import::base::Plan;
use crate::import::base::answers::{self, Answers};
use crate::import::question::{self, Question};
use crate::import::{Candidate, Gathered, Origin};

/// The most entries of one folder to list by name.
const MOST_OF_A_FOLDER: usize = 5;

/// The most unchanged entries to list by name.
const MOST_KEPT: usize = 12;

/// The result of the import.
pub(super) struct Answer<'a> {
    /// The meaning of its names in this knowledge base.
    pub(super) plan: &'a Plan<'a>,
    pub(super) answers: &'a Answers,
    /// The entries that can be imported, and the problems.
    pub(super) gathered: &'a Gathered,
    /// Whether the entries are written.
    pub(super) mode: Mode,
}

impl Answer<'_> {
    /// The lines, each with its line end, for a knowledge base called `name`.
    pub(super) fn lines(&self, name: &str) -> Vec<String> {
        let questions = question::gathered(&self.gathered.troubles);
        let mut lines = Vec::new();
        if self.mode == Mode::DryRun {
            lines.push(format!("# {}: nothing is written yet.\n", answers::one_line(name)));
        }
        for section in [self.settings(), self.brought(), self.remarks(), self.kept(), self.recorded()] {
            add(&mut lines, section);
        }
        let printed = self.answers.printed(&questions, &self.plan.proposed());
        if !printed.is_empty() && (self.mode == Mode::DryRun || questions.iter().any(is_asked)) {
            add(&mut lines, asked(&questions));
            lines.push(format!("\n{printed}"));
        }
        add(&mut lines, left_out(&questions));
        lines
    }

    /// A summary in one line.
    pub(super) fn summary(&self) -> String {
        let verb = if self.mode == Mode::Write { "brought" } else { "to bring" };
        let new = self.entries().count();
        let [mut waiting, mut wrong] = [BTreeSet::new(), BTreeSet::new()];
        for trouble in &self.gathered.troubles {
            let which = if trouble.query.is_some() { &mut waiting } else { &mut wrong };
            which.insert(&trouble.origin);
        }
        let waiting = waiting.difference(&wrong).count();
        let here = self.gathered.recorded.len() + self.plan.kept().len();
        let parts = [(waiting, "waiting for answers"), (wrong.len(), "left out"), (here, "here already")];
        let mut line = format!("{} {verb}", answers::entries(new));
        for (number, words) in parts.into_iter().filter(|(number, _)| *number > 0) {
            line.push_str(&format!(", {number} {words}"));
        }
        if self.mode == Mode::DryRun && new > 0 {
            line.push_str("; nothing is written without --write");
        }
        line
    }

    fn entries(&self) -> impl Iterator<Item = &Candidate> {
        self.gathered.candidates.iter().filter(|candidate| candidate.corrects.is_none())
    }

    /// The entries that the imported settings would withhold.
    fn settings(&self) -> Vec<String> {
        let title = match self.mode {
            Mode::Write => "Withheld there, and now here in `entries/about.md`",
            Mode::DryRun => "Withheld there, and would be here in `entries/about.md`",
        };
        let changed = self.gathered.candidates.iter().filter_map(|candidate| candidate.corrects.as_ref());
        titled(title, changed.flat_map(|corrects| &corrects.lines).map(|line| format!("  {line}")).collect())
    }

    /// Each entry that is renamed or one of few in its folder; the others are counted.
    fn brought(&self) -> Vec<String> {
        let title = if self.mode == Mode::Write { "Brought" } else { "Would be brought" };
        let mut lines = Vec::new();
        let mut same: BTreeMap<&str, Vec<&Candidate>> = BTreeMap::new();
        for candidate in self.entries() {
            if candidate.origin.to_string() == candidate.path {
                let folder = candidate.path.rsplit_once('/').map_or("", |(folder, _)| folder);
                same.entry(folder).or_default().push(candidate);
            } else {
                let photographs = self.photographs(&[candidate]);
                lines.push(format!("  {}, there {}{photographs}", candidate.path, candidate.origin));
            }
        }
        for (folder, candidates) in same {
            if candidates.len() > MOST_OF_A_FOLDER {
                let (number, photographs) = (answers::entries(candidates.len()), self.photographs(&candidates));
                lines.push(format!("  {folder}/: {number} under the same names{photographs}"));
                continue;
            }
            lines.extend(candidates.iter().map(|one| format!("  {}{}", one.path, self.photographs(&[one]))));
        }
        lines.sort();
        titled(title, lines)
    }

    fn photographs(&self, candidates: &[&Candidate]) -> String {
        match candidates.iter().map(|candidate| self.plan.photographs_of(candidate).len()).sum() {
            0 => String::new(),
            number => format!(", with {}", wording::count(number, "photograph")),
        }
    }

    /// The entries that differ between the two knowledge bases; identical entries are only counted.
    fn kept(&self) -> Vec<String> {
        let kept = self.plan.kept();
        let same = kept.iter().filter(|kept| !kept.differs).count();
        let lines = kept.iter().filter(|kept| kept.differs).map(|kept| {
            let from = if kept.there == kept.here { String::new() } else { format!(", there {}", kept.there) };
            format!("  {}{from}: says something else there", kept.here)
        });
        let mut lines = few(lines.collect());
        lines.extend((same > 0).then(|| format!("  {} with the same text in both", answers::entries(same))));
        titled("Here already, and kept as they are here", lines)
    }

    fn recorded(&self) -> Vec<String> {
        let recorded = &self.gathered.recorded;
        let elsewhere = recorded.iter().filter(|(origin, path)| origin.to_string() != *path);
        let mut lines = few(elsewhere.map(|(origin, path)| format!("  {path}, there {origin}")).collect());
        let same = recorded.iter().filter(|(origin, path)| origin.to_string() == *path).count();
        lines.extend((same > 0).then(|| format!("  {} under the same names", answers::entries(same))));
        titled("Recorded already, and not brought again", lines)
    }

    fn remarks(&self) -> Vec<String> {
        let years = self.plan.circa_years().map(|[there, here]| {
            format!("  `~` widens a year by {there} there and by {here} here, so dates with it are read otherwise")
        });
        let remarks = self
            .gathered
            .candidates
            .iter()
            .flat_map(|candidate| candidate.remarks.iter().map(|remark| format!("  {}: {remark}", candidate.path)));
        let years = years.filter(|_| self.entries().next().is_some());
        titled("Please look at", years.into_iter().chain(remarks).collect())
    }
}

/// Adds a section as remarks after an empty line; text from strangers cannot start a new line.
fn add(lines: &mut Vec<String>, section: Vec<String>) {
    if !section.is_empty() && !lines.is_empty() {
        lines.push("\n".to_string());
    }
    lines.extend(section.into_iter().map(|line| format!("# {}\n", answers::one_line(&line))));
}

/// The first lines of many, and the number of the rest.
fn few(mut lines: Vec<String>) -> Vec<String> {
    let more = lines.len().saturating_sub(MOST_KEPT);
    lines.truncate(MOST_KEPT);
    lines.extend((more > 0).then(|| format!("  and {more} more")));
    lines
}

fn is_asked(question: &Question) -> bool {
    question.asked.is_some()
}

/// Instructions for the questions; the questions follow, each above the line that answers it.
fn asked(questions: &[Question]) -> Vec<String> {
    let asked: Vec<&Question> = questions.iter().filter(|question| is_asked(question)).collect();
    if asked.is_empty() {
        return vec!["Your answers, to give back again with --map:".to_string()];
    }
    let waiting: BTreeSet<&Origin> = asked.iter().flat_map(|question| &question.origins).collect();
    let title = format!(
        "{} about {}, which wait for the answer",
        wording::count(asked.len(), "question"),
        answers::entries(waiting.len())
    );
    let how = [
        "Save this output as a file and correct the lines below. Remove the `#` before a line to use it;",
        "`\"\"` leaves out the entries that need it. Then give the file back with --map.",
    ];
    titled(&title, how.map(|line| format!("  {line}")).to_vec())
}

fn left_out(questions: &[Question]) -> Vec<String> {
    titled("Left out", questions.iter().filter(|question| !is_asked(question)).map(told).collect())
}

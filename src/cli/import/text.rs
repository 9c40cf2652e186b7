//! Lists what an import would write, and the mistakes it found.
//!
//! For a sheet, everything except the mapping begins with `#`, so that a saved answer can serve as
//! the mapping.

use std::collections::BTreeSet;

use crate::diagnostic::wording;
use crate::import::question::{self, Question};
use crate::import::row::Column;
use crate::import::sheet::Passed;
use crate::import::{self, Candidate, Corrects, Gathered, ImportInput, Origin, Used, codes, date};
use crate::resolve::Catalog;

/// The result of an import.
pub(super) struct Answer<'a> {
    /// The present records.
    pub(super) catalog: &'a Catalog,
    /// The imported sheet or drafts.
    pub(super) brought: &'a ImportInput<'a>,
    pub(super) gathered: &'a Gathered,
    /// Whether the entries are written.
    pub(super) mode: Mode,
}

/// Whether entries are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mode {
    /// Lists the entries.
    DryRun,
    /// Writes the entries.
    Write,
}

impl Answer<'_> {
    /// The lines, each with its line end, for a sheet called `name`.
    pub(super) fn lines(&self, name: Option<&str>) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(name) = name.filter(|_| self.mode == Mode::DryRun) {
            lines.extend(self.mapping(name));
        }
        let mark = if name.is_some() { "# " } else { "" };
        for section in [
            self.assumed(),
            self.passed(),
            self.left_out(),
            self.dates(),
            self.codes(),
            self.table(),
            self.corrections(),
            self.recorded(),
            self.corrected(),
            self.remarks(),
            self.asked(),
            self.troubles(),
        ] {
            if !section.is_empty() && !lines.is_empty() {
                lines.push("\n".to_string());
            }
            lines.extend(section.into_iter().map(|line| format!("{mark}{line}\n")));
        }
        lines
    }

    /// A summary in one line.
    pub(super) fn summary(&self) -> String {
        let Gathered { candidates, troubles, recorded, corrected, .. } = self.gathered;
        let wrong: BTreeSet<_> = troubles.iter().map(|trouble| &trouble.origin).collect();
        let verb = if self.mode == Mode::Write { "written" } else { "to write" };
        let corrections = candidates.iter().filter(|candidate| candidate.corrects.is_some()).count();
        let new = candidates.len() - corrections;
        let entries = if new == 1 { "entry" } else { "entries" };
        let mut line = format!("{new} {entries} {verb}, {} wrong", wrong.len());
        if corrections > 0 {
            let verb = if self.mode == Mode::Write { "corrected" } else { "to correct" };
            line.push_str(&format!(", {corrections} {verb}"));
        }
        if !recorded.is_empty() {
            line.push_str(&format!(", {} recorded already", recorded.len()));
        }
        if !corrected.is_empty() {
            line.push_str(&format!(", {} corrected already", corrected.len()));
        }
        let passed = self.passed_rows().filter(|passed| !passed.is_empty());
        let passed: usize = passed.map(|passed| passed.rows.clone().count()).sum();
        if passed > 0 {
            line.push_str(&format!(", {} passed over", wording::count(passed, "row")));
        }
        if self.mode == Mode::DryRun && !candidates.is_empty() {
            line.push_str("; nothing is written without --write");
        }
        line
    }

    fn mapping(&self, name: &str) -> Vec<String> {
        let Some((sheet, columns)) = self.brought.sheet else { return Vec::new() };
        let rows = wording::count(sheet.rows.len(), "row");
        let head = format!(
            "# {name}: {rows} below the headings. Save this as a file, correct it, and pass it with \
             --map.\n"
        );
        let used = Used { mapping: self.brought.mapping, sheet, columns };
        vec![head, import::printed(self.catalog, &used, &self.questions())]
    }

    fn assumed(&self) -> Vec<String> {
        let assumed = self.brought.sheet.iter().flat_map(|(sheet, _)| &sheet.assumed);
        titled("How the sheet was read", assumed.map(|words| format!("  {words}")).collect())
    }

    fn passed_rows(&self) -> impl Iterator<Item = &Passed> {
        self.brought.sheet.iter().flat_map(|(sheet, _)| &sheet.passed)
    }

    /// The rows that describe no garment, or one already recorded.
    fn passed(&self) -> Vec<String> {
        titled("Skipped, and not read as garments", self.passed_rows().map(|passed| format!("  {passed}")).collect())
    }

    /// The columns left out; a dry run asks about unknown ones in the mapping.
    fn left_out(&self) -> Vec<String> {
        let Some((sheet, columns)) = self.brought.sheet else { return Vec::new() };
        let is_told = |column: &&Column| self.mode == Mode::Write && import::is_unknown(self.brought.mapping, column);
        let unknown = columns.iter().filter(is_told).map(|column| format!("  {}", wording::quote(&column.heading)));
        let nameless = Some(sheet.nameless()).filter(|count| *count > 0);
        let nameless = nameless.map(|count| format!("  {} without a heading", wording::count(count, "column")));
        titled("Unknown columns, left out", unknown.chain(nameless).collect())
    }

    /// The dates read from words, with their interpretation.
    fn dates(&self) -> Vec<String> {
        let circa = self.catalog.circa();
        let dates = self.gathered.dates.iter().map(|(words, (edtf, count))| {
            let often = if *count > 1 { format!(", {count} times") } else { String::new() };
            format!("  {} is read as `{edtf}`: {}{often}", wording::quote(words), date::said_back(edtf, circa))
        });
        titled("Dates in words", dates.collect())
    }

    /// The dates that keys read from codes; the entries keep the codes unchanged.
    fn codes(&self) -> Vec<String> {
        let codes = codes::said(self.catalog, &self.gathered.candidates);
        let lines = codes.iter().map(|(said, count)| {
            let often = if *count > 1 { format!(", {count} times") } else { String::new() };
            format!("  {}{often}: {}", wording::quote(&said.code), said.says)
        });
        titled("Codes, and what keys read from them", lines.collect())
    }

    fn table(&self) -> Vec<String> {
        let new = self.gathered.candidates.iter().filter(|candidate| candidate.corrects.is_none());
        let rows: Vec<[String; 4]> = new.map(cells).collect();
        let head = ["from", "made", "readings", "entry"].map(str::to_string);
        let width = |column: usize| {
            let cells = std::iter::once(&head).chain(&rows).map(|row| row[column].chars().count());
            cells.max().unwrap_or(0)
        };
        let widths = [width(0), width(1), width(2)];
        let line = |row: &[String; 4]| {
            let [from, made, readings, entry] = row;
            format!("  {from:<0$}  {made:<1$}  {readings:>2$}  {entry}", widths[0], widths[1], widths[2])
        };
        let title = if self.mode == Mode::Write { "Written" } else { "Would be written" };
        let lines: Vec<String> = rows.iter().map(line).collect();
        if lines.is_empty() { lines } else { titled(title, std::iter::once(line(&head)).chain(lines).collect()) }
    }

    /// The lines that corrections change, and the reasons.
    fn corrections(&self) -> Vec<String> {
        let title = if self.mode == Mode::Write { "Corrected" } else { "Would be corrected" };
        let shown = self.gathered.candidates.iter().filter_map(|candidate| {
            let Corrects { why, lines, .. } = candidate.corrects.as_ref()?;
            let head = format!("  {}: {}", candidate.origin, candidate.path);
            let lines = lines.iter().map(|line| format!("  {line}"));
            let reason = why.lines().map(|line| format!("    | {line}"));
            let none = why.is_empty().then(|| "    no reason is given".to_string());
            let because = (!why.is_empty()).then(|| "    Why:".to_string());
            Some(std::iter::once(head).chain(lines).chain(because).chain(reason).chain(none).collect::<Vec<String>>())
        });
        titled(title, shown.flatten().collect())
    }

    fn corrected(&self) -> Vec<String> {
        let corrected = self.gathered.corrected.iter();
        let lines = corrected.map(|(origin, path)| format!("  {origin}: {} says all of it", wording::quote(path)));
        titled("Corrected already, so nothing changes", lines.collect())
    }

    fn recorded(&self) -> Vec<String> {
        let recorded = self.gathered.recorded.iter();
        let lines = recorded.map(|(origin, path)| {
            format!(
                "  {origin}: {} is the same word for word. If it is another garment, say so in its text",
                wording::quote(path)
            )
        });
        titled("Already recorded, and not written again", lines.collect())
    }

    fn remarks(&self) -> Vec<String> {
        let remarks =
            self.gathered.candidates.iter().flat_map(|candidate| {
                candidate.remarks.iter().map(|remark| format!("  {}: {remark}", candidate.origin))
            });
        titled("Please look at", remarks.collect())
    }

    fn questions(&self) -> Vec<Question> {
        question::gathered(&self.gathered.troubles)
    }

    /// The mistakes that one answer settles, each once for all its rows.
    fn asked(&self) -> Vec<String> {
        let questions: Vec<Question> =
            self.questions().into_iter().filter(|question| question.asked.is_some()).collect();
        let rows: BTreeSet<&Origin> = questions.iter().flat_map(|question| &question.origins).collect();
        let title = format!(
            "{} about {}; one answer in the mapping settles each. These rows are not written",
            wording::count(questions.len(), "question"),
            wording::count(rows.len(), "row")
        );
        titled(&title, questions.iter().map(told).collect())
    }

    fn troubles(&self) -> Vec<String> {
        let questions = self.questions();
        let wrong = questions.iter().filter(|question| question.asked.is_none());
        titled("Wrong, and not written", wrong.map(told).collect())
    }
}

pub(super) fn titled(title: &str, lines: Vec<String>) -> Vec<String> {
    if lines.is_empty() { lines } else { std::iter::once(format!("{title}:")).chain(lines).collect() }
}

pub(super) fn told(question: &Question) -> String {
    let (places, message) = (question.places(), &question.message);
    match question.about.as_slice() {
        [] => format!("  {places}: {message}"),
        [line] if matches!(question.origins.first(), Some(Origin::File(_) | Origin::Entry(_))) => {
            format!("  {places}, {line}: {message}")
        }
        about => format!("  {places}, {}: {message}", wording::join_quoted(about, "and")),
    }
}

fn cells(candidate: &Candidate) -> [String; 4] {
    let made = candidate.text.lines().find_map(|line| line.strip_prefix("made = \"")?.split('"').next());
    let below = candidate.text.lines().skip_while(|line| *line != "[features]").skip(1);
    let readings = below.take_while(|line| line.contains(" = ")).count();
    [candidate.origin.to_string(), made.unwrap_or("-").to_string(), readings.to_string(), candidate.path.clone()]
}

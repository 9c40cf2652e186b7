//! Dates a sheet of garments row by row, in order, on all threads, with a few thousand rows in
//! memory at a time.

use std::io::{BufReader, Read};
use std::path::Path;

use anyhow::{Context, ensure};
use csv::{Reader, ReaderBuilder, StringRecord};
use rayon::prelude::{ParallelIterator, ParallelSlice};

use crate::cli::date::garment::{self, KNOWN, Typed};
use crate::cli::date::{Format, text};
use crate::cli::{Outcome, Session};
use crate::compile;
use crate::dating::answer::Dating;
use crate::dating::answer::brief::{Briefs, TOGETHER};
use crate::dating::answer::garment::Garment;
use crate::dating::likelihood;
use crate::disk::bring;
use crate::knowledge::Knowledge;
use crate::report::answer::{self, Answered};
use crate::resolve::Catalog;
use crate::sheet;

/// The number of rows answered together.
const ROWS: usize = 2048;

/// The context for answering rows.
struct Answering<'a> {
    knowledge: &'a Knowledge,
    version: String,
    dating: &'a Dating<'a>,
    header: Vec<String>,
    how: How<'a>,
}

/// The form of an answer.
enum How<'a> {
    /// In one line that a person reads.
    Line(Briefs<'a, 'a>),
    /// In full.
    Json,
}

/// A row that could be read, with the line it begins on.
type Row = (u64, Result<StringRecord, csv::Error>);

/// Answers every row; reports and skips a row it cannot read.
pub(super) fn run(session: &Session, knowledge: &Knowledge, format: Format, path: &Path) -> anyhow::Result<Outcome> {
    let mut reader = ReaderBuilder::new().flexible(true).from_reader(BufReader::new(bring::regular(path)?));
    let header = header(&knowledge.catalog, &mut reader).with_context(|| path.display().to_string())?;
    let tables = likelihood::all(knowledge);
    let version = compile::content_id(&knowledge.catalog.sources);
    let dating = Dating::new(knowledge, &tables);
    let how = match format {
        Format::Text => How::Line(dating.briefs()),
        Format::Json => How::Json,
    };
    let answering = Answering { knowledge, version, dating: &dating, header, how };
    let (mut answered, mut skipped) = (0_usize, 0_usize);
    loop {
        let rows: Vec<Row> = rows(&mut reader).take(ROWS).collect();
        if rows.is_empty() {
            break;
        }
        let texts = rows.par_chunks(TOGETHER).flat_map_iter(|rows| answering.rows(rows));
        let texts: Vec<anyhow::Result<String>> = texts.collect();
        for (text, (line, _)) in texts.iter().zip(&rows) {
            if let Err(problem) = text {
                session.terminal.complain(&format!("{}:{line}: {problem:#}; the row is skipped", path.display()));
                skipped += 1;
            }
        }
        let good = texts.into_iter().filter_map(Result::ok);
        session.terminal.answer(good.inspect(|_| answered += 1))?;
    }
    session.terminal.summarize(&format!("{answered} answered, {skipped} skipped"));
    Ok(if skipped == 0 { Outcome::Clean } else { Outcome::Denied })
}

/// The columns of the sheet: features and other facts.
fn header(catalog: &Catalog, reader: &mut Reader<impl Read>) -> anyhow::Result<Vec<String>> {
    let columns: Vec<String> = reader
        .headers()?
        .iter()
        .map(|column| sheet::unprotect(column.trim_start_matches('\u{feff}')).trim().to_string())
        .collect();
    ensure!(columns.iter().any(|column| !column.is_empty()), "the sheet is empty; its first line names the columns");
    for (at, column) in columns.iter().enumerate() {
        if !KNOWN.contains(&column.as_str()) {
            garment::feature(catalog, column)?;
        }
        ensure!(!columns[..at].contains(column), "the column `{column}` appears twice");
    }
    Ok(columns)
}

fn rows<'r, Input: Read>(reader: &'r mut Reader<Input>) -> impl Iterator<Item = Row> + 'r {
    std::iter::from_fn(move || {
        let line = reader.position().line();
        let mut record = StringRecord::new();
        match reader.read_record(&mut record) {
            Ok(false) => None,
            Ok(true) => Some((record.position().map_or(line, csv::Position::line), Ok(record))),
            Err(error) => Some((line, Err(error))),
        }
    })
}

impl Answering<'_> {
    /// The answer for each row, or why there is none.
    fn rows(&self, rows: &[Row]) -> Vec<anyhow::Result<String>> {
        let typed: Vec<anyhow::Result<Typed>> = rows.iter().map(|row| self.typed(row)).collect();
        match &self.how {
            How::Line(briefs) => {
                let garments: Vec<&Garment> = typed.iter().flatten().map(|typed| &typed.garment).collect();
                let mut briefs = briefs.of(&garments).into_iter();
                let mut line = |typed: Typed| {
                    let brief = briefs.next().expect("each garment that was typed has an answer");
                    text::line(typed.id.as_deref(), &typed.garment, &brief)
                };
                typed.into_iter().map(|typed| typed.map(&mut line)).collect()
            }
            How::Json => typed.into_iter().map(|typed| self.json(&typed?)).collect(),
        }
    }

    fn json(&self, typed: &Typed) -> anyhow::Result<String> {
        let (garment, id) = (&typed.garment, typed.id.as_deref());
        let answer = self.dating.answer(garment);
        let answered = Answered { knowledge: self.knowledge, version: &self.version, id, garment, answer: &answer };
        Ok(answer::line(&answered)? + "\n")
    }

    fn typed(&self, row: &Row) -> anyhow::Result<Typed> {
        let record = match &row.1 {
            Ok(record) => record,
            Err(error) => anyhow::bail!("the row cannot be read: {error}"),
        };
        let (cells, columns) = (record.len(), self.header.len());
        ensure!(cells == columns, "the row has {cells} cells where the header has {columns}");
        let catalog = &self.knowledge.catalog;
        let mut typed = Typed::new();
        for (column, cell) in self.header.iter().zip(record) {
            let cell = sheet::unprotect(cell).trim();
            match column.as_str() {
                _ if cell.is_empty() => {}
                known if KNOWN.contains(&known) => typed.know(catalog, known, cell)?,
                feature => typed.see(catalog, feature, cell)?,
            }
        }
        typed.agreeing()
    }
}

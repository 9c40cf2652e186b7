//! A text or the sheet of a workbook to headings and rows: finds the separator, and keeps each row as it was written.
//!
//! What a heading or a cell means is not asked here.

use std::collections::BTreeMap;
use std::fmt;
use std::ops::RangeInclusive;

use csv::{ReaderBuilder, StringRecord, WriterBuilder};

use crate::diagnostic::wording;
use crate::sheet;
use crate::sheet::encoding::Decoded;
use crate::sheet::workbook::Worksheet;

/// The separators that are looked for, the likeliest first.
pub const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// How many rows are looked at to tell the separator.
const SAMPLE: usize = 20;

/// How a sheet is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Form {
    /// As text.
    Text {
        /// The separator between its cells.
        separator: char,
        /// The name of its encoding; none for UTF-8.
        encoding: Option<String>,
    },
    /// In a workbook, under this name.
    Workbook(String),
}

/// A sheet as stored in its file.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// How it is kept.
    pub form: Form,
    /// The row that names its columns.
    pub headings: Vec<String>,
    /// The number of that row.
    pub heading_number: usize,
    /// The rows below that are not empty.
    pub rows: Vec<Row>,
    /// The rows that are no garments.
    pub passed: Vec<Passed>,
    /// The assumptions about the whole sheet.
    pub assumed: Vec<String>,
    heading_text: String,
}

/// Rows that are not read as garments, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passed {
    /// Their numbers.
    pub rows: RangeInclusive<usize>,
    pub what: String,
}

impl Passed {
    /// Says whether there is nothing in them.
    pub fn is_empty(&self) -> bool {
        self.what == "empty"
    }
}

impl fmt::Display for Passed {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, last) = (self.rows.start(), self.rows.end());
        match first == last {
            true => write!(formatter, "row {first}: {}", self.what),
            false => write!(formatter, "rows {first} to {last}: {}", self.what),
        }
    }
}

/// A row of a sheet.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its number as a spreadsheet counts, the headings being row 1.
    pub number: usize,
    pub cells: Vec<String>,
    /// The row as it was written, without its line end.
    pub text: String,
    /// Whether a quotation mark is opened in it and never closed, so that all that follows is in one cell.
    pub is_unclosed: bool,
}

/// Takes what the bytes of a file were read as.
pub fn of_text(decoded: Decoded, separator: Option<char>) -> Result<Sheet, String> {
    let mut sheet = read(&decoded.text, separator)?;
    if let Form::Text { encoding, .. } = &mut sheet.form {
        *encoding = decoded.encoding;
    }
    sheet.assumed.extend(decoded.assumed);
    Ok(sheet)
}

/// Reads a sheet of text. The separator comes from the sheet itself, from the argument, or else is
/// the one that fits best.
pub fn read(text: &str, separator: Option<char>) -> Result<Sheet, String> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim_start().starts_with("+++") {
        return Err(
            "begins like an entry, so it is a draft and not a sheet; give it a name that ends in `.md`".to_string()
        );
    }
    let named = named_separator(text);
    let separator = named.or(separator).unwrap_or_else(|| likeliest(text));
    let mut rows = records(text, separator)?;
    let line = named.map(|_| rows.remove(0));
    let mut sheet = arranged(Form::Text { separator, encoding: None }, rows)?;
    let what = |row: &Row| format!("{}, which names the separator", wording::quote(&row.text));
    sheet.passed.extend(line.map(|row| Passed { rows: row.number..=row.number, what: what(&row) }));
    Ok(sheet)
}

/// The separator of a first line such as `sep=;`, which spreadsheets obey and do not show.
fn named_separator(text: &str) -> Option<char> {
    let line = text.lines().next()?.trim_matches('"');
    let sign =
        line.get(..4).filter(|begin| begin.eq_ignore_ascii_case("sep=")).and_then(|_| line[4..].chars().next())?;
    let is_alone = line[4..].trim_end_matches([sign, '"']).is_empty();
    (is_alone && can_separate(sign)).then_some(sign)
}

/// Says whether a sign can separate cells: it is one byte and never occurs in them.
pub fn can_separate(sign: char) -> bool {
    sign == '\t' || (sign.is_ascii_punctuation() && !"\"'.-/".contains(sign))
}

/// Takes the sheet of a workbook; its rows are written as CSV where somebody wants them.
pub fn of_workbook(worksheet: &Worksheet) -> Result<Sheet, String> {
    let rows = worksheet.grid.rows().map(|(number, cells)| Row {
        number: number + 1,
        cells: cells.iter().map(|cell| shown(cell).trim().to_string()).collect(),
        text: line(cells),
        is_unclosed: false,
    });
    let mut sheet = arranged(Form::Workbook(worksheet.name.clone()), rows.collect())?;
    if worksheet.merged > 0 {
        let cells = wording::count(worksheet.merged, "cell");
        sheet.assumed.push(format!("{cells} take their value from the merged cell above"));
    }
    Ok(sheet)
}

/// A cell of `garments.csv` that went through a spreadsheet still has the mark that kept it from being run.
fn shown(cell: &str) -> &str {
    let bare = sheet::unprotect(cell);
    if sheet::protect(bare) == cell { bare } else { cell }
}

/// Cells as a line of CSV, escaped so that no spreadsheet runs one as a formula.
fn line(cells: &[String]) -> String {
    let mut writer = WriterBuilder::new().from_writer(Vec::new());
    let written = writer.write_record(cells.iter().map(|cell| sheet::protect(shown(cell)).into_owned()));
    let bytes = written.ok().and_then(|()| writer.into_inner().ok()).unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default().trim_end_matches('\n').to_string()
}

fn arranged(form: Form, rows: Vec<Row>) -> Result<Sheet, String> {
    let mut rows = rows.into_iter().filter(|row| row.cells.iter().any(|cell| !cell.is_empty()));
    let Some(first) = rows.next() else { return Err("is empty; its first row names the columns".to_string()) };
    Ok(Sheet {
        form,
        rows: rows.collect(),
        headings: first.cells,
        heading_number: first.number,
        passed: Vec::new(),
        assumed: Vec::new(),
        heading_text: first.text,
    })
}

impl Sheet {
    /// Takes one of the first rows, counted from 0, for the headings, and passes over those above it.
    pub fn below(mut self, titles: usize) -> Sheet {
        let rows: Vec<Row> = self.rows.drain(..titles).collect();
        for row in rows {
            let cells: Vec<&String> = self.headings.iter().filter(|cell| !cell.is_empty()).collect();
            let what = format!("{}, above the headings", wording::join_quoted(&cells, "and"));
            self.passed.push(Passed { rows: self.heading_number..=self.heading_number, what });
            (self.headings, self.heading_number, self.heading_text) = (row.cells, row.number, row.text);
        }
        self
    }

    /// Counts the columns that have cells and no heading.
    pub fn nameless(&self) -> usize {
        let columns = self.headings.iter().enumerate().filter(|(_, heading)| heading.is_empty());
        let is_used = |at: usize| self.rows.iter().any(|row| row.cells.get(at).is_some_and(|cell| !cell.is_empty()));
        columns.filter(|(at, _)| is_used(*at)).count()
    }

    /// Writes the headings and some of the rows again, each as it was written.
    pub fn only<'a>(&'a self, rows: impl Iterator<Item = &'a Row>) -> String {
        let mut text = format!("{}\n", self.heading_text);
        for row in rows {
            text.push_str(&row.text);
            text.push('\n');
        }
        text
    }
}

/// The separator by which most of the first rows have the same number of cells, more than one.
fn likeliest(text: &str) -> char {
    let fit = |separator: char| {
        let mut reader = reader(text, separator);
        let mut alike: BTreeMap<usize, usize> = BTreeMap::new();
        for record in reader.records().take(SAMPLE + 1).filter_map(Result::ok) {
            *alike.entry(record.len()).or_default() += 1;
        }
        let several = alike.into_iter().filter(|(columns, _)| *columns > 1);
        several.map(|(columns, rows)| (rows, columns)).max().unwrap_or((0, 0))
    };
    let fits = SEPARATORS.map(|separator| (fit(separator), separator));
    // Among equals the last wins, so the likeliest comes last.
    fits.into_iter().rev().max_by_key(|(fit, _)| *fit).map_or(',', |(_, separator)| separator)
}

fn reader(text: &str, separator: char) -> csv::Reader<&[u8]> {
    let mut builder = ReaderBuilder::new();
    builder.has_headers(false).flexible(true).delimiter(separator as u8);
    builder.from_reader(text.as_bytes())
}

fn records(text: &str, separator: char) -> Result<Vec<Row>, String> {
    let mut reader = reader(text, separator);
    let (mut rows, mut number, mut record) = (Vec::new(), 0, StringRecord::new());
    loop {
        let from = place(&reader);
        if !reader.read_record(&mut record).map_err(|error| error.to_string())? {
            return Ok(rows);
        }
        let whole = &text[from..place(&reader)];
        let begun = whole.trim_start_matches(['\r', '\n']);
        number += 1 + empty_lines(&text[..from], &whole[..whole.len() - begun.len()]);
        let written = begun.trim_end_matches(['\r', '\n']);
        rows.push(Row {
            number,
            cells: record.iter().map(|cell| sheet::unprotect(cell).trim().to_string()).collect(),
            text: written.to_string(),
            is_unclosed: written.contains('\n') && written.matches('"').count() % 2 == 1,
        });
    }
}

fn place(reader: &csv::Reader<&[u8]>) -> usize {
    usize::try_from(reader.position().byte()).unwrap_or(usize::MAX)
}

/// Counts empty lines before a row; the reader passes over them, a spreadsheet shows them.
fn empty_lines(before: &str, gap: &str) -> usize {
    // The reader may stop within the `\r\n` that ends a row.
    let gap = if before.ends_with('\r') { gap.strip_prefix('\n').unwrap_or(gap) } else { gap };
    gap.matches('\n').count()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::{Form, Sheet, read};

    fn separator_of(sheet: &Sheet) -> char {
        match sheet.form {
            Form::Text { separator, .. } => separator,
            Form::Workbook(_) => panic!("{sheet:?}"),
        }
    }

    #[test]
    fn the_separator_is_found_by_what_the_rows_have_in_common() {
        for (text, separator) in [
            ("a,b\n1,2\n", ','),
            ("a;b\n8,25;2\n9,5;3\n", ';'),
            ("a\tb\n1,5\t2;3\n", '\t'),
            ("notes, remarks;hem;loops\nx;y;5\nx;y;5\n", ';'),
            ("\u{feff}alone\n1\n", ','),
            ("Coats, spring, barn\nhem;loops\nx;5\n", ';'),
        ] {
            assert_eq!(separator_of(&read(text, None).unwrap()), separator, "{text}");
        }
    }

    #[test]
    fn rows_are_numbered_as_a_spreadsheet_does_and_kept_as_written() {
        for end in ["\n", "\r\n"] {
            let lines = ["a;b", "1;\"two\nlines\"", "", ";", "'=x;'plain"];
            let text = format!("\u{feff}{}{end}", lines.join(end));
            let sheet = read(&text, None).unwrap();
            let rows: Vec<_> = sheet.rows.iter().map(|row| (row.number, row.cells.join("|"))).collect();
            assert_eq!(rows, [(2, "1|two\nlines".to_string()), (5, "=x|plain".to_string())], "{end:?}");
            assert_eq!(sheet.only(sheet.rows.iter().take(1)), "a;b\n1;\"two\nlines\"\n");
        }
    }

    #[test]
    fn a_quotation_mark_that_is_never_closed_is_noticed() {
        let sheet = read("a,b\n1,\"open\n2,3\n4,5\n", None).unwrap();
        assert!(sheet.rows[0].is_unclosed && sheet.rows.len() == 1);
        assert!(!read("a,b\n1,8 1/4\"\n2,3\n", None).unwrap().rows.iter().any(|row| row.is_unclosed));
    }

    #[test]
    fn a_sheet_without_rows_and_a_draft_are_refused() {
        assert!(read("", None).unwrap_err().contains("is empty"));
        assert!(read("sep=;\n", None).unwrap_err().contains("is empty"));
        assert!(read("+++\n", None).unwrap_err().contains("ends in `.md`"));
    }

    #[test]
    fn a_line_may_name_the_separator() {
        for (text, separator, cells) in [
            ("sep=|\na|b;c\n1|2\n", '|', 2),
            ("\u{feff}\"sep=;\"\r\na;b\r\n", ';', 2),
            ("SEP=\t\na\tb\n", '\t', 2),
            ("sep=;;;\na;b;c\n", ';', 3),
            ("sep=a,b\n1,2\n", ',', 2),
        ] {
            let sheet = read(text, None).unwrap();
            assert_eq!((separator_of(&sheet), sheet.headings.len()), (separator, cells), "{text}");
        }
    }
}

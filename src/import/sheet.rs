//! A text or the sheet of a workbook to headings and rows: finds the separator, and keeps each row as it was written.
//!
//! What a heading or a cell means is not asked here.

use csv::{ReaderBuilder, StringRecord, WriterBuilder};

use crate::sheet;
use crate::sheet::workbook::Worksheet;

/// The separators that are looked for, the likeliest first.
pub const SEPARATORS: [char; 3] = [',', ';', '\t'];

/// How many rows are looked at to tell the separator.
const SAMPLE: usize = 20;

/// How a sheet is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Form {
    /// As text, with this between its cells.
    Text(char),
    /// In a workbook, under this name.
    Workbook(String),
}

/// A sheet as it stands in its file.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// How it is kept.
    pub form: Form,
    /// Its first row.
    pub headings: Vec<String>,
    /// The rows below that are not empty.
    pub rows: Vec<Row>,
    heading_text: String,
}

/// A row of a sheet.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its number as a spreadsheet counts, the headings being row 1.
    pub number: usize,
    /// What its cells say.
    pub cells: Vec<String>,
    /// The row as it was written, without its line end.
    pub text: String,
    /// Whether a quotation mark is opened in it and never closed, so that all that follows is in one cell.
    pub is_unclosed: bool,
}

/// Takes the bytes of a file as text, or says how to save it.
pub fn decode(bytes: Vec<u8>) -> Result<String, String> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err("is written in UTF-16; save it as `CSV UTF-8`".to_string());
    }
    let text = String::from_utf8(bytes);
    text.map_err(|error| {
        let offset = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..offset].iter().filter(|byte| **byte == b'\n').count() + 1;
        format!("is not UTF-8: line {line} has a character in another encoding; save it as `CSV UTF-8`")
    })
}

/// Reads a sheet, with the separator that is said or the one that fits best.
pub fn read(text: &str, separator: Option<char>) -> Result<Sheet, String> {
    let text = text.trim_start_matches('\u{feff}');
    if text.trim_start().starts_with("+++") {
        return Err(
            "begins as an entry does, so it is a draft and no sheet; give it a name that ends in `.md`".to_string()
        );
    }
    let separator = separator.unwrap_or_else(|| likeliest(text));
    let records = records(text, separator)?;
    arranged(Form::Text(separator), records)
}

/// Takes the sheet of a workbook; its rows are written as CSV where somebody wants them.
pub fn of_workbook(worksheet: &Worksheet) -> Result<Sheet, String> {
    let rows = worksheet.grid.rows().map(|(number, cells)| Row {
        number: number + 1,
        cells: cells.iter().map(|cell| shown(cell).trim().to_string()).collect(),
        text: line(cells),
        is_unclosed: false,
    });
    arranged(Form::Workbook(worksheet.name.clone()), rows.collect())
}

/// A cell of `garments.csv` that went through a spreadsheet still has the mark that kept it from being run.
fn shown(cell: &str) -> &str {
    let bare = sheet::unprotect(cell);
    if sheet::protect(bare) == cell { bare } else { cell }
}

/// Cells as a line of CSV, none of which a spreadsheet runs.
fn line(cells: &[String]) -> String {
    let mut writer = WriterBuilder::new().from_writer(Vec::new());
    let written = writer.write_record(cells.iter().map(|cell| sheet::protect(shown(cell)).into_owned()));
    let bytes = written.ok().and_then(|()| writer.into_inner().ok()).unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default().trim_end_matches('\n').to_string()
}

fn arranged(form: Form, rows: Vec<Row>) -> Result<Sheet, String> {
    let mut records = rows.into_iter();
    let Some(first) = records.next().filter(|row| row.cells.iter().any(|cell| !cell.is_empty())) else {
        return Err("is empty; its first row names the columns".to_string());
    };
    let rows = records.filter(|row| row.cells.iter().any(|cell| !cell.is_empty()));
    Ok(Sheet { form, rows: rows.collect(), headings: first.cells, heading_text: first.text })
}

impl Sheet {
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

/// The separator by which most of the first rows have as many cells as the headings.
fn likeliest(text: &str) -> char {
    let fit = |separator: char| {
        let mut reader = reader(text, separator);
        let counts: Vec<usize> =
            reader.records().take(SAMPLE + 1).filter_map(Result::ok).map(|record| record.len()).collect();
        let columns = counts.first().copied().unwrap_or(0);
        let alike = counts.iter().filter(|count| **count == columns).count();
        if columns < 2 { (0, 0) } else { (alike, columns) }
    };
    let fits = SEPARATORS.map(|separator| (fit(separator), separator));
    // The later of two equals would win, so the likeliest stands last.
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
    #![allow(clippy::unwrap_used)]

    use super::{Form, decode, read};

    #[test]
    fn the_separator_is_found_by_what_the_rows_have_in_common() {
        for (text, separator) in [
            ("a,b\n1,2\n", ','),
            ("a;b\n8,25;2\n9,5;3\n", ';'),
            ("a\tb\n1,5\t2;3\n", '\t'),
            ("notes, remarks;hem;loops\nx;y;5\nx;y;5\n", ';'),
            ("\u{feff}alone\n1\n", ','),
        ] {
            assert_eq!(read(text, None).unwrap().form, Form::Text(separator), "{text}");
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
    fn other_encodings_are_named() {
        assert!(decode(vec![0xff, 0xfe, b'a', 0]).unwrap_err().contains("UTF-16"));
        assert!(decode(b"a,b\nM\xe4rz,2\n".to_vec()).unwrap_err().contains("line 2"));
        assert!(read("", None).unwrap_err().contains("is empty"));
        assert!(read("+++\n", None).unwrap_err().contains("ends in `.md`"));
    }
}

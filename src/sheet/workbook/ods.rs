//! OpenDocument (ISO/IEC 26300) to sheets: what a cell holds, as exact as what it shows.
//!
//! A cell has its value and the words it shows. Of a date the words say which parts are shown, of a number its unit.

use crate::date::Day;
use crate::sheet::workbook::grid::{Place, Room};
use crate::sheet::workbook::package::Package;
use crate::sheet::workbook::value::{self, Precision};
use crate::sheet::workbook::xml::{Piece, Pieces, Tag};
use crate::sheet::workbook::{NO_RESULT, Worksheet};
use crate::vocabulary::Unit;

/// The most spaces that one mark may represent.
const MOST_SPACES: usize = 1_000;

/// Reads the sheets whose names are wanted; the others keep their names alone.
pub fn read(
    package: &mut Package<'_>,
    room: &mut Room,
    wanted: &dyn Fn(&str) -> bool,
) -> Result<Vec<Worksheet>, String> {
    if package.has("META-INF/manifest.xml") && package.part("META-INF/manifest.xml")?.contains("encryption-data") {
        return Err("has a password; save it without one".to_string());
    }
    let content = package.part("content.xml")?;
    let mut reader = Sheets::default();
    for piece in Pieces::of(&content) {
        reader.take(piece?, room, wanted)?;
    }
    Ok(reader.done)
}

/// A cell as it is read.
#[derive(Default)]
struct Cell {
    tag: Tag,
    words: String,
    paragraphs: usize,
    columns: usize,
}

/// The cells read so far.
#[derive(Default)]
struct Sheets {
    done: Vec<Worksheet>,
    is_wanted: bool,
    place: Place,
    /// How often the row is there, and the cells of its first time.
    rows: usize,
    row: Vec<(Placed, String)>,
    cell: Option<Cell>,
    /// How deep in notes, drawings and tables within cells the reader is.
    aside: usize,
}

/// Where a cell is, and over how many columns and rows it goes.
#[derive(Clone, Copy)]
struct Placed {
    column: usize,
    columns: usize,
    spanned: usize,
}

impl Sheets {
    fn take(&mut self, piece: Piece, room: &mut Room, wanted: &dyn Fn(&str) -> bool) -> Result<(), String> {
        match piece {
            Piece::Open(tag) if self.aside > 0 || is_aside(&tag, self.cell.is_some()) => {
                self.aside += usize::from(is_aside(&tag, true))
            }
            Piece::Open(tag) => self.open(tag, wanted),
            Piece::Text(text) => {
                if let Some(cell) = self.cell.as_mut().filter(|cell| self.aside == 0 && cell.paragraphs > 0) {
                    cell.words.push_str(&text);
                }
            }
            Piece::Close(name) if self.aside > 0 => self.aside -= usize::from(ASIDE.contains(&name.as_str())),
            Piece::Close(name) => return self.close(&name, room),
        }
        Ok(())
    }

    fn open(&mut self, tag: Tag, wanted: &dyn Fn(&str) -> bool) {
        match tag.name.as_str() {
            "table" => {
                let name = tag.get("name").unwrap_or_default().to_string();
                // A table without a name holds what a link to another file brought.
                self.is_wanted = !name.is_empty() && wanted(&name);
                self.done.push(Worksheet { name, ..Worksheet::default() });
                self.place = Place::default();
            }
            "table-row" => {
                self.rows = tag.number("number-rows-repeated").unwrap_or(1);
                self.place.column = 0;
            }
            "table-cell" | "covered-table-cell" => {
                let columns = tag.number("number-columns-repeated").unwrap_or(1);
                self.cell = Some(Cell { tag, columns, ..Cell::default() });
            }
            name => {
                let Some(cell) = &mut self.cell else { return };
                match name {
                    "p" => {
                        cell.words.push_str(if cell.paragraphs > 0 { "\n" } else { "" });
                        cell.paragraphs += 1;
                    }
                    "s" => cell.words.push_str(&" ".repeat(tag.number("c").unwrap_or(1).min(MOST_SPACES))),
                    "tab" => cell.words.push('\t'),
                    "line-break" => cell.words.push('\n'),
                    _ => {}
                }
            }
        }
    }

    fn close(&mut self, name: &str, room: &mut Room) -> Result<(), String> {
        match name {
            "table-cell" | "covered-table-cell" => {
                let Some(cell) = self.cell.take() else { return Ok(()) };
                let spanned = cell.tag.number("number-rows-spanned").unwrap_or(1);
                let placed = Placed { column: self.place.column, columns: cell.columns, spanned };
                let text = said(&cell);
                if !text.is_empty() && self.is_wanted {
                    self.row.push((placed, text));
                }
                self.place.column = self.place.column.saturating_add(cell.columns);
            }
            "table-row" => {
                let row = std::mem::take(&mut self.row);
                // An empty row is repeated to the end of the sheet.
                if !row.is_empty() {
                    for at in 0..self.rows {
                        self.put(self.place.row.saturating_add(at), &row, room)?;
                    }
                }
                self.place.row = self.place.row.saturating_add(self.rows);
            }
            _ => {}
        }
        Ok(())
    }

    /// Puts the cells of a row into the sheet, those that are merged over several rows into each of them.
    fn put(&mut self, row: usize, cells: &[(Placed, String)], room: &mut Room) -> Result<(), String> {
        let Some(sheet) = self.done.last_mut() else { return Ok(()) };
        for (placed, text) in cells {
            for column in placed.column..placed.column.saturating_add(placed.columns) {
                for at in 0..placed.spanned.max(1) {
                    sheet.grid.put(Place { row: row.saturating_add(at), column }, text, room)?;
                    sheet.merged += usize::from(at > 0);
                }
            }
        }
        Ok(())
    }
}

/// The elements shown with a cell that are not its content.
const ASIDE: [&str; 4] = ["annotation", "frame", "custom-shape", "shapes"];

fn is_aside(tag: &Tag, is_within: bool) -> bool {
    ASIDE.contains(&tag.name.as_str()) && (is_within || tag.name == "shapes")
}

/// The text of a cell.
fn said(cell: &Cell) -> String {
    let words = cell.words.trim();
    let value = |name: &str| cell.tag.get(name).map(str::trim).filter(|value| !value.is_empty());
    match cell.tag.get("value-type") {
        Some("float" | "percentage" | "currency") => value("value").map_or_else(String::new, |text| {
            text.parse().map_or_else(|_| text.to_string(), |number| shown(number, words))
        }),
        Some("date") => value("date-value").map_or_else(String::new, |text| date(text, words)),
        Some("boolean") => value("boolean-value").unwrap_or_default().to_string(),
        Some("string") => value("string-value").unwrap_or(words).to_string(),
        None if words.is_empty() && cell.tag.get("formula").is_some() => NO_RESULT.to_string(),
        _ => words.to_string(),
    }
}

/// A number with the zeros before it and the unit behind it that are shown.
fn shown(value: f64, words: &str) -> String {
    let plain = value::number(value);
    let is_padded = words.len() > plain.len() && words.bytes().all(|byte| byte.is_ascii_digit());
    if is_padded && words.trim_start_matches('0') == plain.trim_start_matches('0') {
        return words.to_string();
    }
    let unit = words.rfind(|letter: char| letter.is_ascii_digit()).map_or("", |at| words[at + 1..].trim());
    if Unit::named(unit).is_some() { format!("{plain} {unit}") } else { plain }
}

/// A date with those of its parts that are shown.
fn date(text: &str, words: &str) -> String {
    let text = text.split('T').next().unwrap_or_default();
    let mut parts = text.splitn(3, '-').map(|part| part.parse::<i32>().ok());
    let (Some(Some(year)), Some(Some(month)), Some(Some(day))) = (parts.next(), parts.next(), parts.next()) else {
        return text.to_string();
    };
    let found = u8::try_from(month).ok().zip(u8::try_from(day).ok());
    let Some(whole) = found.and_then(|(month, day)| Day::from_ymd(year, month, day)) else { return text.to_string() };
    value::exact(whole, precision(year, words))
}

/// How many parts of a date the words show: a time has colons.
fn precision(year: i32, words: &str) -> Precision {
    let parts: Vec<&str> = words
        .split_whitespace()
        .filter(|word| !word.contains(':'))
        .flat_map(|word| word.split(|letter: char| !letter.is_alphanumeric()))
        .filter(|part| !part.is_empty())
        .collect();
    let is_year =
        |part: &&str| part.parse() == Ok(year) || (part.len() == 2 && part.parse() == Ok(year.rem_euclid(100)));
    match (parts.len(), parts.iter().any(is_year)) {
        (1, true) => Precision::Year,
        (2, true) => Precision::Month,
        (1 | 2, false) => Precision::Yearless,
        _ => Precision::Day,
    }
}

#[cfg(test)]
mod tests {
    use super::{date, shown};

    #[test]
    fn a_date_is_as_exact_as_it_is_shown() {
        for (words, read) in [
            ("12.03.78", "1978-03-12"),
            ("12. März 1978", "1978-03-12"),
            ("03/12/1978 10:30:00", "1978-03-12"),
            ("Mar 78", "1978-03"),
            ("1978-03", "1978-03"),
            ("März 1978", "1978-03"),
            ("1978", "1978"),
            ("12. March", "1978-03-12, shown without its year"),
            ("", "1978-03-12"),
        ] {
            assert_eq!(date("1978-03-12T10:30:00", words), read, "{words}");
        }
        assert_eq!(date("soon", ""), "soon");
    }

    #[test]
    fn a_number_keeps_its_zeros_and_its_unit() {
        for (value, words, read) in [
            (21.5, "21,5 cm", "21.5 cm"),
            (8.25, "8.3", "8.25"),
            (48.0, "0048", "0048"),
            (12.0, "12,00 €", "12"),
            (0.0, "00", "00"),
            (5.0, "", "5"),
        ] {
            assert_eq!(shown(value, words), read, "{words}");
        }
    }
}

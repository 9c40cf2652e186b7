//! Office Open XML (ECMA-376 Part 1, SpreadsheetML) to sheets: shared and inline texts, numbers, dates, merged cells.

use std::collections::BTreeMap;

use crate::sheet::workbook::grid::{Place, Room};
use crate::sheet::workbook::package::Package;
use crate::sheet::workbook::value::{self, Epoch, Form};
use crate::sheet::workbook::xml::{Piece, Pieces, Tag};
use crate::sheet::workbook::{NO_RESULT, Worksheet};

const WORKBOOK: &str = "xl/workbook.xml";

/// The columns of the widest sheet.
const MOST_COLUMNS: usize = 16_384;

/// The rows of the longest sheet.
const MOST_ROWS: usize = 1_048_576;

/// The tables that the cells of all sheets refer to.
struct Shared {
    epoch: Epoch,
    texts: Vec<String>,
    forms: Vec<Form>,
}

/// Reads the sheets whose names are wanted; the others keep their names alone.
pub fn read(
    package: &mut Package<'_>,
    room: &mut Room,
    wanted: &dyn Fn(&str) -> bool,
) -> Result<Vec<Worksheet>, String> {
    let parts = relations(package)?;
    let workbook = package.part(WORKBOOK)?;
    let by_kind = |kind: &str| parts.values().find(|part| part.kind == kind).map(|part| part.path.clone());
    let mut shared = Shared { epoch: Epoch::Year1900, texts: Vec::new(), forms: Vec::new() };
    if let Some(path) = by_kind("sharedStrings").filter(|path| package.has(path)) {
        shared.texts = texts(&package.part(&path)?)?;
    }
    if let Some(path) = by_kind("styles").filter(|path| package.has(path)) {
        shared.forms = forms(&package.part(&path)?)?;
    }
    let mut sheets = Vec::new();
    for piece in Pieces::of(&workbook) {
        let Piece::Open(tag) = piece? else { continue };
        if tag.name == "workbookPr" && tag.get("date1904").is_some_and(|word| word == "1" || word == "true") {
            shared.epoch = Epoch::Year1904;
        }
        let (true, Some(name)) = (tag.name == "sheet", tag.get("name")) else { continue };
        let is_hidden = tag.get("state").is_some_and(|state| state != "visible");
        let mut sheet = Worksheet { name: name.to_string(), is_hidden, ..Worksheet::default() };
        let part = tag.get("id").and_then(|id| parts.get(id));
        if let Some(part) = part.filter(|part| part.kind == "worksheet" && wanted(name)) {
            fill(&mut sheet, &package.part(&part.path)?, &shared, room)?;
        }
        // A sheet that is a chart has no cells.
        if part.is_some_and(|part| part.kind == "worksheet") {
            sheets.push(sheet);
        }
    }
    Ok(sheets)
}

/// The kind of a part of the workbook, and its path.
struct Part {
    kind: String,
    path: String,
}

fn relations(package: &mut Package<'_>) -> Result<BTreeMap<String, Part>, String> {
    let mut parts = BTreeMap::new();
    for piece in Pieces::of(&package.part("xl/_rels/workbook.xml.rels")?) {
        let Piece::Open(tag) = piece? else { continue };
        if let (Some(id), Some(kind), Some(target)) = (tag.get("Id"), tag.get("Type"), tag.get("Target")) {
            let kind = kind.rsplit('/').next().unwrap_or_default().to_string();
            let path = target.strip_prefix('/').map_or_else(|| format!("xl/{target}"), str::to_string);
            parts.insert(id.to_string(), Part { kind, path: path.replace("xl/../", "") });
        }
    }
    Ok(parts)
}

/// The shared texts in their order, each without how it is pronounced.
fn texts(part: &str) -> Result<Vec<String>, String> {
    let (mut texts, mut text, mut is_text, mut is_spoken) = (Vec::new(), String::new(), false, false);
    for piece in Pieces::of(part) {
        match piece? {
            Piece::Open(tag) => match tag.name.as_str() {
                "t" => is_text = true,
                "rPh" => is_spoken = true,
                _ => {}
            },
            Piece::Text(more) if is_text && !is_spoken => text.push_str(&more),
            Piece::Text(_) => {}
            Piece::Close(name) => match name.as_str() {
                "t" => is_text = false,
                "rPh" => is_spoken = false,
                "si" => texts.push(unescaped(&std::mem::take(&mut text))),
                _ => {}
            },
        }
    }
    Ok(texts)
}

/// Reads `_x000D_` and the like back (ECMA-376 Part 1, 22.9.2.19).
fn unescaped(text: &str) -> String {
    let (mut read, mut rest) = (String::with_capacity(text.len()), text);
    while let Some(at) = rest.find("_x") {
        let code = rest.get(at + 2..at + 7).and_then(|code| code.strip_suffix('_'));
        let character = code.and_then(|code| char::from_u32(u32::from_str_radix(code, 16).ok()?));
        let length = if character.is_some() { 7 } else { 2 };
        read.push_str(&rest[..at]);
        match character {
            Some(character) => read.push(character),
            None => read.push_str("_x"),
        }
        rest = &rest[at + length..];
    }
    read + rest
}

/// The codes of the formats that are not written into a workbook (ECMA-376 Part 1, 18.8.30).
const BUILT_IN: [(usize, &str); 14] = [
    (14, "mm-dd-yy"),
    (15, "d-mmm-yy"),
    (16, "d-mmm"),
    (17, "mmm-yy"),
    (18, "h:mm AM/PM"),
    (19, "h:mm:ss AM/PM"),
    (20, "h:mm"),
    (21, "h:mm:ss"),
    (22, "m/d/yy h:mm"),
    (45, "mm:ss"),
    (46, "[h]:mm:ss"),
    (47, "mmss.0"),
    // Dates of eastern Asia, which differ by language; some show no day, which the number alone does not tell.
    (30, "m/d/yy"),
    (36, "yyyy-m-d"),
];

/// How the cells of each style are shown.
fn forms(part: &str) -> Result<Vec<Form>, String> {
    let mut codes: BTreeMap<usize, Form> = BUILT_IN.iter().map(|(number, code)| (*number, value::form(code))).collect();
    let (mut forms, mut is_cells) = (Vec::new(), false);
    for piece in Pieces::of(part) {
        match piece? {
            Piece::Open(tag) if tag.name == "numFmt" => {
                if let (Some(number), Some(code)) = (tag.number("numFmtId"), tag.get("formatCode")) {
                    codes.insert(number, value::form(code));
                }
            }
            Piece::Open(tag) if tag.name == "cellXfs" => is_cells = true,
            Piece::Open(tag) if tag.name == "xf" && is_cells => {
                let number = tag.number("numFmtId").unwrap_or(0);
                forms.push(codes.get(&number).cloned().unwrap_or_default());
            }
            Piece::Close(name) if name == "cellXfs" => is_cells = false,
            _ => {}
        }
    }
    Ok(forms)
}

/// A cell as it is read.
#[derive(Default)]
struct Cell {
    place: Option<Place>,
    kind: String,
    style: usize,
    value: String,
    has_formula: bool,
    /// The element whose text is the value.
    within: Option<String>,
    is_spoken: bool,
}

fn fill(sheet: &mut Worksheet, part: &str, shared: &Shared, room: &mut Room) -> Result<(), String> {
    let (mut cell, mut next) = (Cell::default(), Place { row: 0, column: 0 });
    let mut merged = Vec::new();
    for piece in Pieces::of(part) {
        match piece? {
            Piece::Open(tag) => match tag.name.as_str() {
                "row" => {
                    let row = tag.number("r").and_then(|row| row.checked_sub(1)).filter(|row| *row < MOST_ROWS);
                    next = Place { row: row.unwrap_or(next.row), column: 0 };
                }
                "c" => cell = begun(&tag, next),
                "v" | "t" => cell.within = Some(tag.name),
                "rPh" => cell.is_spoken = true,
                "f" => cell.has_formula = true,
                "mergeCell" => merged.extend(tag.get("ref").and_then(range)),
                _ => {}
            },
            Piece::Text(text) if cell.within.is_some() && !cell.is_spoken => cell.value.push_str(&text),
            Piece::Text(_) => {}
            Piece::Close(name) => match name.as_str() {
                "v" | "t" => cell.within = None,
                "rPh" => cell.is_spoken = false,
                "c" => {
                    let cell = std::mem::take(&mut cell);
                    let Some(place) = cell.place else { continue };
                    sheet.grid.put(place, &said(cell, shared)?, room)?;
                    next = Place { row: place.row, column: place.column + 1 };
                }
                "row" => next = Place { row: next.row + 1, column: 0 },
                _ => {}
            },
        }
    }
    merged.iter().try_for_each(|range| spread(sheet, *range, room))
}

fn begun(tag: &Tag, next: Place) -> Cell {
    let place = tag.get("r").and_then(place).unwrap_or(next);
    Cell {
        place: Some(place).filter(|place| place.column < MOST_COLUMNS && place.row < MOST_ROWS),
        kind: tag.get("t").unwrap_or("n").to_string(),
        style: tag.number("s").unwrap_or(0),
        ..Cell::default()
    }
}

/// The text of a cell.
fn said(cell: Cell, shared: &Shared) -> Result<String, String> {
    if cell.value.is_empty() {
        // The result of a formula that was calculated is empty only as a text.
        let is_missing = cell.has_formula && cell.kind != "str";
        return Ok(if is_missing { NO_RESULT.to_string() } else { String::new() });
    }
    let form = shared.forms.get(cell.style).cloned().unwrap_or_default();
    match cell.kind.as_str() {
        "s" => {
            let text = cell.value.trim().parse().ok().and_then(|number: usize| shared.texts.get(number));
            text.cloned().ok_or_else(|| "is damaged: a cell has a text that is not there; save it again".to_string())
        }
        "b" => Ok(if cell.value.trim() == "1" { "true" } else { "false" }.to_string()),
        "n" => Ok(match cell.value.trim().parse::<f64>() {
            Ok(number) => value::shown(number, shared.epoch, &form),
            Err(_) => cell.value,
        }),
        "d" => Ok(cell.value.split('T').next().unwrap_or_default().to_string()),
        // Inline texts, results of formulas that are texts, and errors.
        _ => Ok(unescaped(&cell.value)),
    }
}

/// Cells that are merged, from the first to the last.
#[derive(Clone, Copy)]
struct Range {
    first: Place,
    last: Place,
}

fn range(text: &str) -> Option<Range> {
    let (first, last) = text.split_once(':')?;
    Some(Range { first: place(first)?, last: place(last)? })
}

/// Reads `B12`.
fn place(text: &str) -> Option<Place> {
    let digits = text.find(|letter: char| letter.is_ascii_digit())?;
    let (letters, number) = text.split_at(digits);
    let column = letters.bytes().try_fold(0usize, |column, letter| {
        let letter = letter.to_ascii_uppercase();
        letter.is_ascii_uppercase().then(|| column.saturating_mul(26).saturating_add(usize::from(letter - b'A') + 1))
    })?;
    Some(Place { row: number.parse::<usize>().ok()?.checked_sub(1)?, column: column.checked_sub(1)? })
}

/// Gives the words of a cell that is merged over several rows to each of them.
fn spread(sheet: &mut Worksheet, range: Range, room: &mut Room) -> Result<(), String> {
    let text = sheet.grid.get(range.first).to_string();
    let last = range.last.row.min(MOST_ROWS);
    if text.is_empty() {
        return Ok(());
    }
    for row in range.first.row + 1..=last {
        sheet.grid.put(Place { row, column: range.first.column }, &text, room)?;
        sheet.merged += 1;
    }
    Ok(())
}

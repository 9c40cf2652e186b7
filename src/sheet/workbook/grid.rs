//! The cells of a sheet by row, and how much a workbook may hold.
//!
//! A few bytes of a workbook can stand for millions of cells, so all that is kept is counted before it is kept.

use std::collections::BTreeMap;

/// The most cells of a workbook, empty ones before others counted.
pub const MOST_CELLS: usize = 4_000_000;

/// The most text of all cells, in bytes; a text file may have as much.
pub const MOST_TEXT: usize = 64 << 20;

/// The room left in a workbook.
#[derive(Debug)]
pub struct Room {
    cells: usize,
    text: usize,
}

impl Default for Room {
    fn default() -> Room {
        Room { cells: MOST_CELLS, text: MOST_TEXT }
    }
}

/// A place in a sheet; both count from 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub row: usize,
    pub column: usize,
}

/// The cells of one sheet that have something in them.
#[derive(Clone, Debug, Default)]
pub struct Grid {
    rows: BTreeMap<usize, Vec<String>>,
}

impl Grid {
    /// Puts a text into a cell; a sheet that becomes too large is refused.
    pub fn put(&mut self, place: Place, text: &str, room: &mut Room) -> Result<(), String> {
        if text.is_empty() {
            return Ok(());
        }
        let width = self.rows.get(&place.row).map_or(0, Vec::len);
        let cells = place.column.saturating_add(1).saturating_sub(width);
        room.cells = room.cells.checked_sub(cells).ok_or("has more than 4 million cells; save the sheet as CSV")?;
        room.text = room.text.checked_sub(text.len()).ok_or("has more than 64 MiB of text; save the sheet as CSV")?;
        let row = self.rows.entry(place.row).or_default();
        row.resize(row.len().max(place.column + 1), String::new());
        row[place.column] = text.to_string();
        Ok(())
    }

    /// The text of a cell; empty where nothing is.
    pub fn get(&self, place: Place) -> &str {
        self.rows.get(&place.row).and_then(|row| row.get(place.column)).map_or("", String::as_str)
    }

    /// Says whether no cell has anything in it.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The rows that have something in them, each with its number from 0.
    pub fn rows(&self) -> impl Iterator<Item = (usize, &[String])> {
        self.rows.iter().map(|(number, cells)| (*number, cells.as_slice()))
    }
}

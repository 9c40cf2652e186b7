//! The bytes of a workbook (.xlsx, .ods) to the text of its cells: what a spreadsheet shows, as far as it is exact.
//!
//! It reads with `zip` and `quick-xml`, which the program has anyway. A crate for workbooks would turn on another
//! compressor for the whole program, whose bytes differ from machine to machine. It runs no formula, and does not ask
//! what a cell means.

pub mod grid;
pub mod ods;
pub mod package;
pub mod value;
pub mod xlsx;
pub mod xml;

use crate::diagnostic::wording;
use crate::sheet::workbook::grid::{Grid, Room};
use crate::sheet::workbook::package::{Kind, Package};

/// The text of a cell whose formula was never calculated.
pub const NO_RESULT: &str = "#NO-RESULT!";

/// One sheet of a workbook.
#[derive(Clone, Debug, Default)]
pub struct Worksheet {
    pub name: String,
    /// Whether the workbook hides it.
    pub is_hidden: bool,
    /// Its cells.
    pub grid: Grid,
    /// How many cells got the words of a cell that is merged over several rows.
    pub merged: usize,
}

/// Says whether bytes are a workbook that can be read; what is neither a workbook nor text is refused with advice.
pub fn is_one(bytes: &[u8]) -> Result<bool, String> {
    Ok(package::kind(bytes)?.is_some())
}

/// Reads the sheet that is named, or the only one that has anything in it.
pub fn read(bytes: &[u8], wanted: Option<&str>) -> Result<Worksheet, String> {
    let Some(kind) = package::kind(bytes)? else { return Err("is not a workbook".to_string()) };
    let (mut package, mut room) = (Package::open(bytes)?, Room::default());
    let is_wanted = |name: &str| wanted.is_none_or(|wanted| alike(wanted, name));
    let sheets = match kind {
        Kind::Xlsx => xlsx::read(&mut package, &mut room, &is_wanted),
        Kind::Ods => ods::read(&mut package, &mut room, &is_wanted),
    }?;
    chosen(sheets, wanted)
}

fn alike(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

fn chosen(sheets: Vec<Worksheet>, wanted: Option<&str>) -> Result<Worksheet, String> {
    let names: Vec<String> = sheets.iter().map(|sheet| sheet.name.clone()).collect();
    if let Some(wanted) = wanted {
        let exact = sheets.iter().position(|sheet| sheet.name == wanted);
        let found = exact.or_else(|| sheets.iter().position(|sheet| alike(&sheet.name, wanted)));
        let found = found.and_then(|at| sheets.into_iter().nth(at));
        return found.ok_or_else(|| {
            let all = wording::join_quoted(&names, "and");
            format!("has no sheet {}; its sheets are {all}", wording::quote(wanted))
        });
    }
    let mut filled = sheets.into_iter().filter(|sheet| !sheet.is_hidden && !sheet.grid.is_empty());
    match (filled.next(), filled.next()) {
        (Some(only), None) => Ok(only),
        (Some(first), Some(second)) => {
            let names: Vec<String> = [first, second].into_iter().chain(filled).map(|sheet| sheet.name).collect();
            let all = wording::join_quoted(&names, "and");
            Err(format!(
                "has several sheets with content: {all}. Say which with `--sheet NAME`, or with \
                 `sheet = \"NAME\"` in the mapping"
            ))
        }
        _ => Err("has no content in any visible sheet; the first row must name the columns".to_string()),
    }
}

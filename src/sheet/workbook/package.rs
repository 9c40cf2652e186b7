//! Recognizes a file by its first bytes and its parts, and reads the parts of a workbook as text.
//!
//! A part is unpacked only on demand, and only as far as there is room: a small file can unpack to
//! more than any machine can hold.

use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

/// The most that the parts of a workbook that are read may unpack to, in bytes.
pub const MOST_UNPACKED: u64 = 128 << 20;

/// A workbook that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Office Open XML (ECMA-376, ISO/IEC 29500).
    Xlsx,
    /// OpenDocument (ISO/IEC 26300).
    Ods,
}

const AS_XLSX: &str = "save it as `.xlsx`, `.ods` or `CSV UTF-8`";

/// The kind of workbook that bytes are; `None` if they may be text.
///
/// # Errors
///
/// Says so if they are known to be neither.
pub fn kind(bytes: &[u8]) -> Result<Option<Kind>, String> {
    if bytes.starts_with(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1") {
        return Err(format!("is an old workbook (`.xls`) or one with a password; {AS_XLSX}, without a password"));
    }
    if bytes.starts_with(b"%PDF") {
        return Err(format!("is a PDF, which has pages, not cells; open the sheet it was made from, and {AS_XLSX}"));
    }
    let begin =
        String::from_utf8_lossy(&bytes[..bytes.len().min(512)]).trim_start_matches('\u{feff}').trim().to_lowercase();
    if ["<!doctype html", "<html", "<?xml", "<table"].iter().any(|mark| begin.starts_with(mark)) {
        return Err(format!("is a web page or XML, not a sheet; open it in a spreadsheet program, and {AS_XLSX}"));
    }
    if !bytes.starts_with(b"PK\x03\x04") {
        return Ok(None);
    }
    packed(&mut Package::open(bytes)?).map(Some)
}

fn packed(package: &mut Package<'_>) -> Result<Kind, String> {
    if package.has("xl/workbook.bin") {
        return Err(format!("is a binary workbook (`.xlsb`); {AS_XLSX}"));
    }
    if package.has("xl/vbaProject.bin") {
        return Err(
            "is a workbook with macros, which are programs (`.xlsm`); save it as `.xlsx`, without them".to_string()
        );
    }
    if package.has("xl/workbook.xml") {
        return Ok(Kind::Xlsx);
    }
    if package.has("content.xml") && package.has("mimetype") {
        let kind = package.part("mimetype")?;
        let spreadsheet = "application/vnd.oasis.opendocument.spreadsheet";
        if kind.trim() == spreadsheet || kind.trim() == format!("{spreadsheet}-template") {
            return Ok(Kind::Ods);
        }
    }
    let numbers = ["Index/Document.iwa", "Index.zip"].iter().any(|part| package.has(part));
    Err(match numbers {
        true => "is a document of Numbers; export it from there as Excel (`.xlsx`) or CSV".to_string(),
        false => format!("is an archive or a document, not a workbook; {AS_XLSX}"),
    })
}

/// A workbook whose parts can be asked for.
pub struct Package<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    left: u64,
}

impl<'a> Package<'a> {
    /// Reads the list of parts.
    pub fn open(bytes: &'a [u8]) -> Result<Package<'a>, String> {
        let archive = ZipArchive::new(Cursor::new(bytes));
        let archive = archive.map_err(|_| damaged("its list of parts cannot be read"))?;
        Ok(Package { archive, left: MOST_UNPACKED })
    }

    /// Says whether there is a part of this name.
    pub fn has(&self, name: &str) -> bool {
        self.archive.index_for_name(name).is_some()
    }

    /// The text of a part.
    pub fn part(&mut self, name: &str) -> Result<String, String> {
        let left = self.left;
        let file = self.archive.by_name(name).map_err(|error| match error {
            ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => {
                "has a password; save it without one".to_string()
            }
            _ => damaged(&format!("its part `{name}` cannot be read")),
        })?;
        let mut bytes = Vec::new();
        let read = file.take(left + 1).read_to_end(&mut bytes);
        if bytes.len() as u64 > left {
            return Err(format!(
                "unpacks to more than {} MiB, which no sheet of garments needs, so it was not read; save the sheet as CSV",
                MOST_UNPACKED >> 20
            ));
        }
        read.map_err(|_| damaged(&format!("its part `{name}` cannot be unpacked")))?;
        self.left -= bytes.len() as u64;
        let text = String::from_utf8(bytes).map_err(|_| damaged(&format!("its part `{name}` is not UTF-8")))?;
        Ok(text.trim_start_matches('\u{feff}').to_string())
    }
}

fn damaged(what: &str) -> String {
    format!("is damaged: {what}; open it in a spreadsheet program and save it again")
}

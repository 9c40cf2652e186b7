//! A text of parts to the archive that a workbook is: changed as text, an archive would hardly ever be read.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// What begins the line that names a part.
const HEAD: &[u8] = b"--- ";

/// Packs the parts, each under the line that names it; one whose name is impossible, or already there, is left out.
pub fn packed(text: &[u8]) -> Vec<u8> {
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let mut is_within = false;
    for line in text.split_inclusive(|byte| *byte == b'\n') {
        if let Some(name) = line.strip_prefix(HEAD) {
            is_within = archive.start_file(String::from_utf8_lossy(name).trim_end(), stored).is_ok();
        } else if is_within {
            archive.write_all(line).expect("memory can be written");
        }
    }
    archive.finish().expect("memory can be written").into_inner()
}

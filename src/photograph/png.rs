//! Reads the chunks of a PNG for its header, and checks that its end is there (PNG, third edition, section 5).
//!
//! It interprets only the transparent colour and checks no sums: the decoder does.

use std::io::{self, BufRead, Read, Seek, SeekFrom};

/// The signature.
pub const BEGIN: [u8; 8] = *b"\x89PNG\r\n\x1a\n";

/// Reads everything up to the first pixels; says whether all chunks follow, to the last.
pub fn head(reader: &mut (impl BufRead + Seek)) -> io::Result<(Vec<u8>, bool)> {
    let length = reader.seek(SeekFrom::End(0))?;
    reader.seek(SeekFrom::Start(BEGIN.len() as u64))?;
    let (mut head, mut pixels) = (BEGIN.to_vec(), false);
    let mut at = BEGIN.len() as u64;
    while let Some((size, name)) = chunk(reader)? {
        let next = at + 12 + u64::from(size);
        if next > length {
            return Ok((head, false));
        }
        if &name == b"IEND" {
            return Ok((head, pixels));
        }
        if !pixels {
            head.extend(size.to_be_bytes());
            head.extend(name);
            pixels = &name == b"IDAT";
        }
        // The sum belongs to the chunk.
        if pixels {
            // From here on: many small chunks are passed over within what the reader has read already.
            reader.seek_relative(i64::from(size) + 4)?;
        } else {
            reader.take(u64::from(size) + 4).read_to_end(&mut head)?;
        }
        at = next;
    }
    Ok((head, false))
}

/// Says whether a header names a colour, or colours of its palette, as transparent.
pub fn has_transparent_color(head: &[u8]) -> bool {
    let mut rest = head.get(BEGIN.len()..).unwrap_or_default();
    while let Some((size, name)) = rest.first_chunk().map(named) {
        if &name == b"tRNS" {
            return true;
        }
        rest = rest.get(size as usize + 12..).unwrap_or_default();
    }
    false
}

fn chunk(reader: &mut impl BufRead) -> io::Result<Option<(u32, [u8; 4])>> {
    let mut begin = Vec::new();
    reader.take(8).read_to_end(&mut begin)?;
    Ok(begin.first_chunk().map(named))
}

fn named(begin: &[u8; 8]) -> (u32, [u8; 4]) {
    let [a, b, c, d, name @ ..] = *begin;
    (u32::from_be_bytes([a, b, c, d]), name)
}

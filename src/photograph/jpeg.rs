//! Reads the segments of a JPEG stream for its header, and checks that its end is there (ITU-T T.81, annex B).
//!
//! It interprets no segment and decodes nothing.

use std::io::{self, BufRead, Read, Seek, SeekFrom};

/// The mark of the beginning, SOI.
pub const BEGIN: [u8; 2] = [0xFF, 0xD8];
/// End of image, EOI.
const END: u8 = 0xD9;
/// Start of scan, SOS.
const SCAN: u8 = 0xDA;

/// Reads everything up to the first scan; says whether there is one.
pub fn head(reader: &mut (impl BufRead + Seek)) -> io::Result<(Vec<u8>, bool)> {
    let mut head = BEGIN.to_vec();
    reader.seek(SeekFrom::Start(2))?;
    while let Some(marker) = next_marker(reader)? {
        match marker {
            END => break,
            _ if stands_alone(marker) => continue,
            _ => head.extend([0xFF, marker]),
        }
        if !segment(reader, &mut head)? {
            break;
        }
        if marker == SCAN {
            return Ok((head, true));
        }
    }
    Ok((head, false))
}

/// Says whether the last two bytes of the file are the mark of the end; leaves the reader where it is.
pub fn ends(reader: &mut (impl BufRead + Seek)) -> io::Result<bool> {
    let here = reader.stream_position()?;
    reader.seek(SeekFrom::End(-2))?;
    let mut last = [0; 2];
    reader.read_exact(&mut last)?;
    reader.seek(SeekFrom::Start(here))?;
    Ok(last == [0xFF, END])
}

/// Says whether the mark of the end follows, from within the first scan on; what lies behind it does not matter.
pub fn goes_on_to_end(reader: &mut impl BufRead) -> io::Result<bool> {
    // Within coded data, FF is followed by 00 or a restart mark, so a search for other marks passes over it.
    while let Some(marker) = next_marker(reader)? {
        if marker == END {
            return Ok(true);
        }
        if !stands_alone(marker) && !segment(reader, &mut Vec::new())? {
            return Ok(false);
        }
    }
    Ok(false)
}

/// Passes over everything up to the next FF that is followed by neither 00 nor another FF.
fn next_marker(reader: &mut impl BufRead) -> io::Result<Option<u8>> {
    loop {
        if reader.skip_until(0xFF)? == 0 {
            return Ok(None);
        }
        let mut next = [0xFF];
        while next[0] == 0xFF {
            if reader.read(&mut next)? == 0 {
                return Ok(None);
            }
        }
        if next[0] != 0 {
            return Ok(Some(next[0]));
        }
    }
}

/// RST0 to RST7 and TEM have no length.
fn stands_alone(marker: u8) -> bool {
    matches!(marker, 0x01 | 0xD0..=0xD7)
}

/// Adds a segment with its length; says whether it is all there.
fn segment(reader: &mut impl BufRead, head: &mut Vec<u8>) -> io::Result<bool> {
    let mut length = [0; 2];
    if reader.read(&mut length[..1])? == 0 || reader.read(&mut length[1..])? == 0 {
        return Ok(false);
    }
    let rest = u64::from(u16::from_be_bytes(length)).saturating_sub(2);
    head.extend(length);
    Ok(reader.take(rest).read_to_end(head)? as u64 == rest)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Cursor;

    use super::{goes_on_to_end, head};

    #[test]
    fn the_end_is_that_of_the_picture_and_not_of_one_within_a_segment() {
        // SOI, a comment that holds an EOI, SOS, coded data with a stuffed FF and a restart, EOI, then what a telephone adds.
        let comment = [0xFF, 0xFE, 0, 4, 0xFF, 0xD9];
        let scan = [0xFF, 0xDA, 0, 3, 7, 1, 2, 0xFF, 0, 0xFF, 0xD0, 3];
        let whole = [&[0xFF, 0xD8][..], &comment, &scan, &[0xFF, 0xD9], b"more"].concat();
        for (length, expected) in [(whole.len(), true), (20, false), (13, false), (10, false), (7, false), (2, false)] {
            let mut reader = Cursor::new(&whole[..length]);
            let begun = head(&mut reader).unwrap().1;
            assert_eq!(begun && goes_on_to_end(&mut reader).unwrap(), expected, "{length} bytes");
        }
    }
}

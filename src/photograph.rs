//! Reads a photograph's header, and makes smaller pictures that hold only pixels.
//!
//! Works on bytes and streams: it opens no file, and does not know which entry names a photograph.

use std::io::{self, BufRead, Cursor, Seek, SeekFrom};
use std::panic;

use image::metadata::Orientation;
use image::{ColorType, ImageDecoder, ImageFormat, ImageReader, Limits};

mod jpeg;
pub mod making;
mod png;
mod smaller;

/// The largest photograph that is published, in bytes.
pub const MOST_BYTES: u64 = 32 << 20;
/// The most pixels that a photograph may have.
pub const MOST_PIXELS: u64 = 100_000_000;
/// The longest side, in pixels: what a JPEG can have (ITU-T T.81, table B.2).
pub const LONGEST_SIDE: u32 = 65_535;
/// The widths of the pictures that are published; none is wider than its photograph.
const WIDTHS: [u32; 3] = [480, 960, 1600];
/// The most memory that a decoder may use besides the pixels, such as for a compressed colour
/// profile.
const MOST_BESIDE: u64 = 32 << 20;
/// The most bytes of a pixel: four channels of 16 bits.
const MOST_A_PIXEL: u64 = 8;

/// The format of a photograph.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// ITU-T T.81, in whatever wrapping.
    Jpeg,
    /// Portable Network Graphics.
    Png,
}

/// The content of a photograph's header.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Facts {
    /// Its format.
    pub kind: Kind,
    /// Width in pixels as stored.
    pub width: u32,
    /// Height in pixels as stored.
    pub height: u32,
    /// How it must be turned to be upright.
    pub orientation: Orientation,
    /// Whether it can have transparent pixels.
    pub transparent: bool,
}

/// Width and height in pixels, upright.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

/// Why a file is no usable photograph.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flaw {
    /// No JPEG or PNG, or one whose header makes no sense.
    NotAPicture,
    /// It ends before its own end mark.
    CutShort,
}

impl Facts {
    /// The facts of an upright photograph of a size, for examples written as text.
    pub fn upright(width: u32, height: u32) -> Facts {
        Facts { kind: Kind::Jpeg, width, height, orientation: Orientation::NoTransforms, transparent: false }
    }

    /// Counts the pixels.
    pub fn pixels(&self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// The most memory that a decoder may ask for: what the pixels need, and some.
    fn memory(&self) -> u64 {
        self.pixels() * MOST_A_PIXEL + MOST_BESIDE
    }

    /// Says in words which limit the photograph passes.
    pub fn excess(&self) -> Option<&'static str> {
        if self.pixels() > MOST_PIXELS {
            Some("expected at most 100 megapixels")
        } else if self.width.max(self.height) > LONGEST_SIDE {
            Some("expected at most 65,535 pixels a side")
        } else {
            None
        }
    }

    /// The ending of its pictures: PNG only if something may be transparent.
    pub fn ending(&self) -> &'static str {
        if self.transparent { "png" } else { "jpg" }
    }

    /// The sizes of the pictures that are made of it, the smallest first.
    pub fn sizes(&self) -> Vec<Size> {
        let (width, height) = if self.lies() { (self.height, self.width) } else { (self.width, self.height) };
        let mut widths = WIDTHS.map(|most| most.min(width)).to_vec();
        widths.dedup();
        widths
            .into_iter()
            .map(|smaller| Size { width: smaller, height: in_proportion(height, smaller, width) })
            .collect()
    }

    /// Says whether width and height change places when it is turned upright.
    fn lies(&self) -> bool {
        use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
        matches!(self.orientation, Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH)
    }
}

fn in_proportion(height: u32, smaller: u32, width: u32) -> u32 {
    let (height, smaller, width) = (u64::from(height), u64::from(smaller), u64::from(width));
    let rounded = (height * smaller + width / 2) / width;
    u32::try_from(rounded).unwrap_or(u32::MAX).max(1)
}

/// Reads the facts from the header, and looks whether the end is there; decodes nothing.
///
/// A JPEG is read beyond its header only if its end is missing. An error is the reader's.
pub fn look(reader: &mut (impl BufRead + Seek)) -> io::Result<Result<Facts, Flaw>> {
    match begin(reader)? {
        Some(Kind::Jpeg) => {
            let (head, whole) = jpeg::head(reader)?;
            Ok(settled(Kind::Jpeg, head, whole && (jpeg::ends(reader)? || jpeg::goes_on_to_end(reader)?)))
        }
        Some(Kind::Png) => {
            let (head, whole) = png::head(reader)?;
            Ok(settled(Kind::Png, head, whole))
        }
        None => Ok(Err(Flaw::NotAPicture)),
    }
}

/// Says whether a photograph in memory is complete, from its first mark to its last.
fn is_whole(bytes: &[u8], kind: Kind) -> io::Result<bool> {
    let mut reader = Cursor::new(bytes);
    match kind {
        Kind::Jpeg => Ok(jpeg::head(&mut reader)?.1 && jpeg::goes_on_to_end(&mut reader)?),
        Kind::Png => Ok(png::head(&mut reader)?.1),
    }
}

/// Tells the kind by the first bytes, and goes back to them.
fn begin(reader: &mut (impl BufRead + Seek)) -> io::Result<Option<Kind>> {
    let mut first = Vec::new();
    io::Read::read_to_end(&mut io::Read::take(&mut *reader, 8), &mut first)?;
    reader.seek(SeekFrom::Start(0))?;
    Ok(if first.starts_with(&jpeg::BEGIN) { Some(Kind::Jpeg) } else { (first == png::BEGIN).then_some(Kind::Png) })
}

/// A file cut short within its header is reported as cut short.
fn settled(kind: Kind, head: Vec<u8>, whole: bool) -> Result<Facts, Flaw> {
    // The decoders are others' code at work on strangers' bytes: one that gives up must not end the program.
    let facts = panic::catch_unwind(|| facts(kind, &head)).ok().flatten();
    if whole { facts.ok_or(Flaw::NotAPicture) } else { Err(Flaw::CutShort) }
}

fn facts(kind: Kind, head: &[u8]) -> Option<Facts> {
    // The decoder decides which of several segments counts, so it is asked.
    let mut decoder = reader(kind, head, MOST_BESIDE).into_decoder().ok()?;
    let (width, height) = decoder.dimensions();
    let transparent = kind == Kind::Png && has_transparency(decoder.color_type(), head);
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    (width > 0 && height > 0).then_some(Facts { kind, width, height, orientation, transparent })
}

fn has_transparency(color: ColorType, head: &[u8]) -> bool {
    color.has_alpha() || png::has_transparent_color(head)
}

fn reader(kind: Kind, bytes: &[u8], memory: u64) -> ImageReader<Cursor<&[u8]>> {
    let format = match kind {
        Kind::Jpeg => ImageFormat::Jpeg,
        Kind::Png => ImageFormat::Png,
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(memory);
    reader.limits(limits);
    reader
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Cursor;

    use image::codecs::png::PngEncoder;
    use image::{ExtendedColorType, ImageDecoder, ImageEncoder};

    use super::{Facts, Kind, MOST_BESIDE, Size};

    fn widths(width: u32, height: u32) -> Vec<(u32, u32)> {
        Facts::upright(width, height).sizes().into_iter().map(|Size { width, height }| (width, height)).collect()
    }

    #[test]
    fn three_widths_and_none_wider_than_the_photograph() {
        assert_eq!(widths(4000, 3000), [(480, 360), (960, 720), (1600, 1200)]);
        assert_eq!(widths(1200, 800), [(480, 320), (960, 640), (1200, 800)]);
        assert_eq!(widths(480, 1), [(480, 1)]);
        assert_eq!(widths(1, 65_535), [(1, 65_535)]);
        assert_eq!(widths(65_535, 1), [(480, 1), (960, 1), (1600, 1)], "no side is 0");
    }

    #[test]
    fn limits_are_told_by_name() {
        assert_eq!(Facts::upright(10_000, 10_000).excess(), None);
        assert_eq!(Facts::upright(10_001, 10_000).excess(), Some("expected at most 100 megapixels"));
        assert_eq!(Facts::upright(65_536, 1).excess(), Some("expected at most 65,535 pixels a side"));
    }

    #[test]
    fn a_few_bytes_that_unpack_to_a_huge_colour_profile_take_no_memory_and_spoil_nothing() {
        for (size, is_unpacked) in [(1 << 20, true), (MOST_BESIDE as usize + 1, false)] {
            let mut png = Vec::new();
            let mut encoder = PngEncoder::new(&mut png);
            encoder.set_icc_profile(vec![0; size]).unwrap();
            encoder.write_image(&[9; 12], 2, 2, ExtendedColorType::Rgb8).unwrap();
            let facts = super::look(&mut Cursor::new(&png)).unwrap().unwrap();
            let profile = |memory: u64| {
                super::reader(Kind::Png, &png, memory).into_decoder().unwrap().icc_profile().unwrap().is_some()
            };
            assert_eq!(profile(MOST_BESIDE), is_unpacked, "{size} in {}", png.len());
            assert_eq!((facts.memory(), profile(1 << 30)), (MOST_BESIDE + 32, true), "{size}");
            assert_eq!(super::making::pictures(&png, &facts).unwrap().len(), 1);
        }
    }
}

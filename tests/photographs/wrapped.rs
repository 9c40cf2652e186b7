//! Pictures wrapped in all that cameras and programs add: a JPEG and a PNG with place, owner, thumbnail and more.
//!
//! Written by hand from the standards, so that what is looked for is known to be there.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat, RgbImage};

/// What no output may hold, in any of the places below.
pub const SECRET: &str = "SECRET-of-the-owner";

/// A picture as plain JPEG or PNG.
pub fn plain(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A JPEG with the segments of Exif (with GPS and a thumbnail), XMP, IPTC, ICC and a comment, and bytes after its end.
pub fn jpeg(image: &DynamicImage, orientation: u16) -> Vec<u8> {
    let plain = plain(image, ImageFormat::Jpeg);
    let segments = [
        segment(0xE1, &[b"Exif\0\0", exif(orientation).as_slice()].concat()),
        segment(0xE1, format!("http://ns.adobe.com/xap/1.0/\0{}", xmp()).as_bytes()),
        segment(0xE2, &[b"ICC_PROFILE\0\x01\x01", profile().as_slice()].concat()),
        segment(0xED, &[b"Photoshop 3.0\08BIM\x04\x04\0\0\0\0\0\x18\x1c\x02\x50\0\x13", SECRET.as_bytes()].concat()),
        segment(0xFE, SECRET.as_bytes()),
    ];
    // ITU-T T.81, B.2.1: SOI is the first two bytes, and segments may follow it in any number.
    [&plain[..2], &segments.concat(), &plain[2..], SECRET.as_bytes()].concat()
}

/// A PNG with the chunks of Exif, XMP, a comment plain and compressed, an ICC profile and a time.
pub fn png(image: &DynamicImage, orientation: u16) -> Vec<u8> {
    let plain = plain(image, ImageFormat::Png);
    let international = format!("XML:com.adobe.xmp\0\0\0\0\0{}", xmp());
    let chunks = [
        chunk(b"iCCP", &[b"icc\0\0", stored(&profile()).as_slice()].concat()),
        chunk(b"eXIf", &exif(orientation)),
        chunk(b"tIME", &[7, 0xE7, 1, 2, 3, 4, 5]),
        chunk(b"iTXt", international.as_bytes()),
        chunk(b"tEXt", format!("Comment\0{SECRET}").as_bytes()),
        chunk(b"zTXt", &[b"Author\0\0", stored(SECRET.as_bytes()).as_slice()].concat()),
    ];
    // Signature and IHDR are the first 33 bytes.
    [&plain[..33], &chunks.concat(), &plain[33..], SECRET.as_bytes()].concat()
}

/// A PNG that moves from one picture to another of the same size (PNG, third edition, 11.3.6).
///
/// Where the first picture is no part of the animation, no frame begins before it.
pub fn animation(first: &DynamicImage, second: &DynamicImage, frames: Frames) -> Vec<u8> {
    let [first, second] = [first, second].map(|image| plain(image, ImageFormat::Png));
    let count = if frames == Frames::Both { 2_u32 } else { 1 };
    let frame = |number: u32| {
        let size = &second[16..24];
        chunk(b"fcTL", &[&number.to_be_bytes()[..], size, &[0; 8], &[0, 1, 0, 10, 0, 0]].concat())
    };
    assert_eq!(chunks(&second), ["IHDR", "IDAT", "IEND"]);
    let moved = [&count.to_be_bytes()[..], &second[41..second.len() - 16]].concat();
    let (head, pixels, end) = (&first[..33], &first[33..first.len() - 12], &first[first.len() - 12..]);
    let begin = if frames == Frames::Both { frame(0) } else { Vec::new() };
    let control = chunk(b"acTL", &[count.to_be_bytes(), [0; 4]].concat());
    [head, &control, &begin, pixels, &frame(count - 1), &chunk(b"fdAT", &moved), end].concat()
}

/// Which pictures of an animation move.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Frames {
    /// The first and the second.
    Both,
    /// The second alone.
    Second,
}

/// The marks of a JPEG's segments.
pub fn markers(jpeg: &[u8]) -> Vec<u8> {
    let (mut markers, mut at) = (vec![jpeg[1]], 2);
    while markers.last() != Some(&0xDA) {
        markers.push(jpeg[at + 1]);
        at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
    }
    assert!(jpeg.ends_with(&[0xFF, 0xD9]));
    markers
}

/// The names of a PNG's chunks.
pub fn chunks(png: &[u8]) -> Vec<String> {
    let (mut names, mut at) = (Vec::new(), 8);
    while at < png.len() {
        names.push(String::from_utf8(png[at + 4..at + 8].to_vec()).unwrap());
        at += 12 + u32::from_be_bytes(png[at..at + 4].try_into().unwrap()) as usize;
    }
    names
}

/// A PNG whose header promises a size and whose pixels are missing.
pub fn promising(width: u32, height: u32, bytes: usize) -> Vec<u8> {
    let size = [width.to_be_bytes(), height.to_be_bytes()].concat();
    let header = chunk(b"IHDR", &[&size[..], &[8, 2, 0, 0, 0]].concat());
    [b"\x89PNG\r\n\x1a\n", &header[..], &chunk(b"IDAT", &vec![0; bytes]), &chunk(b"IEND", b"")].concat()
}

/// A JPEG of 8 by 8 pixels in the four inks of print, each 1 (all ink) or 255 (none), as Adobe's programs write it.
pub fn inks(levels: [u8; 4]) -> Vec<u8> {
    let components: Vec<u8> = (1..=4).flat_map(|id| [id, 0x11, 0]).collect();
    let scan: Vec<u8> = (1..=4).flat_map(|id| [id, 0]).collect();
    // T.81, table F.1: differences of category 10; one code of one bit for it, and one for the end of the block.
    let table = |class: u8, value: u8| [&[class, 1][..], &[0; 15], &[value]].concat();
    let bits = levels.iter().fold(0_u64, |bits, level| {
        let mean = (i64::from(*level) - 128) * 8;
        let coded = if mean < 0 { mean + 1023 } else { mean };
        bits << 12 | (coded as u64) << 1
    });
    let segments = [
        segment(0xEE, b"Adobe\0\x64\0\0\0\0\0"),
        segment(0xDB, &[&[0][..], &[1; 64]].concat()),
        segment(0xC0, &[&[8, 0, 8, 0, 8, 4][..], &components].concat()),
        segment(0xC4, &table(0, 10)),
        segment(0xC4, &table(0x10, 0)),
        segment(0xDA, &[&[4][..], &scan, &[0, 63, 0]].concat()),
    ];
    let coded: Vec<u8> =
        bits.to_be_bytes()[2..].iter().flat_map(|byte| if *byte == 255 { vec![255, 0] } else { vec![*byte] }).collect();
    [&[0xFF, 0xD8][..], &segments.concat(), &coded, &[0xFF, 0xD9]].concat()
}

/// Exif as TIFF 6.0 (big-endian): orientation, maker, a GPS directory and a thumbnail.
fn exif(orientation: u16) -> Vec<u8> {
    let thumbnail = plain(&DynamicImage::from(RgbImage::new(8, 8)), ImageFormat::Jpeg);
    let thumbnail = [&thumbnail[..2], &segment(0xFE, SECRET.as_bytes()), &thumbnail[2..]].concat();
    let entry = |tag: u16, kind: u16, count: usize, value: [u8; 4]| {
        [&tag.to_be_bytes()[..], &kind.to_be_bytes(), &(count as u32).to_be_bytes(), &value].concat()
    };
    let at = |place: usize| (place as u32).to_be_bytes();
    let [high, low] = orientation.to_be_bytes();
    // Directories at 8, 50 and 68, then what they point at.
    let (owner, place) = (98, 98 + SECRET.len() + 1);
    let picture = place + 24;
    [
        &b"MM\0\x2a\0\0\0\x08"[..],
        &[0, 3],
        &entry(0x010F, 2, SECRET.len() + 1, at(owner)),
        &entry(0x0112, 3, 1, [high, low, 0, 0]),
        &entry(0x8825, 4, 1, at(50)),
        &at(68),
        &[0, 1],
        &entry(0x0002, 5, 3, at(place)),
        &at(0),
        &[0, 2],
        &entry(0x0201, 4, 1, at(picture)),
        &entry(0x0202, 4, 1, at(thumbnail.len())),
        &at(0),
        SECRET.as_bytes(),
        &[0],
        &[51, 1, 28, 1, 4000, 100].map(u32::to_be_bytes).concat(),
        &thumbnail,
    ]
    .concat()
}

fn xmp() -> String {
    format!("<x:xmpmeta xmlns:x='adobe:ns:meta/'>{SECRET}</x:xmpmeta>")
}

/// No profile that a printer would take, but as long as one says.
fn profile() -> Vec<u8> {
    let mut profile = vec![0; 128];
    profile[36..40].copy_from_slice(b"acsp");
    profile.extend(SECRET.as_bytes());
    let length = (profile.len() as u32).to_be_bytes();
    profile[..4].copy_from_slice(&length);
    profile
}

fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
    [&[0xFF, marker][..], &(content.len() as u16 + 2).to_be_bytes(), content].concat()
}

fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let named = [name, content].concat();
    [&(content.len() as u32).to_be_bytes()[..], &named, &sum(&named).to_be_bytes()].concat()
}

/// The cyclic sum of a chunk (PNG, third edition, annex D; ISO 3309).
fn sum(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { 0xEDB8_8320 ^ (sum >> 1) } else { sum >> 1 })
    })
}

/// Bytes as a zlib stream of one block that is not compressed (RFC 1950 and RFC 1951, 3.2.4).
fn stored(bytes: &[u8]) -> Vec<u8> {
    let length = bytes.len() as u16;
    let (low, high) = bytes.iter().fold((1_u32, 0_u32), |(low, high), byte| {
        let low = (low + u32::from(*byte)) % 65_521;
        (low, (high + low) % 65_521)
    });
    let head = [0x78, 0x01, 1];
    [&head[..], &length.to_le_bytes(), &(!length).to_le_bytes(), bytes, &(high << 16 | low).to_be_bytes()].concat()
}

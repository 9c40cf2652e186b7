//! Photographs: nothing but pixels comes out, upright and in three widths; what is broken is named and stops nothing.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "photographs/drawn.rs"]
mod drawn;
#[path = "photographs/published.rs"]
mod published;
#[path = "photographs/rows.rs"]
mod rows;
#[path = "photographs/wrapped.rs"]
mod wrapped;

use std::io::Cursor;

use crate::support::numbers::Numbers;
use bartack::photograph::making::{self, Unmade};
use bartack::photograph::{self, Facts, Flaw, Kind};
use image::{DynamicImage, GenericImageView, ImageFormat, Rgb, RgbImage, Rgba, RgbaImage};

fn look(bytes: &[u8]) -> Result<Facts, Flaw> {
    photograph::look(&mut Cursor::new(bytes)).unwrap()
}

fn made(bytes: &[u8]) -> Vec<Vec<u8>> {
    making::pictures(bytes, &look(bytes).unwrap()).unwrap()
}

fn decoded(bytes: &[u8]) -> DynamicImage {
    image::load_from_memory(bytes).unwrap()
}

const CORNERS: [[u8; 3]; 4] = [[220, 30, 30], [30, 200, 40], [40, 40, 220], [240, 240, 240]];

/// A picture with a colour in each quarter.
fn quartered(width: u32, height: u32) -> DynamicImage {
    let quarter = |x: u32, y: u32| Rgb(CORNERS[usize::from(x >= width / 2) + 2 * usize::from(y >= height / 2)]);
    DynamicImage::from(RgbImage::from_fn(width, height, quarter))
}

/// The colours in the middle of the quarters, of the four above, and what each is off by at most.
fn quarters(image: &DynamicImage) -> Vec<usize> {
    let (width, height) = image.dimensions();
    let places = [(1, 1), (3, 1), (1, 3), (3, 3)].map(|(x, y)| (width * x / 4, height * y / 4));
    let near =
        |pixel: Rgba<u8>, corner: &[u8; 3]| pixel.0.iter().zip(corner).all(|(one, other)| one.abs_diff(*other) < 12);
    let found = places.map(|(x, y)| CORNERS.iter().position(|corner| near(image.get_pixel(x, y), corner)));
    found.map(|found| found.unwrap_or(9)).to_vec()
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes.windows(text.len()).any(|window| window == text.as_bytes())
}

fn exif(bytes: &[u8]) -> Result<exif::Exif, exif::Error> {
    exif::Reader::new().read_from_container(&mut Cursor::new(bytes))
}

#[test]
fn nothing_but_pixels_comes_out() {
    let image = quartered(1000, 700);
    let see_through = DynamicImage::from(RgbaImage::from_pixel(500, 400, Rgba([9, 9, 9, 100])));
    let inputs = [wrapped::jpeg(&image, 1), wrapped::png(&image, 1), wrapped::png(&see_through, 1)];
    for (number, input) in inputs.iter().enumerate() {
        let read = exif(input).unwrap();
        assert!(read.get_field(exif::Tag::GPSLatitude, exif::In::PRIMARY).is_some(), "{number}: the place is there");
        assert!(read.get_field(exif::Tag::JPEGInterchangeFormat, exif::In::THUMBNAIL).is_some(), "{number}");
        let made = made(input);
        assert_eq!(made.len(), [3, 3, 2][number]);
        for output in made {
            assert!(matches!(exif(&output), Err(exif::Error::NotFound(_))), "{number}");
            for text in [wrapped::SECRET, "Exif", "xmp", "adobe", "Photoshop", "8BIM", "ICC", "acsp", "Comment"] {
                assert!(!holds(&output, text), "{number}: {text}");
            }
            match number {
                // SOI, APP0 with the density alone, tables, frame and scan.
                0 | 1 => assert!(
                    wrapped::markers(&output)
                        .iter()
                        .all(|marker| { matches!(marker, 0xD8 | 0xE0 | 0xDB | 0xC0 | 0xC4 | 0xDA) })
                ),
                _ => assert!(
                    wrapped::chunks(&output).iter().all(|name| matches!(name.as_str(), "IHDR" | "IDAT" | "IEND"))
                ),
            }
        }
    }
}

/// Where the first row and the first column of the stored picture are to be seen: the sides are top 0, right 1,
/// bottom 2, left 3 (JEITA CP-3451 (Exif 2.2), page 18, tag 274; the same in CIPA DC-008).
const SIDES: [(u8, u8); 8] = [(0, 3), (0, 1), (2, 1), (2, 3), (3, 0), (1, 0), (1, 2), (3, 2)];

/// Stores an upright picture so that it needs an orientation to be seen upright.
fn stored(upright: &DynamicImage, (first_row, first_column): (u8, u8)) -> DynamicImage {
    let (width, height) = upright.dimensions();
    let lies = first_row % 2 == 1;
    let (columns, rows) = if lies { (height, width) } else { (width, height) };
    let away = |side: u8, number: u32| match side {
        0 | 3 => number,
        1 => width - 1 - number,
        _ => height - 1 - number,
    };
    DynamicImage::from(RgbImage::from_fn(columns, rows, |column, row| {
        let (row, column) = (away(first_row, row), away(first_column, column));
        let (x, y) = if lies { (row, column) } else { (column, row) };
        Rgb([0, 1, 2].map(|channel| upright.get_pixel(x, y).0[channel]))
    }))
}

#[test]
fn all_eight_orientations_come_out_upright() {
    let upright = quartered(1200, 800);
    for (orientation, sides) in (1_u16..).zip(SIDES) {
        let stored = stored(&upright, sides);
        for input in [wrapped::jpeg(&stored, orientation), wrapped::png(&stored, orientation)] {
            let widths: Vec<_> = look(&input).unwrap().sizes().iter().map(|size| (size.width, size.height)).collect();
            assert_eq!(widths, [(480, 320), (960, 640), (1200, 800)], "{orientation}");
            for (output, size) in made(&input).iter().zip(widths) {
                let output = decoded(output);
                assert_eq!((output.dimensions(), quarters(&output)), (size, vec![0, 1, 2, 3]), "{orientation}");
            }
        }
    }
    // Other values are reserved, and a photograph with one stays as it is.
    for reserved in [0, 9, 77] {
        assert_eq!(quarters(&decoded(&made(&wrapped::jpeg(&upright, reserved))[0])), [0, 1, 2, 3], "{reserved}");
    }
}

#[test]
fn a_picture_cut_short_is_found_and_one_with_more_behind_its_end_is_not() {
    let image = quartered(640, 480);
    for whole in [wrapped::jpeg(&image, 6), wrapped::png(&image, 6)] {
        let facts = look(&whole).unwrap();
        let end = whole.len() - wrapped::SECRET.len();
        for length in [end - 1, end - 20, end / 2, 40, 9] {
            assert_eq!(look(&whole[..length]), Err(Flaw::CutShort), "{length} of {end}");
            assert_eq!(making::pictures(&whole[..length], &facts), Err(Unmade::CutShort), "{length} of {end}");
        }
    }
}

#[test]
fn what_is_no_picture_is_told_from_its_bytes_and_not_from_its_name() {
    for bytes in [&b""[..], b"GIF89a", b"RIFF\0\0\0\0WEBPVP8L", b"<svg/>", b"\xFF", &[0; 100]] {
        assert_eq!(look(bytes), Err(Flaw::NotAPicture), "{bytes:?}");
    }
    assert_eq!(look(b"\xFF\xD8\xFF\xD9"), Err(Flaw::CutShort), "a picture without a scan");
    assert_eq!(look(&wrapped::promising(0, 9, 4)), Err(Flaw::NotAPicture));
    let kinds = [ImageFormat::Jpeg, ImageFormat::Png]
        .map(|format| look(&wrapped::plain(&quartered(9, 9), format)).unwrap().kind);
    assert_eq!(kinds, [Kind::Jpeg, Kind::Png]);
}

#[test]
fn a_bomb_is_refused_by_its_header_and_broken_pixels_by_name() {
    let bomb = look(&wrapped::promising(20_000, 20_000, 2 << 20)).unwrap();
    assert_eq!(bomb.excess(), Some("expected at most 100 megapixels"));
    let wide = look(&wrapped::promising(1_000_000, 1, 9)).unwrap();
    assert_eq!(wide.excess(), Some("expected at most 65,535 pixels a side"), "not taken for no picture");
    assert_eq!(making::pictures(&wrapped::promising(20_000, 20_000, 9), &bomb), Err(Unmade::Changed));
    let broken = wrapped::promising(200, 100, 500);
    let facts = look(&broken).unwrap();
    assert!(matches!(making::pictures(&broken, &facts), Err(Unmade::Undecodable(_))));
    let other = wrapped::plain(&quartered(10, 20), ImageFormat::Png);
    assert_eq!(making::pictures(&other, &facts), Err(Unmade::Changed), "another file of the same name");
}

#[test]
fn inks_sixteen_bits_greys_and_palettes_are_read() {
    let [white, cyan] = [[255; 4], [1, 255, 255, 255]].map(|levels| decoded(&made(&wrapped::inks(levels))[0]));
    assert!(white.get_pixel(4, 4).0.iter().all(|channel| *channel > 250), "{:?}", white.get_pixel(4, 4));
    let [red, green, blue, _] = cyan.get_pixel(4, 4).0;
    assert!(red < 10 && green > 245 && blue > 245, "{red} {green} {blue}");
    let image = quartered(64, 48);
    for deep in [DynamicImage::from(image.to_rgb16()), DynamicImage::from(image.to_rgba16())] {
        let made = made(&wrapped::plain(&deep, ImageFormat::Png));
        assert_eq!(quarters(&decoded(&made[0])), [0, 1, 2, 3]);
    }
    for format in [ImageFormat::Jpeg, ImageFormat::Png] {
        let grey = decoded(&made(&wrapped::plain(&DynamicImage::from(image.to_luma8()), format))[0]);
        assert!(grey.get_pixel(60, 40).0[0] > 230 && grey.get_pixel(4, 4).0[0] < 120);
    }
}

#[test]
fn of_an_animation_the_first_picture_is_taken() {
    let (first, second) = (quartered(60, 40), DynamicImage::from(RgbImage::from_pixel(60, 40, Rgb([9, 9, 9]))));
    for frames in [wrapped::Frames::Both, wrapped::Frames::Second] {
        let made = made(&wrapped::animation(&first, &second, frames));
        assert_eq!(made.len(), 1);
        assert_eq!(quarters(&decoded(&made[0])), [0, 1, 2, 3]);
    }
}

#[test]
fn only_what_may_be_seen_through_becomes_a_png() {
    let half =
        DynamicImage::from(RgbaImage::from_fn(600, 10, |x, _| Rgba([200, 10, 10, if x < 300 { 0 } else { 255 }])));
    let made = made(&wrapped::plain(&half, ImageFormat::Png));
    let small = decoded(&made[0]);
    assert!(made.iter().all(|picture| picture.starts_with(b"\x89PNG")));
    assert_eq!((small.get_pixel(10, 4).0[3], small.get_pixel(470, 4).0), (0, [200, 10, 10, 255]));
    assert_eq!(look(&wrapped::plain(&quartered(9, 9), ImageFormat::Png)).unwrap().ending(), "jpg");
}

#[test]
fn damage_gives_pictures_or_a_named_fault_and_never_a_crash() {
    let image = quartered(40, 30);
    let mut numbers = Numbers(7);
    let (mut whole, mut broken) = (0, 0);
    for round in 0..600 {
        let mut bytes = if round % 2 == 0 { wrapped::jpeg(&image, 3) } else { wrapped::png(&image, 3) };
        for _ in 0..=numbers.below(6) {
            let at = numbers.below(bytes.len() as u64) as usize;
            bytes[at] = numbers.below(256) as u8;
        }
        let Some(facts) = look(&bytes).ok().filter(|facts| facts.pixels() < 1_000_000) else { continue };
        match making::pictures(&bytes, &facts) {
            Ok(made) => {
                whole += 1;
                let sizes = facts.sizes().into_iter().map(|size| (size.width, size.height));
                assert!(made.iter().map(|picture| decoded(picture).dimensions()).eq(sizes), "{round}");
            }
            Err(why) => {
                broken += 1;
                assert!(why != Unmade::Undecodable("the decoder gave up".into()), "{round}: a decoder panicked");
            }
        }
    }
    assert!(whole > 100 && broken > 50, "{whole} {broken}");
}

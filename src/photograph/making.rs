//! Makes the published pictures of a photograph: decoded, made smaller, turned upright, encoded anew.
//!
//! The output is written from pixels alone, so that nothing else of the photograph can be in it.

use std::panic;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{DynamicImage, ExtendedColorType, ImageEncoder, ImageResult, RgbImage, RgbaImage};

use crate::photograph::smaller::{self, Pixels};
use crate::photograph::{self, Facts, Size};

/// The quality of a JPEG, from 1 to 100: threads still show and the file is still small.
const QUALITY: u8 = 80;

/// Why no pictures could be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unmade {
    /// It ends before its own end mark.
    CutShort,
    /// It cannot be decoded, in the decoder's words.
    Undecodable(String),
    /// Its header no longer says what it said when it was looked at.
    Changed,
}

/// Makes the pictures of a photograph in its sizes, the smallest first.
///
/// The facts are those of an earlier look at the same bytes, within the limits.
pub fn pictures(bytes: &[u8], facts: &Facts) -> Result<Vec<Vec<u8>>, Unmade> {
    // The decoders are others' code at work on strangers' bytes: should one give up, the site is built without the picture.
    panic::catch_unwind(|| made(bytes, facts))
        .unwrap_or_else(|_| Err(Unmade::Undecodable("the decoder gave up".into())))
}

fn made(bytes: &[u8], facts: &Facts) -> Result<Vec<Vec<u8>>, Unmade> {
    if !photograph::is_whole(bytes, facts.kind).is_ok_and(|whole| whole) {
        return Err(Unmade::CutShort);
    }
    if photograph::look(&mut std::io::Cursor::new(bytes)).ok() != Some(Ok(*facts)) || facts.excess().is_some() {
        return Err(Unmade::Changed);
    }
    let image = photograph::reader(facts.kind, bytes, facts.memory()).decode().map_err(undecodable)?;
    let sizes = facts.sizes();
    if facts.transparent {
        let image = image.into_rgba8();
        sizes.into_iter().map(|size| see_through(&image, facts, size).map_err(undecodable)).collect()
    } else {
        let image = image.into_rgb8();
        sizes.into_iter().map(|size| opaque(&image, facts, size).map_err(undecodable)).collect()
    }
}

fn undecodable(error: image::ImageError) -> Unmade {
    Unmade::Undecodable(error.to_string())
}

fn opaque(image: &RgbImage, facts: &Facts, size: Size) -> ImageResult<Vec<u8>> {
    let stored = stored(facts, size);
    let bytes = smaller::smaller(&Pixels::<3> { size: whole(facts), bytes: image.as_raw() }, stored);
    let turned = upright(RgbImage::from_raw(stored.width, stored.height, bytes).map(DynamicImage::from), facts);
    let mut encoded = Vec::new();
    JpegEncoder::new_with_quality(&mut encoded, QUALITY).encode(
        turned.as_bytes(),
        size.width,
        size.height,
        ExtendedColorType::Rgb8,
    )?;
    Ok(encoded)
}

fn see_through(image: &RgbaImage, facts: &Facts, size: Size) -> ImageResult<Vec<u8>> {
    let stored = stored(facts, size);
    let bytes = smaller::smaller(&Pixels::<4> { size: whole(facts), bytes: image.as_raw() }, stored);
    let turned = upright(RgbaImage::from_raw(stored.width, stored.height, bytes).map(DynamicImage::from), facts);
    let mut encoded = Vec::new();
    PngEncoder::new_with_quality(&mut encoded, CompressionType::Default, FilterType::Adaptive).write_image(
        turned.as_bytes(),
        size.width,
        size.height,
        ExtendedColorType::Rgba8,
    )?;
    Ok(encoded)
}

fn whole(facts: &Facts) -> Size {
    Size { width: facts.width, height: facts.height }
}

/// A size as the photograph is stored: few pixels are turned at the end, and not all of them at the beginning.
fn stored(facts: &Facts, size: Size) -> Size {
    if facts.lies() { Size { width: size.height, height: size.width } } else { size }
}

fn upright(image: Option<DynamicImage>, facts: &Facts) -> DynamicImage {
    let mut image = image.expect("the bytes are those of this size");
    image.apply_orientation(facts.orientation);
    image
}

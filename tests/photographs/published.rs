//! Photographs on their way through the whole program: the demonstration's, and broken ones beside whole ones.

use std::fs;
use std::io::Cursor;

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ImageEncoder, RgbImage};

use crate::{drawn, support};

/// The demonstration's pictures, each beside an entry of another model.
const DRAWN: [(&str, fn() -> RgbImage); 4] = [
    ("brackwold-tharn/culmer-31/standing-gate-men/oct-59-pocket-cloth.png", drawn::cloth),
    ("brackwold-tharn/sluice-118/standing-gate-men/march-64-inside-leg.png", drawn::seam),
    ("quillander/stackyard/long-furrow-men/code-d-1957-rivet.png", drawn::rivet),
    ("thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png", drawn::label),
];

/// The smallest of the PNGs that the picture can be.
fn encoded(image: &RgbImage) -> Vec<u8> {
    let filtered = [FilterType::NoFilter, FilterType::Sub, FilterType::Up, FilterType::Adaptive].map(|filter| {
        let mut bytes = Cursor::new(Vec::new());
        let encoder = PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, filter);
        encoder.write_image(image, image.width(), image.height(), image::ExtendedColorType::Rgb8).unwrap();
        bytes.into_inner()
    });
    filtered.into_iter().min_by_key(Vec::len).unwrap()
}

/// `BLESS=1` draws them anew.
#[test]
fn the_pictures_of_the_demonstration_are_drawings_made_here() {
    for (path, draw) in DRAWN {
        let (path, image) = (support::repository("entries/makers").join(path), draw());
        if std::env::var_os("BLESS").is_some() {
            fs::write(&path, encoded(&image)).unwrap();
        }
        let bytes = fs::read(&path).unwrap();
        assert!(bytes.len() < 60_000, "{}: {} bytes", path.display(), bytes.len());
        assert!(image::load_from_memory(&bytes).unwrap().to_rgb8() == image, "{}", path.display());
    }
}

//! The demonstration's pictures: cloth, a seam, a rivet and a label, each drawn pixel by pixel in whole numbers.
//!
//! Nothing is copied from a photograph, and no run differs from another.

use image::{Rgb, RgbImage};

const WIDTH: u32 = 1280;
const HEIGHT: u32 = 800;
/// The width of a thread.
const THREAD: i64 = 20;

type Colour = [i64; 3];

const BLUE: Colour = [58, 72, 112];
const TAN: Colour = [176, 150, 112];
const CREAM: Colour = [226, 216, 190];
const DARK: Colour = [60, 40, 36];
const ORANGE: Colour = [206, 138, 62];
const BRASS: Colour = [190, 152, 74];

/// Pocket cloth whose threads run over two and under two, each row one further: the diagonal lines of a twill.
pub fn cloth() -> RgbImage {
    drawn(|x, y| twill(x, y, CREAM, TAN))
}

/// A seam of trousers with three rows of stitches.
pub fn seam() -> RgbImage {
    drawn(|x, y| {
        let ground = twill(x, y, BLUE, [40, 50, 84]);
        let ground = if (470..810).contains(&x) { scaled(ground, 112) } else { ground };
        let edge = (x - 470).abs().min((x - 810).abs());
        let ground = if edge < 8 { scaled(ground, 60 + edge * 5) } else { ground };
        let row = [530, 632, 750].into_iter().map(|middle| (x - middle).abs()).min().unwrap_or(99);
        let along = (y + 10) % 80;
        match (row, along) {
            (0..13, 0..64) => scaled(ORANGE, 110 - row * row / 3),
            (0..18, 0..68) => scaled(ground, 70),
            _ => ground,
        }
    })
}

/// A round rivet of brass on cloth, lit from the upper left.
pub fn rivet() -> RgbImage {
    drawn(|x, y| {
        let ground = twill(x, y, BLUE, [40, 50, 84]);
        let (right, down) = (x - 640, y - 400);
        let distance = right * right + down * down;
        let light = 100 - (right + down) / 12;
        match distance {
            0..3_600 => scaled(BRASS, 75 + distance / 120),
            3_600..10_000 => scaled(BRASS, 220 - light),
            10_000..72_900 => scaled(BRASS, light),
            72_900..96_100 => scaled(BRASS, 2 * light - 100),
            96_100..112_000 => scaled(ground, 55),
            _ => ground,
        }
    })
}

/// A woven label, stitched at its two ends; its words are invented.
pub fn label() -> RgbImage {
    const WORDS: [(&str, i64, i64); 4] =
        [("YARRICK'S OWN", 180, 10), ("ORLBY STAITHE", 330, 6), ("MADE IN ENGLAND", 420, 6), ("40", 540, 10)];
    drawn(|x, y| {
        if !(140..1140).contains(&x) || !(110..690).contains(&y) {
            return twill(x, y, [120, 112, 100], [96, 90, 82]);
        }
        let shade = if y / 5 % 2 == 0 { 100 } else { 95 };
        let stitched = ((160..172).contains(&x) || (1108..1120).contains(&x)) && y % 40 < 28;
        let written = WORDS.iter().any(|(word, top, size)| is_written(word, (x, y - top), *size));
        match (stitched, written) {
            (true, _) => scaled(TAN, 110),
            (_, true) => scaled(DARK, shade),
            _ => scaled(CREAM, shade),
        }
    })
}

fn drawn(colour: impl Fn(i64, i64) -> Colour) -> RgbImage {
    RgbImage::from_fn(WIDTH, HEIGHT, |x, y| {
        Rgb(colour(x.into(), y.into()).map(|channel| u8::try_from(channel.clamp(0, 255)).unwrap()))
    })
}

fn scaled(colour: Colour, hundredths: i64) -> Colour {
    colour.map(|channel| channel * hundredths / 100)
}

fn twill(x: i64, y: i64, warp: Colour, weft: Colour) -> Colour {
    let over = (x / THREAD + y / THREAD) % 4 < 2;
    let (across, colour) = if over { (x % THREAD, warp) } else { (y % THREAD, weft) };
    let from_middle = (across - THREAD / 2).abs();
    scaled(colour, 108 - from_middle / 2 * from_middle)
}

/// Says whether a place belongs to a word that is set in the middle of the label, in letters of five by seven dots.
fn is_written(word: &str, (x, y): (i64, i64), dot: i64) -> bool {
    let begin = 640 - word.len() as i64 * 3 * dot;
    let (column, row) = ((x - begin).div_euclid(dot), y.div_euclid(dot));
    let letter = usize::try_from(column.div_euclid(6)).ok().and_then(|at| word.chars().nth(at));
    let (Some(letter), 0..7, 0..5) = (letter, row, column.rem_euclid(6)) else { return false };
    rows(letter)[row as usize] >> (4 - column.rem_euclid(6)) & 1 == 1
}

/// The dots of a letter, a row a number.
fn rows(letter: char) -> [u8; 7] {
    match letter {
        'A' => [0b01110, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001],
        'B' => [0b11110, 0b10001, 0b10001, 0b11110, 0b10001, 0b10001, 0b11110],
        'C' => [0b01110, 0b10001, 0b10000, 0b10000, 0b10000, 0b10001, 0b01110],
        'D' => [0b11110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b11110],
        'E' => [0b11111, 0b10000, 0b10000, 0b11110, 0b10000, 0b10000, 0b11111],
        'G' => [0b01110, 0b10001, 0b10000, 0b10111, 0b10001, 0b10001, 0b01110],
        'H' => [0b10001, 0b10001, 0b10001, 0b11111, 0b10001, 0b10001, 0b10001],
        'I' => [0b01110, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b01110],
        'K' => [0b10001, 0b10010, 0b10100, 0b11000, 0b10100, 0b10010, 0b10001],
        'L' => [0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b10000, 0b11111],
        'M' => [0b10001, 0b11011, 0b10101, 0b10101, 0b10001, 0b10001, 0b10001],
        'N' => [0b10001, 0b11001, 0b10101, 0b10011, 0b10001, 0b10001, 0b10001],
        'O' | '0' => [0b01110, 0b10001, 0b10001, 0b10001, 0b10001, 0b10001, 0b01110],
        'R' => [0b11110, 0b10001, 0b10001, 0b11110, 0b10100, 0b10010, 0b10001],
        'S' => [0b01111, 0b10000, 0b10000, 0b01110, 0b00001, 0b00001, 0b11110],
        'T' => [0b11111, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100, 0b00100],
        'W' => [0b10001, 0b10001, 0b10001, 0b10101, 0b10101, 0b11011, 0b10001],
        'Y' => [0b10001, 0b10001, 0b01010, 0b00100, 0b00100, 0b00100, 0b00100],
        '4' => [0b10010, 0b10010, 0b10010, 0b11111, 0b00010, 0b00010, 0b00010],
        '\'' => [0b00100, 0b00100, 0, 0, 0, 0, 0],
        _ => [0; 7],
    }
}

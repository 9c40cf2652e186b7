//! Makes a picture smaller: each new pixel is the mean of what it covers, in whole numbers.
//!
//! It uses no floating point, so that every machine gives the same bytes, and never makes a picture larger.

use crate::photograph::Size;

/// Pixels in rows from the top, each of `CHANNELS` bytes; with four, the last says how opaque a pixel is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pixels<'a, const CHANNELS: usize> {
    /// Width and height.
    pub size: Size,
    /// The bytes of all pixels.
    pub bytes: &'a [u8],
}

/// Makes the picture smaller, or leaves it at its size.
pub fn smaller<const CHANNELS: usize>(pixels: &Pixels<'_, CHANNELS>, to: Size) -> Vec<u8> {
    let (from, to) = (wide(pixels.size), wide(to));
    let mut made = Vec::with_capacity(to.0 * to.1 * CHANNELS);
    let columns = spans(from.0, to.0);
    let (mut narrow, mut sums) = (vec![[0_u32; CHANNELS]; to.0], vec![[0_u64; CHANNELS]; to.0]);
    for rows in spans(from.1, to.1) {
        sums.fill([0; CHANNELS]);
        for (row, weight) in rows.weights() {
            let begin = row * from.0 * CHANNELS;
            narrowed(&pixels.bytes[begin..begin + from.0 * CHANNELS], &columns, &mut narrow);
            for (sum, part) in sums.iter_mut().zip(&narrow) {
                (0..CHANNELS).for_each(|channel| sum[channel] += u64::from(part[channel]) * weight);
            }
        }
        let whole = (from.0 * from.1) as u64;
        sums.iter().for_each(|sum| made.extend(mean(sum, whole)));
    }
    made
}

fn wide(size: Size) -> (usize, usize) {
    (size.width as usize, size.height as usize)
}

/// The part of the old rows or columns that one new one covers, measured in the greatest common
/// part of both.
struct Covered {
    first: usize,
    begin: u64,
    last: usize,
    end: u64,
    most: u64,
}

impl Covered {
    /// The old rows or columns, each with how much of it is covered.
    fn weights(&self) -> impl Iterator<Item = (usize, u64)> {
        (self.first..=self.last).map(|at| {
            let begin = if at == self.first { self.begin } else { 0 };
            let end = if at == self.last { self.end } else { self.most };
            (at, end - begin)
        })
    }
}

/// Cuts `from` old rows or columns into `to` new ones; `to` is at most `from`, and neither is 0.
fn spans(from: usize, to: usize) -> Vec<Covered> {
    let cut = |number: usize| {
        let (begin, end) = (number * from, (number + 1) * from);
        let last = (end - 1) / to;
        Covered { first: begin / to, begin: (begin % to) as u64, last, end: (end - last * to) as u64, most: to as u64 }
    };
    (0..to).map(cut).collect()
}

/// Sums what each new column covers of a row; colours count as much as they are opaque.
fn narrowed<const CHANNELS: usize>(row: &[u8], columns: &[Covered], narrow: &mut [[u32; CHANNELS]]) {
    for (columns, sum) in columns.iter().zip(narrow) {
        *sum = [0; CHANNELS];
        for (column, weight) in columns.weights() {
            let pixel = &row[column * CHANNELS..(column + 1) * CHANNELS];
            // A row is at most 65,535 wide, so that 255 * 255 * 65,535 fits.
            let weight = weight as u32;
            let opaque = if CHANNELS == 4 { u32::from(pixel[3]) } else { 1 };
            for channel in 0..CHANNELS {
                let share = if channel == 3 { 1 } else { opaque };
                sum[channel] += u32::from(pixel[channel]) * share * weight;
            }
        }
    }
}

fn mean<const CHANNELS: usize>(sum: &[u64; CHANNELS], whole: u64) -> [u8; CHANNELS] {
    let opaque = if CHANNELS == 4 { sum[3] } else { whole };
    std::array::from_fn(|channel| {
        let whole = if channel == 3 { whole } else { opaque.max(1) };
        u8::try_from((sum[channel] + whole / 2) / whole).unwrap_or(u8::MAX)
    })
}

#[cfg(test)]
mod tests {
    use super::{Pixels, smaller};
    use crate::photograph::Size;

    fn made<const CHANNELS: usize>(bytes: &[u8], from: (u32, u32), to: (u32, u32)) -> Vec<u8> {
        let size = |(width, height)| Size { width, height };
        smaller(&Pixels::<CHANNELS> { size: size(from), bytes }, size(to))
    }

    #[test]
    fn a_picture_of_its_own_size_stays_as_it_is() {
        let bytes: Vec<u8> = (0..60).map(|number| number * 4).collect();
        assert_eq!(made::<3>(&bytes, (5, 4), (5, 4)), bytes);
        assert_eq!(made::<1>(&bytes, (60, 1), (60, 1)), bytes);
    }

    #[test]
    fn each_new_pixel_is_the_mean_of_what_it_covers() {
        assert_eq!(made::<1>(&[0, 100, 40, 60], (2, 2), (1, 1)), [50]);
        // Three columns to two: the middle one falls half to each side, (2 * 30 + 60) / 3 and (60 + 2 * 90) / 3.
        assert_eq!(made::<1>(&[30, 60, 90], (3, 1), (2, 1)), [40, 80]);
        assert_eq!(made::<1>(&[30, 60, 90], (1, 3), (1, 2)), [40, 80]);
        assert_eq!(made::<1>(&[255; 65_535], (65_535, 1), (7, 1)), [255; 7]);
    }

    #[test]
    fn what_is_seen_through_lends_no_colour() {
        assert_eq!(made::<4>(&[200, 10, 0, 255, 0, 0, 0, 0], (2, 1), (1, 1)), [200, 10, 0, 128]);
        assert_eq!(made::<4>(&[9, 9, 9, 0, 7, 7, 7, 0], (2, 1), (1, 1)), [0, 0, 0, 0]);
    }
}

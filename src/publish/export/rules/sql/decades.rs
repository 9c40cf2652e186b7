//! Turns yearly numbers into rows of decades: a column for each year, so that a query joins a tenth of the rows.

use crate::dating::likelihood::years;

/// The years of a decade.
const YEARS: usize = 10;

/// The first year of the decade of a year.
pub fn of(year: i32) -> i32 {
    year - (year - years::FIRST) % YEARS as i32
}

/// A row for each decade: a number that says whose, the decade, and what each of its years has. Years that are not
/// considered have 0.
pub fn rows<T: ToString>(number: usize, values: &[T]) -> impl Iterator<Item = Vec<String>> {
    let starts = years::all().step_by(YEARS);
    starts.zip(values.chunks(YEARS)).map(move |(start, chunk)| {
        let mut row = vec![number.to_string(), start.to_string()];
        row.extend(chunk.iter().map(ToString::to_string));
        row.resize(2 + YEARS, "0".to_string());
        row
    })
}

#[cfg(test)]
mod tests {
    use super::{of, rows};
    use crate::dating::likelihood::years;

    #[test]
    fn last_decade_is_filled_with_noughts() {
        let rows: Vec<String> = rows(7, &[1; years::COUNT]).map(|row| row.join(" ")).collect();
        assert_eq!(rows.len(), 19);
        assert_eq!(rows[0], "7 1850 1 1 1 1 1 1 1 1 1 1");
        assert_eq!(rows[18], "7 2030 1 0 0 0 0 0 0 0 0 0");
        assert_eq!([1850, 1859, 1860, 2030].map(of), [1850, 1850, 1860, 2030]);
    }
}

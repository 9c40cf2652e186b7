//! Turns yearly numbers into courses: how far each year is from the first considered year.
//!
//! Likelihoods change only near the evidence, so a course is 0 in most decades.

use crate::dating::likelihood::{Cells, years};

/// A number for each year that is considered; 0 in the first.
pub type Course = [i16; years::COUNT];

/// A centre and spread that a measure has in some years.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub centre: f64,
    pub spread: f64,
}

/// Whether a course has rows.
pub fn changes(course: &Course) -> bool {
    course.iter().any(|value| *value != 0)
}

/// How far the cells of each year are from those of the first.
pub fn of_cells(cells: &Cells) -> Course {
    cells.map(|cell| cell - cells[0])
}

/// The places of a measure, each once, with their courses. The first is that of the first year; its course is -1 where
/// another holds. The course of another is 1 there.
pub fn of_places(places: &[(f64, f64)]) -> Vec<(Place, Course)> {
    let mut found: Vec<(Place, Course)> = Vec::new();
    for (year, (centre, spread)) in places.iter().enumerate() {
        let place = Place { centre: *centre, spread: *spread };
        let at = found.iter().position(|(known, _)| *known == place).unwrap_or(found.len());
        if at == found.len() {
            found.push((place, [0; years::COUNT]));
        }
        if at > 0 {
            found[0].1[year] = -1;
            found[at].1[year] = 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{Place, changes, of_cells, of_places};
    use crate::dating::likelihood::years;

    #[test]
    fn cells_are_counted_from_the_first_year() {
        let mut cells = [-3; years::COUNT];
        assert!(!changes(&of_cells(&cells)));
        cells[100] = 7;
        let course = of_cells(&cells);
        assert_eq!((course[0], course[99], course[100], course[101]), (0, 0, 10, 0));
        assert!(changes(&course));
    }

    #[test]
    fn each_year_has_one_place() {
        let mut places = [(30.0, 1.0); years::COUNT];
        (places[5], places[6], places[8]) = ((31.0, 1.0), (31.0, 2.0), (31.0, 1.0));
        let found = of_places(&places);
        assert_eq!(found[0].0, Place { centre: 30.0, spread: 1.0 });
        let rows: Vec<_> = found.iter().map(|(_, course)| course[4..10].to_vec()).collect();
        assert_eq!(rows, [[0, -1, -1, 0, -1, 0], [0, 1, 0, 0, 1, 0], [0, 0, 1, 0, 0, 0]]);
    }
}

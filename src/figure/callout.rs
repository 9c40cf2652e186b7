//! The numbers on a drawing: a circle with a number at the place a mark gives, and a line to the part.
//!
//! It does not move numbers apart: the author of the drawing does.

use crate::markup;
use crate::typography::at_most;

/// The place of a feature's number, in the drawing's own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The middle of the circle.
    at: (f64, f64),
    /// The part, if it lies off the circle.
    toward: Option<(f64, f64)>,
}

impl Place {
    /// The middle of the circle.
    pub fn at(&self) -> (f64, f64) {
        self.at
    }

    /// Reads `x y`, or `x y x y` with the part's place after it.
    pub fn parse(text: &str) -> Option<Place> {
        let numbers: Option<Vec<f64>> =
            text.split_whitespace().map(|word| word.parse().ok().filter(|number: &f64| number.abs() < 1e6)).collect();
        match numbers?[..] {
            [x, y] => Some(Place { at: (x, y), toward: None }),
            [x, y, to_x, to_y] => Some(Place { at: (x, y), toward: Some((to_x, to_y)) }),
            _ => None,
        }
    }

    /// Draws the number of a feature, in a circle of the radius.
    pub fn drawn(&self, feature: &str, number: usize, radius: f64) -> String {
        let ((x, y), r) = (self.at, length(radius));
        let circle = format!("<circle cx=\"{}\" cy=\"{}\" r=\"{r}\"/>", length(x), length(y));
        let size = length(radius * 1.45);
        let (text_x, text_y) = (length(x), length(y + radius * 0.5));
        let text = format!("<text x=\"{text_x}\" y=\"{text_y}\">{number}</text>");
        let head = format!("<g class=\"callout\" data-callout=\"{}\"", markup::escape(feature));
        format!("{head} font-size=\"{size}\" text-anchor=\"middle\">{}{circle}{text}</g>", self.line())
    }

    fn line(&self) -> String {
        let Some((to_x, to_y)) = self.toward else { return String::new() };
        format!("<path d=\"M{} {}L{} {}\"/>", length(self.at.0), length(self.at.1), length(to_x), length(to_y))
    }
}

/// Gives the radius for a drawing, from its `viewBox`: the same on paper for drawings of any unit.
pub fn radius(view_box: Option<&str>) -> f64 {
    let width = view_box.and_then(|text| text.split([' ', ',']).filter(|word| !word.is_empty()).nth(2)?.parse().ok());
    width.filter(|width: &f64| (1.0..1e6).contains(width)).unwrap_or(200.0) * 0.046
}

/// Writes a length of a drawing.
fn length(number: f64) -> String {
    at_most(number, 1)
}

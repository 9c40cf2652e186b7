//! Finds the part of a drawing that shows one feature alone: its lens.
//!
//! A lens is a large circle of cloth before all marks, with captions below it.

use crate::figure::Drawing;
use crate::figure::tree::Element;

/// The smallest circle that is a lens; smaller ones are buttons and rivets.
const LEAST_RADIUS: f64 = 25.0;

/// How far the place of a feature may lie outside the rim of its lens.
const REACH: f64 = 15.0;

/// The margin around a lens, for its captions.
const BESIDE: f64 = 12.0;

/// Room below a lens for one line of words.
const BELOW: f64 = 13.0;

/// The `viewBox` that shows the lens of a feature alone; `None` if the feature has no lens.
pub fn window(drawing: &Drawing, feature: &str) -> Option<String> {
    let (x, y) = drawing.places.get(feature)?.at();
    let cloth = drawing.root.elements().filter(|element| !element.is_bound());
    let circles = cloth.flat_map(|group| group.elements().filter_map(circle));
    let from_rim = |&(cx, cy, radius): &(f64, f64, f64)| ((x - cx).hypot(y - cy) - radius).max(0.0);
    let near = circles.filter(|circle| circle.2 >= LEAST_RADIUS && from_rim(circle) <= REACH);
    let (cx, cy, radius) = near.min_by(|one, other| from_rim(one).total_cmp(&from_rim(other)))?;
    let (left, top) = (cx - radius - BESIDE, cy - radius - 2.0);
    Some(format!("{left} {top} {} {}", 2.0 * (radius + BESIDE), 2.0 * radius + 2.0 + BELOW))
}

fn circle(element: &Element) -> Option<(f64, f64, f64)> {
    let number = |name: &str| element.attribute(name)?.parse::<f64>().ok().filter(|number| number.is_finite());
    (element.name == "circle").then_some(())?;
    Some((number("cx")?, number("cy")?, number("r")?))
}

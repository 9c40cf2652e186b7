//! Which attributes of a stranger's SVG element neither load, run, restyle the page nor point outside.
//!
//! It does not check that a value means anything to its attribute.

/// The namespace of SVG.
pub const NAMESPACE: &str = "http://www.w3.org/2000/svg";

const PRESENTATION: [&str; 44] = [
    "alignment-baseline",
    "baseline-shift",
    "clip-path",
    "clip-rule",
    "color",
    "color-interpolation",
    "direction",
    "display",
    "dominant-baseline",
    "fill",
    "fill-opacity",
    "fill-rule",
    "font-family",
    "font-size",
    "font-size-adjust",
    "font-stretch",
    "font-style",
    "font-variant",
    "font-weight",
    "image-rendering",
    "letter-spacing",
    "opacity",
    "paint-order",
    "shape-rendering",
    "stop-color",
    "stop-opacity",
    "stroke",
    "stroke-dasharray",
    "stroke-dashoffset",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-miterlimit",
    "stroke-opacity",
    "stroke-width",
    "text-anchor",
    "text-decoration",
    "text-rendering",
    "transform",
    "transform-origin",
    "unicode-bidi",
    "vector-effect",
    "visibility",
    "word-spacing",
    "writing-mode",
];

const GEOMETRY: [&str; 39] = [
    "clipPathUnits",
    "cx",
    "cy",
    "d",
    "dx",
    "dy",
    "fr",
    "fx",
    "fy",
    "gradientTransform",
    "gradientUnits",
    "height",
    "lang",
    "lengthAdjust",
    "offset",
    "pathLength",
    "patternContentUnits",
    "patternTransform",
    "patternUnits",
    "points",
    "preserveAspectRatio",
    "r",
    "refX",
    "refY",
    "role",
    "rotate",
    "rx",
    "ry",
    "spreadMethod",
    "textLength",
    "viewBox",
    "width",
    "x",
    "x1",
    "x2",
    "y",
    "y1",
    "y2",
    "version",
];

/// Attributes that may have any value, since only this program and its style sheets read them.
const FREE: [&str; 5] = ["class", "data-feature", "data-state", "data-nth", "data-at"];

const FUNCTIONS: [&str; 17] = [
    "hsl",
    "hsla",
    "lab",
    "lch",
    "matrix",
    "oklab",
    "oklch",
    "rgb",
    "rgba",
    "rotate",
    "scale",
    "skewx",
    "skewy",
    "translate",
    "translatex",
    "translatey",
    "var",
];

/// Says whether an element may have this harmless attribute: only some may point at others.
pub fn fits(element: &str, name: &str) -> bool {
    name != "href" || matches!(element, "use" | "linearGradient" | "radialGradient" | "pattern")
}

/// Says whether the attribute would move the whole drawing over its neighbours on the page.
pub fn moves_the_root(name: &str) -> bool {
    matches!(name, "transform" | "transform-origin" | "x" | "y")
}

/// Says whether some value of the attribute does no harm.
pub fn is_known(name: &str) -> bool {
    FREE.contains(&name)
        || ["id", "href"].contains(&name)
        || is_description(name)
        || PRESENTATION.contains(&name)
        || GEOMETRY.contains(&name)
}

/// Says whether a known attribute does no harm with the value.
pub fn is_harmless(name: &str, value: &str) -> bool {
    match name {
        "id" => is_id(value),
        "href" => value.strip_prefix('#').is_some_and(is_id),
        _ if FREE.contains(&name) => true,
        _ if is_description(name) => true,
        _ if PRESENTATION.contains(&name) || GEOMETRY.contains(&name) => is_plain(value) || is_local_paint(value),
        _ => false,
    }
}

fn is_description(name: &str) -> bool {
    name.strip_prefix("aria-")
        .is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|byte| byte.is_ascii_lowercase()))
}

fn is_id(text: &str) -> bool {
    !text.is_empty()
        && text.chars().all(|character| character.is_alphanumeric() || matches!(character, '-' | '_' | '.'))
}

/// Says whether a value holds only numbers, words and functions that load nothing.
///
/// Presentation attributes are read as CSS, where a backslash or a comment can hide a name: neither is allowed.
fn is_plain(value: &str) -> bool {
    let is_allowed = |character: char| character.is_ascii_alphanumeric() || " ,.+-#%()_'\"/".contains(character);
    if !value.chars().all(is_allowed) || value.contains("/*") || value.contains("//") {
        return false;
    }
    value.match_indices('(').all(|(at, _)| ends_with_known_function(&value[..at]))
}

fn ends_with_known_function(text: &str) -> bool {
    let is_name = |character: char| character.is_ascii_alphanumeric() || character == '-' || character == '_';
    let text = text.trim_end();
    let name = text.trim_end_matches(is_name);
    FUNCTIONS.contains(&text[name.len()..].to_ascii_lowercase().as_str())
}

fn is_local_paint(value: &str) -> bool {
    let inner = value.strip_prefix("url(").and_then(|rest| rest.strip_suffix(')'));
    inner.and_then(|inner| inner.strip_prefix('#')).is_some_and(is_id)
}

#[cfg(test)]
mod tests {
    use super::{is_harmless, is_known};

    #[test]
    fn plain_values_and_local_references_stay() {
        let rows = [
            ("fill", "var(--ink)"),
            ("fill", "rgb(1 2 3 / 50%)"),
            ("transform", "translate(1,2) rotate(-3.5)"),
            ("transform", "translate (1e3)"),
            ("d", "M0-1.5e3Q1,1 2,2z"),
            ("clip-path", "url(#front)"),
            ("id", "front_1.a-b"),
            ("href", "#front"),
            ("aria-label", "collar: \"long\" (left)"),
            ("font-family", "'Some Serif', serif"),
            ("data-state", "a b"),
            ("role", "img"),
        ];
        for (name, value) in rows {
            assert!(is_known(name) && is_harmless(name, value), "{name}");
        }
    }

    #[test]
    fn values_that_could_load_or_hide_are_refused() {
        let rows = [
            ("fill", "url(http://example.org/x.svg#a)"),
            ("fill", "url('#a')"),
            ("fill", "URL(x)"),
            ("fill", "u\\72l(x)"),
            ("fill", "u/**/rl(x)"),
            ("fill", "red url(#a)"),
            ("fill", "image-set('x' 1x)"),
            ("fill", "expression(alert(1))"),
            ("fill", "rgb(url(x))"),
            ("fill", "(x)"),
            ("fill", "javascript:x"),
            ("fill", "red;background:x"),
            ("id", "a b"),
            ("id", ""),
            ("href", "x#a"),
            ("href", "#"),
            ("href", "javascript:x"),
            ("href", "data:image/svg+xml,x"),
            ("onload", "x"),
            ("data-other", "x"),
            ("aria-", "x"),
            ("aria-LABEL", "x"),
            ("tabindex", "0"),
            ("filter", "url(#a)"),
            ("overflow", "visible"),
            ("xml:base", "x"),
        ];
        for (name, value) in rows {
            assert!(!is_known(name) || !is_harmless(name, value), "{name}={value}");
        }
    }
}

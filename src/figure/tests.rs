//! Drawings filled in, by tables of a mark, what is known, and what is drawn.

#![allow(clippy::unwrap_used)]

use super::{Drawing, Feature, Known, Mark, Setting};

const ALONE: Setting<'_> = Setting { scope: "a-", shares: None, of: "", around: None };

fn drawing(inner: &str) -> Drawing {
    Drawing::read(&format!("<svg viewBox='0 0 200 200'><title>Front</title>{inner}</svg>")).unwrap()
}

fn feature(id: &str, known: Known) -> Feature<'_> {
    Feature { id, name: "Hem", known, label: None, number: None }
}

fn seen(states: &[(&str, u64)]) -> Known {
    Known::Seen(states.iter().map(|(state, count)| (state.to_string(), *count)).collect())
}

/// The drawn content of an inner part, without start tag, words and end tag.
fn drawn(inner: &str, features: &[Feature<'_>]) -> String {
    let filled = drawing(inner).filled(features, &ALONE);
    let inside = filled.split_once("</desc>").unwrap().1;
    inside.strip_suffix("</svg>").unwrap().to_string()
}

#[test]
fn of_states_the_one_seen_most_is_drawn() {
    let marks = "<path data-feature='hem' d='M0'/><path data-feature='hem' data-state='raw' d='M1'/>\
        <path data-feature='hem' data-state='felled bound' d='M2'/>";
    let path = |rest: &str| format!("<path d=\"{rest}\" data-feature=\"hem\"/>");
    let classed = |class: &str| format!("<path class=\"{class}\" d=\"M0\" data-feature=\"hem\"/>");
    let rows = [
        (seen(&[("raw", 3)]), path("M1")),
        (seen(&[("raw", 3), ("bound", 4)]), path("M2")),
        (seen(&[("felled", 3), ("raw", 3)]), path("M2")),
        (seen(&[("raw", 3), ("felled", 3)]), path("M1")),
        (seen(&[("absent", 3), ("raw", 1)]), String::new()),
        (seen(&[("other", 2)]), path("M0")),
        (Known::Read("5 to 6 cm".to_string()), path("M0")),
        (Known::Unexamined, classed("unexamined")),
        (Known::Uncounted, classed("unexamined")),
        (Known::Altered, classed("altered")),
    ];
    for (known, expected) in rows {
        assert_eq!(drawn(marks, &[feature("hem", known.clone())]), expected, "{known:?}");
    }
}

#[test]
fn of_counted_marks_as_many_are_drawn_as_were_counted() {
    let marks = "<g data-feature='hem'/><g data-feature='hem' data-nth='1'/><g data-feature='hem' data-nth='3'/>\
        <g data-feature='hem' data-nth='2'/>";
    for (count, expected) in [("0", 0), ("1", 1), ("2", 2), ("3", 3), ("9", 3), ("absent", 0)] {
        let svg = drawn(marks, &[feature("hem", seen(&[(count, 1)]))]);
        assert_eq!(
            (svg.matches("<g").count(), svg.matches("data-nth").count()),
            (expected, expected),
            "{count}: {svg}"
        );
    }
    assert_eq!(drawn(marks, &[feature("hem", Known::Unexamined)]).matches("<g").count(), 1);
}

#[test]
fn marks_of_features_that_the_garment_does_not_have_are_left_out_with_what_is_in_them() {
    assert_eq!(drawn("<g data-feature='tail'><path d='M0'/></g>", &[feature("hem", Known::Unexamined)]), "");
}

#[test]
fn a_mark_within_a_mark_needs_both() {
    let marks = "<g data-feature='fly' data-state='zip'><path data-feature='hem' data-state='raw'/></g>";
    let features = |fly, hem| [feature("fly", seen(&[(fly, 1)])), feature("hem", seen(&[(hem, 1)]))];
    assert!(drawn(marks, &features("zip", "raw")).contains("<path"));
    assert!(!drawn(marks, &features("zip", "felled")).contains("<path"));
    assert_eq!(drawn(marks, &features("buttons", "raw")), "");
}

#[test]
fn ids_and_what_points_at_them_stay_within_the_copy() {
    let inner = "<defs><clipPath id='lens'><circle r='1'/></clipPath></defs>\
        <g data-feature='hem' clip-path='url(#lens)'><path id='row'/><use href='#row'/></g>";
    let drawing = drawing(inner);
    let features = [feature("hem", Known::Read(String::new()))];
    let first = drawing.filled(&features, &ALONE);
    for expected in ["id=\"a-lens\"", "url(#a-lens)", "id=\"a-row\"", "href=\"#a-row\"", "<g id=\"a-still-0\"><defs>"] {
        assert!(first.contains(expected), "{expected}: {first}");
    }
    // The second copy shows the unchanging parts of the first, and points at ids that only that has.
    let second = drawing.filled(&features, &Setting { scope: "b-", shares: Some("a-"), of: "", around: None });
    for expected in ["<use href=\"#a-still-0\"/>", "url(#a-lens)", "id=\"b-row\"", "href=\"#b-row\""] {
        assert!(second.contains(expected), "{expected}: {second}");
    }
    assert!(!second.contains("<defs>"), "{second}");
}

#[test]
fn numbers_stand_where_a_mark_says_and_only_for_features_that_have_one() {
    let inner = "<g data-feature='hem' data-state='raw' data-at='10 20 30 40.26'/><g data-feature='fly' data-at='5 6'/>\
        <g data-feature='cuff' data-at='1'/>";
    let numbered = |id, number| Feature { number, ..feature(id, Known::Unexamined) };
    let svg = drawn(inner, &[numbered("hem", Some(3)), numbered("fly", None), numbered("cuff", Some(4))]);
    let callout = "<g class=\"callout\" data-callout=\"hem\" font-size=\"13.3\" text-anchor=\"middle\">\
        <path d=\"M10 20L30 40.3\"/><circle cx=\"10\" cy=\"20\" r=\"9.2\"/><text x=\"10\" y=\"24.6\">3</text></g>";
    assert!(svg.contains(callout), "{svg}");
    assert_eq!(svg.matches("callout").count(), 2, "{svg}");
    let drawing = drawing(inner);
    assert!(drawing.has_place("hem") && drawing.has_place("fly") && !drawing.has_place("cuff"));
}

#[test]
fn words_say_what_is_drawn_and_what_nobody_has_looked_at() {
    let inner =
        "<g data-feature='a'/><g data-feature='b'/><g data-feature='c'/><g data-feature='d'/><g data-feature='e'/>";
    let named = |id, name, known| Feature { id, name, known, label: None, number: None };
    let features = [
        named("a", "Belt loops", seen(&[("5", 1), ("7", 3)])),
        named("b", "Hem", seen(&[("chain-stitch", 2)])),
        named("c", "Rivets", seen(&[("absent", 2)])),
        named("d", "US label", Known::Altered),
        named("e", "Zip puller", Known::Unexamined),
        named("f", "Not in this drawing", Known::Unexamined),
    ];
    let words = "Belt loops: 7 on 3 of 4; hem: chain stitch; rivets: none; US label: seen only altered. \
        Not examined: zip puller.";
    assert_eq!(drawing(inner).words(&features), words);
    let svg = drawing(inner).filled(&features, &Setting { of: "the <best>", ..ALONE });
    let head = format!(
        "<svg class=\"figure\" viewBox=\"0 0 200 200\" role=\"img\" aria-labelledby=\"a-title a-desc\">\
        <title id=\"a-title\">Front, the &lt;best&gt;</title><desc id=\"a-desc\">{words}</desc>"
    );
    assert!(svg.starts_with(&head), "{svg}");
}

#[test]
fn what_a_stranger_draws_is_refused_or_written_as_text() {
    for hostile in ["<script>alert(1)</script>", "<g onclick='x'/>", "<image href='http://example.org/x'/>"] {
        assert!(Drawing::read(&format!("<svg>{hostile}</svg>")).is_err(), "{hostile}");
    }
    let inner = "<g data-feature='hem' data-at='1 2' class='a&quot;b'><text>&lt;b&gt;</text><title>&lt;script&gt;</title></g>\
        <g data-feature='&quot;&gt;&lt;script&gt;' data-at='1 2'/>";
    let evil = "\"><script>";
    let features = [
        feature("hem", Known::Read(evil.to_string())),
        Feature { name: evil, number: Some(1), ..feature(evil, Known::Unexamined) },
    ];
    let svg = drawing(inner).filled(&features, &Setting { of: evil, ..ALONE });
    assert!(!svg.contains("<script"), "{svg}");
    assert!(svg.contains("&lt;b&gt;") && svg.contains("class=\"a&quot;b\""), "{svg}");
}

#[test]
fn marks_are_listed_for_whoever_keeps_the_vocabulary() {
    let marks = drawing("<g data-feature='hem' data-state='raw felled'/><g><g data-feature='loops' data-nth='2'/></g>");
    let mark = |feature: &str, state: Option<&str>, nth| Mark {
        feature: feature.to_string(),
        state: state.map(str::to_string),
        nth,
    };
    let expected = [mark("hem", Some("felled"), None), mark("hem", Some("raw"), None), mark("loops", None, Some(2))];
    assert!(marks.marks().iter().eq(expected.iter()), "{:?}", marks.marks());
}

#[test]
fn around_a_feature_only_its_lens_is_seen() {
    let inner = "<g class='cloth'><circle cx='50' cy='50' r='40'/><circle cx='150' cy='50' r='40'/></g>\
        <g data-feature='hem' data-state='raw' data-at='115 25'/><g data-feature='fly' data-at='100 190'/>";
    let around = |feature| drawing(inner).filled(&[], &Setting { around: Some(feature), ..ALONE });
    assert!(around("hem").contains("viewBox=\"98 8 104 95\""), "{}", around("hem"));
    assert_eq!(around("fly"), drawing(inner).filled(&[], &ALONE));
    assert_eq!(around("cuff"), drawing(inner).filled(&[], &ALONE));
}

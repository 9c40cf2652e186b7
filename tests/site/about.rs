//! Every page says in one sentence what it is, and no two pages of a kind say the same.

use std::collections::BTreeMap;

use super::DEMO;

const BEGIN: &str = "<meta name=\"description\"";

/// The description of a page as it is written, with its escapes.
fn description<'h>(path: &str, html: &'h str) -> &'h str {
    assert_eq!(html.matches(BEGIN).count(), 1, "{path}");
    let tag = html.split(BEGIN).nth(1).and_then(|rest| rest.split_once('>'));
    let (tag, _) = tag.unwrap_or_else(|| panic!("{path}: the tag does not end"));
    tag.split("content=\"").nth(1).and_then(|rest| rest.split_once('"')).unwrap_or_else(|| panic!("{path}")).0
}

#[test]
fn every_page_has_one_description_and_no_other_of_its_kind_has_the_same() {
    let mut known: BTreeMap<(String, &str), &str> = BTreeMap::new();
    let mut count = 0;
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".html")) {
        let html = std::str::from_utf8(content).unwrap();
        let said = description(path, html);
        let plain = said.replace("&amp;", "&").replace("&quot;", "\"").replace("&#39;", "'");
        let length = plain.chars().count();
        assert!((20..=160).contains(&length), "{path}: {length} characters: {plain}");
        assert!(!plain.contains(['<', '>', '`', '\n']), "{path}: {plain}");
        let depth = path.matches('/').count();
        let kind =
            format!("{} {depth}", if depth == 0 { path.as_str() } else { path.split('/').next().unwrap_or(path) });
        if let Some(other) = known.insert((kind, said), path) {
            panic!("{path} and {other} say the same: {said}");
        }
        count += 1;
    }
    assert!(count > 200, "{count} pages");
}

#[test]
fn a_page_is_introduced_by_what_it_is_about() {
    let of = |path: &str| description(path, super::page(&DEMO, path)).to_string();
    let variant = of("makers/brackwold-tharn/sluice-118/standing-gate-men.html");
    assert!(variant.starts_with("Sluice 118, Standing Gate, men’s (Brackwold Tharn), cut for men: "), "{variant}");
    assert!(variant.contains(" garments recorded. It was "), "{variant}");
    let comparison = of("compare/brackwold-tharn/culmer-31/standing-gate-men.underlode-men.html");
    assert!(comparison.contains(" beside Culmer 31, Underlode, men’s: "), "{comparison}");
    assert!(of("guide/keys.html").starts_with("Keys"), "{}", of("guide/keys.html"));
}

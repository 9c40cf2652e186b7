//! Small pictures at the rows of *When details were used*: each at the state that its own entry records, on the pages
//! of the maker, the model and the variant that the entry is filed under.

use std::collections::BTreeMap;

use bartack::compile::example;
use image::ImageFormat;
use regex::Regex;
use tempfile::TempDir;

use crate::photographs::{published, quartered, wrapped};

const MODEL: &str = "entries/makers/hollin/no-4";

/// A garment with one photograph of its hem.
struct Garment {
    variant: &'static str,
    name: &'static str,
    hem: &'static str,
}

/// What is in no row: one that was altered, one that the entry is unsure of.
const GARMENTS: [Garment; 9] = [
    Garment { variant: "best", name: "barn", hem: r#""chain-stitch""# },
    Garment { variant: "best", name: "shop", hem: r#""raw""# },
    Garment { variant: "best", name: "attic", hem: r#"{ state = "raw", altered = true }"# },
    Garment { variant: "best", name: "cellar", hem: r#"{ state = "raw", unsure = true }"# },
    Garment { variant: "plain", name: "loft", hem: r#""raw""# },
    Garment { variant: "plain", name: "a-fold", hem: r#""folded""# },
    Garment { variant: "plain", name: "b-fold", hem: r#""folded""# },
    Garment { variant: "plain", name: "c-fold", hem: r#""folded""# },
    Garment { variant: "plain", name: "d-fold", hem: r#""folded""# },
];

fn entry(garment: &Garment, number: usize) -> String {
    let Garment { variant, name, hem } = garment;
    let photographs = format!("photos = [{{ file = \"{name}.jpg\", shows = [\"hem\"] }}]");
    let dated = format!("made = \"{}\"\nmade-by = \"mark\"", 1970 + number);
    let head = "basis = \"specimen\"\nplaced-by = \"mark\"";
    format!("--- {MODEL}/{variant}/{name}.md\n+++\n{head}\n{dated}\n{photographs}\n[features]\nhem = {hem}\n+++\n")
}

/// A record that claims when each state of the hem was used, so that each has a row.
fn record(path: &str, fields: &str, states: &[&str]) -> String {
    let claim = |state: &&str| {
        format!("[[claims]]\nabout = \"feature:hem={state}\"\nevent = \"introduced\"\nwhen = \"1968\"\n")
    };
    format!("--- {path}\n+++\n{fields}\n{}+++\n", states.iter().map(claim).collect::<String>())
}

/// The records of the maker, the model and the variants.
fn records() -> String {
    let all = ["chain-stitch", "raw", "folded"];
    let variant = "name = \"A variant\"\nline = \"best\"\nwearer = \"men\"";
    [
        record("entries/makers/hollin/maker.md", "name = \"A maker\"\n[[lines]]\nid = \"best\"\nname = \"Best\"", &all),
        record(&format!("{MODEL}/model.md"), "name = \"A model\"\ngarment = \"trousers\"", &all),
        record(&format!("{MODEL}/best/variant.md"), variant, &all[..2]),
        record(&format!("{MODEL}/plain/variant.md"), variant, &all[1..]),
    ]
    .concat()
}

/// A knowledge base of these garments, and of one more than a row has room for.
fn built() -> BTreeMap<String, Vec<u8>> {
    let root = TempDir::new().unwrap();
    let mut text = records();
    let extra = Garment { variant: "plain", name: "e-fold", hem: r#""folded""# };
    for (number, garment) in GARMENTS.iter().chain([&extra]).enumerate() {
        text.push_str(&entry(garment, number));
        let colours = quartered(90 + u32::try_from(number).unwrap(), 60);
        let path = format!("{MODEL}/{}/{}.jpg", garment.variant, garment.name);
        published::write(root.path(), &path, &wrapped::plain(&colours, ImageFormat::Jpeg));
    }
    for (_, file) in example::read(&text).sources.iter() {
        published::write(root.path(), file.path().as_str(), file.text().as_bytes());
    }
    assert!(published::said(root.path(), &["build"]).1);
    published::written(root.path())
}

/// The entries whose photographs stand at each state of the hem, with what is said of those left out.
fn rows(html: &str) -> BTreeMap<String, Vec<String>> {
    let row = Regex::new("(?s)<tr id=\"state-hem\\.([^\"]*)\">(.*?)</tr>").unwrap();
    let shown = Regex::new("data-entry=\"[^\"]*/([a-z-]+)\\.html\"|<li class=\"n\">([^<]*)</li>").unwrap();
    let entries = |row: &str| {
        let found = shown.captures_iter(row).filter_map(|one| one.get(1).or(one.get(2)));
        found.map(|one| one.as_str().to_string()).collect()
    };
    row.captures_iter(html).map(|found| (found[1].to_string(), entries(&found[2]))).collect()
}

fn expected(rows: &[(&str, &[&str])]) -> BTreeMap<String, Vec<String>> {
    let list = |names: &[&str]| names.iter().map(|name| (*name).to_string()).collect();
    rows.iter().map(|(state, names)| ((*state).to_string(), list(names))).collect()
}

#[test]
fn photographs_stand_at_the_state_that_their_own_entry_records() {
    let output = built();
    let folded: &[&str] = &["a-fold", "b-fold", "c-fold", "d-fold", "and 1 more"];
    let all = expected(&[("chain-stitch", &["barn"]), ("raw", &["shop", "loft"]), ("folded", folded)]);
    for page in ["makers/hollin.html", "makers/hollin/no-4.html"] {
        assert_eq!(rows(published::text(&output, page)), all, "{page}");
    }
    let best = rows(published::text(&output, "makers/hollin/no-4/best.html"));
    assert_eq!(best, expected(&[("chain-stitch", &["barn"]), ("raw", &["shop"])]));
    let plain = rows(published::text(&output, "makers/hollin/no-4/plain.html"));
    assert_eq!(plain, expected(&[("raw", &["loft"]), ("folded", folded)]));
}

#[test]
fn each_page_with_such_pictures_loads_their_viewer_once() {
    let output = built();
    for page in ["makers/hollin.html", "makers/hollin/no-4.html", "makers/hollin/no-4/best.html"] {
        let html = published::text(&output, page);
        for part in ["assets/photographs.css\"", "assets/nodes.js\"", "assets/photographs.js\""] {
            assert_eq!(html.matches(part).count(), 1, "{page}: {part}");
        }
        assert!(html.contains("alt=\"Photograph: Hem: raw, "), "{page}");
    }
}

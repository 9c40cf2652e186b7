//! Someone on a phone: the bundle that the page hands in, to the page of the merged garment with its photograph.
//!
//! `tests/browser/handing.cjs` makes `handed.zip` on the page and holds it to this file, byte by byte.

use std::fs;

use super::{assert_code, assert_says, findings, merge, told};
use crate::support;
use crate::support::history::History;

const VARIANT: &str = "makers/brackwold-tharn/sluice-118/underlode-men";
const GARMENT: &str = "makers/brackwold-tharn/sluice-118/underlode-men/1977-wren";

#[test]
fn a_bundle_from_a_phone_becomes_a_page_with_its_photograph() {
    let history = History::of_demo();
    history.git(&["checkout", "--quiet", "-b", "change"]);
    let bundle = history.top().join("handed.zip");
    fs::copy(support::repository("tests/cli/tasks/handed.zip"), &bundle).unwrap();
    let bundle = bundle.to_str().unwrap();
    let listed = history.run(&["import", bundle]);
    assert_code(&listed, 0);
    assert_says(&told(&listed), &[&format!("entries/{GARMENT}.md"), "1 entry to write, 0 wrong"]);
    assert!(!history.base().join(format!("entries/{GARMENT}.md")).exists(), "a dry run writes nothing");
    let written = history.run(&["import", bundle, "--write"]);
    assert_code(&written, 0);
    fs::remove_file(bundle).unwrap();
    let since = history.run(&["check", "--since", "HEAD"]);
    assert_code(&since, 0);
    let own = findings(&told(&since)).into_iter().filter(|(_, file)| file == "1977-wren.md");
    assert_eq!(own.collect::<Vec<_>>(), [], "nothing is to be said of the new entry");
    history.commit("one garment more");
    assert_eq!(history.git(&["diff", "--name-only", "--diff-filter=A", "main"]).lines().count(), 2);
    merge(&history);
    let output = history.run(&["build"]);
    assert_code(&output, 0);
    let page = |path: &str| fs::read_to_string(history.base().join(format!("out/{path}.html"))).unwrap();
    let garment = page(GARMENT);
    let photograph = format!("photographs/{GARMENT}/1-3.jpg");
    assert_says(&garment, &["Seen at a fair.", &format!("src=\"../../../../{photograph}\"")]);
    assert_says(&page(VARIANT), &["href=\"underlode-men/1977-wren.html\"", &photograph]);
    let bytes = fs::read(history.base().join("out").join(&photograph)).unwrap();
    let picture = image::load_from_memory(&bytes).unwrap();
    assert_eq!((picture.width(), picture.height()), (3, 2));
}

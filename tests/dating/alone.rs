//! The single file in an empty folder, opened in a real browser: it answers, from the address alone, without a request.

use std::fs;

use crate::support::{browser, repository, site};

/// What the page becomes, opened with a fragment.
fn opened(browser: &str, file: &std::path::Path, fragment: &str) -> String {
    let arguments = ["--virtual-time-budget=5000", "--dump-dom"].map(String::from);
    browser::open(browser, &format!("{}#{fragment}", file.display()), &arguments)
}

#[test]
fn single_file_answers_alone_in_an_empty_folder() {
    let output = site::output(&repository(""));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("garment.html");
    fs::write(&file, &output["garment.html"]).unwrap();
    let Some(browser) = browser::find() else { return };
    let page = opened(browser, &file, "state-code=nb&bar-code=twelve-figure");
    assert!(page.contains("if the label is original to the garment and not a copy"), "a bound that rests on a label");
    let page = opened(browser, &file, "model=thessop-yarrick%2Fropestaithe&belt-loops=5");
    assert!(page.contains("Why the first rather than the next"), "the model is known, so variants are weighed");
    assert!(page.contains("Paragraph for a listing"));
    let page = opened(browser, &file, "view=record&model=thessop-yarrick%2Fropestaithe&belt-loops=5");
    assert!(page.contains("# goes to: entries/unplaced/undated.md"), "it records as well");
    let hostile =
        opened(browser, &file, "maker=%3Cimg%20src=x%20onerror=alert(1)%3E&hem=%3Cscript%3Ealert(1)%3C/script%3E");
    assert!(!hostile.contains("<img") && !hostile.contains("<script>alert"), "text stays text");
}

#[test]
fn single_file_asks_for_nothing_outside_itself() {
    let output = site::output(&repository(""));
    let page = String::from_utf8(output["garment.html"].clone()).unwrap();
    assert!(page.len() < 5 << 20, "{} bytes", page.len());
    for outside in [" src=\"", "<link", "@import"] {
        assert!(!page.contains(outside), "{outside}");
    }
    // Drawings point at their own parts.
    assert_eq!(page.matches("url(").count(), page.matches("url(#").count());
    assert!(page.contains("default-src &#39;none&#39;; script-src &#39;sha256-"));
}

//! The single file in an empty folder, opened in a real browser: it answers, from the address alone, without a request.

use std::fs;
use std::process::Command;

use crate::support::{repository, site};

/// The browsers that may be there, first come first served.
const BROWSERS: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "chrome"];

/// Opens a page and gives what it became, or nothing where there is no browser.
fn opened(file: &std::path::Path, fragment: &str) -> Option<String> {
    let browser = BROWSERS.iter().find(|name| Command::new(name).arg("--version").output().is_ok())?;
    let profile = tempfile::tempdir().unwrap();
    let output = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"])
        .args(["--virtual-time-budget=5000", "--dump-dom"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(format!("file://{}#{fragment}", file.display()))
        .output()
        .unwrap();
    Some(String::from_utf8(output.stdout).unwrap())
}

#[test]
fn single_file_answers_alone_in_an_empty_folder() {
    let output = site::output(&repository(""));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("garment.html");
    fs::write(&file, &output["garment.html"]).unwrap();
    let Some(page) = opened(&file, "state-code=nb&bar-code=twelve-figure") else {
        eprintln!("skipped: no Chromium, so the single file is not opened");
        return;
    };
    assert!(page.contains("What it shows cannot all be so. It could, if one of these were replaced or misread:"));
    let page = opened(&file, "model=thessop-yarrick%2Fbelfry&belt-loops=5").unwrap();
    assert!(page.contains("Why the first rather than the next"), "the model is known, so variants are weighed");
    assert!(page.contains("Paragraph for a listing"));
    let hostile =
        opened(&file, "maker=%3Cimg%20src=x%20onerror=alert(1)%3E&hem=%3Cscript%3Ealert(1)%3C/script%3E").unwrap();
    assert!(!hostile.contains("<img") && !hostile.contains("<script>alert"), "text stays text");
}

#[test]
fn single_file_asks_for_nothing_outside_itself() {
    let output = site::output(&repository(""));
    let page = String::from_utf8(output["garment.html"].clone()).unwrap();
    assert!(page.len() < 5 << 20, "{} bytes", page.len());
    for outside in [" src=\"", "<link", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert!(page.contains("default-src &#39;none&#39;; script-src &#39;sha256-"));
}

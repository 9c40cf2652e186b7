//! Chromium without a window: pages of our own, opened from their files.

use std::process::Command;

use tempfile::TempDir;

const BROWSERS: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/// The first browser that answers; where there is none, that is said.
pub fn find() -> Option<&'static str> {
    let answers = |name: &&str| Command::new(name).arg("--version").output().is_ok_and(|told| told.status.success());
    let found = BROWSERS.into_iter().find(answers);
    if found.is_none() {
        eprintln!("skipped: no Chromium, so no page is opened");
    }
    found
}

/// Opens a page and gives what is printed to the terminal; the page's path may have a fragment. The files are our own, so the sandbox, which a root user
/// cannot have, is left out.
pub fn open(browser: &str, page: &str, arguments: &[String]) -> String {
    let profile = TempDir::new().unwrap();
    let output = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .args(arguments)
        .arg(format!("file://{page}"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

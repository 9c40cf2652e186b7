//! The demo as Chromium lays it out: comparisons on one page of A4, no page wider than a phone.
//!
//! Skipped, and said so, where there is no Chromium.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::fmt::Write;
use std::fs;
use std::path::Path;

use crate::support;
use crate::support::{browser, site};
use regex::bytes::Regex;
use tempfile::TempDir;

/// Says of each frame whose page is too wide, or holds a part that has to be scrolled sideways, how wide it is.
const MEASURE: &str = r#"<pre></pre><script>onload = () => {
  const told = document.querySelector('pre'), frames = document.querySelectorAll('iframe');
  const scrolls = part => part.scrollWidth > part.clientWidth
    && /auto|scroll/.test(getComputedStyle(part).overflowX) && part.tagName != 'PRE';
  for (const frame of frames) {
    const page = frame.contentDocument.documentElement;
    const wide = [...page.querySelectorAll('*')].filter(scrolls).map(part => part.className);
    if (page.scrollWidth > page.clientWidth) wide.push(page.scrollWidth);
    if (wide.length) told.textContent += `TOO ${"WIDE"} ${frame.getAttribute('src')}: ${wide}\n`;
  }
  told.textContent += `MEASURED ${frames.length}.`;
}</script>"#;

/// How many sheets a page takes.
fn sheets(browser: &str, page: &Path) -> usize {
    let folder = TempDir::new().unwrap();
    let paper = folder.path().join("paper.pdf");
    browser::open(browser, &page.display().to_string(), &[format!("--print-to-pdf={}", paper.display())]);
    // ISO 32000-1, 7.7.3: leaves of the page tree have the type Page, its knots the type Pages.
    Regex::new(r"/Type\s*/Page[^s]").unwrap().find_iter(&fs::read(&paper).unwrap()).count()
}

/// The demo's pages in a folder, with more style at the end of its own.
fn demo(style: &str) -> (TempDir, Vec<String>) {
    let folder = TempDir::new().unwrap();
    let output = site::output(&support::repository(""));
    let wanted = output
        .iter()
        .filter(|(path, _)| [".html", ".jpg"].iter().any(|end| path.ends_with(end)) || path.starts_with("assets/"));
    for (path, content) in wanted {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }
    let path = folder.path().join("assets/site.css");
    fs::write(&path, fs::read_to_string(&path).unwrap() + style).unwrap();
    (folder, output.into_keys().filter(|path| path.ends_with(".html")).collect())
}

#[test]
fn each_comparison_of_the_demo_prints_on_one_page() {
    let Some(browser) = browser::find() else { return };
    let (folder, pages) = demo("@page { size: A4; }\n");
    // Lines over all their models take more than a page; two variants of one model do not.
    let pages: Vec<&String> =
        pages.iter().filter(|path| path.starts_with("compare/") && path.matches('/').count() == 3).collect();
    let counted = pages.iter().map(|path| (path, sheets(browser, &folder.path().join(path))));
    let long: Vec<_> = counted.filter(|(_, sheets)| *sheets != 1).collect();
    assert!(pages.len() > 15 && long.is_empty(), "of {}: {long:?}", pages.len());
}

#[test]
fn each_field_sheet_of_the_demo_prints_on_both_sides_of_one_sheet() {
    let Some(browser) = browser::find() else { return };
    let (folder, pages) = demo("");
    let pages: Vec<&String> = pages.iter().filter(|path| path.starts_with("sheets/")).collect();
    let counted = pages.iter().map(|path| (path, sheets(browser, &folder.path().join(path))));
    let long: Vec<_> = counted.filter(|(_, sheets)| *sheets > 2).collect();
    assert!(pages.len() > 5 && long.is_empty(), "of {}: {long:?}", pages.len());
}

#[test]
fn each_page_of_steps_of_the_demo_prints_on_one_side() {
    let Some(browser) = browser::find() else { return };
    let (folder, pages) = demo("");
    let pages: Vec<&String> = pages.iter().filter(|path| path.starts_with("steps/")).collect();
    let counted = pages.iter().map(|path| (path, sheets(browser, &folder.path().join(path))));
    let long: Vec<_> = counted.filter(|(_, sheets)| *sheets != 1).collect();
    assert!(pages.len() > 4 && long.is_empty(), "of {}: {long:?}", pages.len());
}

#[test]
fn a_page_of_two_sheets_is_counted_as_two() {
    let Some(browser) = browser::find() else { return };
    let folder = TempDir::new().unwrap();
    let page = folder.path().join("two.html");
    fs::write(&page, "<p>one<p style='break-before: page'>two").unwrap();
    assert_eq!(sheets(browser, &page), 2);
}

#[test]
fn no_model_no_comparison_and_no_page_of_the_whole_site_is_wider_than_a_phone() {
    let Some(browser) = browser::find() else { return };
    let (folder, pages) = demo("");
    fs::write(folder.path().join("wide.html"), "<p style='width: 400px'>wide").unwrap();
    let is_model = |path: &&str| path.starts_with("makers/") && path.matches('/').count() == 2;
    let whole = ["index.html", "landmarks.html", "sources.html", "index-a-z.html", "downloads.html", "contribute.html"];
    let is_checked = |path: &&str| path.starts_with("compare/") || is_model(path) || whole.contains(path);
    let pages = pages.iter().map(String::as_str).filter(is_checked);
    let (mut frames, mut count) = (String::from("<!doctype html>"), 0);
    for page in pages.chain(["wide.html"]) {
        write!(frames, "<iframe width=360 height=700 src='{page}' style='border: 0'></iframe>").unwrap();
        count += 1;
    }
    let wrapper = folder.path().join("phone.html");
    fs::write(&wrapper, frames + MEASURE).unwrap();
    let told = browser::open(
        browser,
        &wrapper.display().to_string(),
        &["--allow-file-access-from-files".into(), "--dump-dom".into()],
    );
    assert!(count > 20 && told.contains(&format!("MEASURED {count}.")), "{told}");
    let wide: Vec<&str> = told.lines().filter_map(|line| line.split_once("TOO WIDE ")).map(|found| found.1).collect();
    assert_eq!(wide, ["wide.html: 408"], "the page made wide, and no other");
}

/// Says of each picture of the framed pages how wide it is as loaded, and whether it is wider than its page.
const PICTURES: &str = r#"<pre></pre><script>onload = () => setTimeout(() => {
  for (const frame of document.querySelectorAll('iframe')) {
    const page = frame.contentDocument, side = page.documentElement;
    for (const picture of page.querySelectorAll('.photograph img')) {
      const chosen = picture.currentSrc.split('/').pop();
      const fits = picture.getBoundingClientRect().right <= side.clientWidth && side.scrollWidth <= side.clientWidth;
      document.querySelector('pre').textContent += `${"SHOWN"} ${chosen} ${picture.naturalWidth > 0} ${fits}\n`;
    }
  }
}, 2000)</script>"#;

#[test]
fn photographs_are_shown_on_a_phone_and_on_a_desk_without_a_server() {
    let Some(browser) = browser::find() else { return };
    let (folder, pages) = demo("");
    let shown =
        |path: &&String| fs::read_to_string(folder.path().join(path)).unwrap().contains("<figure class=\"photograph\"");
    let pages: Vec<&String> = pages.iter().filter(shown).collect();
    // Six observations, and the seven features that their photographs show.
    assert_eq!(pages.len(), 13);
    for (width, chosen) in [(360, "-480.jpg true true"), (1200, "-960.jpg true true")] {
        // Pictures far below are loaded late, so the frames are as tall as the pages.
        let frame = |page: &&String| format!("<iframe width={width} height=5000 src='{page}'></iframe>");
        let wrapper = folder.path().join("shown.html");
        let frames: String = pages.iter().map(frame).collect();
        fs::write(&wrapper, format!("<!doctype html>{frames}{PICTURES}")).unwrap();
        let arguments =
            ["--allow-file-access-from-files", "--dump-dom", "--virtual-time-budget=20000", "--window-size=1400,60000"];
        let told = browser::open(browser, &wrapper.display().to_string(), &arguments.map(String::from));
        let told: Vec<&str> = told.lines().filter_map(|line| line.split_once("SHOWN ")).map(|found| found.1).collect();
        assert!(told.len() >= pages.len() && told.iter().all(|one| one.ends_with(chosen)), "{width}: {told:?}");
    }
}

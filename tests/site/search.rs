//! The search: under Node against the demo and 20,000 records, and in a real browser from a folder.

use std::fs;
use std::process::Command;

use tempfile::TempDir;

use crate::site::{DEMO, page, write};
use crate::support::{browser, repository};

#[test]
fn names_years_and_misspellings_are_found_with_work_that_grows_no_faster_than_the_records() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so nothing is searched");
        return;
    }
    let folder = TempDir::new().unwrap();
    let index = folder.path().join("search.js");
    fs::write(&index, &DEMO["search.js"]).unwrap();
    let run = Command::new("node").arg(repository("tests/site/search.cjs")).arg(&index).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    print_to_who_looks(&out);
    assert!(run.status.success() && out.contains("searches hold"), "{out}{err}");
}

#[allow(clippy::print_stdout)]
fn print_to_who_looks(out: &str) {
    println!("{out}");
}

/// What a reader does: goes to the field, types, goes down twice, up once; then what the page is made of is told.
const ACT: &str = r#"
addEventListener("load", () => {
  const field = document.getElementById("find"), told = document.createElement("pre");
  const before = [...document.scripts].map((one) => one.getAttribute("src")).join(" ");
  field.focus();
  field.value = "brakwold";
  field.dispatchEvent(new Event("input"));
  const press = (key) => field.dispatchEvent(new KeyboardEvent("keydown", { key, cancelable: true }));
  const wait = setInterval(() => {
    const options = document.querySelectorAll('[role="option"]');
    if (!options.length) return;
    clearInterval(wait);
    press("ArrowDown"); press("ArrowDown"); press("ArrowUp");
    const active = document.getElementById(field.getAttribute("aria-activedescendant"));
    told.textContent = `BEFORE ${before}. FIRST ${options[0].textContent}; ACTIVE ${active === options[0]} `
      + `${active.getAttribute("aria-selected")}; EXPANDED ${field.getAttribute("aria-expanded")}; `
      + `HREF ${options[0].getAttribute("href")}; STATUS ${document.querySelector('[role="status"]').textContent}`;
    press("Escape");
    told.textContent += ` CLOSED ${field.getAttribute("aria-expanded")} ${document.getElementById("found").hidden}`;
    document.body.append(told);
  }, 20);
});
"#;

#[test]
fn a_page_from_a_folder_loads_the_index_when_the_field_is_used_and_keys_move_through_what_is_found() {
    let Some(browser) = browser::find() else { return };
    let folder = TempDir::new().unwrap();
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".js") || path.ends_with(".html")) {
        write(folder.path(), path, content);
    }
    let start = "makers/quillander.html";
    let html = page(&DEMO, start).replace("</body>", "<script src=\"../act.js\"></script></body>");
    write(folder.path(), start, html.as_bytes());
    write(folder.path(), "act.js", ACT.as_bytes());
    let path = folder.path().join(start);
    let arguments = ["--dump-dom".to_string(), "--virtual-time-budget=8000".to_string()];
    let told = browser::open(browser, &path.display().to_string(), &arguments);
    let told = told.split("<pre>").nth(1).unwrap_or_else(|| panic!("nothing was found: {told}"));
    assert!(told.starts_with("BEFORE ../assets/nodes.js ../assets/photographs.js ../assets/search.js ../act.js. FIRST Brackwold Tharn maker"), "{told}");
    assert!(told.contains("ACTIVE true true; EXPANDED true; HREF ../makers/brackwold-tharn.html"), "{told}");
    assert!(told.contains("found") && told.contains("CLOSED false true"), "{told}");
}

#[test]
fn every_page_has_the_link_to_all_names_and_none_holds_the_index() {
    // The page that is shown at any address finds the search by a script of its own.
    let others = ["garment.html", "404.html"];
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".html") && !others.contains(&path.as_str())) {
        let html = std::str::from_utf8(content).unwrap();
        assert!(html.contains("index-a-z.html\">A–Z</a></div>") && html.contains("assets/search.js\" defer"), "{path}");
        assert!(!html.contains("bartackSearch"), "{path}");
    }
    assert!(DEMO["assets/search.js"].len() < 6_000, "each page loads it: {} bytes", DEMO["assets/search.js"].len());
}

//! What `garment.html` carries packed, opened by its own scripts under Node, against `rules.json`.

use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::process::Command;

use tempfile::TempDir;

use crate::support::numbers::Numbers;
use crate::support::{repository, site};

/// Opens the page of a knowledge base, and gives what the script says of it.
fn opened(root: &Path) -> Option<String> {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so nothing packed is opened");
        return None;
    }
    let output = site::output(root);
    let folder = TempDir::new().unwrap();
    let [page, rules] = ["garment.html", "rules.json"].map(|name| folder.path().join(name));
    fs::write(&page, &output["garment.html"]).unwrap();
    fs::write(&rules, &output["rules/rules.json"]).unwrap();
    let run = Command::new("node").arg(repository("tests/dating/expanded.cjs")).args([&page, &rules]).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success(), "{out}{err}");
    Some(out.into_owned())
}

/// Trousers measured in three ways, dated in every way and not at all, some of them found together.
fn measured() -> TempDir {
    let mut numbers = Numbers(0x0123_feed);
    let root = TempDir::new().unwrap();
    let write = |path: &str, text: &str| {
        let path = root.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    };
    let mut vocabulary = String::new();
    for feature in ["waist", "rise", "knee"] {
        let varies = if feature == "waist" { "bands = [30, 34]" } else { "varies-with = [\"waist\"]" };
        writeln!(
            vocabulary,
            "[{feature}]\nname = \"{feature}\"\nkind = \"measure\"\nunit = \"in\"\ntolerance = 0.25\n\
             range = [1, 60]\nlook = \"Measure.\"\n{varies}\n"
        )
        .unwrap();
    }
    write("schema/vocabulary.toml", &vocabulary);
    write("entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n");
    write("entries/makers/hollin/maker.md", "+++\nname = \"N\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n");
    write("entries/makers/hollin/seven/model.md", "+++\nname = \"N\"\ngarment = \"trousers\"\n+++\n");
    for variant in ["a", "b", "c"] {
        let folder = format!("entries/makers/hollin/seven/{variant}");
        write(&format!("{folder}/variant.md"), "+++\nname = \"N\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        for number in 0..40 {
            let year = 1950 + numbers.below(25);
            let made = match numbers.below(5) {
                0 => String::new(),
                1 => format!("made = \"{year}-0{}\"\nmade-by = \"mark\"\n", 1 + numbers.below(9)),
                2 => format!("made = \"{year}/{}\"\nmade-by = \"paper\"\n", year + 1 + numbers.below(15)),
                3 => format!("made = \"{year}~\"\nmade-by = \"estimate\"\nmade-from = [\"knee\"]\n"),
                _ => format!("made = \"{year}\"\nmade-by = \"mark\"\n"),
            };
            let find =
                if numbers.below(4) == 0 { format!("find = \"barn-{}\"\n", numbers.below(3)) } else { String::new() };
            let [waist, rise, knee] = [28.0, 10.0, 18.0].map(|least| least + numbers.below(160) as f64 / 20.0);
            let front = format!("basis = \"specimen\"\nobserved = 2020-01-01\nplaced-by = \"mark\"\n{made}{find}");
            let features = format!("[features]\nwaist = {waist}\nrise = {rise}\nknee = {knee}\n");
            write(&format!("{folder}/o{number}.md"), &format!("+++\n{front}{features}+++\nSeen.\n"));
        }
    }
    root
}

#[test]
fn phone_page_expands_to_the_rules_of_the_demo() {
    if let Some(said) = opened(&repository("")) {
        assert!(!said.starts_with("0 of"), "{said}");
    }
}

#[test]
fn phone_page_expands_to_the_rules_digit_for_digit_whatever_the_dates() {
    if let Some(said) = opened(measured().path()) {
        assert!(!said.starts_with("0 of") && !said.contains(" of 0"), "{said}");
    }
}

//! Pipes and devices where a file is expected: refused in a sentence, since one that nobody writes into waits for ever.

use std::process::Command;

use crate::import::Desk;

#[test]
fn a_pipe_in_any_place_is_refused_at_once_and_nothing_is_written() {
    let desk = Desk::new();
    let before = desk.files();
    let sheet = desk.put("barn.csv", "Model;Line;Wearer;Seen on\nSluice 118;Underlode;men;2026-03-14\n");
    let other =
        desk.put("there/entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n");
    let other = other.trim_end_matches("/entries/about.md").to_string();
    let pipe = |name: &str| {
        let path = desk.put(name, "");
        std::fs::remove_file(&path).unwrap();
        assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
        path
    };
    let (plain, draft, bundle) = (pipe("folder"), pipe("draft.md"), pipe("bundle.zip"));
    for arguments in [
        vec![plain.as_str()],
        vec![draft.as_str()],
        vec![bundle.as_str()],
        vec![sheet.as_str(), "--map", plain.as_str()],
        vec![other.as_str(), "--map", plain.as_str()],
        vec![sheet.as_str(), "--map", "/dev/null"],
    ] {
        let ran = desk.import(&[&arguments[..], &["--write"]].concat());
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.told, ran.summary);
        let named = arguments.last().unwrap();
        let sentence = "is a pipe, a device or a socket; write what it gives into a file, and name that file";
        assert!(ran.summary.contains(named) && ran.summary.contains(sentence), "{arguments:?}: {}", ran.summary);
        assert_eq!(desk.files(), before, "{arguments:?}");
    }
}

#[test]
fn a_sheet_to_date_that_is_a_pipe_is_refused_at_once() {
    let desk = Desk::new();
    let path = desk.put("barn.csv", "");
    std::fs::remove_file(&path).unwrap();
    assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
    for sheet in [path.as_str(), "/dev/null"] {
        let ran = desk.run(&["date", "--batch", sheet]);
        let sentence = "is a pipe, a device or a socket; write what it gives into a file, and name that file";
        assert!(ran.code == 2 && ran.summary.contains(sheet) && ran.summary.contains(sentence), "{}", ran.summary);
        assert_eq!(ran.told, "");
    }
}

#[test]
fn a_link_to_a_file_is_still_read() {
    let desk = Desk::new();
    let sheet = desk.put("barn.csv", "Model;Line;Wearer;Seen on\nSluice 118;Underlode;men;2026-03-14\n");
    let link = desk.put("link.csv", "");
    std::fs::remove_file(&link).unwrap();
    std::os::unix::fs::symlink(&sheet, &link).unwrap();
    let ran = desk.import(&[&link]);
    assert!(ran.code == 0 && ran.summary.starts_with("1 entry to write"), "{}{}", ran.told, ran.summary);
}

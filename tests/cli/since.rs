//! `build --since`: what changed since a revision, published beside the tables.

use std::fs;

use crate::support::history::History;

const VARIANT: &str = "entries/makers/hollin/no-4/best/variant.md";

fn history() -> History {
    let history = History::empty();
    let variant = "+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
    for (path, text) in [
        ("entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n"),
        ("entries/makers/hollin/maker.md", "+++\nname = \"Hollin\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n"),
        ("entries/makers/hollin/no-4/model.md", "+++\nname = \"No. 4\"\ngarment = \"jacket\"\n+++\n"),
        (VARIANT, variant),
        ("schema/vocabulary.toml", ""),
    ] {
        history.write(path, text);
    }
    history.commit("a variant");
    history.git(&["tag", "first"]);
    let garment = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1971\"\nmade-by = \"paper\"\n+++\n";
    history.write("entries/makers/hollin/no-4/best/barn.md", garment);
    history.commit("a garment");
    history
}

#[test]
fn what_changed_since_a_tag_is_published_as_diff_says_it() {
    let history = history();
    let build = history.run(&["build", "--since", "first"]);
    assert_eq!(build.status.code(), Some(0), "{}", String::from_utf8_lossy(&build.stderr));
    let published = fs::read(history.base().join("out/data/changes.json")).unwrap();
    let diff = history.run(&["diff", "first", "--format", "json"]).stdout;
    assert_eq!(String::from_utf8(published), String::from_utf8(diff));
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(history.base().join("out/data/changes.json")).unwrap()).unwrap();
    assert_eq!(json["files"]["added"].as_array().unwrap().len(), 1);
    let page = fs::read_to_string(history.base().join("out/downloads.html")).unwrap();
    assert!(page.contains("href=\"data/changes.json\""), "{page}");
    // Without it there is no such file, neither on the page nor in the folder.
    assert_eq!(history.run(&["build"]).status.code(), Some(0));
    assert!(!history.base().join("out/data/changes.json").exists());
    assert!(!fs::read_to_string(history.base().join("out/downloads.html")).unwrap().contains("changes.json"));
}

#[test]
fn a_revision_that_is_not_there_stops_the_build_and_leaves_the_output() {
    let history = history();
    assert_eq!(history.run(&["build"]).status.code(), Some(0));
    let before = fs::read(history.base().join("out/index.html")).unwrap();
    for revision in ["never", "--upload-pack=x", ""] {
        let build = history.run(&["build", "--since", revision]);
        assert_eq!(build.status.code(), Some(2), "{revision}");
        assert!(String::from_utf8_lossy(&build.stderr).contains(revision));
    }
    assert_eq!(fs::read(history.base().join("out/index.html")).unwrap(), before);
    assert!(!history.base().join("out/data/changes.json").exists());
}

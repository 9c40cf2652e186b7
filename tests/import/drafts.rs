//! Drafts from the site: many at once, with photographs, older than the vocabulary, or of a variant that moved.

use std::fs;
use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::import::{Desk, support};

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/underlode-men";

/// A draft as the page writes it.
fn draft(folder: &str, name: &str, more: &str) -> String {
    format!(
        "+++\n# goes to: {folder}/{name}.md\nbasis = \"specimen\"\nobserved = 2026-03-14\nobserver = \"wren\"\n\
         made = \"1977\"\nmade-by = \"estimate\"\n{more}+++\nSeen at a fair.\n"
    )
}

fn picture() -> Vec<u8> {
    let path = "entries/makers/thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png";
    fs::read(support::repository(path)).unwrap()
}

#[test]
fn drafts_and_their_photographs_go_where_the_page_says() {
    let desk = Desk::new();
    let photos = "photos = [\n  { file = \"hem.png\", shows = [\"hem\"], credit = \"wren\", licence = \"CC-BY-4.0\" },\n]\n\n[features]\nhem = \"chain-stitch\"\n";
    let one = desk.put("a/one.md", draft(FOLDER, "1977-wren", photos));
    let other = desk.put("b/two.md", draft(FOLDER, "1977-wren", photos));
    let stray = desk.put("b/stray.md", draft("entries/unplaced", "stray", "\n[features]\nhem = \"lockstitch\"\n"));
    desk.put("a/hem.png", picture());
    desk.put("b/hem.png", picture());
    let ran = desk.import(&[&one, &other, &stray, "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert_eq!(
        desk.read(&format!("{FOLDER}/1977-wren.md")),
        draft(FOLDER, "1977-wren", photos).replace(&format!("# goes to: {FOLDER}/1977-wren.md\n"), "")
    );
    // What would take the name of another gets a number, and the entry says so of its photograph.
    assert!(desk.read(&format!("{FOLDER}/1977-wren-2.md")).contains("{ file = \"hem-2.png\", shows"));
    for name in ["hem.png", "hem-2.png"] {
        assert_eq!(fs::read(desk.root().join(FOLDER).join(name)).unwrap(), picture());
    }
    assert!(desk.files().contains(&"entries/unplaced/stray.md".to_string()));
    let check = desk.run(&["check", FOLDER, "entries/unplaced"]);
    assert!(check.code == 0 && !check.told.contains("photo-problems"), "{}", check.told);
    let again = desk.import(&[&one, &stray]);
    assert_eq!(again.summary, "0 entries to write, 0 wrong, 2 recorded already\n");
}

/// A bundle as the page packs it: an entry and its photographs, stored as they are.
fn bundle(files: &[(&str, &[u8])]) -> Vec<u8> {
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(*name, stored).unwrap();
        archive.write_all(bytes).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

#[test]
fn a_bundle_brings_its_photographs_and_they_take_no_name_of_others() {
    let desk = Desk::new();
    let photos = "photos = [{ file = \"hem.png\", shows = [\"hem\"], credit = \"wren\", licence = \"CC-BY-4.0\" }]\n\n[features]\nhem = \"chain-stitch\"\n";
    let entry = draft(FOLDER, "1977-wren", photos);
    let one = desk.put("one.zip", bundle(&[("1977-wren.md", entry.as_bytes()), ("hem.png", &picture())]));
    let other = entry.replace("at a fair", "in a loft");
    let two = desk.put("two.ZIP", bundle(&[("x/1977-wren.md", other.as_bytes()), ("x/hem.png", &picture())]));
    let listed = desk.import(&[&one, &two]);
    assert!(listed.code == 0 && !listed.told.contains("photo-problems"), "{}{}", listed.told, listed.summary);
    assert!(!desk.files().contains(&format!("{FOLDER}/1977-wren.md")), "a dry run writes nothing");
    let ran = desk.import(&[&one, &two, "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert!(desk.read(&format!("{FOLDER}/1977-wren-2.md")).contains("{ file = \"hem-2.png\", shows"));
    for name in ["hem.png", "hem-2.png"] {
        assert_eq!(fs::read(desk.root().join(FOLDER).join(name)).unwrap(), picture());
    }
    assert_eq!(desk.import(&[&one]).summary, "0 entries to write, 0 wrong, 1 recorded already\n");
}

#[test]
fn a_bundle_that_is_none_is_refused_by_name_and_the_others_are_written() {
    let desk = Desk::new();
    let entry = draft("entries/unplaced", "stray", "\n[features]\nhem = \"lockstitch\"\n");
    let good = desk.put("good.zip", bundle(&[("stray.md", entry.as_bytes())]));
    let wrong = desk.put("wrong.zip", bundle(&[("notes.txt", b"hem")]));
    let broken = desk.put("broken.zip", b"PK\x03\x04");
    let ran = desk.import(&[&good, &wrong, &broken, "--write"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.told.contains("wrong.zip") && ran.told.contains("holds `notes.txt`, which is neither an entry"),
        "{}",
        ran.told
    );
    assert!(ran.told.contains("broken.zip") && ran.told.contains("is damaged"), "{}", ran.told);
    assert!(desk.files().contains(&"entries/unplaced/stray.md".to_string()));
}

#[test]
fn a_draft_older_than_the_vocabulary_is_told_line_by_line() {
    let desk = Desk::new();
    let old = desk.put(
        "old.md",
        draft(FOLDER, "old", "\n[features]\nhem = \"chain-stitch\"\nbelt-lops = 5\nzip-metal = \"gold\"\n"),
    );
    let good = desk.put("good.md", draft(FOLDER, "old", "\n[features]\nhem = \"chain-stitch\"\n"));
    let ran = desk.import(&[&old, &good, "--write"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.told.contains("old.md, line 11: unknown feature `belt-lops`, the nearest is `belt-loops`"),
        "{}",
        ran.told
    );
    assert!(ran.told.contains("old.md, line 12: `zip-metal` has no state `gold`"), "{}", ran.told);
    assert!(ran.told.contains("The vocabulary may have changed since the draft was started"), "{}", ran.told);
    // The wrong one takes no name from the good one.
    assert!(desk.read(&format!("{FOLDER}/old.md")).contains("hem = \"chain-stitch\""));
}

#[test]
fn a_variant_that_moved_takes_its_drafts_along() {
    let desk = Desk::new();
    let variant = desk.read(&format!("{FOLDER}/variant.md"));
    let moved =
        variant.replacen("+++\n", "+++\nformerly = [\"makers/brackwold-tharn/sluice-118/cheap-men/variant\"]\n", 1);
    fs::write(desk.root().join(FOLDER).join("variant.md"), moved).unwrap();
    let then = "entries/makers/brackwold-tharn/sluice-118/cheap-men";
    let ran = desk.import(&[&desk.put("d.md", draft(then, "kept", "")), "--write"]);
    assert_eq!(ran.code, 0, "{}", ran.told);
    assert!(
        ran.told.contains(
            "the variant `brackwold-tharn/sluice-118/cheap-men` is now `brackwold-tharn/sluice-118/underlode-men`"
        ),
        "{}",
        ran.told
    );
    assert!(desk.files().contains(&format!("{FOLDER}/kept.md")));
    let gone = desk.import(&[&desk.put("d.md", draft("entries/makers/brackwold-tharn/sluice-118/no-such", "x", ""))]);
    assert_eq!(gone.code, 1);
    assert!(gone.told.contains("is not recorded, not even under an earlier name"), "{}", gone.told);
}

#[test]
fn nothing_leads_out_of_the_knowledge_base() {
    let desk = Desk::new();
    let before = desk.files();
    for path in
        ["entries/../../out", "/tmp/out", "entries/makers/brackwold-tharn/maker", "entries/sources/out", "schema/out"]
    {
        let draft = format!("+++\n# goes to: {path}.md\nbasis = \"specimen\"\n+++\n");
        let ran = desk.import(&[&desk.put("d.md", draft), "--write"]);
        assert_eq!(ran.code, 1, "{path}");
        assert!(ran.told.contains("small letters, digits and hyphens"), "{}", ran.told);
    }
    let secret = desk.put("secret.png", picture());
    let reaching = desk.put("d/d.md", draft(FOLDER, "reaching", "photos = [{ file = \"../secret.png\" }]\n"));
    desk.import(&[&reaching, "--write"]);
    assert!(!desk.files().iter().any(|file| file.ends_with("secret.png")), "{secret}");
    let here: Vec<String> = desk.files().into_iter().filter(|file| !file.ends_with("/reaching.md")).collect();
    assert_eq!(here, before);
}

#[test]
fn a_photograph_that_is_not_beside_the_draft_is_pointed_out() {
    let desk = Desk::new();
    let ran =
        desk.import(&[&desk.put("d.md", draft(FOLDER, "bare", "photos = [{ file = \"gone.jpg\" }]\n")), "--write"]);
    assert_eq!(ran.code, 0, "{}", ran.summary);
    assert!(ran.told.contains("there is no file `gone.jpg` in the folder of this entry"), "{}", ran.told);
    assert!(desk.files().contains(&format!("{FOLDER}/bare.md")));
    assert_eq!(desk.import(&[&desk.put("not.md", "# Notes\n")]).code, 1);
    assert_eq!(desk.import(&[&desk.put("d.md", ""), "--rest", "x.csv"]).code, 2);
}

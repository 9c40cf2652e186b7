//! An import that was killed after the photographs and before their entry: the next one says what it left.

use std::fs;

use crate::import::{Desk, support};

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/underlode-men";
const PICTURE: &str = "entries/makers/thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png";
const OTHER: &str = "entries/makers/brackwold-tharn/sluice-118/standing-gate-men/march-64-inside-leg.png";
const SAID: &str = "hem.png` is there already and no entry names it: an interrupted import may have left it";

/// A desk with a draft and its photograph, which a killed run has already copied to where it goes.
fn desk() -> (Desk, String) {
    let desk = Desk::new();
    let draft = format!(
        "+++\n# goes to: {FOLDER}/1977-wren.md\nbasis = \"specimen\"\nobserved = 2026-03-14\nobserver = \"wren\"\n\
         made = \"1977\"\nmade-by = \"estimate\"\nphotos = [{{ file = \"hem.png\", shows = [\"hem\"], \
         credit = \"wren\", licence = \"CC-BY-4.0\" }}]\n\n[features]\nhem = \"chain-stitch\"\n+++\nSeen at a fair.\n"
    );
    let draft = desk.put("one.md", draft);
    let picture = fs::read(support::repository(PICTURE)).unwrap();
    desk.put("hem.png", &picture);
    fs::write(desk.root().join(FOLDER).join("hem.png"), picture).unwrap();
    (desk, draft)
}

#[test]
fn a_photograph_that_a_killed_import_left_is_used_if_its_bytes_are_equal() {
    let (desk, draft) = desk();
    let files = desk.files();
    let ran = desk.import(&[&draft]);
    assert!(ran.code == 0 && ran.told.contains("`hem.png` is there already, byte for byte"), "{}", ran.told);
    let ran = desk.import(&[&draft, "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert!(!ran.summary.contains(SAID), "{}", ran.summary);
    let entry = format!("{FOLDER}/1977-wren.md");
    assert!(desk.read(&entry).contains("file = \"hem.png\""), "{}", desk.read(&entry));
    let mut expected = [files, vec![entry]].concat();
    expected.sort();
    assert_eq!(desk.files(), expected, "no second copy is written");
}

#[test]
fn of_two_drafts_with_equal_photographs_one_gets_what_was_left() {
    let (desk, draft) = desk();
    let text = fs::read_to_string(&draft).unwrap().replace("at a fair", "in a loft");
    let other = desk.put("two.md", text);
    let ran = desk.import(&[&draft, &other, "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    let files = desk.files();
    let photographs: Vec<_> = files.iter().filter(|path| path.starts_with(&format!("{FOLDER}/hem"))).collect();
    assert_eq!(photographs, [&format!("{FOLDER}/hem-2.png"), &format!("{FOLDER}/hem.png")]);
}

#[test]
fn a_correction_uses_what_a_killed_import_left_of_its_photograph() {
    let (desk, _) = desk();
    let entry = fs::read_dir(desk.root().join(FOLDER)).unwrap().map(|file| file.unwrap().file_name());
    let mut entries: Vec<String> = entries_of(entry.map(|name| name.to_string_lossy().into_owned()));
    let path = format!("{FOLDER}/{}", entries.remove(0));
    let change = "[[change]]\nkey = \"photos.hem.png\"\nnow = { file = \"hem.png\", licence = \"CC-BY-4.0\" }\n";
    let file = desk.put("handed.md", format!("+++\ncorrects = \"{path}\"\n{change}+++\n"));
    let ran = desk.import(&[&file, "--write"]);
    assert!(ran.code == 0 && ran.told.contains("byte for byte"), "{}{}", ran.told, ran.summary);
    assert!(desk.read(&path).contains("photos = [{ file = \"hem.png\""));
}

/// The observations of a folder without photographs, in order.
fn entries_of(names: impl Iterator<Item = String>) -> Vec<String> {
    let mut entries: Vec<String> =
        names.filter(|name| name.ends_with(".md") && name != "variant.md" && !name.contains("rail")).collect();
    entries.sort();
    entries
}

#[test]
fn a_photograph_that_a_killed_import_left_is_named_and_stays_if_its_bytes_differ() {
    let (desk, draft) = desk();
    let other = fs::read(support::repository(OTHER)).unwrap();
    fs::write(desk.root().join(FOLDER).join("hem.png"), other).unwrap();
    for more in [&[][..], &["--write"][..]] {
        let ran = desk.import(&[&[draft.as_str()], more].concat());
        assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
        assert!(ran.summary.contains(SAID) && ran.summary.contains(FOLDER), "{}", ran.summary);
        assert!(desk.files().contains(&format!("{FOLDER}/hem.png")), "nobody knows that it is not wanted");
    }
    assert!(desk.read(&format!("{FOLDER}/1977-wren.md")).contains("file = \"hem-2.png\""));
}

#[test]
fn once_it_is_removed_or_an_entry_names_it_nothing_is_said() {
    let (desk, draft) = desk();
    fs::remove_file(desk.root().join(FOLDER).join("hem.png")).unwrap();
    let ran = desk.import(&[&draft, "--write"]);
    assert!(ran.code == 0 && !ran.summary.contains("is there already"), "{}", ran.summary);
    assert!(desk.read(&format!("{FOLDER}/1977-wren.md")).contains("file = \"hem.png\""));
    let text = fs::read_to_string(&draft).unwrap().replace("at a fair", "in a loft");
    let other = desk.put("two.md", text);
    let ran = desk.import(&[&other]);
    assert!(ran.told.contains("`hem.png` already exists"), "{}", ran.told);
    assert!(!ran.summary.contains("is there already"), "an entry names it: {}", ran.summary);
}

//! Another knowledge base: what it calls otherwise is asked, what is new is brought once, and nothing here is replaced.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use tempfile::TempDir;

use crate::import::{Desk, Ran, support};

const FOLDER: &str = "entries/makers/orrin-velk/fieldgate-7/first-men";

/// A new knowledge base, and another one beside it.
fn desk() -> (Desk, String) {
    let folder = TempDir::new().unwrap();
    support::copy(&support::repository("site/start"), &folder.path().join("base"));
    let there = folder.path().join("there");
    support::copy(&support::repository("tests/import/bases/there"), &there);
    let picture = "entries/makers/thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png";
    fs::copy(support::repository(picture), there.join(FOLDER).join("loft.png")).unwrap();
    (Desk(folder), there.to_string_lossy().into_owned())
}

fn there(desk: &Desk, path: &str) -> PathBuf {
    desk.0.path().join("there").join(path)
}

fn edit(path: PathBuf, from: &str, to: &str) {
    let text = fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{}: {from}", path.display());
    fs::write(path, text.replace(from, to)).unwrap();
}

/// All files of the knowledge base here with their bytes.
fn contents(desk: &Desk) -> BTreeMap<String, Vec<u8>> {
    desk.files().into_iter().map(|path| (path.clone(), fs::read(desk.root().join(path)).unwrap())).collect()
}

/// The file of answers that a maintainer makes of the output.
fn answered(desk: &Desk, ran: &Ran) -> String {
    let answers = ran.told.replace("# \"zinc\" = \"\"", "\"zinc\" = \"steel\"");
    assert_ne!(answers, ran.told);
    desk.put("answers.toml", answers)
}

fn write_all(desk: &Desk, other: &str) -> (Ran, String) {
    let answers = answered(desk, &desk.import(&[other]));
    (desk.import(&[other, "--map", &answers, "--write"]), answers)
}

fn assert_checked(desk: &Desk) {
    let check = desk.run(&["check"]);
    assert_eq!(check.code, 0, "{}{}", check.told, check.summary);
}

#[test]
fn a_dry_run_says_what_would_be_brought_what_is_asked_and_what_cannot_be_brought() {
    let (desk, other) = desk();
    let before = contents(&desk);
    let ran = desk.import(&[&other]);
    assert_eq!((ran.code, contents(&desk)), (1, before), "{}{}", ran.told, ran.summary);
    assert_eq!(
        ran.summary,
        "9 entries to bring, 2 waiting for answers, 2 left out, 4 here already; nothing is written without --write\n"
    );
    let told = ran.told.replace(&other, "there");
    let places = ["Would be brought:", "2 questions about 2 entries", "[values.feature]", "Left out:"]
        .map(|title| told.find(title).unwrap_or_else(|| panic!("{title}: {told}")));
    assert!(places.is_sorted(), "{told}");
    for line in [
        format!("{FOLDER}/barn-find-2.md, there {FOLDER}/barn-find.md\n"),
        "\n\"closure-count\" = \"front-buttons\"   # proposed; 1 entry".to_string(),
        "\n# \"zinc\" = \"\"   # 1 entry".to_string(),
        "`hem-width` has no unit: that is `in` there and would be `cm` here".to_string(),
        "its own check refuses it: `label-make` has no state `knitted`".to_string(),
    ] {
        assert!(told.contains(&line), "{line}: {told}");
    }
    let expected = support::repository("tests/import/bases/expected.txt");
    assert_eq!(support::differs(&expected, &told), None);
}

#[test]
fn what_is_new_is_brought_in_the_words_of_this_knowledge_base_and_nothing_is_replaced() {
    let (desk, other) = desk();
    fs::copy(there(&desk, FOLDER).join("loft.png"), desk.root().join(FOLDER).join("loft.png")).unwrap();
    let before = contents(&desk);
    let (ran, _) = write_all(&desk, &other);
    assert!(ran.summary.contains("loft.png` is there already and no entry names it"), "{}", ran.summary);
    assert!(ran.summary.ends_with("\n11 entries brought, 2 left out, 4 here already\n"), "{}{}", ran.told, ran.summary);
    let after = contents(&desk);
    for (path, bytes) in &before {
        assert!(path == "entries/about.md" || after.get(path) == Some(bytes), "{path} changed");
    }
    let mut new: Vec<&str> = after.keys().filter(|path| !before.contains_key(*path)).map(String::as_str).collect();
    new.retain(|path| !path.starts_with(FOLDER));
    let quay = "entries/makers/tolver-quay";
    let brought = [
        format!("{quay}/maker.md"),
        format!("{quay}/windrow/model.md"),
        format!("{quay}/windrow/own-men/attic.md"),
        format!("{quay}/windrow/own-men/variant.md"),
        "entries/sources/velk-list-1955-2.md".to_string(),
        "entries/unplaced/stray.md".to_string(),
    ];
    assert_eq!(new, brought);
    let own = |name: &str| fs::read_to_string(there(&desk, FOLDER).join(name)).unwrap();
    let loft = own("loft.md")
        .replace("closure-count", "front-buttons")
        .replace("file = \"loft.png\"", "file = \"loft-2.png\"")
        .replace("shows = [\"closure-count\"]", "shows = [\"front-buttons\"]")
        .replace("\"velk-list-1955 p. 2\", \"autumn-list p. 4\"", "\"velk-list-1955-2 p. 2\", \"velk-list-1955 p. 4\"");
    assert_eq!(desk.read(&format!("{FOLDER}/loft.md")), loft);
    assert_eq!(after[&format!("{FOLDER}/loft-2.png")], fs::read(there(&desk, FOLDER).join("loft.png")).unwrap());
    assert_eq!(desk.read(&format!("{FOLDER}/barn-find-2.md")), own("barn-find.md"));
    assert_eq!(desk.read(&format!("{FOLDER}/twin.md")), own("twin.md").replace("\"barn-find\"", "\"barn-find-2\""));
    assert_eq!(desk.read(&format!("{FOLDER}/grey.md")), own("grey.md").replace("zinc", "steel"));
    assert_checked(&desk);
}

#[test]
fn what_is_withheld_there_is_withheld_here() {
    let (desk, other) = desk();
    let about = desk.read("entries/about.md");
    write_all(&desk, &other);
    let line = "  { path = \"makers/orrin-velk/fieldgate-7/first-men/doubtful\", \
                reason = \"the label was sewn on later\" },\n";
    let now = desk.read("entries/about.md");
    assert!(now.contains(line), "{now}");
    assert_eq!(now.replace(&format!("withheld = [\n{line}]\n"), ""), about);
    assert_checked(&desk);
}

#[test]
fn a_second_import_brings_nothing() {
    let (desk, other) = desk();
    let (_, answers) = write_all(&desk, &other);
    let before = contents(&desk);
    let again = desk.import(&[&other, "--map", &answers, "--write"]);
    assert_eq!(again.summary, "0 entries brought, 2 left out, 15 here already\n", "{}", again.told);
    let without = desk.import(&[&other, "--write"]);
    assert!(without.summary.starts_with("0 entries brought, 2 waiting"), "{}{}", without.told, without.summary);
    assert_eq!(contents(&desk), before);
}

#[test]
fn what_was_renamed_or_edited_here_is_not_brought_again() {
    let (desk, other) = desk();
    let (_, answers) = write_all(&desk, &other);
    let renamed = desk.run(&["rename", &format!("{FOLDER}/grey.md"), "grey-coat"]);
    assert_eq!(renamed.code, 0, "{}{}", renamed.told, renamed.summary);
    edit(desk.root().join(FOLDER).join("loft.md"), "by daylight", "counted twice");
    let before = contents(&desk);
    let again = desk.import(&[&other, "--map", &answers, "--write"]);
    assert_eq!(contents(&desk), before, "{}", again.told);
    assert!(again.told.contains(&format!("{FOLDER}/grey-coat.md, there {FOLDER}/grey.md")), "{}", again.told);
    let line = format!("# \"{FOLDER}/loft.md\" = \"{FOLDER}/loft.md\"");
    assert!(again.told.contains(&line), "{}", again.told);
    assert!(again.summary.starts_with("0 entries brought, 1 waiting"), "{}", again.summary);
}

#[test]
fn the_rest_comes_after_a_run_that_stopped() {
    let (desk, other) = desk();
    let (_, answers) = write_all(&desk, &other);
    let whole = contents(&desk);
    // Settings, sources and makers are written first.
    fs::remove_dir_all(desk.root().join("entries/makers/tolver-quay/windrow")).unwrap();
    for path in [format!("{FOLDER}/doubtful.md"), format!("{FOLDER}/twin.md"), "entries/unplaced/stray.md".to_string()]
    {
        fs::remove_file(desk.root().join(path)).unwrap();
    }
    let ran = desk.import(&[&other, "--map", &answers, "--write"]);
    assert!(ran.summary.starts_with("6 entries brought"), "{}{}", ran.told, ran.summary);
    assert_eq!(contents(&desk), whole);
    assert_checked(&desk);
}

#[test]
fn a_maker_of_the_same_id_and_another_name_is_asked_about() {
    let (desk, other) = desk();
    edit(there(&desk, "entries/makers/orrin-velk/maker.md"), "Orrin Velk", "Orrin Velk & Daughters");
    let before = contents(&desk);
    let ran = desk.import(&[&other]);
    assert!(ran.told.contains("is called `Orrin Velk` here and `Orrin Velk & Daughters` there"), "{}", ran.told);
    let line = "# \"orrin-velk\" = \"orrin-velk\"   # ";
    assert!(ran.told.contains(line) && ran.told.contains("; or `orrin-velk-2`\n"), "{}", ran.told);
    let answers = desk.put("answers.toml", "[values.maker]\norrin-velk = \"orrin-velk-2\"\n");
    desk.import(&[&other, "--map", &answers, "--write"]);
    let after = contents(&desk);
    assert!(after.contains_key("entries/makers/orrin-velk-2/fieldgate-7/first-men/barn-find.md"));
    assert!(desk.read("entries/about.md").contains("\"makers/orrin-velk-2/fieldgate-7/first-men/doubtful\""));
    for (path, bytes) in &before {
        assert!(path == "entries/about.md" || after.get(path) == Some(bytes), "{path} changed");
    }
    assert_checked(&desk);
    let again = desk.import(&[&other, "--write"]);
    assert_eq!(contents(&desk), after, "{}", again.told);
}

#[test]
fn a_record_here_that_says_something_else_stays_and_an_answer_settles_it() {
    let (desk, other) = desk();
    let path = "entries/landmarks/round-board-mark.md";
    let landmark = desk.read(path).replace("board-mark\", state = \"round\"", "button-metal\", state = \"steel\"");
    desk.put(&format!("there/{path}"), &landmark);
    let ran = desk.import(&[&other, "--write"]);
    assert!(ran.told.contains(&format!("{path}: `{path}` is here and says something else")), "{}", ran.told);
    assert_ne!(desk.read(path), landmark);
    // What an answer leaves out is nothing wrong.
    fs::remove_file(there(&desk, FOLDER).join("broken.md")).unwrap();
    let left_out = ["loft", "grey", "bare-inches"].map(|name| format!("{FOLDER}/{name}.md"));
    let lines = left_out.iter().map(String::as_str).chain([path]).map(|path| format!("\"{path}\" = \"\"\n"));
    let answers = desk.put("answers.toml", format!("[values.entry]\n{}", lines.collect::<String>()));
    let settled = desk.import(&[&other, "--map", &answers]);
    assert!(settled.told.contains("the entry is left out by your answer"), "{}", settled.told);
    assert_eq!(settled.code, 1, "a question of these entries is still open: {}", settled.told);
}

#[test]
fn a_folder_that_cannot_be_brought_is_refused_in_words() {
    let (desk, other) = desk();
    let before = contents(&desk);
    let refused = |arguments: &[&str], words: &str| {
        let ran = desk.import(&[arguments, &["--write"]].concat());
        assert!(ran.code == 2 && ran.summary.contains(words), "{words}: {}{}", ran.told, ran.summary);
        assert_eq!(contents(&desk), before, "{words}");
    };
    let path = |path: PathBuf| path.to_string_lossy().into_owned();
    refused(&[&path(desk.root())], "is this knowledge base itself");
    refused(&[&path(desk.root().join("entries"))], "lies inside this knowledge base");
    refused(&[&path(desk.0.path().to_path_buf())], "holds this knowledge base");
    refused(&[&path(there(&desk, "schema"))], "has no folder `entries/`");
    refused(&[&other, &desk.put("sheet.csv", "hem\n")], "import another knowledge base alone");
    refused(&[&other, "--rest", "rest.csv"], "--rest and --sheet are for a sheet");
    let vocabulary = fs::read(there(&desk, "schema/vocabulary.toml")).unwrap();
    desk.put("there/schema/vocabulary.toml", "[label-make]\nkind = \n");
    refused(&[&other], "has an error, so what its words mean is not known");
    fs::remove_file(there(&desk, "schema/vocabulary.toml")).unwrap();
    refused(&[&other], "has no `schema/vocabulary.toml`");
    desk.put("there/schema/vocabulary.toml", vocabulary);
    fs::File::create(there(&desk, "entries/unplaced/huge.md")).unwrap().set_len(65 << 20).unwrap();
    refused(&[&other], "holds more than 64 MiB of entries");
    fs::remove_file(there(&desk, "entries/unplaced/huge.md")).unwrap();
    fs::remove_file(there(&desk, "entries/about.md")).unwrap();
    refused(&[&other], "has no `entries/about.md`, so what it withholds is not known");
}

#[test]
fn answers_that_cannot_be_meant_are_refused_in_words() {
    let (desk, other) = desk();
    let before = contents(&desk);
    for (answers, words) in [
        ("zinc", "answers.toml"),
        ("[value.maker]\na = \"b\"\n", "unknown field `value`"),
        ("[values.makr]\na = \"b\"\n", "not `makr`"),
        ("[values.maker]\norrin-vell = \"x\"\n", "has no maker `orrin-vell`; write `orrin-velk`"),
        ("[values.source]\nautum-list = \"x\"\n", "has no source `autum-list`; write `autumn-list`"),
        ("[values.feature]\nclosure-count = \"front-button\"\n", "no feature `front-button`; write `front-buttons`"),
        ("[values.feature]\nclosure-count = \"hem-width\"\n", "`hem-width` is a measure in `cm` here"),
        ("[values.maker]\ntolver-quay = \"Tolver\"\n", "neither a maker here nor a free name"),
        ("[states.button-metal]\nzinc = \"tin\"\n", "has no state `tin` here"),
        ("[states.button-metal]\nzink = \"steel\"\n", "has no state `zink`"),
        ("[values.entry]\n\"entries/unplaced/no.md\" = \"\"\n", "has no entry `entries/unplaced/no.md`"),
        (
            "[values.entry]\n\"entries/unplaced/stray.md\" = \"../../stray\"\n",
            "neither the path of an observation here",
        ),
        (
            "[values.entry]\n\"entries/unplaced/stray.md\" = \"entries/about.md\"\n",
            "neither the path of an observation",
        ),
    ] {
        let ran = desk.import(&[&other, "--map", &desk.put("answers.toml", answers), "--write"]);
        assert!(ran.code == 2 && ran.summary.contains(words), "{answers}: {}{}", ran.told, ran.summary);
        assert_eq!(contents(&desk), before, "{answers}");
    }
}

#[cfg(unix)]
#[test]
fn links_pipes_and_large_files_of_the_other_knowledge_base_are_left_out_by_name() {
    let (desk, other) = desk();
    let secret = desk.put("secret.md", fs::read(there(&desk, "entries/unplaced/stray.md")).unwrap());
    std::os::unix::fs::symlink(&secret, there(&desk, "entries/unplaced/link.md")).unwrap();
    let pipe = there(&desk, "entries/unplaced/pipe.md");
    assert!(std::process::Command::new("mkfifo").arg(pipe).status().unwrap().success());
    fs::File::create(there(&desk, "entries/unplaced/large.md")).unwrap().set_len(2 << 20).unwrap();
    let photograph = there(&desk, FOLDER).join("loft.png");
    fs::remove_file(&photograph).unwrap();
    std::os::unix::fs::symlink(&secret, &photograph).unwrap();
    let (ran, _) = write_all(&desk, &other);
    for name in ["entries/unplaced/link.md", "entries/unplaced/pipe.md", "entries/unplaced/large.md"] {
        assert!(ran.told.contains(name) && !desk.files().contains(&name.to_string()), "{name}: {}", ran.told);
    }
    assert!(!desk.files().iter().any(|path| path.ends_with(".png")), "{}", ran.told);
    assert!(desk.files().contains(&format!("{FOLDER}/loft.md")), "{}", ran.told);
    let entries = there(&desk, "entries");
    fs::rename(&entries, there(&desk, "elsewhere")).unwrap();
    std::os::unix::fs::symlink(there(&desk, "elsewhere"), entries).unwrap();
    let linked = desk.import(&[&other]);
    assert!(linked.code == 2 && linked.summary.contains("links are not followed"), "{}", linked.summary);
}

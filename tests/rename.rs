//! `bartack rename` on the demo: whatever is renamed, only names change, on disk and in conclusions.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "rename/merge.rs"]
mod merge;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use bartack::compile::{self, Compilation};
use bartack::disk::{self, DiskProblem};
use bartack::evidence;
use bartack::knowledge::{Knowledge, Side};
use bartack::rename::{self, Plan};
use bartack::source::{FilePath, SourceFile, Sources};
use bartack::vocabulary::Kind;
use rayon::prelude::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};
use tempfile::TempDir;

use crate::support;
use crate::support::history::bartack;

/// A name that stands nowhere in the demo, so that it can be turned back in any text.
const NEW: &str = "renamed-here";

/// The demo in a folder of its own.
fn demo() -> TempDir {
    let folder = TempDir::new().unwrap();
    for part in ["entries", "schema", "site/figures"] {
        support::copy(&support::repository(part), &folder.path().join(part));
    }
    folder
}

/// Every file below a folder, by path, with what it holds.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let all = walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|entry| !entry.file_type().is_dir());
    let named = |path: &Path| path.strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
    all.map(|entry| (named(entry.path()), fs::read(entry.path()).unwrap_or_default())).collect()
}

/// Everything that can be renamed, with its own name.
fn names(knowledge: &Knowledge) -> Vec<(String, String)> {
    let catalog = &knowledge.catalog;
    let addresses = catalog.records.iter().map(|record| record.path.address()).filter(|address| *address != "about");
    let own = |address: &str| {
        let parts: Vec<&str> = address.split('/').collect();
        let is_whole = ["maker", "model", "variant"].contains(&parts[parts.len() - 1]);
        parts[parts.len() - if is_whole { 2 } else { 1 }].to_string()
    };
    let records = addresses.map(|address| (address.to_string(), own(address)));
    let lines = catalog.lines.keys().map(|line| (line.to_string(), line.line().to_string()));
    let features = catalog.vocabulary.iter().map(|feature| (format!("feature:{}", feature.id), feature.id.to_string()));
    let states = catalog.vocabulary.iter().filter_map(|feature| match &feature.kind {
        Kind::State { states } => Some((format!("feature:{}={}", feature.id, states[0]), states[0].to_string())),
        _ => None,
    });
    records.chain(lines).chain(features).chain(states).collect()
}

/// The conclusions as lines under the old name, in no order.
fn conclusions(knowledge: &Knowledge, old: &str) -> BTreeSet<String> {
    let mut lines = BTreeSet::new();
    for (thing, era) in &knowledge.eras {
        let days = Side::ALL.map(|(side, _)| era.bound(side).map(|bound| (bound.day, bound.estimate.is_some())));
        lines.insert(format!("{thing} {days:?}"));
    }
    let sorted = |mut texts: Vec<String>| {
        texts.iter_mut().for_each(|text| *text = text.replace(NEW, old));
        texts.sort();
        texts.join(" ")
    };
    let voices: Vec<String> = knowledge
        .voices
        .iter()
        .map(|voice| sorted(voice.claims.iter().map(|claim| claim.name.to_string()).collect()))
        .collect();
    let standing = knowledge.voices.iter().zip(&voices);
    lines.extend(standing.map(|(voice, names)| format!("{names} {:?} {:?}", voice.standing, voice.weight)));
    for conflict in &knowledge.conflicts {
        lines.insert(sorted(conflict.members.iter().map(|member| voices[member.0 as usize].clone()).collect()));
    }
    for variant in knowledge.catalog.variants.keys() {
        let evidence = evidence::of(knowledge, variant);
        for feature in knowledge.catalog.vocabulary.iter() {
            lines.insert(format!("{variant} {} {}", feature.id, evidence.items(&feature.id).len()));
        }
    }
    lines.iter().map(|line| line.replace(NEW, old)).collect()
}

/// The knowledge base as a plan leaves it.
fn done(sources: &Sources, plan: &Plan) -> Sources {
    let files = sources.iter().map(|(_, file)| {
        let path = file.path().as_str();
        let text = plan.texts.get(path).map_or(file.text(), |change| &change.after);
        SourceFile::new(FilePath::new(plan.path_of(path)), text.to_string())
    });
    let attachments = sources.attachments().iter().cloned().map(|mut beside| {
        beside.path = FilePath::new(plan.path_of(beside.path.as_str()));
        beside
    });
    Sources::new(files.collect()).with_attachments(attachments.collect()).with_marks(sources.marks().to_vec())
}

/// The text without the path that the renaming adds to `formerly`.
fn without_path(text: &str, path: &str) -> String {
    let whole = format!("formerly = [\"{path}\"]\n");
    if text.contains(&whole) { text.replace(&whole, "") } else { text.replace(&format!(", \"{path}\""), "") }
}

fn planned(before: &Compilation, site: &BTreeMap<String, Vec<u8>>, names: (&str, &str)) -> Plan {
    rename::plan(before, site, names, &|_| {}).unwrap_or_else(|refusal| panic!("{names:?}: {refusal}"))
}

#[test]
fn whatever_of_the_demo_is_renamed_only_names_change() {
    let reading = disk::read(&support::repository(""), &|_| {}).unwrap();
    let before = compile::compile(reading.sources, reading.faults, compile::Options::default());
    let expected = conclusions(&before.knowledge, "");
    let names = names(&before.knowledge);
    assert!(names.len() > 300, "{}", names.len());
    names.par_iter().enumerate().for_each(|(number, (name, own))| {
        let plan = planned(&before, &reading.site, (name, NEW));
        for (path, change) in &plan.texts {
            let turned_back = without_path(&change.after, path).replace(NEW, own);
            assert_eq!(turned_back, change.before, "{name}: {path}");
        }
        // The plan holds every conclusion against the earlier ones by itself; a tenth is held to this by hand.
        if number % 10 == 0 {
            let sources = done(&before.knowledge.catalog.sources, &plan);
            let after = compile::compile(sources, Vec::new(), compile::Options::default());
            assert!(conclusions(&after.knowledge, own) == expected, "{name}");
        }
    });
}

#[test]
fn every_kind_is_renamed_on_disk_and_back_again_to_the_same_bytes() {
    let folder = demo();
    let root = folder.path();
    fs::write(root.join("entries/makers/quillander/.kept"), "hidden").unwrap();
    let key = "+++\ntitle = \"A lot\"\nreads = \"lot-number\" # a code\nmakers = [\"quillander\"]\nsources = ['orlby-coats p. 2']\n\
               parts = [{ text = \"Q-\" }, { digits = 2, is = \"year-of-century\" }]\n+++\n";
    fs::create_dir_all(root.join("entries/keys")).unwrap();
    fs::write(root.join("entries/keys/lots-of-quillander.md"), key).unwrap();
    let before = files(root);
    let rows = [
        ("quillander", "entries/makers/renamed-here/.kept"),
        (
            "brackwold-tharn/culmer-31",
            "entries/makers/brackwold-tharn/renamed-here/standing-gate-men/oct-59-pocket-cloth.png",
        ),
        (
            "brackwold-tharn/culmer-31/standing-gate-men",
            "entries/makers/brackwold-tharn/culmer-31/renamed-here/variant.md",
        ),
        ("oct-59-flannel", "entries/makers/brackwold-tharn/culmer-31/standing-gate-men/renamed-here.md"),
        ("unplaced/two-cs-shirt", "entries/unplaced/renamed-here.md"),
        ("sources/orlby-coats", "entries/sources/renamed-here.md"),
        ("landmarks/bar-code", "entries/landmarks/renamed-here.md"),
        ("the-204-of-1958", "entries/disputes/renamed-here.md"),
        ("keys/lots-of-quillander", "entries/keys/renamed-here.md"),
        ("feature:lot-number", "schema/vocabulary.toml"),
        ("quillander/line:tin-lantern", "entries/makers/quillander/maker.md"),
        ("feature:hem", "schema/vocabulary.toml"),
        ("hem=chain-stitch", "schema/vocabulary.toml"),
    ];
    for (name, there) in rows {
        let tried = bartack(root, &["rename", name, NEW, "--dry-run"]);
        assert_eq!(files(root), before, "{name}");
        let output = bartack(root, &["rename", name, NEW]);
        assert_eq!(output.status.code(), Some(0), "{name}: {}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(tried.stdout, output.stdout, "{name}");
        assert!(root.join(there).is_file(), "{there}");
        assert_eq!(bartack(root, &["check"]).status.code(), Some(0), "{name}");
        let own = name.rsplit(['/', ':', '=']).next().unwrap();
        let form = if name == "hem=chain-stitch" { format!("hem={NEW}") } else { NEW.to_string() };
        let back = bartack(root, &["rename", &form, own]);
        assert_eq!(back.status.code(), Some(0), "{name}: {}", String::from_utf8_lossy(&back.stderr));
        assert!(files(root) == before, "{name}");
    }
}

#[test]
fn it_says_what_moved_and_where_references_changed() {
    let folder = demo();
    let output = bartack(folder.path(), &["rename", "bt-catalogue-1994", "bt-winter-1994"]);
    let expected = "entries/sources/bt-catalogue-1994.md becomes entries/sources/bt-winter-1994.md (1 file)\n\
                    entries/makers/brackwold-tharn/sluice-118/standing-gate-men-revival/catalogue-1994.md: 1 reference\n\
                    entries/makers/brackwold-tharn/sluice-118/standing-gate-men-revival/variant.md: 1 reference\n\
                    entries/makers/brackwold-tharn/sluice-118/standing-gate-men/variant.md: 1 reference\n";
    assert_eq!(String::from_utf8_lossy(&output.stdout), expected);
    let summary = "renamed `sources/bt-catalogue-1994` to `sources/bt-winter-1994`: 3 references in 3 files\n";
    assert_eq!(String::from_utf8_lossy(&output.stderr), summary);
    let back = bartack(folder.path(), &["rename", "bt-winter-1994", "bt-catalogue-1994"]);
    assert!(String::from_utf8_lossy(&back.stdout).contains("forgotten: 1 address, because this undoes"));
    // The revival came after the variant it revives, by name, and now comes before it.
    let turned = bartack(folder.path(), &["rename", "standing-gate-men-revival", "again", "--dry-run"]);
    let pair = ["again", "standing-gate-men"].map(|name| format!("brackwold-tharn/sluice-118/{name}")).join(" and ");
    let words = format!("verdict: hem between {pair}: unclear, was same, because the other now comes first by name\n");
    assert!(String::from_utf8_lossy(&turned.stdout).contains(&words), "{}", String::from_utf8_lossy(&turned.stdout));
}

#[test]
fn a_refusal_leaves_every_file_as_it_is() {
    let folder = demo();
    let root = folder.path();
    fs::create_dir(root.join("entries/makers/brackwold-tharn/taken")).unwrap();
    let before = files(root);
    let refused = |names: [&str; 2], words: &str| {
        let output = bartack(root, &["rename", names[0], names[1]]);
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{names:?}: {told}");
        assert!(told.contains(words), "{names:?}: {told}");
        assert!(files(root) == before, "{names:?}");
    };
    refused(["sluice-119", "x"], "near it: `brackwold-tharn/sluice-118`");
    refused(["sluice-118", "../sluice"], "another place");
    refused(["sluice-118", "Sluice"], "small letters");
    refused(["sluice-118", "culmer-31"], "is taken, by");
    // A folder in which nothing lies is seen by the disk alone.
    refused(["sluice-118", "taken"], "already exists");
}

#[test]
fn a_renaming_s_folder_that_came_with_a_commit_is_refused_with_advice_that_works() {
    let folder = demo();
    let root = folder.path();
    let brought = root.join("entries/.bartack-rename");
    fs::create_dir_all(brought.join("old")).unwrap();
    // No commit can know what the system calls the folder here.
    fs::write(brought.join("folder.txt"), "1:1").unwrap();
    fs::write(brought.join("list.txt"), "old/0 is entries/about.md\n").unwrap();
    let before = files(root);
    let refused = |words: &str| {
        let output = bartack(root, &["rename", "sluice-118", "x"]);
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && told.contains(words), "{told}");
    };
    refused("no renaming in this folder made it");
    assert!(files(root) == before);
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let own = fs::symlink_metadata(&brought).map(|folder| format!("{}:{}", folder.dev(), folder.ino())).unwrap();
        fs::write(brought.join("folder.txt"), own).unwrap();
        refused("belongs to another renaming");
    }
    fs::remove_dir_all(brought).unwrap();
    assert!(bartack(root, &["rename", "sluice-118", "x"]).status.success());
}

#[test]
fn a_text_that_was_saved_meanwhile_is_not_overwritten() {
    let folder = demo();
    let root = folder.path();
    let reading = disk::read(root, &|_| {}).unwrap();
    let before = compile::compile(reading.sources, reading.faults, compile::Options::default());
    let plan = planned(&before, &reading.site, ("sluice-118", NEW));
    let saved = root.join("entries/makers/brackwold-tharn/sluice-118/model.md");
    fs::write(&saved, fs::read_to_string(&saved).unwrap() + "\nOne more sentence.\n").unwrap();
    let state = files(root);
    let error = disk::rename(root, &plan).unwrap_err();
    assert!(matches!(error.problem, DiskProblem::Changed) && error.path.ends_with("sluice-118/model.md"));
    assert!(files(root) == state);
}

#[cfg(unix)]
#[test]
fn links_are_neither_followed_nor_moved() {
    let folder = demo();
    let (root, elsewhere) = (folder.path(), TempDir::new().unwrap());
    let reading = disk::read(root, &|_| {}).unwrap();
    let before = compile::compile(reading.sources, reading.faults, compile::Options::default());
    let plan = planned(&before, &reading.site, ("sluice-118", NEW));
    // The whole model is now elsewhere, with a link in its place.
    let model = root.join("entries/makers/brackwold-tharn/sluice-118");
    fs::rename(&model, elsewhere.path().join("sluice-118")).unwrap();
    std::os::unix::fs::symlink(elsewhere.path().join("sluice-118"), &model).unwrap();
    let outside = files(elsewhere.path());
    assert!(matches!(disk::rename(root, &plan).unwrap_err().problem, DiskProblem::Changed));
    assert!(files(elsewhere.path()) == outside && fs::symlink_metadata(&model).unwrap().is_symlink());
    let output = bartack(root, &["rename", "orlby-coats", "x"]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("sluice-118` cannot be read"));
}

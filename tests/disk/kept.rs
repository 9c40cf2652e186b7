//! Pages that are taken over from the old output, and all the ways in which they must not be.

use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use bartack::compile::example;
use bartack::disk;
use bartack::page::Site;
use bartack::publish::grounds::Grounds;
use bartack::publish::output::OutputFile;
use bartack::publish::output::Planned;
use bartack::record::id::MakerId;

use super::{knowledge_base, written};

const PAGE: &str = "makers/tolm/no-1.html";

/// The grounds of a knowledge base of two makers, of one of which something is said.
fn grounds(said: &str) -> Grounds {
    let maker = |id, said| format!("--- entries/makers/{id}/maker.md\n+++\nname = \"The mill\"\n+++\n{said}\n");
    let catalog = example::compile(&(maker("tolm", said) + &maker("orrin", ""))).knowledge.catalog;
    Grounds::new(&catalog, &Site::new(&Default::default()).unwrap())
}

/// Writes a page of a maker and one of nobody's; gives how many of them were made.
fn write(root: &Path, out: &Path, grounds: Option<&Grounds>) -> usize {
    let made = AtomicUsize::new(0);
    let make = || {
        made.fetch_add(1, Ordering::Relaxed);
        Ok::<_, String>(b"a page".to_vec())
    };
    let files = [OutputFile::new("index.html", make), OutputFile::new(PAGE, make).of(MakerId::new("tolm"))];
    disk::write(root, out, &Planned { photographs: &[], files: &files, bundle: None, grounds }).unwrap();
    assert_eq!(written(out)[PAGE], "a page");
    made.load(Ordering::Relaxed)
}

#[test]
fn a_page_is_made_again_only_where_what_it_rests_on_has_changed() {
    let (root, old, new) = (knowledge_base(), grounds("It was small."), grounds("It was large."));
    let out = root.path().join("out");
    let list = || fs::read_to_string(out.join(".bartack")).unwrap();
    assert_eq!(write(root.path(), &out, Some(&old)), 2);
    let first = list();
    assert_eq!(write(root.path(), &out, Some(&old)), 1, "what nobody stands for is always made");
    assert_eq!(list(), first);
    assert_eq!(write(root.path(), &out, Some(&new)), 2, "another word");
    assert_ne!(list(), first);
    assert_eq!(write(root.path(), &out, Some(&old)), 2, "the word of before");
    assert_eq!(list(), first);
}

#[test]
fn nothing_is_taken_over_without_a_list_that_says_what_it_rests_on() {
    let (root, grounds) = (knowledge_base(), grounds(""));
    let out = root.path().join("out");
    assert_eq!(write(root.path(), &out, None), 2);
    assert_eq!(write(root.path(), &out, Some(&grounds)), 2, "written when nobody knew what pages rest on");
    assert_eq!(write(root.path(), &out, None), 2, "nobody knows now");
    assert_eq!(write(root.path(), &out, Some(&grounds)), 2);
    fs::remove_dir_all(&out).unwrap();
    assert_eq!(write(root.path(), &out, Some(&grounds)), 2, "the old output is gone");
    let list = fs::read_to_string(out.join(".bartack")).unwrap();
    let damaged: String =
        list.lines().filter(|line| !line.ends_with("makers/tolm")).map(|line| format!("{line}\n")).collect();
    fs::write(out.join(".bartack"), damaged).unwrap();
    assert_eq!(write(root.path(), &out, Some(&grounds)), 2, "the list has lost the line");
    // An output that came from elsewhere, as the archive of a build server does, serves like one written here.
    let copied = root.path().join("copied");
    fs::create_dir_all(copied.join("makers/tolm")).unwrap();
    for name in ["index.html", PAGE, ".bartack"] {
        fs::copy(out.join(name), copied.join(name)).unwrap();
    }
    assert_eq!(write(root.path(), &copied, Some(&grounds)), 1);
}

#[test]
fn an_output_whose_pages_were_changed_is_refused_before_any_is_taken_over() {
    let (root, grounds) = (knowledge_base(), grounds(""));
    let out = root.path().join("out");
    write(root.path(), &out, Some(&grounds));
    fs::write(out.join(PAGE), "another page").unwrap();
    let files = [OutputFile::new(PAGE, || Ok::<_, String>(Vec::new())).of(MakerId::new("tolm"))];
    let planned = Planned { photographs: &[], files: &files, bundle: None, grounds: Some(&grounds) };
    let refused = disk::write(root.path(), &out, &planned).unwrap_err().to_string();
    assert!(refused.contains(PAGE) && refused.contains("changed since"), "{refused}");
    assert_eq!(fs::read_to_string(out.join(PAGE)).unwrap(), "another page");
}

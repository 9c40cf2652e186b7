//! Which file may import which: no circles, and parts never import what is made of them.
//!
//! A file may import from the files above it in its own folders, so those arrows are left out.

#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};

use crate::architecture::{assert_none, sources};

/// The modules that each module imports, without those above it in its own folders.
type Imports = BTreeMap<String, BTreeSet<String>>;

fn imports() -> Imports {
    let sources = sources();
    let name = |path: &str| path.trim_end_matches(".rs").replace('/', "::");
    let modules: BTreeSet<String> = sources.iter().map(|source| name(&source.path)).collect();
    let mut imports = Imports::new();
    for source in &sources {
        let own = name(&source.path);
        let code: String = source.code().map(|(_, line)| format!("{line}\n")).collect();
        let imported = paths(&code).into_iter().filter_map(|path| module(&modules, &path));
        let is_above = |other: &String| *other == own || own.starts_with(&format!("{other}::"));
        imports.insert(own.clone(), imported.filter(|other| !is_above(other)).collect());
    }
    imports
}

/// Every path that begins with `crate::`, those in braces one by one.
fn paths(code: &str) -> Vec<String> {
    let mut paths = Vec::new();
    for rest in code.split("crate::").skip(1) {
        let end = rest.find(|letter: char| !letter.is_alphanumeric() && !"_:".contains(letter)).unwrap_or(rest.len());
        let (path, after) = rest.split_at(end);
        match after.strip_prefix('{').and_then(|after| after.split_once('}')) {
            Some((items, _)) => paths.extend(items.split(',').map(|item| format!("{path}{}", item.trim()))),
            None => paths.push(path.to_string()),
        }
    }
    paths
}

/// The module that a path leads into: the longest beginning of it that is a file.
fn module(modules: &BTreeSet<String>, path: &str) -> Option<String> {
    let parts: Vec<&str> = path.split("::").collect();
    let beginnings = (1..=parts.len()).rev().map(|count| parts[..count].join("::"));
    beginnings.into_iter().find(|beginning| modules.contains(beginning))
}

/// Everything that can be reached from a module.
fn reached(imports: &Imports, from: &str) -> BTreeSet<String> {
    let (mut reached, mut waiting) = (BTreeSet::new(), vec![from.to_string()]);
    while let Some(module) = waiting.pop() {
        for next in imports.get(&module).into_iter().flatten() {
            if reached.insert(next.clone()) {
                waiting.push(next.clone());
            }
        }
    }
    reached
}

fn is_within(module: &str, folder: &str) -> bool {
    module == folder || module.starts_with(&format!("{folder}::"))
}

#[test]
fn paths_in_braces_are_read_one_by_one() {
    let code = "use crate::a::b::{self, C};\nuse crate::d;\nlet x = crate::e::f(1);";
    assert_eq!(paths(code), ["a::b::self", "a::b::C", "d", "e::f"]);
}

#[test]
fn no_imports_run_in_a_circle() {
    let imports = imports();
    let in_circles = imports.keys().filter(|module| reached(&imports, module).contains(*module));
    assert_none(in_circles.cloned().collect(), "two modules that need each other are one, or hide a third");
}

/// The pages that hold a part of an export: their scripts read what other programs read.
const STILL_IMPORTED: &[(&str, &str)] =
    &[("publish::page::in_hand", "publish::export::rules"), ("publish::page::keys", "publish::export::rules")];

#[test]
fn pages_and_exports_import_no_page_and_no_export() {
    let kinds = ["publish::page::", "publish::export::"];
    let publisher = |module: &str| {
        let kind = kinds.iter().find(|kind| module.starts_with(**kind))?;
        let name = module[kind.len()..].split("::").next()?;
        Some(format!("{kind}{name}"))
    };
    let mut found = Vec::new();
    for (module, imported) in imports() {
        let Some(own) = publisher(&module) else { continue };
        let others = imported.iter().filter_map(|other| publisher(other)).filter(|other| *other != own);
        let others = others.filter(|other| !STILL_IMPORTED.contains(&(own.as_str(), other.as_str())));
        found.extend(others.map(|other| format!("{module} -> {other}")));
    }
    assert_none(found, "no publisher imports another");
}

#[test]
fn a_part_imports_only_what_it_may() {
    // A folder, and what nothing in it imports.
    let rules = [
        ("view", "publish"),
        ("chronology::solver", "chronology"),
        ("knowledge", "chronology"),
        ("knowledge", "evidence"),
        ("knowledge", "comparison"),
        ("knowledge", "dating"),
    ];
    // What stands inside its own folder is no other part.
    let is_foreign = |module: &str, folder: &str, other: &str| is_within(other, folder) && !is_within(other, module);
    let mut found = Vec::new();
    for (module, imported) in imports() {
        for (part, forbidden) in rules.iter().filter(|(part, _)| is_within(&module, part)) {
            let wrong = imported.iter().filter(|other| is_foreign(part, forbidden, other));
            found.extend(wrong.map(|other| format!("{module} -> {other}")));
        }
    }
    assert_none(found, "a part does not know what is made of it");
}

#[test]
fn knowledge_holds_no_lock_and_nothing_lazy() {
    let all = sources();
    let knowledge = all.iter().filter(|source| source.module() == "knowledge");
    let found = knowledge.flat_map(|source| {
        ["Arc<", "Mutex<", "RwLock<", "OnceLock<", "OnceCell<", "LazyLock<"].map(|text| source.holding(text)).concat()
    });
    assert_none(found.collect(), "knowledge is plain data");
}

#[test]
fn no_folder_is_a_crowd() {
    let mut folders: BTreeMap<String, usize> = BTreeMap::new();
    for source in sources() {
        let folder = source.path.rsplit_once('/').map_or("", |(folder, _)| folder);
        *folders.entry(folder.to_string()).or_default() += 1;
    }
    // The top of `src/` holds a file for each module of the map, and each lint is a file of its own.
    let crowds = folders.iter().filter(|(folder, count)| **count > 30 && !["", "lints"].contains(&folder.as_str()));
    assert_none(
        crowds.map(|(folder, count)| format!("src/{folder} holds {count} files")).collect(),
        "at most 30 files",
    );
}

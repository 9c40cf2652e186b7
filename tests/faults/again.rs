//! A build over an older one: the same as a build from nothing, and what stays as it is is not written again.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use walkdir::WalkDir;

use super::{begun, build, demo, err, whole};
use crate::support::numbers::Numbers;

/// The entries of a knowledge base, in order of path.
fn entries(root: &Path) -> Vec<PathBuf> {
    let files = WalkDir::new(root.join("entries")).sort_by_file_name().into_iter().map(Result::unwrap);
    files.filter(|file| file.file_type().is_file()).map(walkdir::DirEntry::into_path).collect()
}

/// Changes an entry at random: another word in its text, another year, one more like it, or none of it.
fn edit(root: &Path, random: &mut Numbers, round: u64) {
    let entries = entries(root);
    let path = &entries[random.below(entries.len() as u64) as usize];
    let text = fs::read_to_string(path).unwrap();
    match random.below(4) {
        0 => fs::write(path, format!("{text}\nSeen again in round {round}.\n")).unwrap(),
        1 => fs::write(path, text.replace("195", "196")).unwrap(),
        2 => fs::write(path.with_file_name(format!("copy-{round}.md")), text).unwrap(),
        _ => fs::remove_file(path).unwrap(),
    }
}

/// What tells a file that was written from one that was left: its time, and on Unix its number too.
fn identities(out: &Path) -> BTreeMap<PathBuf, (std::time::SystemTime, u64)> {
    let files = WalkDir::new(out).into_iter().map(Result::unwrap).filter(|file| file.file_type().is_file());
    files
        .map(|file| {
            let metadata = file.metadata().unwrap();
            #[cfg(unix)]
            let number = std::os::unix::fs::MetadataExt::ino(&metadata);
            #[cfg(not(unix))]
            let number = 0;
            (file.path().strip_prefix(out).unwrap().to_path_buf(), (metadata.modified().unwrap(), number))
        })
        .collect()
}

/// Builds after each of many edits; gives how many builds there were, and how many files were left as they were.
fn rounds(root: &Path, out: &Path, (rounds, seed): (u64, u64)) -> (usize, usize) {
    let cold = out.with_file_name("cold");
    assert!(build(root, out).output().unwrap().status.success());
    let (mut random, mut builds, mut left) = (Numbers(seed), 0, 0);
    for round in 0..rounds {
        edit(root, &mut random, round);
        let (before, old) = (whole(out), identities(out));
        let built = build(root, out).arg("--keep-going").output().unwrap();
        assert!(built.status.code() != Some(2), "{}", err(&built));
        assert!(build(root, &cold).arg("--keep-going").output().unwrap().status.code() != Some(2));
        let (after, new) = (whole(out), identities(out));
        assert_eq!(after, whole(&cold), "round {round}");
        assert_eq!(fs::read(out.join(".bartack")).unwrap(), fs::read(cold.join(".bartack")).unwrap());
        for (path, hash) in &after {
            let is_left = old.get(Path::new(path)) == new.get(Path::new(path));
            assert_eq!(is_left, before.get(path) == Some(hash), "{path} in round {round}");
            left += usize::from(is_left);
        }
        fs::remove_dir_all(&cold).unwrap();
        builds += 1;
    }
    (builds, left)
}

#[test]
fn a_build_over_an_older_one_is_the_same_as_one_from_nothing_and_writes_only_what_differs() {
    let (folder, root) = begun();
    let (builds, left) = rounds(&root, &folder.path().join("out"), (16, 1));
    assert!(builds == 16 && left > 16 * 30, "{left} files left as they were in {builds} builds");
    let folder = tempfile::tempdir().unwrap();
    demo(&folder.path().join("base"), |_| {});
    let (builds, left) = rounds(&folder.path().join("base"), &folder.path().join("out"), (3, 2));
    assert!(builds == 3 && left > 3 * 100, "{left} files left as they were in {builds} builds");
}

/// Forges every file of an output, and the list so that it vouches for the forgeries.
fn forge(out: &Path) {
    let mut list = String::new();
    for path in whole(out).keys() {
        let file = out.join(path);
        let forged = if path.ends_with(".zip") { forged_archive(&file) } else { b"forged".to_vec() };
        list.push_str(&format!("{}  {path}\n", blake3::hash(&forged).to_hex()));
        fs::write(&file, forged).unwrap();
    }
    fs::write(out.join(".bartack"), list).unwrap();
}

/// An archive with the names of another, and other texts under them.
fn forged_archive(archive: &Path) -> Vec<u8> {
    let names = zip::ZipArchive::new(fs::File::open(archive).unwrap()).unwrap();
    let mut forged = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for name in names.file_names() {
        forged.start_file(name.unwrap(), zip::write::SimpleFileOptions::default()).unwrap();
        forged.write_all(b"forged").unwrap();
    }
    forged.finish().unwrap().into_inner()
}

#[test]
fn an_output_that_came_with_a_commit_is_replaced_whole_whatever_its_list_vouches_for() {
    let folder = tempfile::tempdir().unwrap();
    let (root, out) = (folder.path().join("base"), folder.path().join("base/out"));
    demo(&root, |_| {});
    assert!(build(&root, &out).output().unwrap().status.success());
    let (honest, list) = (whole(&out), fs::read(out.join(".bartack")).unwrap());
    let pictures = honest.keys().filter(|path| path.starts_with("photographs/")).count();
    assert!(pictures > 0 && honest.contains_key("site.zip"), "what could be taken over is there");
    forge(&out);
    assert_ne!(whole(&out), honest, "the list vouches for every forgery");
    assert!(build(&root, &out).output().unwrap().status.success());
    assert_eq!(whole(&out), honest);
    assert_eq!(fs::read(out.join(".bartack")).unwrap(), list);
}

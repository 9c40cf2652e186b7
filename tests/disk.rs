//! The folder of a knowledge base to sources, and planned files to an output folder, with everything that can go wrong.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use bartack::disk::{self, DiskError};
use bartack::fault::{FaultKind, Unreadable};
use bartack::publish::output::OutputFile;
use bartack::publish::output::Planned;
use tempfile::TempDir;

#[path = "disk/beside.rs"]
mod beside;
#[path = "disk/hostile.rs"]
mod hostile;

/// A knowledge base with one entry, beside nothing else.
fn knowledge_base() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("entries/makers/tolm")).unwrap();
    fs::create_dir_all(folder.path().join("schema")).unwrap();
    fs::write(folder.path().join("entries/about.md"), "+++\n+++\n").unwrap();
    folder
}

/// What `read` finds wrong, as `path: problem`.
fn faults(root: &Path) -> Vec<String> {
    let reading = disk::read(root, &|_| {}).unwrap();
    let words = reading.faults.iter().map(|fault| {
        let FaultKind::Unreadable(why) = &fault.kind else { panic!("not of the disk: {fault:?}") };
        format!("{}: {why:?}", reading.sources.file(fault.place.file).path())
    });
    words.collect()
}

fn planned(texts: &'static [(&'static str, &'static str)]) -> Vec<OutputFile<'static>> {
    let file =
        |(path, text): &'static (&str, &str)| OutputFile::new(*path, || Ok::<_, String>(text.as_bytes().to_vec()));
    texts.iter().map(file).collect()
}

fn write(root: &Path, out: &Path, files: &[OutputFile<'_>]) -> Result<(), DiskError> {
    disk::write(root, out, &Planned { photographs: &[], files, bundle: None }, &|_| {})
}

/// Every file below a folder with its text, but for bartack's own list.
fn written(folder: &Path) -> BTreeMap<String, String> {
    let files =
        walkdir::WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    let named = files.map(|entry| {
        let name = entry.path().strip_prefix(folder).unwrap().to_string_lossy().into_owned();
        (name, fs::read_to_string(entry.path()).unwrap())
    });
    named.filter(|(name, _)| name != ".bartack").collect()
}

fn names_beside(out: &Path) -> Vec<String> {
    let names = fs::read_dir(out.parent().unwrap()).unwrap();
    let mut names: Vec<_> = names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

const FIRST: &[(&str, &str)] = &[("index.html", "first"), ("makers/tolm/maker.html", "tolm")];
const SECOND: &[(&str, &str)] = &[("index.html", "second"), ("data/eras.csv", "thing")];

#[test]
fn records_are_read_in_order_of_path_and_other_files_are_listed_beside_them() {
    let root = knowledge_base();
    fs::write(root.path().join("entries/makers/tolm/maker.md"), "x").unwrap();
    fs::write(root.path().join("entries/makers/tolm/hem.png"), include_bytes!("disk/three-by-two.png")).unwrap();
    fs::write(root.path().join("entries/makers/tolm/.swap.md"), "an editor's").unwrap();
    fs::write(root.path().join("schema/vocabulary.toml"), "").unwrap();
    fs::write(root.path().join("schema/README"), "").unwrap();
    fs::create_dir_all(root.path().join("site/templates")).unwrap();
    fs::write(root.path().join("site/templates/home.html"), "own").unwrap();
    let reading = disk::read(root.path(), &|_| {}).unwrap();
    let paths: Vec<_> = reading.sources.iter().map(|(_, file)| file.path().as_str()).collect();
    assert_eq!(paths, ["entries/about.md", "entries/makers/tolm/maker.md", "schema/vocabulary.toml"]);
    let beside = reading.sources.attachments();
    assert_eq!(
        (beside[0].path.as_str(), beside[0].picture.map(|facts| (facts.width, facts.height))),
        ("entries/makers/tolm/hem.png", Ok((3, 2)))
    );
    assert_eq!((beside.len(), reading.site["templates/home.html"].as_slice()), (1, b"own".as_slice()));
    assert!(reading.faults.is_empty());
}

#[test]
fn what_is_no_text_is_refused_by_name_and_keeps_an_id() {
    let root = knowledge_base();
    fs::write(root.path().join("entries/bytes.md"), b"ab\xffcd").unwrap();
    fs::write(root.path().join("entries/large.md"), vec![b'x'; (1 << 20) + 1]).unwrap();
    fs::write(root.path().join("entries/largest.md"), vec![b'x'; 1 << 20]).unwrap();
    fs::write(root.path().join("entries/tab\there.md"), "x").unwrap();
    let large = Unreadable::TooLarge { limit: 1 << 20 };
    let expected = [
        "entries/bytes.md: NotUtf8 { offset: 2 }".to_string(),
        format!("entries/large.md: {large:?}"),
        "entries/tab\there.md: BadName".to_string(),
    ];
    assert_eq!(faults(root.path()), expected);
    let reading = disk::read(root.path(), &|_| {}).unwrap();
    assert_eq!(reading.sources.file(reading.sources.find("entries/bytes.md").unwrap()).text(), "");
}

#[cfg(unix)]
#[test]
fn links_and_pipes_are_refused_and_never_followed() {
    use std::os::unix::fs::symlink;
    let (root, outside) = (knowledge_base(), tempfile::tempdir().unwrap());
    fs::write(outside.path().join("secret.md"), "secret").unwrap();
    symlink(outside.path(), root.path().join("entries/makers/folder")).unwrap();
    symlink(outside.path().join("secret.md"), root.path().join("entries/makers/file.md")).unwrap();
    symlink(outside.path(), root.path().join("site")).unwrap();
    assert!(Command::new("mkfifo").arg(root.path().join("entries/pipe.md")).status().unwrap().success());
    let expected = [
        "entries/makers/file.md: SymbolicLink",
        "entries/makers/folder: SymbolicLink",
        "entries/pipe.md: NotAFile",
        "site: SymbolicLink",
    ];
    assert_eq!(faults(root.path()), expected);
    let reading = disk::read(root.path(), &|_| {}).unwrap();
    assert!(reading.sources.iter().all(|(_, file)| !file.text().contains("secret")));
}

#[test]
fn a_folder_without_entries_is_named() {
    let empty = tempfile::tempdir().unwrap();
    let error = disk::read(empty.path(), &|_| {}).unwrap_err().to_string();
    assert!(error.starts_with(&empty.path().display().to_string()) && error.contains("entries/"), "{error}");
    assert!(disk::read(&empty.path().join("none"), &|_| {}).is_err());
}

#[test]
fn a_second_output_takes_the_place_of_the_first_and_leaves_nothing_beside_it() {
    let root = knowledge_base();
    let out = root.path().join("out");
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert_eq!(written(&out)["makers/tolm/maker.html"], "tolm");
    write(root.path(), &out, &planned(SECOND)).unwrap();
    let expected = BTreeMap::from([("data/eras.csv".into(), "thing".into()), ("index.html".into(), "second".into())]);
    assert_eq!(written(&out), expected);
    assert_eq!(names_beside(&out), ["entries", "out", "schema"]);
}

#[test]
fn files_that_bartack_did_not_write_are_never_deleted() {
    let root = knowledge_base();
    let out = root.path().join("out");
    write(root.path(), &out, &planned(FIRST)).unwrap();
    let spoilings: [(&str, &str); 3] =
        [("notes.txt", "mine"), ("makers/tolm/mine.html", "x"), ("index.html", "edited")];
    for (name, text) in spoilings {
        let before = fs::read_to_string(out.join(name)).ok();
        fs::write(out.join(name), text).unwrap();
        let error = write(root.path(), &out, &planned(SECOND)).unwrap_err().to_string();
        assert!(error.contains(name), "{error}");
        assert_eq!(fs::read_to_string(out.join(name)).unwrap(), text);
        match before {
            Some(before) => fs::write(out.join(name), before).unwrap(),
            None => fs::remove_file(out.join(name)).unwrap(),
        }
    }
    fs::create_dir(out.join("photographs")).unwrap();
    assert!(write(root.path(), &out, &planned(SECOND)).is_err(), "an empty folder is somebody's too");
}

#[test]
fn an_output_that_covers_the_knowledge_base_is_refused() {
    let root = knowledge_base();
    let outs = ["", "entries", "entries/makers/out", "schema", "site/out", "..", "entries/../entries/new"];
    for out in outs {
        let error = write(root.path(), &root.path().join(out), &planned(FIRST)).unwrap_err();
        assert!(error.to_string().contains("knowledge base"), "{out}: {error}");
    }
    assert_eq!(written(root.path()).len(), 1, "nothing was written");
}

#[test]
fn a_failure_leaves_the_old_output_whole() {
    let root = knowledge_base();
    let out = root.path().join("out");
    write(root.path(), &out, &planned(FIRST)).unwrap();
    let long = "n".repeat(300);
    let cannot_be_made = OutputFile::new("a.html", || Err::<Vec<u8>, _>("no words for it".to_string()));
    let cannot_be_written = OutputFile::new(long.clone(), || Ok::<_, String>(Vec::new()));
    let leads_out = OutputFile::new("../escaped.html", || Ok::<_, String>(Vec::new()));
    for (bad, expected) in
        [(cannot_be_made, "no words for it"), (cannot_be_written, &long), (leads_out, "../escaped.html")]
    {
        let mut files = planned(SECOND);
        files.push(bad);
        let error = write(root.path(), &out, &files).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert_eq!(written(&out)["index.html"], "first");
        assert_eq!(names_beside(&out), ["entries", "out", "schema"]);
    }
}

#[test]
fn two_builds_at_once_are_refused() {
    let root = knowledge_base();
    let out = root.path().join("out");
    let plan = planned(FIRST);
    let inner = OutputFile::new("inner.html", || {
        let error = write(root.path(), &out, &plan).unwrap_err().to_string();
        Ok::<_, String>(error.into_bytes())
    });
    write(root.path(), &out, &[inner]).unwrap();
    assert!(written(&out)["inner.html"].contains("another run"));
}

/// Not a check of its own: the process that the tests below kill. Writes outputs of 60 equal files for ever.
#[test]
fn writer_that_is_killed() {
    let Some(root) = std::env::var_os("BARTACK_KILLED_WRITER") else { return };
    let root = Path::new(&root);
    for round in 0_u64.. {
        // Two runs of this process never write the same.
        let text = format!("{} {round}", std::process::id());
        let plan: Vec<_> = (0..60)
            .map(|number| {
                let text = text.clone();
                OutputFile::new(format!("pages/{number}.html"), move || Ok::<_, String>(text.clone().into_bytes()))
            })
            .collect();
        write(root, &root.join("out"), &plan).unwrap();
    }
}

/// What kills a writer when it is dropped, so that none outlives a test that fails.
struct Writer(std::process::Child);

impl Writer {
    fn begin(root: &Path) -> Writer {
        let mut command = Command::new(std::env::current_exe().unwrap());
        command.args(["--exact", "disk::writer_that_is_killed"]).env("BARTACK_KILLED_WRITER", root);
        Writer(command.stdout(std::process::Stdio::null()).spawn().unwrap())
    }

    /// Waits until something is so, however long that takes; a writer that ends by itself never brings it about.
    fn wait_until(&mut self, is_so: impl Fn() -> bool) {
        while !is_so() {
            assert!(self.0.try_wait().unwrap().is_none(), "the writer ended by itself");
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn a_run_killed_at_any_time_leaves_a_whole_output() {
    let root = knowledge_base();
    let out = root.path().join("out");
    for kill in 0..25_u64 {
        let mut writer = Writer::begin(root.path());
        let own = format!("{} ", writer.0.id());
        let page = out.join("pages/0.html");
        // The first output of this writer is whole; where it is killed after that is left to chance.
        writer.wait_until(|| fs::read_to_string(&page).is_ok_and(|text| text.starts_with(&own)));
        std::thread::sleep(Duration::from_micros(kill * 1700 % 20_000));
        drop(writer);
        let out = written(&out);
        assert_eq!(out.len(), 60, "after kill {kill}");
        assert_eq!(out.values().collect::<std::collections::BTreeSet<_>>().len(), 1, "pages of two builds");
    }
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert_eq!(names_beside(&out), ["entries", "out", "schema"]);
}

/// Python's `zipfile` reads what was packed; a zip archive is APPNOTE 6.3.10 of PKWARE, and no code of ours reads one.
#[test]
fn the_archive_holds_every_file_and_is_the_same_twice() {
    let root = knowledge_base();
    let out = root.path().join("out");
    let files = planned(FIRST);
    let bundled = || {
        disk::write(root.path(), &out, &Planned { photographs: &[], files: &files, bundle: Some("all.zip") }, &|_| {})
            .unwrap();
        fs::read(out.join("all.zip")).unwrap()
    };
    let first = bundled();
    assert_eq!(first, bundled(), "an output with an archive is replaced like any other");
    let script = "import sys, zipfile\nz = zipfile.ZipFile(sys.argv[1])\nassert z.testzip() is None\n\
                  for i in sorted(z.namelist()): print(i, z.read(i).decode(), sep='=', end=';')";
    let Ok(output) = Command::new("python3").args(["-c", script]).arg(out.join("all.zip")).output() else {
        eprintln!("skipped: no python3, so no other program unpacks the archive");
        return;
    };
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let expected: String = FIRST.iter().map(|(path, text)| format!("site/{path}={text};")).collect();
    assert_eq!(String::from_utf8(output.stdout).unwrap(), expected);
}

//! Folders as somebody may leave them on purpose: links, devices, names no other system can have, paths without end, files that
//! change under the reader.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use bartack::disk;
use bartack::fault::{FaultKind, Unreadable};

use super::{faults, knowledge_base};

const GARMENT: &str = "+++\nbasis = \"specimen\"\n+++\n";

/// What `check` says of a folder, and the status with which it ends.
fn checked(root: &Path) -> (String, Option<i32>) {
    let ran = Command::new(env!("CARGO_BIN_EXE_bartack")).arg("--root").arg(root).arg("check").output().unwrap();
    (String::from_utf8(ran.stdout).unwrap(), ran.status.code())
}

fn put(root: &Path, path: &str, text: &str) {
    let path = root.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

#[test]
fn names_that_another_system_cannot_have_are_errors_that_name_them() {
    let root = knowledge_base();
    let longest = "n".repeat(252);
    for (name, said) in [
        ("unplaced/con.md", "`con` is a device name on Windows"),
        ("unplaced/lpt9.md", "`lpt9` is a device name on Windows"),
        ("makers/aux/maker.md", "`aux` is a device name on Windows"),
        ("makers/Tolm/maker.md", "the name `Tolm` is not made of small letters"),
        ("unplaced/a.b.md", "the name `a.b` is not made of small letters"),
        ("unplaced/b .md", "the name `b ` is not made of small letters"),
        (&format!("unplaced/{longest}.md"), "has 252 letters, expected at most 100"),
    ] {
        put(root.path(), &format!("entries/{name}"), GARMENT);
        let (told, code) = checked(root.path());
        assert!(code == Some(1) && told.contains(said) && told.contains(&format!("entries/{name}:1:1")), "{told}");
        fs::remove_file(root.path().join("entries").join(name)).unwrap();
    }
}

#[cfg(unix)]
#[test]
fn links_in_a_ring_and_devices_are_refused_and_never_followed() {
    use std::os::unix::fs::symlink;
    let root = knowledge_base();
    let entries = root.path().join("entries");
    symlink("..", entries.join("makers/above")).unwrap();
    symlink("ring-b.md", entries.join("ring-a.md")).unwrap();
    symlink("ring-a.md", entries.join("ring-b.md")).unwrap();
    symlink("about.md", entries.join("within.md")).unwrap();
    symlink("nowhere", entries.join("lost.jpg")).unwrap();
    symlink("/dev/zero", entries.join("zeros.md")).unwrap();
    let linked = ["lost.jpg", "makers/above", "ring-a.md", "ring-b.md", "within.md", "zeros.md"];
    let mut expected = linked.map(|name| format!("entries/{name}: SymbolicLink")).to_vec();
    let device = Command::new("mknod").arg(entries.join("zeros.jpg")).args(["c", "1", "5"]).output();
    if device.is_ok_and(|made| made.status.success()) {
        expected.push("entries/zeros.jpg: NotAFile".into());
    } else {
        eprintln!("skipped: nobody but root can make a device");
    }
    expected.sort();
    assert_eq!(faults(root.path()), expected);
}

#[cfg(any(target_os = "linux", target_vendor = "apple"))]
#[test]
fn a_path_that_is_too_long_is_refused_by_name_and_the_rest_is_read() {
    use rustix::fs::{Mode, OFlags, mkdirat, openat};
    let root = knowledge_base();
    let name = "d".repeat(200);
    let mut folder = rustix::fs::open(root.path().join("entries/makers"), OFlags::RDONLY, Mode::empty()).unwrap();
    for _ in 0..30 {
        mkdirat(&folder, &name, Mode::RWXU).unwrap();
        folder = openat(&folder, &name, OFlags::RDONLY, Mode::empty()).unwrap();
    }
    put(root.path(), "entries/unplaced/z.md", GARMENT);
    let reading = disk::read(root.path(), &|_| {}).unwrap();
    let [fault] = reading.faults.as_slice() else { panic!("{:?}", reading.faults) };
    let FaultKind::Unreadable(Unreadable::Refused(words)) = &fault.kind else { panic!("{fault:?}") };
    let path = reading.sources.file(fault.place.file).path().as_str();
    assert!(words.contains("too long") && path.starts_with(&format!("entries/makers/{name}/")), "{words}");
    assert!(reading.sources.find("entries/unplaced/z.md").is_some());
    let (told, code) = checked(root.path());
    assert!(code == Some(1) && told.contains("unreadable-file") && told.contains(path), "{told}");
}

/// Changes a file, again and again, into everything it may be when it is opened: short, long, too long, gone, a link out, a pipe.
#[cfg(unix)]
fn restless(path: &Path, secret: &Path, end: &AtomicBool) {
    let aside = path.with_extension("aside");
    for round in 0_usize.. {
        if end.load(Ordering::Relaxed) {
            return;
        }
        let _ = fs::remove_file(&aside);
        match round % 5 {
            0 => fs::write(&aside, "short").unwrap(),
            1 => fs::write(&aside, "long".repeat(10_000)).unwrap(),
            2 => fs::write(&aside, vec![b'x'; (1 << 20) + 1]).unwrap(),
            3 => std::os::unix::fs::symlink(secret, &aside).unwrap(),
            _ => assert!(Command::new("mkfifo").arg(&aside).status().unwrap().success()),
        }
        if round % 7 == 0 {
            let _ = fs::remove_file(path);
        }
        fs::rename(&aside, path).unwrap();
        thread::sleep(Duration::from_micros(50));
    }
}

#[cfg(unix)]
#[test]
fn a_file_that_changes_while_it_is_read_is_read_whole_or_refused_and_never_waited_for() {
    let (root, outside) = (knowledge_base(), tempfile::tempdir().unwrap());
    let secret = outside.path().join("secret.md");
    fs::write(&secret, "secret").unwrap();
    let end = AtomicBool::new(false);
    let mut seen = BTreeSet::new();
    thread::scope(|scope| {
        let file = root.path().join("entries/unplaced/restless.md");
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        let (secret, end) = (&secret, &end);
        scope.spawn(move || restless(&file, secret, end));
        // A reader that waited for a pipe would never come to the end of this.
        for _ in 0..2000 {
            let reading = disk::read(root.path(), &|_| {}).unwrap();
            let text = reading.sources.find("entries/unplaced/restless.md").map(|id| reading.sources.file(id).text());
            let kinds = reading.faults.iter().map(|fault| format!("{:?}", fault.kind));
            let found =
                kinds.chain(text.map(|text| format!("{} bytes", text.len()))).collect::<Vec<String>>().join(", ");
            assert!(
                ["5 bytes", "40000 bytes"].contains(&found.as_str())
                    || found.is_empty()
                    || found.contains("Unreadable"),
                "{found}"
            );
            assert!(reading.sources.iter().all(|(_, file)| !file.text().contains("secret")));
            seen.insert(found);
        }
        end.store(true, Ordering::Relaxed);
    });
    assert!(seen.len() >= 4, "the file hardly changed: {seen:?}");
}

#[test]
fn a_folder_with_a_hundred_thousand_files_is_checked_to_its_end() {
    let root = knowledge_base();
    fs::create_dir(root.path().join("entries/unplaced")).unwrap();
    for number in 0..100_000 {
        fs::write(root.path().join(format!("entries/unplaced/g{number}.md")), GARMENT).unwrap();
    }
    fs::write(root.path().join("entries/unplaced/z-last.md"), "+++\nbasis = \n+++\n").unwrap();
    // Four seconds where nothing else runs, without optimization; with work that grows with the square nobody would see
    // the end. `fuzz/growth.rs` counts how work grows.
    let (told, code) = checked(root.path());
    assert!(code == Some(1) && told.contains("entries/unplaced/z-last.md"), "{code:?}: {told}");
}

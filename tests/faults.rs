//! A build that is killed, starved of room, doubled or moved: the output is always one whole build, old or new.
//!
//! Also the other way round: threads, order of files, time zone, language and place leave every byte as it is.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant, SystemTime};

use crate::support;
use bartack::disk;
use tempfile::TempDir;
use walkdir::WalkDir;

#[path = "faults/again.rs"]
mod again;

/// How often a build is killed.
const KILLS: u64 = 200;

fn build(root: &Path, out: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bartack"));
    command.arg("--root").arg(root).args(["build", "--out"]).arg(out).stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A knowledge base as `init` begins it, with its folder.
fn begun() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().join("base");
    assert!(Command::new(env!("CARGO_BIN_EXE_bartack")).arg("init").arg(&root).output().unwrap().status.success());
    (folder, root)
}

/// Says something new on the first page, so that the next build differs from the last.
fn change(root: &Path, round: u64) {
    let about = root.join("entries/about.md");
    let text = fs::read_to_string(&about).unwrap();
    let (front, _) = text.rsplit_once("+++").unwrap();
    fs::write(&about, format!("{front}+++\nround {round}\n")).unwrap();
}

/// Every file of an output by its path; each is as the list of the build that wrote it has it, and none is beside.
fn whole(out: &Path) -> BTreeMap<String, String> {
    let list = fs::read_to_string(out.join(".bartack")).unwrap();
    let listed: BTreeMap<String, String> = list
        .lines()
        .map(|line| line.split_once("  ").unwrap())
        .map(|(hash, path)| (path.into(), hash.into()))
        .collect();
    let files = WalkDir::new(out).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    let found: BTreeMap<String, String> = files
        .map(|entry| (entry.path().strip_prefix(out).unwrap().to_str().unwrap().to_string(), entry.into_path()))
        .filter(|(path, _)| path != ".bartack")
        .map(|(path, file)| (path, blake3::hash(&fs::read(file).unwrap()).to_hex().to_string()))
        .collect();
    assert_eq!(found, listed);
    found
}

/// Kills a build after a time; says whether it was still at work.
fn killed_after(mut running: Child, wait: Duration) -> bool {
    std::thread::sleep(wait);
    running.kill().unwrap();
    !running.wait().unwrap().success()
}

/// The output, or where names cannot be exchanged in one step, the old one that a killed build had moved aside.
fn out_or_aside(folder: &Path) -> PathBuf {
    let out = folder.join("out");
    let names = || fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let aside = || names().find(|path| path.extension().is_some_and(|ending| ending == "old"));
    if out.exists() { out } else { aside().unwrap() }
}

#[test]
fn a_build_killed_at_any_moment_leaves_the_old_or_the_new_output_whole() {
    let (folder, root) = begun();
    let out = folder.path().join("out");
    let start = Instant::now();
    assert!(build(&root, &out).output().unwrap().status.success());
    let mut longest = start.elapsed();
    let (mut old, mut renewed, mut interrupted) = (whole(&out), 0, 0);
    let mut kills = 0;
    // However fast the machine is and however that changes, some builds are killed and some come to their end.
    while kills < KILLS || renewed == 0 || interrupted == 0 {
        change(&root, kills);
        // Steps of the golden ratio come everywhere in the build, each time elsewhere.
        let share = (kills as f64 * 0.618_033_988_749_895).fract();
        let was_killed = killed_after(build(&root, &out).spawn().unwrap(), longest.mul_f64(share));
        longest = longest.mul_f64(if was_killed { 1.02 } else { 0.9 });
        interrupted += usize::from(was_killed);
        let now = whole(&out_or_aside(folder.path()));
        renewed += usize::from(now != old);
        old = now;
        kills += 1;
    }
    assert!(build(&root, &out).output().unwrap().status.success(), "the next build goes through");
    let names: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert!(names.iter().all(|name| name == "base" || name == "out"), "{names:?}");
    support::tried("builds killed at any moment", KILLS as usize);
}

#[test]
fn of_two_builds_at_once_each_ends_whole_or_says_that_another_runs() {
    let (folder, root) = begun();
    let out = folder.path().join("out");
    let both = [build(&root, &out).spawn().unwrap(), build(&root, &out).spawn().unwrap()];
    let ended = both.map(|running| running.wait_with_output().unwrap());
    assert!(ended.iter().any(|output| output.status.success()));
    for output in ended.iter().filter(|output| !output.status.success()) {
        assert!(err(output).contains("another run of bartack"), "{}", err(output));
    }
    whole(&out);
}

/// A small file system of its own, which only root can have; gone when it is dropped.
struct Small(TempDir);

impl Small {
    fn of(kilobytes: u32) -> Option<Small> {
        let small = Small(tempfile::tempdir().unwrap());
        let size = format!("size={kilobytes}k");
        let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(small.0.path()).output();
        if !mounted.is_ok_and(|output| output.status.success()) {
            eprintln!("skipped: nobody but root can have a small file system");
            return None;
        }
        Some(small)
    }

    fn read_only(&self) -> bool {
        let remount = Command::new("mount").args(["-o", "remount,ro"]).arg(self.0.path()).status();
        remount.is_ok_and(|status| status.success())
    }
}

impl Drop for Small {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0.path()).status();
    }
}

#[test]
fn a_full_or_locked_file_system_keeps_the_old_output() {
    let (_folder, root) = begun();
    let spare = tempfile::tempdir().unwrap();
    assert!(build(&root, &spare.path().join("out")).output().unwrap().status.success());
    let all = WalkDir::new(spare.path()).into_iter().map(|entry| entry.unwrap().metadata().unwrap());
    // A tmpfs gives out pages of 4 KiB; one output fits, a second beside it does not.
    let pages: u64 = all.filter(fs::Metadata::is_file).map(|file| file.len().div_ceil(4096)).sum();
    let Some(small) = Small::of((pages * 4 * 3 / 2) as u32) else { return };
    let out = small.0.path().join("out");
    let first = build(&root, &out).output().unwrap();
    assert!(first.status.success(), "another file system than the entries': {}", err(&first));
    let before = whole(&out);
    change(&root, 1);
    let full = build(&root, &out).output().unwrap();
    assert!(full.status.code() == Some(2) && err(&full).contains("No space left"), "{}", err(&full));
    assert_eq!(whole(&out), before);
    if small.read_only() {
        let locked = build(&root, &out).output().unwrap();
        assert!(locked.status.code() == Some(2) && err(&locked).contains("Read-only"), "{}", err(&locked));
        assert_eq!(whole(&out), before);
    }
}

/// Gives every file below a folder the same time of its last change.
fn date(folder: &Path, time: SystemTime) {
    for entry in WalkDir::new(folder).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file()) {
        fs::File::options().write(true).open(entry.path()).unwrap().set_modified(time).unwrap();
    }
}

#[test]
fn a_clock_that_is_set_back_or_ahead_changes_no_byte_and_hides_no_change() {
    const DAY: Duration = Duration::from_secs(86_400);
    let (folder, root) = begun();
    let (out, fresh) = (folder.path().join("out"), folder.path().join("fresh"));
    change(&root, 0);
    assert!(build(&root, &out).output().unwrap().status.success());
    let first = whole(&out);
    let times = [SystemTime::UNIX_EPOCH, SystemTime::UNIX_EPOCH - DAY, SystemTime::now() + 36_500 * DAY];
    let mut stamps = BTreeSet::from([disk::stamp(&root).name]);
    for (round, time) in times.into_iter().enumerate() {
        for (entries, output) in [(time, time), (time, SystemTime::now()), (SystemTime::now(), time)] {
            date(&root, entries);
            date(&out, output);
            let again = build(&root, &out).output().unwrap();
            assert!(again.status.success() && whole(&out) == first, "{}", err(&again));
        }
        // A save of the same length while the clock stands elsewhere: seen by the preview, and built.
        let mut saved = whole(&out);
        for save in [round as u64 + 1, round as u64 + 4] {
            change(&root, save);
            date(&root, time + Duration::from_nanos(save * 1000));
            stamps.insert(disk::stamp(&root).name);
            assert!(build(&root, &out).output().unwrap().status.success());
            assert!(build(&root, &fresh).output().unwrap().status.success());
            assert!(whole(&out) != saved && whole(&out) == whole(&fresh));
            saved = whole(&out);
        }
        change(&root, 0);
        assert!(build(&root, &out).output().unwrap().status.success());
        assert!(whole(&out) == first, "the text of the beginning gives its bytes");
    }
    assert_eq!(stamps.len(), 1 + 2 * times.len(), "two saves look alike");
}

/// Copies the demo's records into a folder, file by file in some order.
fn demo(root: &Path, order: fn(&mut Vec<PathBuf>)) {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    let below = |folder: &str| WalkDir::new(own.join(folder)).sort_by_file_name();
    let entries = below("entries").into_iter().chain(below("schema")).map(|entry| entry.unwrap().into_path());
    let mut files: Vec<PathBuf> = entries.filter(|path| path.is_file()).collect();
    order(&mut files);
    for file in files {
        let to = root.join(file.strip_prefix(own).unwrap());
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(file, to).unwrap();
    }
}

#[test]
fn threads_order_time_zone_language_and_place_change_no_byte() {
    let (one, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let elsewhere = other.path().join("a much longer way, with spaces/base");
    demo(one.path(), |_| {});
    demo(&elsewhere, |files| files.reverse());
    let plain = [("RAYON_NUM_THREADS", "1"), ("TZ", "UTC"), ("LC_ALL", "C"), ("LANG", "C")];
    let strange = [("RAYON_NUM_THREADS", "3"), ("TZ", "Pacific/Apia"), ("LC_ALL", "tr_TR.UTF-8"), ("LANG", "ar_EG")];
    let (first, second) = (one.path().join("out"), other.path().join("out"));
    assert!(build(one.path(), &first).envs(plain).output().unwrap().status.success());
    assert!(build(&elsewhere, &second).envs(strange).output().unwrap().status.success());
    let (first, second) = (whole(&first), whole(&second));
    assert!(first.len() > 300 && first == second);
}

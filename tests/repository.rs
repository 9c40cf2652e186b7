//! A knowledge base at a Git revision: what is read, what is refused by name, and what Git must not do meanwhile.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::path::Path;

use bartack::disk;
use bartack::fault::FaultKind;
use bartack::repository::{self, Problem};
use bartack::source::Attachment;
use tempfile::TempDir;

use crate::support::history::{History, bartack, command, git};

const ABOUT: &str = "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n";

/// A repository whose knowledge base holds the least there can be, in two commits.
fn small() -> History {
    let history = History::empty();
    history.write("entries/about.md", ABOUT);
    history.write("schema/vocabulary.toml", "");
    history.commit("first");
    history.write("entries/makers/hollin/maker.md", "+++\nname = \"Hollin\"\nlines = []\n+++\n");
    history.commit("second");
    history
}

/// What a reading holds: texts and faults, and what lies beside the entries.
fn held(reading: &disk::Reading) -> (Vec<String>, Vec<Attachment>) {
    let texts = reading.sources.iter().map(|(_, file)| format!("{}: {}", file.path(), file.text()));
    let faults = reading.faults.iter().map(|fault| {
        let FaultKind::Unreadable(why) = &fault.kind else { panic!("not of a reading: {fault:?}") };
        format!("{} is refused: {why:?}", reading.sources.file(fault.place.file).path())
    });
    (texts.chain(faults).collect(), reading.sources.attachments().to_vec())
}

fn problem(root: &Path, revision: &str) -> Problem {
    repository::read(root, revision, &[]).unwrap_err().problem
}

#[test]
fn a_commit_is_read_as_its_folder_is() {
    let history = small();
    history.write("entries/makers/hollin/wide.md", vec![0xff, 0xfe, b'x']);
    history.write("entries/makers/hollin/large.md", vec![b'x'; (1 << 20) + 1]);
    history.write("entries/makers/hollin/just.md", vec![b'x'; 1 << 20]);
    history.write("entries/makers/hollin/hem.png", include_bytes!("disk/three-by-two.png"));
    history.write("entries/makers/hollin/none.jpg", "no picture");
    history.write("entries/makers/hollin/back\\slash.md", "x");
    history.write("entries/makers/hollin/.swap.md", "an editor's");
    history.write("entries/makers/hollin/two words, ümlaut.md", "x\r\n");
    history.write("schema/README", "not read");
    // A drawing without a fault: one that cannot be used is a fault of the folder, which a revision does not have.
    history.write("site/figures/any-label.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"><title>Label</title></svg>");
    #[cfg(unix)]
    for (link, target) in [("entries/makers/hollin/link.md", "/etc/passwd"), ("entries/linked", "../schema")] {
        std::os::unix::fs::symlink(target, history.base().join(link)).unwrap();
    }
    history.commit("everything there can be");
    let disk = held(&disk::read(&history.base(), &|_| {}).unwrap());
    let snapshot = repository::read(&history.base(), "HEAD", &[]).unwrap();
    assert_eq!(held(&snapshot.reading), disk);
    assert_eq!(snapshot.commit, history.git(&["rev-parse", "HEAD"]));
    assert!(snapshot.reading.site.is_empty());
    assert!(disk.0.iter().any(|line| line.contains("large.md is refused: TooLarge")), "{:?}", disk.0.last());
    let known = repository::read(&history.base(), "HEAD", &disk.1).unwrap();
    assert_eq!(held(&known.reading), disk, "with pictures at hand");
    let first = repository::read(&history.base(), "HEAD~2", &[]).unwrap();
    assert_eq!(first.reading.sources.len(), 2);
}

#[test]
fn a_submodule_and_names_that_lead_out_are_no_entries() {
    let history = small();
    let commit = history.git(&["rev-parse", "HEAD"]);
    history.git(&["update-index", "--add", "--cacheinfo", &format!("160000,{commit},base/entries/makers/else")]);
    history.git(&["commit", "--quiet", "-m", "a submodule"]);
    let read = held(&repository::read(&history.base(), "HEAD", &[]).unwrap().reading).0;
    assert!(read.contains(&"entries/makers/else is refused: NotAFile".to_string()), "{read:?}");
}

/// Writes a tree of raw entries, whatever their names.
fn tree(history: &History, entries: &[(&str, &str, &str)]) -> String {
    let mut raw = Vec::new();
    for (mode, name, id) in entries {
        raw.extend_from_slice(format!("{mode} {name}\0").as_bytes());
        raw.extend((0..id.len()).step_by(2).map(|at| u8::from_str_radix(&id[at..at + 2], 16).unwrap()));
    }
    let file = history.top().join("raw");
    fs::write(&file, raw).unwrap();
    history.git(&["hash-object", "-t", "tree", "--literally", "-w", file.to_str().unwrap()])
}

#[test]
fn trees_that_git_itself_would_not_make_do_no_harm() {
    let history = small();
    let blob = history.git(&["rev-parse", "HEAD:base/entries/about.md"]);
    let inner = tree(
        &history,
        &[
            ("100644", "..", &blob),
            ("100644", "a/../../b.md", &blob),
            ("100644", "twice.md", &blob),
            ("100644", "twice.md", &blob),
        ],
    );
    let base = tree(&history, &[("40000", "entries", &inner)]);
    let top = tree(&history, &[("40000", "base", &base)]);
    let commit = history.git(&["commit-tree", &top, "-m", "odd"]);
    let read = repository::read(&history.base(), &commit, &[]).unwrap().reading;
    let paths: Vec<&str> = read.sources.iter().map(|(_, file)| file.path().as_str()).collect();
    assert_eq!(paths, ["entries/twice.md"], "names of dots are passed over, and a name counts once");
    // A tree that holds itself ten times on each of ten levels names more files than there are.
    let mut bomb = tree(&history, &[("100644", "a.md", &blob)]);
    for _ in 0..10 {
        let names = ["a", "b", "c", "d", "e", "f", "g", "h", "i", "j"];
        bomb = tree(&history, &names.map(|name| ("40000", name, bomb.as_str())));
    }
    let base = tree(&history, &[("40000", "entries", &bomb)]);
    let top = tree(&history, &[("40000", "base", &base)]);
    let commit = history.git(&["commit-tree", &top, "-m", "bomb"]);
    assert!(matches!(problem(&history.base(), &commit), Problem::TooMuch(_)));
}

#[test]
fn revisions_that_are_none_are_named() {
    let history = small();
    let missing = "0123456789012345678901234567890123456789";
    for revision in ["nosuch", "-x", "--output=/tmp/x", "--all", "", missing, "HEAD~9", "HEAD..main", "a\nb", "a\0b"] {
        let problem = problem(&history.base(), revision);
        assert!(matches!(problem, Problem::NoRevision(_)), "{revision}: {problem:?}");
    }
    assert!(matches!(problem(&history.base(), "HEAD:base/entries"), Problem::NoCommit(_)));
    history.git(&["tag", "-a", "-m", "t", "v1"]);
    for revision in ["v1", "main", "HEAD^{/first}", "@"] {
        assert!(repository::read(&history.base(), revision, &[]).is_ok(), "{revision}");
    }
    for arguments in [&["diff", "-x"][..], &["diff", "--", "-x"], &["check", "--since", "-x"], &["check", "--since=-x"]]
    {
        let output = history.run(arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains("no revision `-x`"), "{arguments:?}: {said}");
    }
}

#[test]
fn where_there_is_no_git_or_no_repository_that_is_said() {
    let folder = TempDir::new().unwrap();
    fs::create_dir_all(folder.path().join("entries")).unwrap();
    fs::write(folder.path().join("entries/about.md"), ABOUT).unwrap();
    for arguments in [&["diff"][..], &["check", "--since", "HEAD"]] {
        let output = bartack(folder.path(), arguments);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2));
        assert!(said.contains("is not in a Git repository"), "{said}");
        let output = command(folder.path(), arguments).env("PATH", folder.path()).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && said.contains("needs the program `git`"), "{said}");
    }
    git(folder.path(), &["init", "--quiet"]);
    let said = bartack(folder.path(), &["diff"]);
    assert!(String::from_utf8_lossy(&said.stderr).contains("no revision `HEAD`"), "nothing is committed yet");
}

#[test]
fn clones_that_lack_the_revision_say_so_and_fetch_nothing() {
    let history = small();
    let from = format!("file://{}", history.top().display());
    let clones = TempDir::new().unwrap();
    git(clones.path(), &["clone", "--quiet", "--depth", "1", &from, "shallow"]);
    let shallow = clones.path().join("shallow/base");
    assert!(repository::read(&shallow, "HEAD", &[]).is_ok());
    assert!(matches!(problem(&shallow, "HEAD~1"), Problem::Shallow(_)));
    // A clone without files fetches each when somebody asks for it, unless it is kept from that.
    history.git(&["config", "uploadpack.allowFilter", "true"]);
    history.git(&["config", "uploadpack.allowAnySHA1InWant", "true"]);
    git(clones.path(), &["clone", "--quiet", "--no-checkout", "--filter=blob:none", &from, "partial"]);
    let partial = clones.path().join("partial");
    fs::create_dir_all(partial.join("base/entries")).unwrap();
    let lacking = || git(&partial, &["rev-list", "--objects", "--all", "--missing=print"]).matches('?').count();
    let before = lacking();
    assert!(before > 0);
    let problem = problem(&partial.join("base"), "HEAD");
    assert!(matches!(problem, Problem::Incomplete | Problem::Refused(_)), "{problem:?}");
    assert_eq!(lacking(), before, "nothing was fetched");
}

#[cfg(unix)]
#[test]
fn nothing_that_settings_or_the_environment_name_is_run() {
    use std::os::unix::fs::PermissionsExt;

    let history = small();
    let (ran, program) = (history.top().join("ran"), history.top().join("program"));
    fs::write(&program, format!("#!/bin/sh\necho \"$0 $@\" >> {}\n", ran.display())).unwrap();
    fs::set_permissions(&program, fs::Permissions::from_mode(0o755)).unwrap();
    // A program named `git` in the knowledge base, as where the path has a `.` in it, is not run either.
    fs::copy(&program, history.base().join("git")).unwrap();
    let program = program.to_str().unwrap();
    let settings = ["core.fsmonitor", "core.pager", "core.editor", "core.sshCommand", "core.askPass", "diff.external"];
    settings.iter().for_each(|name| {
        history.git(&["config", name, program]);
    });
    history.git(&["config", "filter.f.smudge", program]);
    fs::write(history.top().join(".gitattributes"), "* filter=f\n").unwrap();
    history.write("entries/about.md", ABOUT.replace("\"T\"", "\"U\""));
    let mut command = command(&history.base(), &["diff"]);
    for name in ["GIT_PAGER", "PAGER", "GIT_EXTERNAL_DIFF", "GIT_ASKPASS", "SSH_ASKPASS", "GIT_SSH_COMMAND", "EDITOR"] {
        command.env(name, program);
    }
    // A hook of another repository sets these; the one that the knowledge base lies in is read all the same.
    command.env("GIT_DIR", "/no/such/repository").env("GIT_OBJECT_DIRECTORY", "/no/such/objects");
    command.env("GIT_TRACE", history.top().join("trace"));
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(String::from_utf8_lossy(&output.stdout).contains("1 file of entries and schema changed"));
    assert!(!ran.exists(), "{}", fs::read_to_string(&ran).unwrap_or_default());
    assert!(!history.top().join("trace").exists());
}

#[test]
fn a_repository_planted_among_the_entries_is_not_obeyed() {
    let history = small();
    history.git(&["init", "--quiet", "--bare", "base"]);
    assert!(matches!(problem(&history.base(), "HEAD"), Problem::Refused(words) if words.contains("bare repository")));
}

#[test]
fn what_replaces_an_object_is_not_read_in_its_place() {
    let history = small();
    let (first, second) = (history.git(&["rev-parse", "HEAD~1"]), history.git(&["rev-parse", "HEAD"]));
    history.git(&["replace", &second, &first]);
    let read = repository::read(&history.base(), &second, &[]).unwrap();
    assert_eq!(read.reading.sources.len(), 3);
}

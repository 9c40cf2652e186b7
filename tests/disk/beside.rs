//! What a commit can bring beside an output and into it: nothing of it is followed, emptied or waited for.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use bartack::publish::output::{OutputFile, Planned};

use super::{FIRST, SECOND, Writer, knowledge_base, names_beside, planned, write, written};

/// The folder that a run fills beside an output, if one lies there.
fn filled(root: &Path) -> Option<PathBuf> {
    let names = fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path());
    names.into_iter().find(|path| path.extension().is_some_and(|ending| ending == "new"))
}

#[test]
fn a_folder_that_claims_to_be_unfinished_is_not_emptied() {
    let root = knowledge_base();
    let out = root.path().join("out");
    // Under the names of today and of any token, with every mark that a commit can bring.
    for name in [".bartack-out.new", ".bartack-out.old", ".bartack-out.0123456789abcdef.new"] {
        let folder = root.path().join(name);
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join(".bartack-unfinished"), "").unwrap();
        fs::write(folder.join("mine.txt"), "mine").unwrap();
    }
    // A note that names the folder by its token, but cannot know what the system calls it.
    let note = format!("{:<255}\n", "bartack 0123456789abcdef 1:1 1:1");
    fs::write(root.path().join(".bartack-out.lock"), note).unwrap();
    fs::write(root.path().join("entries/.bartack-unfinished"), "").unwrap();
    write(root.path(), &out, &planned(FIRST)).unwrap();
    write(root.path(), &out, &planned(SECOND)).unwrap();
    assert_eq!(written(&out)["index.html"], "second");
    let mine = written(root.path()).into_iter().filter(|(_, text)| text == "mine").count();
    assert_eq!(mine, 3, "{:?}", names_beside(&out));
    assert!(root.path().join("entries/about.md").exists());
}

#[cfg(unix)]
#[test]
fn links_beside_the_output_lead_a_build_nowhere() {
    use std::os::unix::fs::symlink;
    let (root, other) = (knowledge_base(), knowledge_base());
    let (out, others) = (root.path().join("out"), other.path().join("out"));
    write(other.path(), &others, &planned(FIRST)).unwrap();
    fs::write(root.path().join("entries/.bartack-unfinished"), "").unwrap();
    for (name, target) in [
        (".bartack-out.new", root.path().join("entries")),
        (".bartack-out.old", others.clone()),
        (".bartack-out.0123456789abcdef.new", root.path().join("entries")),
        (".bartack-out.fedcba9876543210.new", PathBuf::from("nowhere")),
    ] {
        symlink(target, root.path().join(name)).unwrap();
    }
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert!(root.path().join("entries/about.md").exists());
    assert_eq!(written(&others)["index.html"], "first");
    let lock = root.path().join(".bartack-out.lock");
    symlink(root.path().join("made-elsewhere"), &lock).unwrap();
    let refused = write(root.path(), &out, &planned(SECOND)).unwrap_err().to_string();
    assert!(refused.contains(".bartack-out.lock") && refused.contains("symbolic link"), "{refused}");
    assert!(!root.path().join("made-elsewhere").exists() && fs::symlink_metadata(&lock).unwrap().is_symlink());
}

#[cfg(unix)]
#[test]
fn a_lock_that_is_a_pipe_or_somebody_s_file_is_refused_and_neither_waited_for_nor_removed() {
    let root = knowledge_base();
    let (out, lock) = (root.path().join("out"), root.path().join(".bartack-out.lock"));
    let refused = || {
        let refused = write(root.path(), &out, &planned(FIRST)).unwrap_err().to_string();
        assert!(refused.contains("bartack did not make it"), "{refused}");
    };
    assert!(std::process::Command::new("mkfifo").arg(&lock).status().unwrap().success());
    refused();
    fs::remove_file(&lock).unwrap();
    fs::create_dir(&lock).unwrap();
    refused();
    fs::remove_dir(&lock).unwrap();
    fs::write(&lock, "my notes").unwrap();
    refused();
    assert_eq!(fs::read_to_string(&lock).unwrap(), "my notes");
}

#[cfg(unix)]
#[test]
fn an_output_that_is_a_link_or_lies_behind_one_of_a_commit_is_refused() {
    use std::os::unix::fs::symlink;
    let (root, outside) = (knowledge_base(), tempfile::tempdir().unwrap());
    symlink(outside.path(), root.path().join("out")).unwrap();
    symlink(outside.path(), root.path().join("public")).unwrap();
    symlink("nowhere", root.path().join("lost")).unwrap();
    symlink("entries", root.path().join("within")).unwrap();
    for out in ["out", "public/site", "lost", "lost/site", "within/site", "public/../out"] {
        let refused = write(root.path(), &root.path().join(out), &planned(FIRST)).unwrap_err().to_string();
        assert!(refused.contains("symbolic link"), "{out}: {refused}");
    }
    assert_eq!(fs::read_dir(outside.path()).unwrap().count(), 0);
    // A link on the way that is no part of the knowledge base is the user's own.
    let way = outside.path().join("way");
    let target = tempfile::tempdir().unwrap();
    symlink(target.path(), &way).unwrap();
    write(root.path(), &way.join("site"), &planned(FIRST)).unwrap();
    assert_eq!(written(&target.path().join("site"))["index.html"], "first");
    symlink("site", target.path().join("current")).unwrap();
    assert!(write(root.path(), &target.path().join("current"), &planned(SECOND)).is_err());
}

#[cfg(unix)]
#[test]
fn links_and_pipes_in_an_output_are_foreign_whatever_its_list_says() {
    use std::os::unix::fs::symlink;
    let (root, outside) = (knowledge_base(), tempfile::tempdir().unwrap());
    let out = root.path().join("out");
    fs::write(outside.path().join("secret"), "first").unwrap();
    let list = |names: &[&str]| -> String {
        names.iter().map(|name| format!("{}  {name}\n", blake3::hash(b"first").to_hex())).collect()
    };
    let spoilings: [(&str, &dyn Fn()); 4] = [
        ("index.html", &|| symlink(outside.path().join("secret"), out.join("index.html")).unwrap()),
        ("makers", &|| symlink(outside.path(), out.join("makers")).unwrap()),
        (".bartack", &|| {
            fs::write(outside.path().join("list"), list(&["index.html"])).unwrap();
            fs::write(out.join("index.html"), "first").unwrap();
            fs::remove_file(out.join(".bartack")).unwrap();
            symlink(outside.path().join("list"), out.join(".bartack")).unwrap();
        }),
        (".bartack", &|| {
            fs::remove_file(out.join(".bartack")).unwrap();
            assert!(std::process::Command::new("mkfifo").arg(out.join(".bartack")).status().unwrap().success());
        }),
    ];
    for (name, spoil) in spoilings {
        fs::create_dir(&out).unwrap();
        fs::write(out.join(".bartack"), list(&["index.html", "makers/secret"])).unwrap();
        spoil();
        let refused = write(root.path(), &out, &planned(SECOND)).unwrap_err().to_string();
        assert!(refused.contains(name) && refused.contains("did not write"), "{name}: {refused}");
        assert_eq!(fs::read_to_string(outside.path().join("secret")).unwrap(), "first");
        fs::remove_dir_all(&out).unwrap();
    }
}

#[test]
fn a_file_in_the_output_s_place_is_refused_in_words() {
    let root = knowledge_base();
    fs::write(root.path().join("out"), "mine").unwrap();
    let refused = write(root.path(), &root.path().join("out"), &planned(FIRST)).unwrap_err().to_string();
    assert!(refused.contains("already exists"), "{refused}");
    assert_eq!(fs::read_to_string(root.path().join("out")).unwrap(), "mine");
}

#[test]
fn what_a_killed_run_left_is_removed_by_the_next() {
    let root = knowledge_base();
    let out = root.path().join("out");
    let mut writer = Writer::begin(root.path());
    writer.wait_until(|| filled(root.path()).is_some_and(|folder| folder.join("pages").exists()));
    drop(writer);
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert_eq!(names_beside(&out), ["entries", "out", "schema"]);
    assert_eq!(written(&out)["index.html"], "first");
}

#[test]
fn a_file_that_somebody_puts_into_the_output_while_it_is_built_is_kept_and_named() {
    let root = knowledge_base();
    let out = root.path().join("out");
    write(root.path(), &out, &planned(FIRST)).unwrap();
    let mine = out.join("mine.txt");
    let files = [OutputFile::new("index.html", || fs::write(&mine, "mine").map(|()| Vec::new()))];
    let site = Planned { photographs: &[], files: &files, bundle: None };
    let error = bartack::disk::write(root.path(), &out, &site, &|_| {}).unwrap_err();
    assert!(error.to_string().contains("mine.txt"), "{error}");
    assert_eq!(fs::read_to_string(error.path.join("mine.txt")).unwrap(), "mine");
    assert_eq!(written(&out), BTreeMap::from([("index.html".into(), String::new())]));
    write(root.path(), &out, &planned(SECOND)).unwrap();
    assert_eq!(fs::read_to_string(error.path.join("mine.txt")).unwrap(), "mine");
}

#[cfg(unix)]
#[test]
fn a_page_that_comes_out_the_same_stays_the_same_file_and_one_that_differs_only_in_its_list_does_not() {
    use std::os::unix::fs::MetadataExt;
    let root = knowledge_base();
    let out = root.path().join("out");
    let number = |name: &str| fs::metadata(out.join(name)).unwrap().ino();
    write(root.path(), &out, &planned(FIRST)).unwrap();
    let before = (number("index.html"), number("makers/tolm/maker.html"));
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert_eq!((number("index.html"), number("makers/tolm/maker.html")), before);
    // Another content of the same length, and a list that vouches for it.
    let list = fs::read_to_string(out.join(".bartack")).unwrap();
    fs::write(out.join("index.html"), "forge").unwrap();
    let [honest, forged] = [&b"first"[..], b"forge"].map(|text| blake3::hash(text).to_hex().to_string());
    fs::write(out.join(".bartack"), list.replace(&honest, &forged)).unwrap();
    write(root.path(), &out, &planned(FIRST)).unwrap();
    assert_eq!(written(&out)["index.html"], "first");
}

//! Templates, scripts and guide pages of a knowledge base's own: what stops `build`, `check` finds first.

use std::fs;
use std::path::Path;

use super::{bartack, clean, code, err, folder, out};

/// Puts files into `site/`.
fn bring(root: &Path, files: &[(&str, &[u8])]) {
    for (path, content) in files {
        let path = root.join("site").join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }
}

#[test]
fn a_template_that_parses_and_does_not_fit_the_data_is_named_with_its_line() {
    let folder = folder(&clean());
    bring(folder.path(), &[("templates/home.html", b"<main>\n<p>\n  {{ nothing.here }}</p></main>\n")]);
    let check = bartack(folder.path(), &["check"]);
    assert_eq!(code(&check), 1, "{}", err(&check));
    let found = out(&check);
    assert!(found.contains("error[unreadable-file]") && found.contains("site/templates/home.html:3:6"), "{found}");
    assert!(found.contains("Variable") && found.contains("{{ nothing.here }}"), "{found}");
    let build = bartack(folder.path(), &["build"]);
    assert_eq!(code(&build), 2, "{}", err(&build));
    let said = err(&build);
    assert!(
        said.contains("index.html: could not be made: site/templates/home.html, line 3, column 6: Variable `nothing`"),
        "{said}"
    );
    assert!(said.contains("correct it, or remove it"), "{said}");
    assert!(!said.contains(".bartack-out"), "the folder that is gone says nothing: {said}");
}

#[test]
fn every_file_that_would_stop_a_build_is_named_at_once() {
    let folder = folder(&clean());
    bring(
        folder.path(),
        &[
            ("templates/home.html", b"{{ nothing.here }}"),
            ("templates/sources.html", b"{{ nothing.there }}"),
            ("assets/hand.js", b"write('</script>');"),
            ("guide/cellar.md", b"\xff\xfe"),
        ],
    );
    // A guide page that is no text stands in the way of all pages, so it is found first.
    assert!(out(&bartack(folder.path(), &["check"])).contains("site/guide/cellar.md"));
    bring(folder.path(), &[("guide/cellar.md", b"# The cellar\n")]);
    let check = bartack(folder.path(), &["check"]);
    let found = out(&check);
    assert_eq!(code(&check), 1, "{found}");
    for name in ["site/assets/hand.js", "site/templates/home.html", "site/templates/sources.html"] {
        assert!(found.contains(name), "{name}: {found}");
    }
    assert_eq!(found.matches("error[").count(), 3, "{found}");
    fs::remove_dir_all(folder.path().join("site")).unwrap();
    assert_eq!(code(&bartack(folder.path(), &["check"])), 0);
    assert_eq!(code(&bartack(folder.path(), &["build"])), 0);
}

#[test]
fn a_template_that_fits_until_an_entry_moves_is_found_when_it_does() {
    let maker =
        "--- entries/makers/hollin/maker.md\n+++\nname = \"Hollin\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n";
    let folder = folder(&format!("{}{maker}", clean()));
    bring(folder.path(), &[("templates/moved.html", b"{{ nothing.here }}")]);
    assert_eq!(code(&bartack(folder.path(), &["check"])), 0);
    assert_eq!(code(&bartack(folder.path(), &["build"])), 0);
    let path = folder.path().join("entries/makers/hollin/maker.md");
    let text = fs::read_to_string(&path).unwrap();
    let moved = text.replace("[[lines]]", "formerly = [\"makers/hollyn/maker\"]\n[[lines]]");
    assert_ne!(moved, text);
    fs::write(path, moved).unwrap();
    let check = bartack(folder.path(), &["check"]);
    assert!(code(&check) == 1 && out(&check).contains("site/templates/moved.html:1:4"), "{}", out(&check));
    assert_eq!(code(&bartack(folder.path(), &["build"])), 2);
}

//! Corrections from the site: an entry that is there changes where it is wrong and nowhere else, or not at all.

use std::fs;

use bartack::import::correction::{prose_seen, seen};

use crate::import::Desk;

const FOLDER: &str = "entries/makers/brackwold-tharn/sluice-118/standing-gate-men";

/// An entry of the demo with claims and a source of its own, to which somebody added comments.
fn entry(desk: &Desk) -> (String, String) {
    let path = format!("{FOLDER}/big-feb-74.md");
    let text = desk.read(&path);
    let text = text.replace("hem = \"chain-stitch\"\n", "hem   =   'chain-stitch'  # by daylight\n");
    let text = text.replacen("+++\n", "+++\n# Kept in the drawer.\n", 1);
    let allow = "allow = [{ lint = \"unlike-its-variant\", reason = \"seen twice\" }]\n\n[features]\n";
    let text = text.replacen("\n[features]\n", allow, 1);
    fs::write(desk.root().join(&path), &text).unwrap();
    (path, text)
}

fn correction(path: &str, text: &str, changes: &str) -> String {
    let why = "I looked through a lens:\\nthe loops of the thread lock.";
    format!("+++\ncorrects = \"{path}\"\nseen = \"{}\"\nwhy = \"{why}\"\n{changes}+++\n", seen(text))
}

const HEM: &str = "\n[[change]]\nkey = \"features.hem\"\nwas = \"chain-stitch\"\nnow = \"lockstitch\"\n";

#[test]
fn a_correction_changes_the_entry_where_it_is_wrong_and_nowhere_else() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let files = desk.files();
    let prose = "Eight loops, evenly set. The last stamp of this label I know of.";
    assert!(text.ends_with(&format!("{prose}\n")));
    let changes = format!(
        "{HEM}\n[[change]]\nkey = \"features.hip-pocket-tacks\"\nwas = 4\n\n[[change]]\nkey = \"market\"\nnow = \"US\"\n\n\
         [[change]]\nkey = \"text\"\nwas = \"{}\"\n",
        prose_seen(prose)
    );
    let handed = correction(&path, &text, &changes) + "Eight loops, evenly set.\n";
    let file = desk.put("handed.md", handed);
    let dry = desk.import(&[&file]);
    assert_eq!((dry.code, desk.read(&path)), (0, text.clone()), "{}{}", dry.told, dry.summary);
    assert_eq!(dry.summary, "0 entries to write, 0 wrong, 1 to correct; nothing is written without --write\n");
    for line in [
        &format!("{path}\n"),
        " - hem   =   'chain-stitch'  # by daylight\n",
        " + hem   =   'lockstitch'  # by daylight\n",
        " - hip-pocket-tacks = 4\n",
        " + market = \"US\"\n",
        " - Eight loops, evenly set. The last",
        " + Eight loops, evenly set.\n",
        "    Why:\n",
        "    | I looked through a lens:\n",
        "    | the loops of the thread lock.\n",
    ] {
        assert!(dry.told.contains(line), "{line}: {}", dry.told);
    }
    let ran = desk.import(&[&file, "--write"]);
    assert_eq!((ran.code, ran.summary.as_str()), (0, "0 entries written, 0 wrong, 1 corrected\n"), "{}", ran.told);
    let expected = text
        .replace("'chain-stitch'", "'lockstitch'")
        .replace("hip-pocket-tacks = 4\n", "")
        .replace("factory = \"skelby\"\n", "factory = \"skelby\"\nmarket = \"US\"\n")
        .replace(" The last stamp of this label I know of.", "");
    assert_eq!((desk.read(&path), desk.files()), (expected, files));
    let again = desk.import(&[&file, "--write"]);
    assert_eq!(again.summary, "0 entries written, 0 wrong, 1 corrected already\n", "{}", again.told);
}

#[test]
fn what_changed_since_stays_and_what_is_corrected_must_not_have() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let handed = desk.put("handed.md", correction(&path, &text, HEM));
    let later = text.replace("belt-loops = 8\n", "belt-loops = 7\n");
    fs::write(desk.root().join(&path), &later).unwrap();
    let ran = desk.import(&[&handed]);
    assert!(ran.code == 0 && ran.told.contains("the entry has changed since the page was made"), "{}", ran.told);
    let clash = later.replace("'chain-stitch'", "'blind-stitch'");
    fs::write(desk.root().join(&path), &clash).unwrap();
    let ran = desk.import(&[&handed, "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (1, clash), "{}", ran.told);
    for value in ["`features.hem`", "`\"blind-stitch\"` by now", "showed `\"chain-stitch\"`", "says `\"lockstitch\"`"] {
        assert!(ran.told.contains(value), "{value}: {}", ran.told);
    }
    fs::write(desk.root().join(&path), &later).unwrap();
    assert_eq!(desk.import(&[&handed, "--write"]).code, 0);
    assert_eq!(desk.read(&path), later.replace("'chain-stitch'", "'lockstitch'"));
}

#[test]
fn a_correction_that_would_break_the_entry_is_not_written() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let wrong = HEM.replace("lockstitch", "lockstich");
    let ran = desk.import(&[&desk.put("wrong.md", correction(&path, &text, &wrong)), "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (1, text.clone()), "{}", ran.told);
    assert!(ran.told.contains("of the entry as it would be: `hem` has no state `lockstich`"), "{}", ran.told);
    // What would be a new finding is told, and the entry is corrected all the same.
    let label =
        "\n[[change]]\nkey = \"features.label-make\"\nwas = \"woven-four-sides\"\nnow = \"printed-two-sides\"\n";
    let ran = desk.import(&[&desk.put("label.md", correction(&path, &text, label))]);
    assert!(ran.code == 0 && ran.told.contains("Please look at"), "{}", ran.told);
}

#[test]
fn an_entry_that_moved_is_found_and_one_that_is_gone_is_told() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let now = format!("{FOLDER}/february-74.md");
    let handed = desk.put("handed.md", correction(&path, &text, HEM));
    let moved = desk.run(&["rename", &path, "february-74"]);
    assert_eq!(moved.code, 0, "{}{}", moved.told, moved.summary);
    let text = desk.read(&now);
    let ran = desk.import(&[&handed, "--write"]);
    assert!(ran.code == 0 && ran.told.contains("big-feb-74.md` is now"), "{}{}", ran.told, ran.summary);
    assert_eq!(desk.read(&now), text.replace("'chain-stitch'", "'lockstitch'"));
    fs::remove_file(desk.root().join(&now)).unwrap();
    let ran = desk.import(&[&handed, "--write"]);
    assert!(ran.code == 1 && ran.told.contains("it was removed"), "{}", ran.told);
}

#[test]
fn a_forged_correction_reaches_no_other_file() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let contents = || desk.files().iter().map(|file| fs::read(desk.root().join(file)).unwrap()).collect::<Vec<_>>();
    let before = contents();
    desk.put("outside.md", &text);
    for to in [
        "entries/../../outside.md",
        "../outside.md",
        "/etc/passwd",
        "entries/about.md",
        "entries/makers/brackwold-tharn/maker.md",
        "schema/vocabulary.toml",
        "site/templates/page.html",
    ] {
        let ran = desk.import(&[&desk.put("forged.md", correction(to, &text, HEM)), "--write"]);
        assert_eq!(ran.code, 1, "{to}");
        assert!(ran.told.contains("forged.md: corrects `"), "{}", ran.told);
        assert_eq!(contents(), before, "{to}");
    }
    for key in ["photos", "allow", "formerly", "claims", "source", "basis", "same-as"] {
        let change = format!("\n[[change]]\nkey = \"{key}\"\nnow = []\n");
        let ran = desk.import(&[&desk.put("forged.md", correction(&path, &text, &change)), "--write"]);
        assert!(ran.code == 1 && ran.told.contains(&format!("changes `{key}`")), "{}", ran.told);
    }
    assert_eq!(contents(), before);
    assert_eq!(fs::read_to_string(desk.put("outside.md", &text)).unwrap(), text);
}

/// The claim of the entry, as the page shows it.
const CLAIM: &str = "{ about = \"feature:back-cinch=strap-and-buckle\", event = \"discontinued\", when = \"1960~\", \
    as-written = \"the strap behind was dropped about 1960, my father said, who sold them\", \
    sources = [\"father-of-osk\"] }";

#[test]
fn a_claim_is_redated_and_one_with_a_date_that_cannot_be_read_is_refused() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let change = |when: &str| {
        let now = CLAIM.replace("1960~", when);
        format!("\n[[change]]\nkey = \"claims.1\"\nwas = {CLAIM}\nnow = {now}\n")
    };
    let wrong = desk.put("wrong.md", correction(&path, &text, &change("about then")));
    let ran = desk.import(&[&wrong, "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (1, text.clone()), "{}", ran.told);
    assert!(ran.told.contains("`about then`"), "{}", ran.told);
    let handed = desk.put("handed.md", correction(&path, &text, &change("1961")));
    let ran = desk.import(&[&handed, "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (0, text.replace("1960~", "1961")), "{}", ran.told);
    let again = desk.import(&[&handed, "--write"]);
    assert_eq!(again.summary, "0 entries written, 0 wrong, 1 corrected already\n", "{}", again.told);
}

#[test]
fn a_photograph_comes_with_a_correction_and_replaces_none() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let change = "\n[[change]]\nkey = \"photos.inside-hem.png\"\nnow = { file = \"inside-hem.png\", shows = [\"hem\"], \
        licence = \"CC-BY-4.0\" }\n";
    let handed = desk.put("handed.md", correction(&path, &text, change));
    let other = "entries/makers/thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png";
    let picture = fs::read(desk.root().join(other)).unwrap();
    desk.put("inside-hem.png", &picture);
    let ran = desk.import(&[&handed, "--write"]);
    assert_eq!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert_eq!(fs::read(desk.root().join(FOLDER).join("inside-hem.png")).unwrap(), picture);
    let line = "photos = [{ file = \"inside-hem.png\", shows = [\"hem\"], licence = \"CC-BY-4.0\" }]\n";
    let expected = text.replace("made-note = \"2 74\"\n", &format!("made-note = \"2 74\"\n{line}"));
    assert_eq!(desk.read(&path), expected);
    // As after a run that was killed between the photograph and the entry.
    fs::write(desk.root().join(&path), &text).unwrap();
    let ran = desk.import(&[&handed, "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (0, expected), "{}", ran.told);
    assert!(ran.told.contains("an interrupted import left it, and it is used"), "{}", ran.told);
    // Another picture under that name is replaced by none.
    fs::write(desk.root().join(&path), &text).unwrap();
    let beside = desk.root().join(FOLDER).join("inside-hem.png");
    fs::write(&beside, [&picture[..], b"\0"].concat()).unwrap();
    let ran = desk.import(&[&handed, "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (1, text), "{}", ran.told);
    assert!(ran.told.contains("If an interrupted import left it, remove it"), "{}", ran.told);
    assert_eq!(fs::read(&beside).unwrap().len(), picture.len() + 1, "nothing is lost");
}

#[cfg(unix)]
#[test]
fn a_correction_is_not_written_through_a_link_of_a_commit() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let outside = desk.put("outside.md", &text);
    let place = desk.root().join(&path);
    fs::remove_file(&place).unwrap();
    std::os::unix::fs::symlink(&outside, &place).unwrap();
    let ran = desk.import(&[&desk.put("handed.md", correction(&path, &text, HEM)), "--write"]);
    assert_ne!(ran.code, 0, "{}{}", ran.told, ran.summary);
    assert_eq!(fs::read_to_string(outside).unwrap(), text);
    assert!(fs::symlink_metadata(place).unwrap().is_symlink());
}

#[test]
fn a_source_goes_only_with_all_that_rests_on_it() {
    let desk = Desk::new();
    let (path, text) = entry(&desk);
    let source = "{ id = \"father-of-osk\", citation = \"Told by the observer’s father, a dry-goods clerk, in 2003\", \
                  kind = \"recollection\", date = \"2003\" }";
    let without = format!("\n[[change]]\nkey = \"source.father-of-osk\"\nwas = {source}\n");
    let ran = desk.import(&[&desk.put("handed.md", correction(&path, &text, &without)), "--write"]);
    assert_eq!((ran.code, desk.read(&path)), (1, text.clone()), "{}", ran.told);
    let says = "takes out the source `father-of-osk`, and the claim `discontinued feature:back-cinch=strap-and-buckle` \
                still rests on it";
    assert!(ran.told.contains(says), "{}", ran.told);
    let claim = "{ about = \"feature:back-cinch=strap-and-buckle\", event = \"discontinued\", when = \"1960~\", \
                 as-written = \"the strap behind was dropped about 1960, my father said, who sold them\", \
                 sources = [\"father-of-osk\"] }";
    let both = format!("{without}\n[[change]]\nkey = \"claims.1\"\nwas = {claim}\n");
    let ran = desk.import(&[&desk.put("both.md", correction(&path, &text, &both)), "--write"]);
    assert!(ran.code == 0 && !desk.read(&path).contains("father"), "{}{}", ran.told, desk.read(&path));
}

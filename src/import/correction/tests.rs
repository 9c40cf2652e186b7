//! Corrections of entries with fields unknown to the page: only the requested bytes change.

#![allow(clippy::unwrap_used)]

use super::{is_one, prose_seen, read, seen};
use crate::compile::example;
use crate::import::Gathered;
use crate::import::draft::Draft;
use crate::import::name::Names;

const PATH: &str = "entries/makers/a/b/c/d.md";

const ENTRY: &str = "+++
# Begun at the fair.
basis    = 'specimen'   # a garment
observer = 'wren'
made     = \"1978\"  # stamped
made-by  = \"mark\"
photos = [
  { file = \"hem.jpg\" },  # the hem
]
allow = [{ lint = \"one-voice\", reason = \"so it is\" }]

[features]
hem         = \"folded\"   # looked twice
belt-loops  = 5
zip-metal   = { state = 'brass', altered = true,  note = \"looks replaced\" }
leg-opening = { value = 8.25, unit = \"in\" }

[[claims]]
id = \"start\" # keep
event = \"introduced\"
when = \"1977~\"

[[source]]
id = \"notes\"
citation = \"…\"
kind = \"recollection\"
+++

Seen  at a fair. 

Twice.
";

fn gathered(entry: &str, correction: &str) -> Gathered {
    let world = format!(
        "--- {PATH}\n{entry}--- entries/makers/a/b/c/variant.md\n+++\nname = \"C\"\nline = \"best\"\nwearer = \"men\"\n\
         formerly = [\"makers/a/b/old/variant\"]\n+++\n--- entries/unplaced/e.md\n+++\nbasis = \"specimen\"\n\
         formerly = [\"unplaced/was\"]\n+++\n"
    );
    let catalog = example::compile(&world).knowledge.catalog;
    let mut gathered = Gathered::default();
    assert!(is_one(correction), "{correction}");
    let mut names = Names::of(&catalog.sources);
    read(&catalog, &Draft { file: "x.md", text: correction }, &mut names, &mut gathered);
    gathered
}

fn correction(path: &str, changes: &str, prose: &str) -> String {
    format!("+++\ncorrects = \"{path}\"\nseen = \"{}\"\nwhy = \"I looked again\"\n{changes}+++\n{prose}", seen(ENTRY))
}

fn change(key: &str, was: &str, now: &str) -> String {
    let line = |name: &str, value: &str| if value.is_empty() { String::new() } else { format!("{name} = {value}\n") };
    format!("\n[[change]]\nkey = \"{key}\"\n{}{}", line("was", was), line("now", now))
}

/// The entry after a correction, or what is wrong.
fn corrected(entry: &str, changes: &str) -> Result<String, String> {
    let found = gathered(entry, &correction(PATH, changes, ""));
    match found.troubles.first() {
        Some(trouble) => Err(trouble.message.clone()),
        None => Ok(found.candidates[0].text.clone()),
    }
}

/// A key, what it was, what it is to be; and what of the entry's text becomes what.
const CHANGES: [[&str; 5]; 16] = [
    ["features.hem", "\"folded\"", "\"raw\"", "\"folded\"   #", "\"raw\"   #"],
    [
        "features.hem",
        "\"folded\"",
        "{ state = \"folded\", unsure = true }",
        "\"folded\"",
        "{ state = \"folded\", unsure = true }",
    ],
    ["features.hem", "\"folded\"", "", "hem         = \"folded\"   # looked", "# looked"],
    ["features.belt-loops", "5.0", "7", "= 5\n", "= 7\n"],
    ["features.belt-loops", "5", "", "belt-loops  = 5\n", ""],
    ["features.cuff", "", "\"plain\"", "unit = \"in\" }\n", "unit = \"in\" }\ncuff = \"plain\"\n"],
    [
        "features.zip-metal",
        "{ note = \"looks replaced\", altered = true, state = \"brass\" }",
        "{ state = \"steel\", altered = true, note = \"looks replaced\" }",
        "'brass'",
        "'steel'",
    ],
    [
        "features.zip-metal",
        "{ state = \"brass\", altered = true, note = \"looks replaced\" }",
        "{ state = \"brass\", altered = true, unsure = true, note = \"a \\\"new\\\" one\" }",
        "\"looks replaced\" }",
        "\"a \\\"new\\\" one\", unsure = true }",
    ],
    [
        "features.zip-metal",
        "{ state = \"brass\", altered = true, note = \"looks replaced\" }",
        "{ state = \"brass\", note = \"looks replaced\" }",
        "{ state = 'brass', altered = true,  note = \"looks replaced\" }",
        "{ state = \"brass\", note = \"looks replaced\" }",
    ],
    ["features.leg-opening", "{ value = 8.25, unit = \"in\" }", "{ value = 8.5, unit = \"in\" }", "8.25", "8.5"],
    ["observer", "\"wren\"", "\"rook\"", "'wren'", "'rook'"],
    ["observer", "\"wren\"", "\"the 'rook'\"", "'wren'", "\"the 'rook'\""],
    ["observer", "\"wren\"", "", "observer = 'wren'\n", ""],
    ["made", "\"1978\"", "\"1979~\"", "\"1978\"  #", "\"1979~\"  #"],
    ["made-note", "", "\"inside\"", "made-by  = \"mark\"\n", "made-by  = \"mark\"\nmade-note = \"inside\"\n"],
    ["observed", "", "2026-03-14", "# a garment\n", "# a garment\nobserved = 2026-03-14\n"],
];

#[test]
fn only_the_bytes_of_what_is_wrong_change() {
    for [key, was, now, old, new] in CHANGES {
        for entry in [ENTRY.to_string(), ENTRY.replace('\n', "\r\n")] {
            let end = if entry.contains('\r') { "\r\n" } else { "\n" };
            let [old, new] = [old, new].map(|text| text.replace('\n', end));
            assert_eq!(entry.matches(&old).count(), 1, "{old}");
            let expected = entry.replace(&old, &new);
            assert_eq!(corrected(&entry, &change(key, was, now)), Ok(expected), "{key} {now}");
        }
    }
}

#[test]
fn several_changes_are_made_at_once_and_shown_line_by_line() {
    let changes = [
        change("features.hem", "\"folded\"", "\"raw\""),
        change("features.cuff", "", "\"plain\""),
        change("features.tab", "", "3"),
        change("text", &format!("\"{}\"", prose_seen("Seen  at a fair. \n\nTwice.")), ""),
    ];
    let found = gathered(ENTRY, &correction(PATH, &changes.concat(), "\nSeen  at a fair. \n\nOnce.\n+++\n"));
    let candidate = &found.candidates[0];
    let expected = ENTRY
        .replace("\"folded\"", "\"raw\"")
        .replace("unit = \"in\" }\n", "unit = \"in\" }\ncuff = \"plain\"\ntab = 3\n")
        .replace("Twice.", "Once.\n+++");
    assert_eq!(candidate.text, expected);
    let corrects = candidate.corrects.as_ref().unwrap();
    assert_eq!((corrects.before.as_str(), corrects.why.as_str()), (ENTRY, "I looked again"));
    assert_eq!(
        corrects.lines,
        [
            "   13 - hem         = \"folded\"   # looked twice",
            "      + hem         = \"raw\"   # looked twice",
            "      + cuff = \"plain\"",
            "      + tab = 3",
            "   31 - Twice.",
            "      + Once.",
            "      + +++",
        ]
    );
    assert!(candidate.remarks.is_empty(), "{:?}", candidate.remarks);
    // The same once more.
    let again = gathered(&candidate.text, &correction(PATH, &changes[..2].concat(), ""));
    assert_eq!((again.candidates.len(), again.corrected[0].1.as_str()), (0, PATH));
}

#[test]
fn an_entry_without_readings_or_words_gets_them() {
    let bare = "+++\nbasis = \"specimen\"\n+++";
    let changes = change("features.hem", "", "\"raw\"") + &change("text", &format!("\"{}\"", prose_seen("")), "");
    let found = gathered(&format!("{bare}\n"), &correction(PATH, &changes, "Two\nlines."));
    assert_eq!(found.candidates[0].text, "+++\nbasis = \"specimen\"\n\n[features]\nhem = \"raw\"\n+++\nTwo\nlines.\n");
    assert_eq!(found.candidates[0].remarks.len(), 1, "it is not the entry that the page showed");
    let inline = "+++\nbasis = \"specimen\"\nfeatures = { hem = 'raw' }\n+++\n";
    let added = corrected(inline, &change("features.cuff", "", "\"plain\""));
    assert_eq!(added.unwrap(), inline.replace("'raw' }", "'raw', cuff = \"plain\" }"));
}

#[test]
fn what_changed_meanwhile_is_told_with_both_values_and_nothing_is_taken() {
    let now = ENTRY.replace("\"folded\"", "\"bound\"").replace("Twice.", "Thrice.");
    let changes = [
        change("features.hem", "\"folded\"", "\"raw\""),
        change("observer", "\"wren\"", "\"rook\""),
        change("text", &format!("\"{}\"", prose_seen("Seen  at a fair. \n\nTwice.")), ""),
    ];
    let found = gathered(&now, &correction(PATH, &changes.concat(), "Once."));
    let told: Vec<&str> = found.troubles.iter().map(|trouble| trouble.message.as_str()).collect();
    assert_eq!((found.candidates.len(), told.len()), (0, 2), "{told:?}");
    for word in ["`features.hem`", "`\"bound\"`", "`\"folded\"`", "`\"raw\"`"] {
        assert!(told[0].contains(word), "{word}: {}", told[0]);
    }
    assert!(told[1].contains("Thrice.") && told[1].contains("Once."), "{}", told[1]);
    let other = gathered(&now, &correction(PATH, &changes[1], ""));
    assert_eq!(other.candidates[0].text, now.replace("'wren'", "'rook'"));
    assert!(other.candidates[0].remarks[0].contains("has changed since"), "{:?}", other.candidates[0].remarks);
}

#[test]
fn what_is_written_in_another_way_is_left_to_a_person() {
    let spread = ENTRY.replace("hem         = \"folded\"   # looked twice\n", "hem.state = \"folded\"\n");
    let told = corrected(&spread, &change("features.hem", "{ state = \"folded\" }", "\"raw\"")).unwrap_err();
    assert!(told.contains("by hand"), "{told}");
    let dotted = "+++\nbasis = \"specimen\"\nfeatures.hem = \"raw\"\n+++\n";
    assert!(corrected(dotted, &change("features.cuff", "", "\"plain\"")).unwrap_err().contains("[features]"));
    assert!(corrected("+++\nbasis = \n+++\n", &change("made", "", "\"1978\"")).unwrap_err().contains("`check`"));
}

#[test]
fn a_correction_finds_an_entry_that_moved_and_no_other_file() {
    let changes = change("observer", "\"wren\"", "\"rook\"");
    let found = gathered(ENTRY, &correction("entries/makers/a/b/old/d.md", &changes, ""));
    assert_eq!((found.candidates[0].path.as_str(), found.candidates[0].remarks.len()), (PATH, 1));
    let found = gathered(ENTRY, &correction("entries/unplaced/was.md", &change("find", "", "\"barn\""), ""));
    assert_eq!(found.candidates[0].path, "entries/unplaced/e.md");
    for (path, said) in [
        ("entries/makers/a/b/c/gone.md", "it was removed"),
        ("entries/../../etc/passwd", "small letters, digits and hyphens"),
        ("/etc/passwd", "small letters"),
        ("entries/makers/a/b/c/variant.md", "small letters"),
        ("entries/about.md", "small letters"),
        ("schema/vocabulary.toml", "small letters"),
        ("entries/makers/a/b/../c/d.md", "small letters"),
    ] {
        let found = gathered(ENTRY, &correction(path, &changes, ""));
        assert!(found.candidates.is_empty() && found.troubles[0].message.contains(said), "{:?}", found.troubles);
    }
}

#[test]
fn a_forged_correction_is_refused_by_name() {
    let made = change("made", "\"1978\"", "\"1979\"");
    for (changes, said) in [
        (String::new(), "changes nothing"),
        (change("photos", "", "[]"), "changes `photos`, which no correction may"),
        (change("allow", "", "[]"), "changes `allow`"),
        (change("formerly", "", "[\"a\"]"), "changes `formerly`"),
        (change("features.", "", "\"x\""), "changes `features.`"),
        (change("features.hem]\\n[x", "", "1"), "no correction may"),
        (made.clone() + &made, "changes `made` twice"),
        (change("made", "\"1978\"", "1979-01-01T00:00:00"), "a value that no entry can have"),
        ("[extra]\n".to_string(), "no key of a correction"),
        ("made = \n".to_string(), "cannot be read"),
    ] {
        let found = gathered(ENTRY, &correction(PATH, &changes, ""));
        assert!(found.candidates.is_empty() && found.troubles[0].message.contains(said), "{:?}", found.troubles);
    }
    let mut twice = gathered(ENTRY, &correction(PATH, &made, ""));
    let world = example::compile(&format!("--- {PATH}\n{ENTRY}"));
    let text = correction(PATH, &change("observer", "\"wren\"", "\"rook\""), "");
    let mut names = Names::of(&world.knowledge.catalog.sources);
    read(&world.knowledge.catalog, &Draft { file: "y.md", text: &text }, &mut names, &mut twice);
    assert!(twice.candidates.len() == 1 && twice.troubles[0].message.contains("so does x.md"), "{:?}", twice.troubles);
}

/// A claim, a source and a photograph of the entry, as the page showed them.
const CLAIM: &str = "{ id = \"start\", event = \"introduced\", when = \"1977~\" }";
const SOURCE: &str = "{ id = \"notes\", citation = \"…\", kind = \"recollection\" }";
const PHOTOGRAPH: &str = "{ file = \"hem.jpg\" }";

/// A change of an item: its key, what was, what is right, the part of the entry, and what that becomes.
const ITEMS: [[&str; 5]; 8] = [
    [
        "claims.start",
        CLAIM,
        "{ id = \"start\", event = \"introduced\", when = \"1976\", sources = [\"notes\"] }",
        "when = \"1977~\"\n",
        "when = \"1976\"\nsources = [\"notes\"]\n",
    ],
    [
        "claims.2",
        "",
        "{ event = \"discontinued\", when = \"1981\", sources = [\"notes\"] }",
        "when = \"1977~\"\n",
        "when = \"1977~\"\n\n[[claims]]\nevent = \"discontinued\"\nwhen = \"1981\"\nsources = [\"notes\"]\n",
    ],
    [
        "claims.start",
        CLAIM,
        "",
        "[[claims]]\nid = \"start\" # keep\nevent = \"introduced\"\nwhen = \"1977~\"\n",
        "# keep\n",
    ],
    [
        "source.notes",
        SOURCE,
        "{ id = \"notes\", citation = \"…\", kind = \"interview\", checked = 2026-03-14 }",
        "kind = \"recollection\"\n",
        "kind = \"interview\"\nchecked = 2026-03-14\n",
    ],
    [
        "photos.hem.jpg",
        PHOTOGRAPH,
        "{ file = \"hem.jpg\", credit = \"W\" }",
        "\"hem.jpg\" }",
        "\"hem.jpg\", credit = \"W\" }",
    ],
    ["photos.hem.jpg", PHOTOGRAPH, "", "{ file = \"hem.jpg\" },  # the", "# the"],
    ["photos.tab.jpg", "", "{ file = \"tab.jpg\" }", "# the hem\n", "# the hem\n  { file = \"tab.jpg\" },\n"],
    ["sources", "", "[\"notes p. 2\"]", "made-by  = \"mark\"\n", "made-by  = \"mark\"\nsources = [\"notes p. 2\"]\n"],
];

#[test]
fn items_of_lists_change_come_and_go_and_every_other_byte_stays() {
    for [key, was, now, old, new] in ITEMS {
        assert_eq!(ENTRY.matches(old).count(), 1, "{old}");
        let expected = match (key, now) {
            // The empty line before a claim goes with it.
            ("claims.start", "") => ENTRY.replace(&format!("\n{old}"), new),
            _ => ENTRY.replace(old, new),
        };
        let changes = change(key, was, now);
        assert_eq!(corrected(ENTRY, &changes), Ok(expected.clone()), "{key} {now}");
        let again = gathered(&expected, &correction(PATH, &changes, ""));
        assert_eq!((again.candidates.len(), again.corrected.len()), (0, 1), "{key} {now}: {:?}", again.troubles);
    }
}

#[test]
fn a_wrong_item_is_refused_with_a_sentence() {
    let unsourced = "{ event = \"introduced\", when = \"1976\" }";
    let other = "{ id = \"start\", event = \"introduced\", when = \"1970\" }";
    for (key, was, now, said) in [
        ("claims.2", "", unsourced, "would name no source"),
        ("claims.start", other, "", "`claims.start`"),
        ("claims.start", CLAIM, "{ id = \"end\", event = \"introduced\", when = \"1977~\" }", "another name"),
        ("source.notes", SOURCE, "\"mine\"", "not given field by field"),
        ("photos.../a.jpg", "", "{ file = \"../a.jpg\" }", "no correction may"),
        ("photos.d.md", "", "{ file = \"x.jpg\" }", "another name"),
    ] {
        let told = corrected(ENTRY, &change(key, was, now)).unwrap_err();
        assert!(told.contains(said), "{key}: {told}");
    }
}

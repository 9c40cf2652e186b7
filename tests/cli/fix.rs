//! `check --fix`: the repairs that can mean one thing only, each made once; everything else stays as it is.

use std::fs;
use std::path::Path;

use bartack::disk;
use bartack::source::edit::Change;
use serde_json::Value;

use super::{VARIANT, bartack, clean, code, err, folder, out};

/// What somebody wrote below `[features]`, and what they can only have meant.
const READINGS: [(&str, &str); 19] = [
    ("hem = \"none\"", "hem = \"absent\""),
    ("hem = 'None'", "hem = 'absent'"),
    ("hem = { state = \"none\", unsure = true }", "hem = { state = \"absent\", unsure = true }"),
    ("hem = \"Chain stitch\"", "hem = \"chain-stitch\""),
    ("hem = “raw” # turned up", "hem = \"raw\" # turned up"),
    ("belt-loops = \"none\"", "belt-loops = \"absent\""),
    ("belt-loops = 0", "belt-loops = \"absent\""),
    ("belt-loops = \"5\"", "belt-loops = 5"),
    ("belt-loops = \"Seven\"", "belt-loops = 7"),
    ("Belt_Loops = 5", "belt-loops = 5"),
    ("leg-opening = \"8.25in\"", "leg-opening = 8.25"),
    ("leg-opening = '8.25\"'", "leg-opening = 8.25"),
    ("leg-opening = \"8,25\"", "leg-opening = 8.25"),
    ("leg-opening = \"21 cm\"", "leg-opening = { value = 21, unit = \"cm\" }"),
    ("leg-opening = { value = \"8.25in\" }", "leg-opening = { value = 8.25 }"),
    ("leg-opening = { value = 8.25, unit = \"inches\" }", "leg-opening = { value = 8.25, unit = \"in\" }"),
    ("leg-opening = 8,25", "leg-opening = 8.25"),
    ("leg-opening = { value = 8,25, unit = \"Inch\" }", "leg-opening = { value = 8.25, unit = \"in\" }"),
    ("hem = { state = “raw”, note = “by hand” }", "hem = { state = \"raw\", note = \"by hand\" }"),
];

/// The same for keys of the entry itself.
const KEYS: [(&str, &str); 12] = [
    ("made = \"circa 1977\"", "made = \"1977~\""),
    ("made = '1970s'", "made = '197X'"),
    ("made = \"3 May 1974\"", "made = \"1974-05-03\""),
    ("made = 1974", "made = \"1974\""),
    ("made = 1974-05-01", "made = \"1974-05-01\""),
    ("made = 1974-05 # stamped", "made = \"1974-05\" # stamped"),
    ("made = 197X", "made = \"197X\""),
    ("observed = \"1984-05-01\"", "observed = 1984-05-01"),
    ("made_note = \"stamped\"", "made-note = \"stamped\""),
    ("factry = \"dunmore\"", "factory = \"dunmore\""),
    ("observer = \"rowan-k", "observer = \"rowan-k\""),
    ("formerly = \"unplaced/old-find\"", "formerly = [\"unplaced/old-find\"]"),
];

/// What can mean two things, or would change what was seen: below `[features]`, and among the keys.
const DOUBTFUL_READINGS: [&str; 9] = [
    "hem = \"chain-stich\"",
    "hem = \"stitched\"",
    "belt-loop = 5",
    "belt-loops = 5,6",
    "belt-loops = \"5 or 6\"",
    "leg-opening = 1,250",
    "leg-opening = \"30in\"",
    "leg-opening = { value = \"8.25in\", unit = \"cm\" }",
    "leg-opening = { value = \"none\" }",
];

const DOUBTFUL_KEYS: [&str; 8] = [
    "made = \"1974-13\"",
    "made = \"1978-02-29\"",
    "made = \"77\"",
    "made = \"03/04/1975\"",
    "made = \"1985/1984\"",
    "made = \"late 1970s\"",
    "made = 1974.5",
    "obsever = \"rowan\"",
];

fn with_reading(line: &str) -> String {
    format!("+++\nbasis = \"specimen\"\n[features]\n{line}\n+++\nSeen “by hand”, 8,25 wide.\n")
}

fn with_key(line: &str) -> String {
    format!("+++\nbasis = \"specimen\"\n{line}\n+++\n")
}

/// Texts of entries, each a file of its own.
struct Entries {
    before: Vec<String>,
    after: Vec<String>,
}

impl Entries {
    fn write(&self, root: &Path) {
        for (number, text) in self.before.iter().enumerate() {
            fs::write(root.join(path(number)), text).unwrap();
        }
    }

    fn assert_repaired(&self, root: &Path) {
        for (number, text) in self.after.iter().enumerate() {
            assert_eq!(&fs::read_to_string(root.join(path(number))).unwrap(), text);
        }
    }
}

fn path(number: usize) -> String {
    format!("{VARIANT}/find-{number}.md")
}

fn fixed(root: &Path) -> (String, String) {
    let output = bartack(root, &["check", "--fix"]);
    (out(&output), err(&output))
}

#[test]
fn each_mistake_becomes_what_it_can_only_have_meant_and_a_second_run_changes_nothing() {
    let base = folder(&clean());
    let texts = |rows: &[(&str, &str)], text: fn(&str) -> String| -> Entries {
        let both = rows.iter().map(|(before, after)| (text(before), text(after)));
        let (before, after) = both.unzip();
        Entries { before, after }
    };
    for (rows, text) in [(&READINGS[..], with_reading as fn(&str) -> String), (&KEYS[..], with_key)] {
        let entries = texts(rows, text);
        entries.write(base.path());
        let before = bartack(base.path(), &["check"]);
        // A slip in TOML can be several errors on one line.
        let told = err(&before);
        let errors = told.split(' ').next().unwrap();
        assert_eq!(told, format!("{errors} errors; `--fix` repairs {errors}\n"));
        let count = rows.len();
        let (out, told) = fixed(base.path());
        entries.assert_repaired(base.path());
        assert!(!out.contains("error["), "{out}");
        assert!(told.matches("repaired ").count() >= count, "{told}");
        let (again, told) = fixed(base.path());
        assert!(again == out && !told.contains("repaired "), "{told}");
        entries.assert_repaired(base.path());
    }
}

#[test]
fn what_can_mean_two_things_or_would_change_what_was_seen_is_left_alone() {
    let base = folder(&clean());
    let readings = DOUBTFUL_READINGS.iter().map(|line| with_reading(line));
    let before: Vec<String> = readings.chain(DOUBTFUL_KEYS.iter().map(|line| with_key(line))).collect();
    let entries = Entries { after: before.clone(), before };
    entries.write(base.path());
    let (found, told) = fixed(base.path());
    entries.assert_repaired(base.path());
    assert!(!told.contains("repaired "), "{told}");
    for number in 0..entries.before.len() {
        assert!(found.contains(&path(number)), "{}\n{found}", entries.before[number]);
    }
    assert!(!found.contains("1974-12"), "{found}");
}

#[test]
fn a_key_below_a_table_moves_above_the_first_with_its_remark() {
    let base = folder(&clean());
    let rows: [(String, String); 3] = [
        (
            "+++\nbasis = \"specimen\"\n\n# Seen.\n[features]\nhem = \"raw\"\nobserver = \"rowan-k\" # mine\n+++\n"
                .into(),
            "+++\nbasis = \"specimen\"\nobserver = \"rowan-k\" # mine\n\n# Seen.\n[features]\nhem = \"raw\"\n+++\n"
                .into(),
        ),
        (
            "+++\n[features]\nbasis = \"specimen\"\nhem = \"raw\"\n+++\nText.\n".into(),
            "+++\nbasis = \"specimen\"\n[features]\nhem = \"raw\"\n+++\nText.\n".into(),
        ),
        (
            "+++\r\nbasis = \"specimen\"\r\n[features]\r\nobserver = \"rowan-k\"\r\nmade = 1974\r\n+++\r\n".into(),
            "+++\r\nbasis = \"specimen\"\r\nobserver = \"rowan-k\"\r\nmade = \"1974\"\r\n[features]\r\n+++\r\n".into(),
        ),
    ];
    let (before, after): (Vec<String>, Vec<String>) = rows.into_iter().unzip();
    let entries = Entries { before, after };
    entries.write(base.path());
    let (_, told) = fixed(base.path());
    entries.assert_repaired(base.path());
    let line = format!("repaired {}:7: moved `observer = \"rowan-k\" # mine` above `[features]`\n", path(0));
    assert!(told.contains(&line), "{told}");
    let (_, told) = fixed(base.path());
    assert!(!told.contains("repaired "), "{told}");
}

#[test]
fn a_file_with_another_slip_stays_as_it_is() {
    let base = folder(&clean());
    let text = "+++\nbasis = \"specimen\"\nmade = \"circa 1977\"\nobserver = ]\n+++\n".to_string();
    let both = "+++\nbasis = “specimen”\nmade = \"circa 1977\"\nobserver = ]\n+++\n".to_string();
    let entries =
        Entries { before: vec![text.clone(), both.clone()], after: vec![text, both.replace(['“', '”'], "\"")] };
    entries.write(base.path());
    assert_eq!(code(&bartack(base.path(), &["check", "--fix"])), 1);
    entries.assert_repaired(base.path());
}

#[test]
fn only_the_files_that_are_named_are_repaired() {
    let base = folder(&clean());
    let text = with_key("made = \"circa 1977\"");
    let entries = Entries { before: vec![text.clone(); 2], after: vec![with_key("made = \"1977~\""), text] };
    entries.write(base.path());
    let output = bartack(base.path(), &["check", "--fix", &path(0)]);
    let told = format!("repaired {}:3: wrote `1977~`\n", path(0));
    assert!(err(&output).starts_with(&told), "{}", err(&output));
    assert_eq!(code(&output), 0, "the other file's error is not asked about");
    entries.assert_repaired(base.path());
}

#[test]
fn the_vocabulary_is_repaired_too() {
    let look = "name = \"Hem\"\nlook = \"Look.\"\nkind = \"measure\"\ntolerance = 0.25\nrange = [1, 9]\n";
    let base = folder(&format!("--- schema/vocabulary.toml\n[hem]\nunit = “inches”\n{look}"));
    let (found, _) = fixed(base.path());
    assert_eq!(found, "");
    let vocabulary = fs::read_to_string(base.path().join("schema/vocabulary.toml")).unwrap();
    assert_eq!(vocabulary, format!("[hem]\nunit = \"in\"\n{look}"));
}

/// Puts a text in place of another, by lines and columns from 1.
fn replaced(text: &str, place: [usize; 4], with: &str) -> String {
    let offset = |line: usize, column: usize| {
        let start: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
        start + text[start..].chars().take(column - 1).map(char::len_utf8).sum::<usize>()
    };
    let [line, column, end_line, end_column] = place;
    format!("{}{with}{}", &text[..offset(line, column)], &text[offset(end_line, end_column)..])
}

/// Writes the first of the `fixes` of a result in SARIF into the text.
pub(super) fn with_fix(text: &str, fixes: &Value) -> String {
    let number = |value: &Value| usize::try_from(value.as_u64().unwrap()).unwrap();
    let replacements = fixes[0]["artifactChanges"][0]["replacements"].as_array().unwrap();
    replacements.iter().rev().fold(text.to_string(), |text, one| {
        let place = ["startLine", "startColumn", "endLine", "endColumn"].map(|key| number(&one["deletedRegion"][key]));
        replaced(&text, place, one["insertedContent"]["text"].as_str().unwrap())
    })
}

#[test]
fn other_programs_are_told_the_same_repair() {
    let base = folder(&clean());
    let text = "+++\nbasis = \"specimen\"\n[features]\nhem = \"raw\" # ü\nobserver = \"rowan-k\"\n+++\n";
    fs::write(base.path().join(path(0)), text).unwrap();
    let read = |format: &str| -> Value {
        serde_json::from_str(&out(&bartack(base.path(), &["check", "--format", format]))).unwrap()
    };
    let (log, json) = (read("sarif"), read("json"));
    let fixes = log["runs"][0]["results"][0]["fixes"].as_array().unwrap();
    assert_eq!((fixes.len(), fixes[0]["description"]["text"].as_str().unwrap()), (1, "move it above `[features]`"));
    let change = &fixes[0]["artifactChanges"][0];
    assert_eq!(change["artifactLocation"]["uri"].as_str().unwrap(), path(0));
    let number = |value: &Value| usize::try_from(value.as_u64().unwrap()).unwrap();
    let listed = json["findings"][0]["repair"].as_array().unwrap().iter().rev().map(|one| {
        let place = ["line", "column", "end_line", "end_column"].map(|key| number(&one[key]));
        (place, one["text"].as_str().unwrap())
    });
    let expected = "+++\nbasis = \"specimen\"\nobserver = \"rowan-k\"\n[features]\nhem = \"raw\" # ü\n+++\n";
    assert_eq!(with_fix(text, &log["runs"][0]["results"][0]["fixes"]), expected);
    assert_eq!(listed.fold(text.to_string(), |text, (place, with)| replaced(&text, place, with)), expected);
}

#[test]
fn a_file_that_was_saved_since_it_was_read_is_not_written() {
    let base = folder(&clean());
    fs::write(base.path().join(path(0)), "saved meanwhile").unwrap();
    let change = Change { before: "as it was read".into(), after: "repaired".into() };
    let refused = disk::mend(base.path(), &path(0), &change).unwrap_err().to_string();
    assert!(refused.contains("has changed since it was read"), "{refused}");
    assert_eq!(fs::read_to_string(base.path().join(path(0))).unwrap(), "saved meanwhile");
    #[cfg(unix)]
    {
        use std::os::unix::fs::{PermissionsExt, symlink};
        fs::set_permissions(base.path().join(path(0)), fs::Permissions::from_mode(0o640)).unwrap();
        let change = Change { before: "saved meanwhile".into(), after: "repaired".into() };
        symlink(base.path().join(path(0)), base.path().join(path(1))).unwrap();
        disk::mend(base.path(), &path(1), &change).unwrap_err();
        disk::mend(base.path(), &path(0), &change).unwrap();
        let mode = fs::metadata(base.path().join(path(0))).unwrap().permissions().mode();
        assert_eq!(
            (fs::read_to_string(base.path().join(path(1))).unwrap().as_str(), mode & 0o777),
            ("repaired", 0o640)
        );
        let left = fs::read_dir(base.path().join(VARIANT)).unwrap();
        assert!(left.flatten().all(|entry| !entry.file_name().to_string_lossy().starts_with('.')));
    }
}

//! Files as contributors write them, to records or to faults with line and column.

#![allow(clippy::unwrap_used, clippy::panic)]

mod claims;
mod every_key;
mod landmarks;
mod observations;
mod vocabulary;
mod wholes;

use bartack::fault::{Fault, FaultKind, SchemaFault};
use bartack::source::{FilePath, SourceFile, Sources};
use bartack::validate::{self, Validated};

const VOCABULARY: &str = r#"[hem]
name = "Hem"
kind = "state"
look = "Look at the hem."
states = ["folded", "chain-stitch"]
varies-with = ["size"]
[belt-loops]
name = "Belt loops"
kind = "count"
look = "Count the loops."
[leg]
name = "Leg opening"
kind = "measure"
look = "Lay it flat."
unit = "cm"
tolerance = 0.5
range = [10, 40]
shrinks = true
[size]
name = "Size"
kind = "number"
look = "Read it."
bands = [30, 34]
[lot]
name = "Lot"
kind = "code"
look = "Copy it."
"#;

const WORLD: [(&str, &str); 5] = [
    ("schema/vocabulary.toml", VOCABULARY),
    ("entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n"),
    ("entries/makers/m/maker.md", "+++\nname = \"M\"\nlines = [{ id = \"best\", name = \"Best\" }]\n+++\n"),
    ("entries/makers/m/x/model.md", "+++\nname = \"X\"\ngarment = \"trousers\"\n+++\n"),
    ("entries/makers/m/x/v/variant.md", "+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n"),
];
const OBSERVATION: &str = "entries/makers/m/x/v/o.md";

fn compile(files: &[(&str, &str)]) -> (Sources, Validated) {
    let mut list: Vec<(&str, &str)> = WORLD.to_vec();
    for (path, text) in files {
        list.retain(|(known, _)| known != path);
        list.push((path, text));
    }
    let files = list.into_iter().map(|(path, text)| SourceFile::new(FilePath::new(path), text.to_string()));
    let sources = Sources::new(files.collect());
    let validated = validate::all(&sources, &|| {});
    (sources, validated)
}

/// Gives each fault as `line:column fault`, the file's path before it unless it is the file asked about.
fn faults(path: &str, text: &str) -> Vec<String> {
    let (sources, validated) = compile(&[(path, text)]);
    validated.faults.iter().map(|fault| describe(&sources, path, fault)).collect()
}

fn describe(sources: &Sources, path: &str, fault: &Fault) -> String {
    let file = sources.file(fault.place.file);
    let (line, column) = file.line_and_column(fault.span().start());
    let kind = match &fault.kind {
        FaultKind::Schema(SchemaFault::Rule(rule)) => format!("{rule:?}"),
        FaultKind::Schema(SchemaFault::UnknownKey { key, .. }) => format!("UnknownKey {key}"),
        FaultKind::Schema(SchemaFault::Date { found, fault }) => format!("Date {found:?} nearest {:?}", fault.nearest),
        FaultKind::Schema(schema) => format!("{schema:?}"),
        other => format!("{other:?}"),
    };
    let elsewhere = if file.path().as_str() == path { String::new() } else { format!("{} ", file.path()) };
    format!("{elsewhere}{line}:{column} {kind}")
}

fn observation(front: &str) -> Vec<String> {
    faults(OBSERVATION, &format!("+++\n{front}\n+++\n"))
}

/// Holds every row of a table of front matter and expected beginnings of faults against the program.
fn hold(rows: &[(&str, &[&str])], found: impl Fn(&str) -> Vec<String>) {
    let mut wrong = String::new();
    for (front, expected) in rows {
        let found = found(front);
        let fits = found.len() == expected.len()
            && found.iter().zip(expected.iter()).all(|(found, expected)| found.starts_with(expected));
        if !fits {
            wrong.push_str(&format!("{front}\n  found    {found:#?}\n  expected {expected:#?}\n"));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn the_smallest_world_has_no_faults() {
    let (_, validated) = compile(&[]);
    assert!(validated.faults.is_empty(), "{:?}", validated.faults);
    assert_eq!(validated.records.len(), 4);
    assert!(validated.unusable.is_empty());
}

#[test]
fn misplaced_files_are_named_and_others_are_still_read() {
    let (sources, validated) = compile(&[
        ("entries/notes.md", "+++\n+++\n"),
        ("entries/makers/m/x/v/Big.md", "+++\nbasis = \"specimen\"\n+++\n"),
        ("entries/makers/m/y/w/o.md", "+++\nbasis = \"specimn\"\n+++\n"),
        (OBSERVATION, "+++\nbasis = \"specimen\"\n+++\n"),
    ]);
    let found: Vec<String> = validated.faults.iter().map(|fault| describe(&sources, "", fault)).collect();
    assert_eq!(
        found,
        [
            "entries/makers/m/x/v/Big.md 1:1 Misplaced(BadName { found: \"Big\" })",
            "entries/makers/m/y/w/o.md 1:1 Misplaced(MissingParent { expected: \"entries/makers/m/y/model.md\" })",
            "entries/makers/m/y/w/o.md 1:1 Misplaced(MissingParent { expected: \"entries/makers/m/y/w/variant.md\" })",
            "entries/makers/m/y/w/o.md 2:9 NotOneOf { found: \"specimn\", allowed: [\"specimen\", \"document\", \"statement\"] }",
            "entries/notes.md 1:1 Misplaced(NoSuchPlace)",
        ]
    );
    assert_eq!((validated.records.len(), validated.unusable.len()), (5, 3));
}

#[test]
fn missing_settings_and_vocabulary_are_faults_and_the_rest_is_checked() {
    let file =
        SourceFile::new(FilePath::new("entries/sources/s.md"), "+++\ncitation = 1\nkind = \"book\"\n+++\n".into());
    let sources = Sources::new(vec![file]);
    let found: Vec<String> =
        validate::all(&sources, &|| {}).faults.iter().map(|fault| describe(&sources, "entries/sources/s.md", fault)).collect();
    assert_eq!(found.len(), 3);
    assert!(found[0].contains("entries/about.md") && found[1].contains("schema/vocabulary.toml"), "{found:?}");
    assert!(found[2].starts_with("2:12 WrongType"), "{found:?}");
    assert!(validate::all(&Sources::default(), &|| {}).faults.is_empty(), "no file, nobody to tell");
}

#[test]
fn threads_and_order_of_files_change_nothing() {
    let texts =
        ["basis = \"specimen\"", "basis = \"x\"", "base = 1\nmade = \"x\"", "basis = \"document\"\nmade-by = \"mark\""];
    let entry = |number: usize| {
        let path = format!("entries/makers/m/x/v/o{number:03}.md");
        SourceFile::new(FilePath::new(path), format!("+++\n{}\n+++\n", texts[number % texts.len()]))
    };
    let world = || WORLD.iter().map(|(path, text)| SourceFile::new(FilePath::new(*path), text.to_string()));
    let print = |sources: Sources| {
        let validated = validate::all(&sources, &|| {});
        format!("{:?}{:?}{:?}", validated.faults, validated.records, validated.unusable)
    };
    let forward = print(Sources::new(world().chain((0..200).map(entry)).collect()));
    let backward = print(Sources::new((0..200).rev().map(entry).chain(world()).collect()));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let single = pool.install(|| print(Sources::new(world().chain((0..200).map(entry)).collect())));
    assert_eq!(forward, backward);
    assert_eq!(forward, single);
}

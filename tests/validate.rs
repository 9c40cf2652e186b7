//! Files as contributors write them, to records or to faults with line and column.

#![allow(clippy::unwrap_used, clippy::panic)]

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
    let validated = validate::all(&sources);
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
fn keys_and_types_are_blamed_where_they_stand() {
    let rows: [(&str, &[&str]); 14] = [
        ("basis = \"specimen\"", &[]),
        ("", &["1:1 MissingKey { key: \"basis\", because: None }"]),
        ("basis = \"specimen\"\nmaed = \"1978\"", &["3:1 UnknownKey maed"]),
        ("bais = \"specimen\"", &["2:1 UnknownKey bais"]),
        (
            "basis = 5",
            &["2:9 WrongType { found: \"a number\", expected: \"a text in quotation marks: what was looked at"],
        ),
        (
            "basis = \"garment\"",
            &["2:9 NotOneOf { found: \"garment\", allowed: [\"specimen\", \"document\", \"statement\"] }"],
        ),
        (
            "basis = \"specimen\"\nobserved = \"2026-03-14\"",
            &["3:12 WrongType { found: \"a text\", expected: \"a date without quotation marks: when it was looked at"],
        ),
        ("basis = \"specimen\"\nobserved = 2026-03-14", &[]),
        (
            "basis = \"specimen\"\nmade = 1978-01-01",
            &[
                "3:8 WrongType { found: \"a date without quotation marks\", expected: \"a text in quotation marks: when the",
            ],
        ),
        ("basis = \"specimen\"\nmade = inf", &["3:8 WrongType { found: \"a number without an end\""]),
        (
            "basis = \"specimen\"\nmade = 99999999999999999999",
            &["3:8 WrongType { found: \"a number that is too large\""],
        ),
        (
            "basis = \"specimen\"\nmarket = \"usa\"",
            &["3:10 OutOfLimits { found: \"usa\", expected: \"where it was sold new, as two capital letters"],
        ),
        ("basis = \"specimen\"\nmade = \"circa 1977\"", &["3:8 Date \"circa 1977\" nearest Some(\"1977~\")"]),
        (
            "basis = 1\nmarket = \"usa\"\n[[claims]]\nevent = \"begun\"\nwhen = \"77\"",
            &["2:9 WrongType", "3:10 OutOfLimits", "5:9 NotOneOf", "6:8 Date \"77\""],
        ),
    ];
    hold(&rows, observation);
}

#[test]
fn readings_are_held_to_the_vocabulary() {
    let rows: [(&str, &[&str]); 26] = [
        ("hem = \"folded\"", &[]),
        ("hem = \"absent\"\nleg = \"lost\"\nbelt-loops = \"absent\"\nlot = \"absent\"", &[]),
        ("hem = { state = \"folded\", altered = true, unsure = true, note = \"n\" }", &[]),
        ("hem = { other = \"in pairs\" }", &[]),
        (
            "hem = \"flat\"",
            &[
                "4:7 Term(UnknownState { feature: \"hem\", found: \"flat\", allowed: [\"folded\", \"chain-stitch\", \"absent\", \"lost\"] })",
            ],
        ),
        ("hem = { state = \"flat\" }", &["4:17 Term(UnknownState { feature: \"hem\", found: \"flat\""]),
        (
            "heem = \"folded\"",
            &[
                "4:1 Term(UnknownFeature { found: \"heem\", known: [\"belt-loops\", \"hem\", \"leg\", \"lot\", \"size\"] })",
            ],
        ),
        (
            "hem = 5",
            &[
                "4:7 WrongType { found: \"a number\", expected: \"a text in quotation marks or a table: one of the feature's states\"",
            ],
        ),
        (
            "hem = { state = \"folded\", other = \"x\" }",
            &["4:7 OutOfLimits { found: \"a table\", expected: \"a table with exactly one of `state`, `other`"],
        ),
        ("hem = { note = \"x\" }", &["4:7 OutOfLimits"]),
        ("hem = { sate = \"folded\" }", &["4:9 UnknownKey sate"]),
        ("belt-loops = 5", &[]),
        ("belt-loops = { value = 5, altered = true }", &[]),
        ("belt-loops = 0", &["4:14 CountOfZero"]),
        ("belt-loops = { value = 0 }", &["4:24 CountOfZero"]),
        ("belt-loops = -1", &["4:14 NotACount { found: \"-1\" }"]),
        ("belt-loops = 5.5", &["4:14 NotACount { found: \"5.5\" }"]),
        (
            "belt-loops = \"five\"",
            &["4:14 OutOfLimits { found: \"five\", expected: \"a whole number from 1 on, or `absent` or `lost`"],
        ),
        ("leg = 20.5", &[]),
        ("leg = { value = 8.25, unit = \"in\" }", &[]),
        ("leg = { value = 20, unit = \"1/in\" }", &["4:28 UnitMismatch { found: \"1/in\", expected: \"cm\" }"]),
        ("leg = { value = 20, unit = \"yd\" }", &["4:28 NotOneOf { found: \"yd\""]),
        ("leg = 8", &["4:7 OutsideRange { found: \"8 cm\", range: \"10 to 40 cm\" }"]),
        ("leg = { value = 20, unit = \"in\" }", &["4:17 OutsideRange { found: \"20 in\", range: \"10 to 40 cm\" }"]),
        ("size = \"34\"", &["4:8 OutOfLimits { found: \"34\", expected: \"a number as printed"]),
        (
            "lot = 478",
            &[
                "4:7 WrongType { found: \"a number\", expected: \"a text in quotation marks or a table: letters and digits",
            ],
        ),
    ];
    hold(&rows, |features| observation(&format!("basis = \"specimen\"\n[features]\n{features}")));
}

#[test]
fn rules_between_keys_of_an_observation_are_kept() {
    let rows: [(&str, &[&str]); 26] = [
        ("basis = \"statement\"\nmade = \"1978\"", &["3:1 StatementWithMade"]),
        ("basis = \"document\"\nmade = \"1978\"\nmade-by = \"mark\"", &["4:1 NotOnDocument { key: \"made-by\" }"]),
        ("basis = \"document\"\nplaced-by = \"judged\"\nplaced-from = [\"hem\"]", &[]),
        ("basis = \"specimen\"\nmade = \"1978\"\nmade-by = \"key\"", &["4:11 KeyNeedsSource"]),
        ("basis = \"specimen\"\nmade = \"1978\"\nmade-source = \"s\"", &["4:1 KeyNeedsSource"]),
        ("basis = \"specimen\"\nmade = \"1978\"\nmade-by = \"key\"\nmade-source = \"s p. 3\"", &[]),
        (
            "basis = \"specimen\"\nmade-by = \"mark\"",
            &["3:1 MissingKey { key: \"made\", because: Some(\"beside `made-by`\") }"],
        ),
        ("basis = \"specimen\"\nmade = \"1978\"\nmade-from = [\"hem\", \"wear\"]", &[]),
        (
            "basis = \"specimen\"\nmade = \"1978\"\nmade-from = [\"unsaid\", \"hm\"]",
            &["4:14 Term(UnknownFeature { found: \"unsaid\"", "4:24 Term(UnknownFeature { found: \"hm\""],
        ),
        (
            "basis = \"specimen\"\nmade = \"1978\"\nmade-by = \"mark\"\nmade-from = [\"hem\"]",
            &["5:1 FromNeedsJudgement { key: \"made-from\" }"],
        ),
        ("basis = \"specimen\"\nplaced-from = [\"hem\"]", &["3:1 FromNeedsJudgement { key: \"placed-from\" }"]),
        (
            "basis = \"specimen\"\nplaced-by = \"mark\"\nplaced-from = [\"hem\"]",
            &["4:1 FromNeedsJudgement { key: \"placed-from\" }"],
        ),
        ("basis = \"specimen\"\nplaced-by = \"judged\"\nplaced-from = [\"unsaid\"]", &[]),
        (
            "basis = \"specimen\"\nplaced-by = \"judged\"\nplaced-from = [\"wear\"]",
            &["4:16 Term(UnknownFeature { found: \"wear\""],
        ),
        (
            "basis = \"specimen\"\nmaker = \"m\"\nperhaps = [\"m/x/v\"]",
            &["3:1 Other { found: \"`maker` in the folder", "4:1 Other { found: \"`perhaps` in the folder"],
        ),
        ("basis = \"specimen\"\nsame-as = \"o\"", &["3:11 Other { found: \"`o`\""]),
        ("basis = \"specimen\"\nsame-as = \"p\"", &[]),
        ("basis = \"specimen\"\nphotos = [{ file = \"a.jpg\", shows = [\"hem\"] }]", &[]),
        (
            "basis = \"specimen\"\nphotos = [{ file = \"../a.jpg\" }]",
            &["3:20 Photograph(BadName { file: \"../a.jpg\" })"],
        ),
        (
            "basis = \"specimen\"\nphotos = [{ file = \".a.jpg\", shows = [\"him\"] }]",
            &["3:20 Photograph(BadName", "3:39 Term(UnknownFeature"],
        ),
        ("basis = \"specimen\"\nphotos = [{ file = \"a\\\\b.jpg\" }]", &["3:20 Photograph(BadName"]),
        (
            "basis = \"specimen\"\n[[source]]\nid = \"variant\"\ncitation = \"c\"\nkind = \"book\"",
            &["4:6 ReservedId { found: \"variant\" }"],
        ),
        (
            "basis = \"specimen\"\n[[source]]\nid = \"a\"\ncitation = \"c\"\nkind = \"book\"\n[[source]]\nid = \"a\"\ncitation = \"c\"\nkind = \"book\"",
            &["8:6 RepeatedId { found: \"a\" }"],
        ),
        ("basis = \"specimen\"\n[[source]]\nid = \"a\"\nkind = \"book\"", &["3:1 MissingKey { key: \"citation\""]),
        (
            "basis = \"specimen\"\n[[source]]\nid = \"a\"\ncitation = \"c\"\nkind = \"book\"\nurl = \"javascript:x\"",
            &["7:7 OutOfLimits { found: \"javascript:x\", expected: \"where it stands, an address on the web"],
        ),
        (
            "basis = \"specimen\"\n[[source]]\nid = \"a\"\ncitation = \"c\"\nkind = \"book\"\nrepeats = [\"a\"]\nchecked = 2026-01-01",
            &["7:12 Other { found: \"`a`\""],
        ),
    ];
    hold(&rows, observation);
}

#[test]
fn claims_say_what_they_need() {
    let rows: [(&str, &[&str]); 28] = [
        ("event = \"introduced\"\nwhen = \"1977~\"", &[]),
        ("event = \"produced\"\nwhen = \"1977/1980\"", &[]),
        ("event = \"produced\"\nwhen = \"1977/..\"", &[]),
        ("event = \"produced\"\nwhen = \"1977\"", &["5:8 ProducedNeedsInterval { found: \"1977\" }"]),
        ("event = \"produced\"\nwhen = \"[1977,1980]\"", &["5:8 ProducedNeedsInterval"]),
        ("event = \"introduced\"", &["3:1 EventNeeds { event: \"introduced\", needs: \"when\" }"]),
        ("when = \"1977\"", &["3:1 MissingKey { key: \"event\""]),
        ("event = \"before\"\nother = \"m/x/w\"", &[]),
        ("event = \"before\"", &["3:1 EventNeeds { event: \"before\", needs: \"other\" }"]),
        (
            "event = \"before\"\nother = \"m/x/w\"\nwhen = \"1977\"",
            &["6:1 EventNeeds { event: \"before\", needs: \"other\" }"],
        ),
        (
            "event = \"attested\"\nwhen = \"1977\"\nother = \"m/x/w\"",
            &["6:1 EventNeeds { event: \"attested\", needs: \"when\" }"],
        ),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:hem=folded\"", &[]),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:hem=absent\"", &[]),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:belt-loops=7\"", &[]),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"m/y/feature:hem=folded\"", &[]),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"line:best\"", &[]),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:belt-loops=0\"",
            &["6:9 Term(UnknownState { feature: \"belt-loops\", found: \"0\""],
        ),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:hem=lost\"",
            &[
                "6:9 Term(UnknownState { feature: \"hem\", found: \"lost\", allowed: [\"folded\", \"chain-stitch\", \"absent\"] })",
            ],
        ),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:hem=other\"",
            &["6:9 Term(UnknownState { feature: \"hem\", found: \"other\""],
        ),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:him=folded\"",
            &["6:9 Term(UnknownFeature { found: \"him\""],
        ),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:leg=absent\"", &["6:9 Other { found: \"`leg`\""]),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"feature:hem\"",
            &["6:9 NoSuchScope { found: \"feature:hem\" }"],
        ),
        ("event = \"attested\"\nwhen = \"1977\"\nabout = \"m/line:best/feature:hem=folded\"", &["6:9 NoSuchScope"]),
        (
            "event = \"attested\"\nwhen = \"1977\"\nabout = \"The Maker\"",
            &["6:9 OutOfLimits { found: \"The Maker\", expected: \"what the claim speaks of"],
        ),
        ("event = \"attested\"\nwhen = \"1977\"\nid = \"model\"", &["6:6 ReservedId { found: \"model\" }"]),
        ("event = \"attested\"\nwhen = \"1977\"\nid = \"made\"", &["6:6 Other { found: \"`made`\""]),
        ("event = \"attested\"\nwhen = \"1977\"\nid = \"2\"", &["6:6 Other { found: \"`2`\""]),
        (
            "event = \"attested\"\nwhen = \"1977\"\nid = \"a\"\n[[claims]]\nevent = \"attested\"\nwhen = \"1978\"\nid = \"a\"",
            &["10:6 RepeatedId { found: \"a\" }"],
        ),
    ];
    hold(&rows, |claim| observation(&format!("basis = \"specimen\"\n[[claims]]\n{claim}")));
}

#[test]
fn short_words_end_where_the_file_ends() {
    let claim = |about: &str| format!("[[claims]]\nevent = \"attested\"\nwhen = \"1977\"\nabout = \"{about}\"\n+++\n");
    let maker = |about: &str| faults("entries/makers/m/maker.md", &format!("+++\nname = \"M\"\n{}", claim(about)));
    hold(&[("maker", &[]), ("line:best", &[]), ("feature:hem=folded", &[])], maker);
    hold(&[("variant", &["6:9 NoSuchScope { found: \"variant\" }"]), ("model", &["6:9 NoSuchScope"])], maker);
    let unplaced = |front: &str| faults("entries/unplaced/u.md", &format!("+++\nbasis = \"specimen\"\n{front}\n+++\n"));
    let undirected = "[[claims]]\nevent = \"attested\"\nwhen = \"1977\"";
    hold(&[(undirected, &["3:1 NoSuchScope { found: \"variant\" }"])], unplaced);
}

#[test]
fn unplaced_observations_name_what_is_known() {
    let rows: [(&str, &[&str]); 8] = [
        ("maker = \"m\"\nmodel = \"x\"\nline = \"best\"\nwearer = \"women\"\nperhaps = [\"m/x/v\"]", &[]),
        ("model = \"m/x\"\nline = \"m/line:best\"", &[]),
        ("line = \"m/best\"", &[]),
        ("model = \"x\"", &["3:9 Other { found: \"`x`\", expected: \"`maker/model`, or `maker` beside it\" }"]),
        ("line = \"best\"", &["3:8 Other { found: \"`best`\""]),
        (
            "maker = \"n\"\nmodel = \"m/x\"",
            &["4:9 Other { found: \"`m/x`\", expected: \"the maker that `maker` names\" }"],
        ),
        ("perhaps = [\"v\"]", &["3:12 OutOfLimits { found: \"v\", expected: \"a variant as `maker/model/variant`\" }"]),
        ("wearer = \"men's\"", &["3:10 NotOneOf { found: \"men's\""]),
    ];
    hold(&rows, |front| faults("entries/unplaced/u.md", &format!("+++\nbasis = \"specimen\"\n{front}\n+++\n")));
}

#[test]
fn landmarks_bound_something() {
    let rows: [(&str, &[&str]); 24] = [
        ("force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hem\", state = \"folded\" }", &[]),
        ("force = \"soft\"\nodds = 5\nnot-after = \"1971\"\nwhen = { feature = \"hem\", state = \"absent\" }", &[]),
        (
            "force = \"soft\"\nnot-after = \"1971\"\nwhen = { feature = \"hem\", state = \"absent\" }",
            &["4:9 SoftNeedsOdds"],
        ),
        (
            "force = \"soft\"\nodds = 0.5\nnot-after = \"1971\"\nwhen = { feature = \"hem\", state = \"absent\" }",
            &["5:8 OutOfLimits"],
        ),
        (
            "force = \"hard\"\nnot-after = \"1971\"\nwhen = { feature = \"hem\", state = \"absent\" }",
            &["6:35 HardOnAbsence"],
        ),
        (
            "force = \"hard\"\nnot-after = \"1971\"\nwhen = { any = [{ feature = \"hem\", state = \"folded\" }, { all = [{ feature = \"leg\", state = \"lost\" }] }] }",
            &["6:92 HardOnAbsence"],
        ),
        ("force = \"hard\"\nwhen = { feature = \"hem\", state = \"folded\" }", &["1:1 LandmarkBounds"]),
        (
            "force = \"hard\"\nnot-before = \"../1971\"\nwhen = { feature = \"hem\", state = \"folded\" }",
            &["5:14 LandmarkBounds"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nnot-after = \"1970\"\nwhen = { feature = \"hem\", state = \"folded\" }",
            &["6:13 LandmarkBounds"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nnot-after = \"1970\"\nstock-years = 1\nwhen = { feature = \"hem\", state = \"folded\" }",
            &[],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nnot-after = \"1970~\"\nwhen = { feature = \"hem\", state = \"folded\" }",
            &[],
        ),
        (
            "force = \"hard\"\nnot-before = \"circa 1971\"\nwhen = { feature = \"hem\", state = \"folded\" }",
            &["5:14 Date"],
        ),
        ("force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"size\", from = 30, to = 34 }", &[]),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"size\", from = 36, to = 34 }",
            &["6:35 Other { found: \"`from` above `to`\""],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hem\", from = 30 }",
            &["6:34 Other { found: \"`from` or `to`\""],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"size\", state = \"34\" }",
            &["6:36 Other { found: \"`34`\", expected: \"`from` and `to`"],
        ),
        ("force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"belt-loops\", state = 5 }", &[]),
        ("force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"lot\", state = \"A7\" }", &[]),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hem\", state = \"other\" }",
            &["6:35 Term(UnknownState"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hm\", state = \"folded\" }",
            &["6:20 Term(UnknownFeature { found: \"hm\""],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hem\" }",
            &["6:8 OutOfLimits { found: \"a table\", expected: \"what a garment must show for the landmark"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { feature = \"hem\", state = \"folded\", any = [] }",
            &["6:8 OutOfLimits", "6:51 OutOfLimits"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nwhen = { any = [{ feature = \"hem\", sate = \"folded\" }] }",
            &["6:36 UnknownKey sate"],
        ),
        (
            "force = \"hard\"\nnot-before = \"1971\"\nmarket = \"us\"\nstock-years = -1\nwhen = { all = [{ feature = \"hem\", state = \"folded\" }] }",
            &["6:10 OutOfLimits", "7:15 OutOfLimits { found: \"-1\", expected: \"a whole number from 0 to 100"],
        ),
    ];
    hold(&rows, |front| {
        faults("entries/landmarks/l.md", &format!("+++\ntitle = \"L\"\nsources = [\"s\"]\n{front}\n+++\n"))
    });
}

#[test]
fn settings_disputes_and_wholes_are_read() {
    let about = "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n";
    let rows: [(&str, &[&str]); 7] = [
        ("circa-years = 3\nweight = { in-hand = 5 }\nwithheld = [{ path = \"unplaced/a\", reason = \"r\" }]", &[]),
        (
            "withheld = [{ reason = \"r\" }]",
            &["5:13 OutOfLimits { found: \"a table\", expected: \"a path or an observer"],
        ),
        ("withheld = [{ path = \"a\", observer = \"b\", reason = \"r\" }]", &["5:13 OutOfLimits"]),
        ("withheld = [{ path = \"a\" }]", &["5:13 MissingKey { key: \"reason\""]),
        ("weight = { statement = 0 }", &["5:24 OutOfLimits { found: \"0\", expected: \"a whole number from 1"]),
        ("weight = { statement = 1.5 }", &["5:24 WrongType"]),
        ("[weights]\nstatement = 1", &["5:2 UnknownKey weights"]),
    ];
    hold(&rows, |front| faults("entries/about.md", &format!("{about}{front}\n+++\n")));
    let rows: [(&str, &[&str]); 5] = [
        (
            "status = \"open\"\nclaims = [{ claim = \"entries/a.md#1\", says = \"introduced 1977~\" }]\nset-aside = [\"entries/a.md#features.hem\"]",
            &[],
        ),
        ("status = \"open\"\nclaims = []", &["3:10 OutOfLimits"]),
        (
            "status = \"closed\"\nclaims = [{ claim = \"entries/a.md\", says = \"x\" }]",
            &["2:10 NotOneOf", "3:21 OutOfLimits"],
        ),
        ("status = \"open\"\nclaims = [{ claim = \"entries/a.md#1\" }]", &["3:11 MissingKey { key: \"says\""]),
        ("claims = [{ claim = \"entries/a.md#1\", says = \"x\" }]", &["1:1 MissingKey { key: \"status\""]),
    ];
    hold(&rows, |front| faults("entries/disputes/d.md", &format!("+++\n{front}\n+++\n")));
    let maker = "name = \"M\"\n[[lines]]\nid = \"a\"\nname = \"A\"\n[[lines]]\nid = \"a\"\nname = \"B\"";
    hold(&[(maker, &["7:6 RepeatedId { found: \"a\" }"])], |front| {
        faults("entries/makers/m/maker.md", &format!("+++\n{front}\n+++\n"))
    });
    let variant = "name = \"V\"\nline = \"best\"\nwearer = \"men\"\n";
    let rows: [(&str, &[&str]); 3] =
        [("revives = \"w\"", &[]), ("revives = \"v\"", &["5:11 Other"]), ("revives = \"m/x\"", &["5:11 OutOfLimits"])];
    hold(&rows, |front| faults("entries/makers/m/x/v/variant.md", &format!("+++\n{variant}{front}\n+++\n")));
}

#[test]
fn the_vocabulary_is_held_to_its_own_rules() {
    let feature = "[a]\nname = \"A\"\nlook = \"L\"\n";
    let rows: [(&str, &[&str]); 21] = [
        ("kind = \"state\"\nstates = [\"x\", \"absent\"]", &[]),
        ("kind = \"state\"", &["1:1 MissingKey { key: \"states\", because: Some(\"in a feature of kind `state`\") }"]),
        ("kind = \"state\"\nstates = [\"x\", \"x\"]", &["5:16 RepeatedId { found: \"x\" }"]),
        (
            "kind = \"state\"\nstates = [\"x\", \"other\", \"lost\"]",
            &["5:16 Other { found: \"`other`\"", "5:25 Other { found: \"`lost`\""],
        ),
        ("kind = \"state\"\nstates = [\"X\"]", &["5:11 OutOfLimits { found: \"X\""]),
        ("kind = \"sort\"", &["4:8 NotOneOf { found: \"sort\""]),
        ("kind = \"count\"\nstates = [\"x\"]", &["5:1 Other { found: \"`states` in a feature of kind `count`\""]),
        (
            "kind = \"measure\"",
            &[
                "1:1 MissingKey { key: \"unit\"",
                "1:1 MissingKey { key: \"tolerance\"",
                "1:1 MissingKey { key: \"range\"",
            ],
        ),
        (
            "kind = \"measure\"\nunit = \"cm\"\ntolerance = 0\nrange = [1, 2]",
            &["6:13 OutOfLimits { found: \"0\", expected: \"a number above 0"],
        ),
        (
            "kind = \"measure\"\nunit = \"cm\"\ntolerance = 1\nrange = [2, 1]",
            &["7:9 Other { found: \"a range that does not rise\""],
        ),
        (
            "kind = \"measure\"\nunit = \"cm\"\ntolerance = 1\nrange = [2]",
            &["7:9 OutOfLimits { found: \"a list\", expected: \"two numbers"],
        ),
        (
            "kind = \"measure\"\nunit = \"cm\"\ntolerance = 1\nrange = [2, 9]\nbands = [4, 9]",
            &["8:9 Other { found: \"the cut point 9\""],
        ),
        ("kind = \"number\"\nunit = \"in\"\nbands = [34, 30]", &["6:9 Other { found: \"cut points that do not rise\""]),
        ("kind = \"count\"\nvaries-with = [\"a\"]", &["5:16 Other { found: \"`a`\""]),
        ("kind = \"count\"\nvaries-with = [\"b\"]", &["5:16 Term(UnknownFeature { found: \"b\", known: [\"a\"] })"]),
        (
            "kind = \"count\"\nvaries-with = [\"b\"]\n[b]\nname = \"B\"\nlook = \"L\"\nkind = \"code\"",
            &["5:16 Other { found: \"`b` of kind `code`\""],
        ),
        (
            "kind = \"count\"\nvaries-with = [\"b\"]\n[b]\nname = \"B\"\nlook = \"L\"\nkind = \"number\"",
            &["5:16 Other { found: \"`b` without `bands`\""],
        ),
        (
            "kind = \"count\"\nvaries-with = [\"b\"]\n[b]\nname = \"B\"\nkind = \"cuont\"",
            &["6:1 MissingKey { key: \"look\"", "8:8 NotOneOf"],
        ),
        ("kind = \"count\"\nlok = \"x\"", &["5:1 UnknownKey lok"]),
        (
            "kind = \"count\"\n[model]\nname = \"B\"\nlook = \"L\"\nkind = \"count\"",
            &["5:2 ReservedId { found: \"model\" }"],
        ),
        (
            "kind = \"count\"\n[B_b]\nname = \"B\"\nlook = \"L\"\nkind = \"count\"",
            &["5:2 OutOfLimits { found: \"B_b\", expected: \"the id of a feature"],
        ),
    ];
    hold(&rows, |front| faults("schema/vocabulary.toml", &format!("{feature}{front}\n")));
}

#[test]
fn a_broken_feature_is_blamed_once_and_not_on_those_who_record_it() {
    let vocabulary = VOCABULARY.replace("kind = \"state\"", "kind = \"sate\"");
    let entry = "+++\nbasis = \"specimen\"\nplaced-by = \"judged\"\nplaced-from = [\"hem\"]\n[features]\nhem = \"any\"\nbelt-loops = 5\n[[claims]]\nabout = \"feature:hem=any\"\nevent = \"attested\"\nwhen = \"1977\"\n+++\n";
    let (sources, validated) = compile(&[("schema/vocabulary.toml", &vocabulary), (OBSERVATION, entry)]);
    let found: Vec<String> = validated.faults.iter().map(|fault| describe(&sources, "", fault)).collect();
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].starts_with("schema/vocabulary.toml 3:8 NotOneOf"), "{found:?}");
    let (_, validated) = compile(&[("schema/vocabulary.toml", "[hem\n"), (OBSERVATION, entry)]);
    assert!(validated.unusable.is_empty());
    assert!(validated.faults.iter().all(|fault| matches!(fault.kind, FaultKind::Malformed(_))));
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
        validate::all(&sources).faults.iter().map(|fault| describe(&sources, "entries/sources/s.md", fault)).collect();
    assert_eq!(found.len(), 3);
    assert!(found[0].contains("entries/about.md") && found[1].contains("schema/vocabulary.toml"), "{found:?}");
    assert!(found[2].starts_with("2:12 WrongType"), "{found:?}");
    assert!(validate::all(&Sources::default()).faults.is_empty(), "no file, nobody to tell");
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
        let validated = validate::all(&sources);
        format!("{:?}{:?}{:?}", validated.faults, validated.records, validated.unusable)
    };
    let forward = print(Sources::new(world().chain((0..200).map(entry)).collect()));
    let backward = print(Sources::new((0..200).rev().map(entry).chain(world()).collect()));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let single = pool.install(|| print(Sources::new(world().chain((0..200).map(entry)).collect())));
    assert_eq!(forward, backward);
    assert_eq!(forward, single);
}

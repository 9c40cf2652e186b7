//! A record of each kind that holds every key of its schema: schema and reader agree about which keys there are.

use std::collections::{BTreeMap, BTreeSet};

use bartack::schema::Subject;
use bartack::source::{FilePath, SourceFile, Sources};
use bartack::validate::{self, Validated};
use proptest::prelude::{Just, Strategy, prop_oneof, proptest};
use serde_json::Value;

fn schema(subject: Subject) -> Value {
    serde_json::from_str(subject.text()).unwrap()
}

/// One record of each kind that holds every key of its schema, as `key: value` under a path of the test.
const FULL: [(&str, Subject, &str); 9] = [
    (
        "entries/about.md",
        Subject::About,
        r#"title = "T"
summary = "S"
licence = "CC0-1.0"
language = "en"
address = "https://example.org/"
edit-url = "https://example.org/new"
contact = "keeper@example.org"
circa-years = 3
withheld = [{ path = "unplaced/u", reason = "r" }, { observer = "o", reason = "r" }]
weight = { contemporary = 5, in-hand = 6, secondary = 3, statement = 2 }
"#,
    ),
    (
        "entries/sources/s.md",
        Subject::Source,
        r#"citation = "C"
kind = "book"
date = "1977"
url = "https://example.org/s"
archived = "https://example.org/t"
checked = 2026-01-02
repeats = ["t"]
"#,
    ),
    (
        "entries/landmarks/l.md",
        Subject::Landmark,
        r#"title = "L"
when = { any = [{ feature = "hem", state = "folded" }, { all = [{ feature = "size", from = 30, to = 34 }] }] }
not-before = "1960"
not-after = "1970"
force = "soft"
odds = 7.5
market = "US"
stock-years = 2
sources = ["s p. 3"]
source = [{ id = "i", citation = "I", kind = "law" }]
"#,
    ),
    (
        "entries/disputes/d.md",
        Subject::Dispute,
        r#"claims = [{ claim = "makers/m/maker#1", says = "introduced 1977~" }]
status = "settled"
set-aside = ["entries/makers/m/maker.md#1"]
"#,
    ),
    (
        "entries/makers/m/maker.md",
        Subject::Maker,
        r#"name = "M"
lines = [{ id = "best", name = "Best", sign = "woven" }]
claims = [{ event = "introduced", when = "1950" }]
source = [{ id = "i", citation = "I", kind = "book" }]
"#,
    ),
    (
        "entries/makers/m/x/model.md",
        Subject::Model,
        r#"name = "X"
garment = "trousers"
claims = [{ event = "introduced", when = "1950" }]
source = [{ id = "i", citation = "I", kind = "book" }]
"#,
    ),
    (
        "entries/makers/m/x/v/variant.md",
        Subject::Variant,
        r#"name = "V"
line = "best"
wearer = "women"
revives = "w"
claims = [{ about = "variant", event = "before", other = "m/x/w", as-written = "w", sources = ["i"], id = "c" }]
source = [{ id = "i", citation = "I", kind = "book", date = "1977", url = "https://example.org/s", archived = "https://example.org/t", checked = 2026-01-02, repeats = ["s"] }]
"#,
    ),
    (
        "entries/makers/m/x/v/o.md",
        Subject::Observation,
        r#"basis = "specimen"
observed = 2026-03-14
observer = "rowan-k"
same-as = "p"
find = "barn"
factory = "north"
market = "US"
placed-by = "judged"
placed-from = ["hem", "unsaid"]
made = "1978/1981"
made-by = "estimate"
made-from = ["hem", "wear"]
made-as-written = "late"
made-note = "n"
sources = ["s p. 3"]
features = { hem = { state = "folded", altered = true, unsure = true, note = "n" }, leg = { value = 8.25, unit = "in" }, loops = { other = "x" } }
photos = [{ file = "a.jpg", shows = ["hem"], credit = "c", licence = "CC0-1.0" }]
claims = [{ about = "line:best", event = "attested", when = "1977" }]
source = [{ id = "i", citation = "I", kind = "book" }]
"#,
    ),
    (
        "entries/unplaced/u.md",
        Subject::Observation,
        r#"basis = "specimen"
maker = "m"
model = "x"
line = "best"
wearer = "men"
perhaps = ["m/x/v"]
made = "1978"
made-by = "key"
made-source = "s"
"#,
    ),
];
const COMMON: &str = "formerly = [\"entries/old/name.md\"]\nallow = [{ lint = \"era-conflict\", reason = \"r\" }]\n";
const VOCABULARY: &str = r#"hem = { name = "H", kind = "state", look = "L", states = ["folded"], zone = "leg", garments = ["trousers"], varies-with = ["size"], defining = true, replaceable = "often", also = { feature = ["edge"], folded = ["turned up"] }, labels = { folded = "turned" }, replaced = { turned = "folded" } }
loops = { name = "N", kind = "count", look = "L", retired = { reason = "R", use = "hem" } }
leg = { name = "G", kind = "measure", look = "L", unit = "cm", tolerance = 0.5, range = [10, 40], shrinks = true, bands = [20] }
size = { name = "S", kind = "number", look = "L", bands = [30] }
"#;

/// Compiles the full records, one line of one of them left out.
fn compile(left_out: Option<(&str, &str)>) -> (Sources, Validated) {
    let text = |path: &str, front: &str| {
        let kept = format!("{front}{COMMON}");
        let kept: Vec<&str> = kept.lines().filter(|line| Some((path, *line)) != left_out).collect();
        format!("+++\n{}\n+++\nBody\n", kept.join("\n"))
    };
    let records = FULL.iter().map(|(path, _, front)| SourceFile::new(FilePath::new(*path), text(path, front)));
    let vocabulary = SourceFile::new(FilePath::new("schema/vocabulary.toml"), VOCABULARY.to_string());
    let sources = Sources::new(records.chain([vocabulary]).collect());
    let validated = validate::all(&sources, &|| {});
    (sources, validated)
}

/// What the reader made of a record, without places.
fn record(validated: &Validated, path: &str) -> Option<String> {
    let record = validated.records.iter().find(|record| record.path.as_str() == path)?;
    let text = format!("{record:?}");
    let spans = regex::Regex::new(r"Span \{ start: \d+, end: \d+ \}").unwrap();
    Some(spans.replace_all(&text, "").into_owned())
}

#[test]
fn a_record_with_every_key_is_read() {
    let (_, validated) = compile(None);
    assert!(validated.faults.is_empty(), "{:?}", validated.faults);
    let mut used: BTreeMap<Subject, BTreeSet<String>> = BTreeMap::new();
    for (_, subject, front) in FULL {
        let keys = front.lines().chain(COMMON.lines()).filter_map(|line| line.split_once(" = "));
        used.entry(subject).or_default().extend(keys.map(|(key, _)| key.to_string()));
    }
    for (subject, used) in used {
        let root = schema(subject);
        let keys: BTreeSet<String> = root["properties"].as_object().unwrap().keys().cloned().collect();
        assert_eq!(used, keys, "{}: the full record uses every key of the schema and no other", subject.path());
    }
}

#[test]
fn no_key_of_a_schema_is_passed_over_by_the_reader() {
    let (_, whole) = compile(None);
    for (path, _, front) in FULL {
        for line in front.lines().chain(COMMON.lines()) {
            let (_, validated) = compile(Some((path, line)));
            let without = record(&validated, path);
            assert_ne!(without, record(&whole, path), "{path} reads the same without {line}");
        }
    }
}

#[test]
fn keys_inside_tables_are_read_too() {
    let (_, validated) = compile(None);
    let all: String = FULL.iter().filter_map(|(path, ..)| record(&validated, path)).collect();
    for (part, word) in [("sign", "Some(\"woven\")"), ("credit", "credit: Some(\"c\")"), ("to", "to: Some(34.0)")] {
        assert!(all.contains(word), "{part} is not read");
    }
    let feature = format!("{:?}", validated.vocabulary.feature("hem").unwrap());
    for word in [
        "Some(\"leg\")",
        "[\"trousers\"]",
        "[FeatureId(\"size\")]",
        "defining: true",
        "Often",
        "[\"edge\"]",
        "[\"turned up\"]",
        "labels: {StateId(\"folded\"): \"turned\"}",
        "replaced: {StateId(\"turned\"): StateId(\"folded\")}",
    ] {
        assert!(feature.contains(word), "{feature} lacks {word}");
    }
    let loops = format!("{:?}", validated.vocabulary.feature("loops").unwrap());
    assert!(loops.contains("Retired { reason: \"R\", instead: Some(FeatureId(\"hem\")) }"), "{loops}");
    let leg = format!("{:?}", validated.vocabulary.feature("leg").unwrap());
    assert!(leg.contains("shrinks: true") && leg.contains("bands: [20.0]"), "{leg}");
    let reading = format!("{:?}", validated.records.iter().find_map(|record| record.content.observation()).unwrap());
    // 8.25 in of exactly 2.54 cm each.
    assert!(reading.contains("Measure(20.955"), "{reading}");
}

fn value() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("\"hem\"".to_string()),
        Just("5".to_string()),
        Just("-0.5".to_string()),
        Just("inf".to_string()),
        Just("2026-02-03".to_string()),
        Just("[]".to_string()),
        Just("[\"unsaid\", 3]".to_string()),
        Just("{ state = \"x\", value = 3, unit = \"in\" }".to_string()),
        Just("[{ event = \"before\", when = \"/\", about = \"feature:hem=\" }]".to_string()),
        Just("{ any = [{ all = [{ feature = \"hem\" }] }] }".to_string()),
        "\"[a-z0-9/:=#.~-]{0,12}\"",
    ]
}

fn line() -> impl Strategy<Value = String> {
    let mut keys: BTreeSet<String> = ["nonsense".to_string()].into();
    for (_, subject, _) in FULL {
        keys.extend(schema(subject)["properties"].as_object().unwrap().keys().cloned());
    }
    let keys: Vec<String> = keys.into_iter().collect();
    (proptest::sample::select(keys), value()).prop_map(|(key, value)| format!("{key} = {value}"))
}

proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(200))]
    #[test]
    fn no_front_matter_panics(lines in proptest::collection::vec(line(), 0..8), features in "[a-z= 0-9\"{}\\[\\]\n-]{0,40}") {
        let text = format!("+++\n{}\n[features]\nhem = {features}\n+++\n", lines.join("\n"));
        let vocabulary = SourceFile::new(FilePath::new("schema/vocabulary.toml"), format!("{VOCABULARY}\n[new]\n{}", lines.join("\n")));
        let records = FULL.iter().map(|(path, ..)| SourceFile::new(FilePath::new(*path), text.clone()));
        let plain = FULL.iter().map(|(path, ..)| SourceFile::new(FilePath::new(*path), format!("+++\n{}\n+++\n", lines.join("\n"))));
        validate::all(&Sources::new(records.chain([vocabulary]).collect()), &|| {});
        validate::all(&Sources::new(plain.collect()), &|| {});
    }
}

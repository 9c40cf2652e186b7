//! The vocabulary, and what is said of records when it is broken.

use bartack::fault::FaultKind;

use crate::{OBSERVATION, VOCABULARY, compile, describe, faults, hold};

#[test]
fn the_vocabulary_is_held_to_its_own_rules() {
    let feature = "[a]\nname = \"A\"\nlook = \"L\"\n";
    let rows: [(&str, &[&str]); 30] = [
        ("kind = \"state\"\nstates = [\"x\", \"absent\"]", &[]),
        ("kind = \"state\"", &["1:1 MissingKey { key: \"states\", because: Some(\"in a feature of kind `state`\"), allowed: [] }"]),
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
        (
            "kind = \"state\"\nstates = [\"a\"]\nalso = { b = [\"bee\"] }",
            &["6:10 Other { found: \"`b`\", expected: \"one of the `states` of this feature\""],
        ),
        ("kind = \"state\"\nstates = [\"a\"]\nalso = { feature = [\"A\"], a = [\"b\"] }\nlabels = { a = \"AA\" }", &[]),
        ("kind = \"count\"\nalso = [\"b\"]\nlabels = { 5 = \"five\" }", &[]),
        (
            "kind = \"state\"\nstates = [\"a\"]\nlabels = { b = \"B\" }",
            &["6:12 Other { found: \"`b`\", expected: \"one of the `states` of this feature\""],
        ),
        ("kind = \"state\"\nstates = [\"a\"]\nreplaced = { b = \"a\", c = \"absent\" }", &[]),
        (
            "kind = \"state\"\nstates = [\"a\"]\nreplaced = { a = \"absent\", b = \"c\" }",
            &["6:14 Other { found: \"`a`\"", "6:32 Other { found: \"`c`\""],
        ),
        ("kind = \"count\"\nreplaced = { a = \"b\" }", &["5:1 Other { found: \"`replaced` in a feature of kind `count`\""]),
        ("kind = \"count\"\nretired = { use = \"a\" }", &["5:11 MissingKey { key: \"reason\""]),
        (
            "kind = \"count\"\nretired = { reason = \"R\", use = \"b\" }\nvaries-with = [\"a\"]",
            &["5:32 Term(UnknownFeature { found: \"b\", known: [\"a\"] })", "6:16 Other { found: \"`a`\""],
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

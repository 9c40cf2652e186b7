//! Dates by key: their voices and weights, what doubts them, what they bound, and the factories that codes name.

use bartack::knowledge::{Side, Standing};

use crate::keys::world::{
    FOLDER, MONTHS, ONE_FIGURE, SOURCES, VARIANT, claimed, coded, era, factory, garment, key, known, made, settled,
    voice,
};
use crate::support;

const MADE: &str = "makers/hollin/no-4/no-4-best/a#made";
const KEY: &str = "keys/waistband#key";

fn world(parts: &[&str]) -> String {
    SOURCES.to_string() + &parts.concat()
}

#[test]
fn a_code_dates_a_garment_while_code_and_key_both_hold() {
    let knowledge = known(&world(&[&key("waistband", "\"talk\"", MONTHS), &coded("a", "D0478")]));
    assert_eq!(made(&knowledge, "a"), "1978-04-01..1978-04-30");
    assert_eq!(voice(&knowledge, MADE), Some((Standing::Kept, 4.0)), "the code was seen in hand");
    assert_eq!(voice(&knowledge, KEY), Some((Standing::Kept, 1.0)), "the key weighs what its source does");
    assert_eq!(era(&knowledge), "- 1978-04-30 1978-04-01 -");
    let (_, era) = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap();
    let chain = era.bound(Side::BeginLatest).unwrap().because.iter();
    let chain: Vec<&str> = chain.map(|index| knowledge.voice(*index).name.as_str()).collect();
    let seen = format!("{FOLDER}/a.md#seen");
    assert_eq!(chain, ["entries/keys/waistband.md#key", &seen.replace("#seen", "#made"), &seen]);
}

#[test]
fn a_key_weighs_what_its_sources_weigh_together() {
    // Contemporary 4, secondary 2, statement 1; two statements count 2 at most, and a halved voice is none of a key's.
    for (sources, weight) in [
        (r#""list""#, 4.0),
        (r#""book""#, 2.0),
        (r#""talk", "letter""#, 2.0),
        (r#""list", "book", "talk""#, 7.0),
        (r#""list", "list p. 4""#, 4.0),
    ] {
        let knowledge = known(&world(&[&key("waistband", sources, MONTHS), &coded("a", "D0478")]));
        assert_eq!(voice(&knowledge, KEY), Some((Standing::Kept, weight)), "{sources}");
    }
}

#[test]
fn one_key_is_one_voice_for_all_its_codes() {
    let garments = coded("a", "D0478") + &coded("b", "o 05-78");
    let knowledge = known(&world(&[&key("waistband", "\"talk\"", MONTHS), &garments]));
    let keys = knowledge.voices.iter().filter(|voice| voice.name.as_str().ends_with("#key"));
    assert_eq!(keys.count(), 1);
    assert_eq!(era(&knowledge), "- 1978-04-30 1978-05-01 -");
}

#[test]
fn a_date_of_its_own_stands_and_an_estimate_does_not() {
    let key = key("waistband", "\"talk\"", MONTHS);
    for (fields, expected, voices) in [
        ("made = \"1979\"\nmade-by = \"mark\"", "1979-01-01..1979-12-31", None),
        ("made = \"1978\"\nmade-by = \"paper\"", "1978-01-01..1978-12-31", None),
        ("made = \"1979\"", "1978-04-01..1978-04-30", Some((Standing::Kept, 1.0))),
        ("made = \"1979\"\nmade-by = \"estimate\"", "1978-04-01..1978-04-30", Some((Standing::Kept, 1.0))),
    ] {
        let knowledge = known(&world(&[&key, &garment("a", fields, "date-code = \"D0478\"")]));
        assert_eq!(made(&knowledge, "a"), expected, "{fields}");
        assert_eq!(voice(&knowledge, KEY), voices, "{fields}");
    }
}

#[test]
fn an_entry_that_gives_a_date_speaks_for_the_other_entry_of_the_same_garment() {
    let other = garment("b", "same-as = \"a\"\nmade = \"1979\"\nmade-by = \"paper\"", "hem = \"raw\"");
    let text = world(&[&key("waistband", "\"talk\"", MONTHS), &coded("a", "D0478"), &other]);
    assert_eq!(made(&known(&text), "a"), "1979-01-01..1979-12-31");
    assert!(support::codes(&text).contains(&"code-reads-otherwise"));
}

#[test]
fn codes_that_are_altered_unsure_or_read_in_two_ways_date_nothing() {
    let key = key("waistband", "\"talk\"", MONTHS);
    let altered = garment("a", "", "date-code = { value = \"D0478\", altered = true }");
    let unsure = garment("a", "", "date-code = { value = \"D0478\", unsure = true }");
    let twice = coded("a", "D0478") + &garment("b", "same-as = \"a\"", "date-code = \"D0479\"");
    for text in [altered, unsure, twice] {
        let knowledge = known(&world(&[&key, &text]));
        assert_eq!((made(&knowledge, "a").as_str(), factory(&knowledge, "a")), ("-..-", None), "{text}");
        assert_eq!(voice(&knowledge, KEY), None);
    }
}

#[test]
fn a_key_that_better_sources_contradict_is_set_aside_with_all_that_it_reads() {
    // The variant ended in 1970 by two sources of 4; the code says 1978 by a key of 1. The label is not doubted: it weighs 4.
    let ended = claimed(&[["discontinued", "1970", "list"], ["discontinued", "1970", "book"]]);
    let text = world(&[&key("waistband", "\"talk\"", MONTHS), &coded("a", "D0478"), &ended]);
    let knowledge = known(&text);
    assert_eq!(voice(&knowledge, KEY), Some((Standing::SetAside, 1.0)));
    assert_eq!(voice(&knowledge, MADE), Some((Standing::Kept, 4.0)), "the code was seen; its meaning is what fails");
    assert_eq!(made(&knowledge, "a"), "-..1970-12-31");
    assert_eq!(era(&knowledge), "- 1970-12-31 1970-01-01 1970-12-31");
    assert_eq!(factory(&knowledge, "a"), None, "a key in doubt names no factory");
    assert_eq!(knowledge.doubted_keys.len(), 1);
    let found = support::findings(&text);
    assert!(found.contains("era-conflict") && found.contains("entries/keys/waistband.md"), "{found}");
}

#[test]
fn a_key_that_weighs_as_much_as_what_contradicts_it_is_contested_and_bounds_no_era() {
    let ended = claimed(&[["discontinued", "1970", "letter"]]);
    let knowledge = known(&world(&[&key("waistband", "\"talk\"", MONTHS), &coded("a", "D0478"), &ended]));
    assert_eq!(voice(&knowledge, KEY), Some((Standing::Contested, 1.0)));
    assert_eq!(made(&knowledge, "a"), "-..-");
    assert_eq!(era(&knowledge), "- - - -");
    assert!(knowledge.doubted_keys.is_empty(), "contested is not set aside");
    assert_eq!(factory(&knowledge, "a"), Some("dunmore"));
}

#[test]
fn a_settled_dispute_takes_out_a_key_or_one_code() {
    let base = [key("waistband", "\"talk\"", MONTHS), coded("a", "D0478"), coded("b", "D0378")].concat();
    let says = "makers/hollin/no-4/no-4-best/a#features.date-code";
    let of_key = known(&world(&[&base, &settled(says, "D0478", KEY)]));
    assert_eq!(voice(&of_key, KEY), None);
    assert_eq!([made(&of_key, "a"), made(&of_key, "b")], ["-..-", "-..-"]);
    assert_eq!(factory(&of_key, "b"), None);
    let of_code = known(&world(&[&base, &settled(says, "D0478", says)]));
    assert_eq!(made(&of_code, "b"), "1978-03-01..1978-03-31");
    assert_eq!(made(&of_code, "a"), "-..-", "the reading was set aside");
    let of_date = known(&world(&[&base, &settled(says, "D0478", MADE)]));
    assert_eq!([made(&of_date, "a"), made(&of_date, "b")], ["-..-", "1978-03-01..1978-03-31"]);
}

#[test]
fn a_withheld_key_reads_nothing_and_one_withheld_source_of_two_lowers_its_weight() {
    let about = |withheld: &str| {
        format!(
            "--- entries/about.md\n+++\ntitle = \"E\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n\
             withheld = [{{ {withheld}, reason = \"asked for\" }}]\n+++\n"
        )
    };
    let base = [key("waistband", "\"list\", \"talk\"", MONTHS), coded("a", "D0478")].concat();
    let weight = |withheld: &str| voice(&known(&world(&[&base, &about(withheld)])), KEY).map(|(_, weight)| weight);
    assert_eq!(weight("path = \"keys/waistband\""), None);
    assert_eq!(weight("source = \"list\""), Some(1.0));
    assert_eq!(weight("source = \"talk\""), Some(4.0));
    let only = world(&[&key("waistband", "\"talk\"", MONTHS), &coded("a", "D0478"), &about("source = \"talk\"")]);
    assert_eq!((voice(&known(&only), KEY), made(&known(&only), "a").as_str()), (None, "-..-"));
}

#[test]
fn two_keys_that_agree_hold_the_date_each_by_itself() {
    let second = r#"forms = [
      [{ letters = 1, is = "serial" }, { digits = 2, is = "month" }, { digits = 2, is = "year-of-century" }],
    ]"#;
    let keys = key("waistband", "\"talk\"", MONTHS) + &key("pocket", "\"list\"", second);
    let ended = claimed(&[["discontinued", "1970", "book"]]);
    let knowledge = known(&world(&[&keys, &coded("a", "D0478"), &ended]));
    assert_eq!(voice(&knowledge, KEY), Some((Standing::Kept, 1.0)));
    assert_eq!(voice(&knowledge, "keys/pocket#key"), Some((Standing::Kept, 4.0)));
    assert_eq!(made(&knowledge, "a"), "1978-04-01..1978-04-30");
}

#[test]
fn two_keys_that_differ_date_nothing_and_name_no_factory() {
    let other = MONTHS.replace("month", "serial");
    let keys = key("waistband", "\"talk\"", MONTHS) + &key("pocket", "\"list\"", &other);
    let text = world(&[&keys, &coded("a", "D0478")]);
    let knowledge = known(&text);
    assert_eq!((made(&knowledge, "a").as_str(), factory(&knowledge, "a")), ("-..-", None));
    assert!(support::codes(&text).contains(&"keys-disagree"));
}

#[test]
fn two_codes_that_read_apart_contradict_each_other_as_any_two_dates_do() {
    let vocabulary = "--- schema/vocabulary.toml\n[date-code]\nname = \"Date code\"\nkind = \"code\"\nlook = \"Look inside.\"\n\
         [pocket-code]\nname = \"Pocket code\"\nkind = \"code\"\nlook = \"Look at the pocket.\"\n";
    let pocket = key("pocket", "\"talk\"", ONE_FIGURE).replace("date-code", "pocket-code");
    let both = |pocket_code: &str| {
        let features = format!("date-code = \"D0478\"\npocket-code = \"{pocket_code}\"");
        known(&world(&[vocabulary, &key("waistband", "\"list\"", MONTHS), &pocket, &garment("a", "", &features)]))
    };
    assert_eq!(made(&both("8"), "a"), "1978-04-01..1978-04-30");
    // The 9 can mean 1959, 1969, 1979 or 1989: as one unknown day from 1959 to 1989 it does not exclude April 1978.
    assert_eq!(voice(&both("9"), "keys/pocket#key"), Some((Standing::Kept, 1.0)));
}

#[test]
fn a_factory_that_is_read_counts_where_the_garment_states_none() {
    let key = key("waistband", "\"talk\"", MONTHS);
    let stated = |factory: &str| garment("a", &format!("factory = \"{factory}\""), "date-code = \"D0478\"");
    assert_eq!(factory(&known(&world(&[&key, &coded("a", "d-0478")])), "a"), Some("dunmore"));
    assert_eq!(factory(&known(&world(&[&key, &stated("orlby")])), "a"), None, "what is stated stands");
    assert!(support::codes(&world(&[&key, &stated("orlby")])).contains(&"code-reads-otherwise"));
    assert!(!support::codes(&world(&[&key, &stated("dunmore")])).contains(&"code-reads-otherwise"));
    let excluded = garment("a", "made = \"1971\"\nmade-by = \"mark\"", "date-code = \"D0478\"");
    assert_eq!(factory(&known(&world(&[&key, &excluded])), "a"), None, "its date excludes what the code reads");
}

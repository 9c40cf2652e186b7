//! Observations: keys, readings and the rules between them.

use crate::{faults, hold, observation};

#[test]
fn keys_and_types_are_blamed_where_they_stand() {
    let rows: [(&str, &[&str]); 14] = [
        ("basis = \"specimen\"", &[]),
        ("", &["1:1 MissingKey { key: \"basis\", because: None, allowed: [\"specimen\""]),
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
        ("leg = 8", &["4:7 OutsideRange { found: \"8 cm\", range: \"10 to 40 cm\", fits: [\"{ value = 8, unit = "]),
        ("leg = { value = 20, unit = \"in\" }", &["4:17 OutsideRange { found: \"20 in\", range: \"10 to 40 cm\", fits: [\"{ value = 20, unit = "]),
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
            &["3:1 MissingKey { key: \"made\", because: Some(\"beside `made-by`\"), allowed: [] }"],
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
        ("basis = \"specimen\"\nsame-as = \"o\"", &["3:11 Other { found: \"`o` is this entry itself\""]),
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

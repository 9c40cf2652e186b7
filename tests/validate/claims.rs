//! Claims, and what their short words mean in each kind of file.

use crate::{faults, hold, observation};

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

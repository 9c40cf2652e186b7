//! Settings, disputes, makers and variants.

use crate::{faults, hold};

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

//! Landmarks: conditions, bounds and force.

use crate::{faults, hold};

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

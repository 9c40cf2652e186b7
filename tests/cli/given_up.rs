//! What `check` and `explain` say where contradictions are too many to be searched.

use std::fmt::Write;

use super::{bartack, code, folder, out};
use crate::support::numbers::Numbers;

/// Claims drawn at random of so many variants, each by a source of its own: far more than can be told apart.
fn tangled(variants: u64, claims: usize) -> String {
    let mut numbers = Numbers(0x5EED_0031);
    let mut files = vec![String::new(); variants as usize];
    let mut sources = vec![String::new(); variants as usize];
    for number in 0..claims {
        let (at, other) = (numbers.below(variants) as usize, numbers.below(variants));
        let (first, long) = (1880 + numbers.below(100), numbers.below(20));
        let said = match numbers.below(4) {
            0 => format!("event = \"introduced\"\nwhen = \"{first}/{}\"", first + long),
            1 => format!("event = \"discontinued\"\nwhen = \"{first}/{}\"", first + long),
            2 => format!("event = \"attested\"\nwhen = \"{first}/{}\"", first + long),
            _ if other == at as u64 => continue,
            _ => format!("event = \"before\"\nother = \"hollin/no-4/cut-{other}\""),
        };
        let kind = ["price-list", "book", "book"][numbers.below(3) as usize];
        write!(files[at], "[[claims]]\n{said}\nsources = [\"s-{number}\"]\n").unwrap();
        write!(sources[at], "[[source]]\nid = \"s-{number}\"\ncitation = \"Source {number}\"\nkind = \"{kind}\"\n")
            .unwrap();
    }
    let mut text = String::new();
    for (at, (claims, sources)) in files.iter().zip(&sources).enumerate() {
        write!(text, "--- entries/makers/hollin/no-4/cut-{at}/variant.md\n+++\nname = \"Cut {at}\"\n").unwrap();
        write!(text, "line = \"best\"\nwearer = \"men\"\n{claims}{sources}+++\n").unwrap();
    }
    text
}

/// A contradiction of two claims, which has nothing to do with any other.
const APART: &str = "\
--- entries/makers/hollin/no-4/apart/variant.md
+++
name = \"Apart\"
line = \"best\"
wearer = \"men\"
[[claims]]
id = \"listed\"
event = \"introduced\"
when = \"1975\"
sources = [\"list\"]
[[claims]]
id = \"remembered\"
event = \"introduced\"
when = \"1950\"
sources = [\"memory\"]
[[source]]
id = \"list\"
citation = \"Hollin, list for spring 1975\"
kind = \"price-list\"
[[source]]
id = \"memory\"
citation = \"A former clerk\"
kind = \"recollection\"
+++
";

#[test]
fn a_knot_that_is_given_up_is_named_and_no_other_is_contested_with_it() {
    let base = folder(&(tangled(30, 300) + APART));
    let check = bartack(base.path(), &["check"]);
    assert_eq!(code(&check), 0, "a conflict is a warning");
    let told = out(&check);
    let given_up = told.lines().find(|line| line.contains("takes too many steps")).unwrap_or_else(|| panic!("{told}"));
    assert!(given_up.contains("the search around `entries/makers/hollin/no-4/cut-"), "{given_up}");
    assert!(given_up.contains("statements to set aside takes too many steps, so all of them are contested"));
    assert!(told.contains("settle some of them in `entries/disputes/`"), "{told}");

    let name = given_up.split('`').nth(1).unwrap();
    let explained = out(&bartack(base.path(), &["explain", name]));
    assert!(explained.contains("It is contested and does not count"), "{explained}");
    assert!(explained.contains("The search for the lightest solution stopped: "), "{explained}");
    assert!(explained.contains("until some are settled in `entries/disputes/`"), "{explained}");

    let apart = told.split("\n\n").find(|finding| finding.contains("/apart/variant.md")).unwrap();
    assert!(apart.contains("(weight 1 against 4) and is set aside"), "{apart}");
}

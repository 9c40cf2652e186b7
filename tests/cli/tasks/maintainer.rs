//! A maintainer before a pull request in which four things are wrong: what `check --since` and `diff` say of each, and
//! what is done about it until the merged knowledge base passes.

use super::{assert_code, assert_says, findings, merge, out, told};
use crate::support::history::History;

const RUN: &str = "entries/makers/brackwold-tharn/ossick-126/standing-gate-men";
const COATS: &str = "entries/makers/brackwold-tharn/harrowcoat-204";

/// A price list that nobody else has seen.
const SOURCE: &str = "+++\ncitation = \"Price list of the Skelby gate, spring 1974\"\nkind = \"price-list\"\n+++\n";

/// Its word against the pattern book's, which ends the run in 1972.
const CLAIM: &str = r#"+++
basis = "statement"
observer = "new-here"

[[claims]]
event = "discontinued"
when = "1974"
as-written = "126, the last of them"
sources = ["gate-list-1974 p. 2"]
+++
"#;

/// A coat of the cheap line, filed in the dear one by somebody whose name is `dornick`.
const COAT: &str = r#"+++
basis = "specimen"
observed = 2026-03-14
observer = "dornik"
made = "1970-07"
made-by = "mark"

[features]
label-make = "printed-two-sides"
chest-printed = 40
main-thread = "core-spun"
front-buttons = 4
collar-shape = "pointed"
side-tabs = "absent"
underarm-eyelets = 2
+++
From a loft. Somebody told me it is the dear one.
"#;

/// The pull request: the price list, the coat, and one state of the zip puller fewer.
fn proposed() -> History {
    let history = History::of_demo();
    history.git(&["checkout", "--quiet", "-b", "change"]);
    history.write("entries/sources/gate-list-1974.md", SOURCE);
    history.write(&format!("{RUN}/gate-list.md"), CLAIM);
    history.write(&format!("{COATS}/standing-gate-men/loft-july-70.md"), COAT);
    let states = "[\"tongue\", \"bell\", \"ring\", \"keyhole\"]";
    history.edit("schema/vocabulary.toml", states, "[\"tongue\", \"bell\", \"ring\"]");
    history.commit("a price list, a coat, and keyhole pullers are tongues");
    history
}

#[test]
fn four_mistakes_of_a_pull_request_are_told_apart_and_repaired_before_it_is_merged() {
    let history = proposed();
    let check = history.run(&["check", "--since", "main"]);
    assert_code(&check, 1);
    let text = out(&check);
    let found = findings(&text);
    for (lint, file) in [
        ("claim-from-nowhere", "gate-list-1974.md"),
        ("era-conflict", "variant.md"),
        ("sign-of-another-line", "loft-july-70.md"),
        ("fits-another-variant", "loft-july-70.md"),
        ("unknown-term", "march-74.md"),
        ("unknown-term", "yugoslav-76.md"),
        ("unknown-term", "may-69-zip-new.md"),
    ] {
        assert!(found.contains(&(lint.to_string(), file.to_string())), "{lint} at {file}: {text}");
    }
    assert_says(
        &text,
        &[
            "`Price list of the Skelby gate, spring 1974` is new, names no copy, and overturns 1 older statement",
            "set aside now: `brackwold-tharn/ossick-126/standing-gate-men` was last made in 1972 (on \
             `pattern-books-of-the-skelby p. 75`; weight 2)",
            "ask for a copy: add `url` or `archived`",
            "is the sign of Underlode, and excluded by the line Standing Gate",
            "move the file to `brackwold-tharn/harrowcoat-204/underlode-men`",
            "`zip-puller` has no state `keyhole`, expected `tongue`, `bell`, `ring`, `absent` or `lost`",
        ],
    );
    assert_says(&told(&check), &["3 errors, "]);
    let diff = out(&history.run(&["diff", "main"]));
    assert_says(
        &diff,
        &[
            "New sources without a copy that overturn older statements",
            "standing-gate-men/variant.md#last-year`: `brackwold-tharn/ossick-126/standing-gate-men` was last made in \
             1972 (on `pattern-books-of-the-skelby p. 75`; weight 2), set aside",
            "ended by 1974-12-31; was 1972-12-31",
            "second-bell-unisex/feature:zip-puller=keyhole` no longer has an era, because of `schema/vocabulary.toml`",
            // Nothing knows how a name is spelt: the list of new observations is where a reviewer sees it.
            "standing-gate-men/loft-july-70.md`, recorded by `dornik`",
            "`gate-list-1974`: `Price list of the Skelby gate, spring 1974` (price-list, without an address)",
        ],
    );
    withhold(&history);
    merge_states(&history);
    refile(&history);
    history.commit("as reviewed");
    merge(&history);
    assert_merged(&history);
}

/// Nobody can show the price list: it stays readable and counts nowhere.
fn withhold(history: &History) {
    let withheld = "withheld = [{ source = \"gate-list-1974\", reason = \"Nobody could show a copy.\" }, ";
    history.edit("entries/about.md", "withheld = [", withheld);
    let text = out(&history.run(&["check", "--since", "main"]));
    assert!(!text.contains("[claim-from-nowhere]") && !text.contains("[era-conflict]"), "{text}");
}

/// What the change to the vocabulary meant, so that old entries are still read.
fn merge_states(history: &History) {
    history.git(&["checkout", "--quiet", "main", "--", "base/schema/vocabulary.toml"]);
    let merged = history.run(&["rename", "feature:zip-puller=keyhole", "tongue", "--into"]);
    assert_code(&merged, 0);
    assert_says(&told(&merged), &["merged `feature:zip-puller=keyhole` into `feature:zip-puller=tongue`"]);
    let entries = history.git(&["diff", "--name-only", "main", "--", "base/entries/makers/thessop-yarrick"]);
    assert_eq!(entries, "", "no old entry is touched");
}

/// The coat goes to its line, and its observer gets the name under which the others are kept.
fn refile(history: &History) {
    let from = format!("{COATS}/standing-gate-men/loft-july-70.md");
    let to = format!("{COATS}/underlode-men/loft-july-70.md");
    history.edit(&from, "\"dornik\"", "\"dornick\"");
    // A renaming keeps what a record means, so it does not move one to another variant.
    let refused = history.run(&["rename", &from, &to]);
    assert_code(&refused, 2);
    assert_says(&told(&refused), &["moving a record changes its meaning, so move it by hand"]);
    history.git(&["mv", &format!("base/{from}"), &format!("base/{to}")]);
}

/// What the keeper sees last: no error, nothing new to look at, and the conclusions as they were but for the zip puller.
fn assert_merged(history: &History) {
    assert_code(&history.run(&["check"]), 0);
    let since = out(&history.run(&["check", "--since", "HEAD^"]));
    let about_it = |(_, file): &(String, String)| ["loft-july-70.md", "gate-list.md"].contains(&file.as_str());
    assert!(!findings(&since).iter().any(about_it), "{since}");
    let diff = out(&history.run(&["diff", "HEAD^"]));
    assert_says(
        &diff,
        &[
            "second-bell-unisex/feature:zip-puller=tongue` was surely made from 31 March 1974 to 1 June 1976",
            "underlode-men/loft-july-70.md`, recorded by `dornick`",
        ],
    );
    for gone in ["overturn", "ossick-126/standing-gate-men` was", "dornik"] {
        assert!(!diff.contains(gone), "{gone}: {diff}");
    }
    let era = out(&history.run(&["explain", "brackwold-tharn/ossick-126/standing-gate-men"]));
    assert_says(&era, &["surely made from 31 December 1955 to 1 January 1972, and possibly made from 1955 to 1972"]);
}

//! A scripted history of the demo: what each commit does to the conclusions, as Markdown and as JSON.
//!
//! `BLESS=1 cargo test --test knowledge difference` writes what is expected; the demo's own changes show up here too.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "difference/from_nowhere.rs"]
mod from_nowhere;

use std::fs;
use std::process::Output;

use serde_json::Value;

use crate::support;
use crate::support::history::History;

/// The variant that the history is about, and where it is renamed to.
const SHIRT: &str = "entries/makers/thessop-yarrick/kettlehead/second-bell-men";
const RENAMED: &str = "entries/makers/thessop-yarrick/kettlehead/second-bell-over-shirt";

pub fn out(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{}", err(output));
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A garment of the variant, by somebody who has recorded nothing else.
fn garment(said: &str, features: &str) -> String {
    format!(
        "+++\nbasis = \"specimen\"\nobserved = 2026-05-05\nobserver = \"tamsin-w\"\nplaced-by = \"mark\"\n{said}\n\
         [features]\nlabel-make = \"printed-four-sides\"\n{features}+++\nA shirt.\n"
    )
}

fn claim(id: &str, year: &str, source: &str) -> String {
    format!(
        "\n[[claims]]\nid = \"{id}\"\nevent = \"discontinued\"\nwhen = \"{year}\"\nsources = [\"{source}\"]\n+++\nThree"
    )
}

/// A change: its name, and what it does without committing it.
type Step = (&'static str, fn(&History));

fn steps() -> [Step; 8] {
    [
        ("a-bound-moves", |history| {
            history.write(&format!("{SHIRT}/stage-73.md"), garment("made = \"1973-05\"\nmade-by = \"paper\"", ""));
        }),
        ("a-conflict-opens", |history| {
            let end = claim("given-up", "1971", "orlby-coats p. 60");
            history.edit(&format!("{SHIRT}/variant.md"), "+++\nThree", &end);
        }),
        ("a-dispute-settles-it", |history| {
            let name = format!("{SHIRT}/variant.md#given-up");
            let text = format!(
                "+++\nclaims = [{{ claim = \"{name}\", says = \"discontinued 1971\" }}]\nstatus = \"settled\"\n\
                 set-aside = [\"{name}\"]\n+++\nThe page speaks of another shirt.\n"
            );
            history.write("entries/disputes/kettlehead-end.md", text);
        }),
        ("a-verdict-flips", |history| {
            history.write(&format!("{SHIRT}/seven-buttons.md"), garment("", "front-buttons = 7\n"));
        }),
        ("a-question-is-answered", |history| {
            let end = claim("last-list", "1976", "bobbin-ledger-31 p. 12");
            history.edit(&format!("{SHIRT}/variant.md"), "+++\nThree", &end);
        }),
        ("a-rename-is-no-news", |history| {
            history.git(&["mv", &format!("base/{SHIRT}"), &format!("base/{RENAMED}")]);
            let formerly = "+++\nformerly = [\"makers/thessop-yarrick/kettlehead/second-bell-men/variant\"]\nname = ";
            history.edit(&format!("{RENAMED}/variant.md"), "+++\nname = ", formerly);
        }),
        ("prose-is-no-news", |history| {
            history.edit(&format!("{RENAMED}/stage-73.md"), "A shirt.", "A shirt that was on a stage.");
        }),
        ("files-elsewhere-are-no-news", |history| {
            history.write("notes.md", "Not an entry.");
            fs::write(history.top().join("README.md"), "Beside the knowledge base.").unwrap();
        }),
    ]
}

/// A difference whose ids of commits and of whole knowledge bases are left out: they change with every entry.
fn without_ids(json: &str) -> String {
    let mut value: Value = serde_json::from_str(json).unwrap();
    for state in ["earlier", "now"] {
        assert!(value[state]["knowledge_base"].as_str().is_some_and(|id| id.len() == 16));
        value[state]["knowledge_base"] = Value::from("…");
    }
    assert!(value["earlier"]["commit"].as_str().is_some_and(|id| id.len() == 40));
    value["earlier"]["commit"] = Value::Null;
    serde_json::to_string_pretty(&value).unwrap() + "\n"
}

#[test]
fn each_change_of_a_history_is_told_and_nothing_else() {
    let history = History::of_demo();
    let schema = fs::read_to_string(support::repository("schema/difference.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    let mut problems = Vec::new();
    for (name, change) in steps() {
        change(&history);
        let json = out(&history.run(&["diff", "--format", "json"]));
        let faults: Vec<String> =
            validator.iter_errors(&serde_json::from_str(&json).unwrap()).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
        let markdown = out(&history.run(&["diff", "HEAD", "--format", "markdown"]));
        for (made, ending) in [(markdown, "md"), (without_ids(&json), "json")] {
            let path = support::repository(&format!("tests/difference/{name}.{ending}"));
            problems.extend(support::differs(&path, &made));
        }
        if name.ends_with("is-no-news") || name.ends_with("are-no-news") {
            let text = out(&history.run(&["diff"]));
            assert!(text.starts_with("No conclusion changed.\n"), "{name}: {text}");
        }
        history.commit(name);
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
    let text = out(&history.run(&["diff", "HEAD~8"]));
    assert!(text.contains("(rests on other people's entries too)") && text.contains("not an authentication"), "{text}");
    assert_eq!(out(&history.run(&["diff"])), "No conclusion changed.\nNo entry changed since `HEAD`.\n");
}

#[test]
fn a_change_told_backwards_names_the_same_conclusions() {
    let history = History::of_demo();
    history.git(&["branch", "start"]);
    for (_, change) in &steps()[..5] {
        change(&history);
        history.commit("forward");
    }
    let told = |revision: &str| -> Value {
        serde_json::from_str(&out(&history.run(&["diff", revision, "--format", "json"]))).unwrap()
    };
    let forward = told("start");
    history.git(&["branch", "end"]);
    history.git(&["checkout", "--quiet", "start"]);
    let back = told("end");
    let bounds = |value: &Value, from: &str, to: &str| -> Vec<String> {
        let eras = value["eras"].as_array().unwrap().iter();
        let bounds = eras.flat_map(|era| era["bounds"].as_array().unwrap().iter().map(move |bound| (era, bound)));
        let mut named: Vec<String> = bounds
            .map(|(era, bound)| format!("{} {} {} {}", era["thing"], bound["bound"], bound[from], bound[to]))
            .collect();
        named.sort();
        named
    };
    assert!(!bounds(&forward, "from", "to").is_empty());
    assert_eq!(bounds(&forward, "from", "to"), bounds(&back, "to", "from"));
    let flips = |value: &Value| value["verdicts"].to_string().matches("\"feature\"").count();
    assert!(flips(&forward) > 0);
    assert_eq!(flips(&forward), flips(&back));
    assert_eq!(forward["files"]["added"], back["files"]["removed"]);
}

#[test]
fn only_findings_that_a_revision_did_not_have_are_reported() {
    let history = History::of_demo();
    let old = history.run(&["check", "--since", "HEAD"]);
    assert_eq!(out(&old), "");
    assert!(err(&old).starts_with("no findings since `HEAD`; ") && err(&old).ends_with(" that it had too\n"));
    // An old warning on a line that moves, and a new one.
    let disputed = "entries/makers/thessop-yarrick/weirkeeper/yarricks-own-men/variant.md";
    history.edit(disputed, "+++\nname", "+++\n# A remark that moves every line.\nname");
    let claim = "[[claims]]\nevent = \"attested\"\nwhen = \"1969\"\n+++\nShop";
    history.edit(&format!("{SHIRT}/unsure-74.md"), "+++\nShop", claim);
    let new = history.run(&["check", "--since", "HEAD"]);
    assert!(out(&new).starts_with("warning[unsourced-claim]") && !out(&new).contains("era-conflict"), "{}", out(&new));
    assert!(err(&new).starts_with("1 warning since `HEAD`; "), "{}", err(&new));
    assert_eq!(history.run(&["check", "--since", "HEAD", "--deny", "warning"]).status.code(), Some(1));
    let elsewhere = history.run(&["check", "--since", "HEAD", "--deny", "warning", "entries/sources"]);
    assert_eq!((out(&elsewhere).as_str(), elsewhere.status.code()), ("", Some(0)));
    assert!(err(&elsewhere).starts_with("no findings since `HEAD` here; 1 warning elsewhere; "), "{}", err(&elsewhere));
    let json: Value =
        serde_json::from_str(&out(&history.run(&["check", "--since", "HEAD", "--format", "json"]))).unwrap();
    assert_eq!((json["findings"].as_array().unwrap().len(), &json["elsewhere"]), (1, &0.into()));
    assert!(json["before"].as_u64() > Some(0));
    let sarif: Value =
        serde_json::from_str(&out(&history.run(&["check", "--since", "HEAD", "--format", "sarif"]))).unwrap();
    assert_eq!(sarif["runs"][0]["results"].as_array().unwrap().len(), 1);
    let github = out(&history.run(&["check", "--since", "HEAD", "--format", "github"]));
    assert!(github.starts_with("::warning ") && github.lines().count() == 1, "{github}");
}

#[test]
fn everything_is_new_where_a_revision_had_no_knowledge_base() {
    let history = History::empty();
    history.commit("nothing");
    history.write("entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n");
    history.write("schema/vocabulary.toml", "");
    history.write("entries/makers/hollin/maker.md", "+++\nname = \"Hollin\"\nlines = []\n+++\n");
    let text = out(&history.run(&["diff"]));
    assert!(text.contains("`hollin` is a new maker"), "{text}");
}

#[test]
fn a_long_comment_ends_with_how_many_more_there_are() {
    let history = History::of_demo();
    history.git(&["rm", "-r", "--quiet", "base/entries/makers"]);
    history.commit("nothing is known");
    history.git(&["checkout", "--quiet", "HEAD~1", "--", "base/entries"]);
    for number in 0..600 {
        let text = "+++\nname = \"Long\"\ngarment = \"trousers\"\n+++\n";
        history.write(&format!("entries/makers/quillander/{}-{number}/model.md", "x".repeat(80)), text);
    }
    let markdown = out(&history.run(&["diff", "--format", "markdown"]));
    assert!(markdown.chars().count() <= 65_536, "{}", markdown.chars().count());
    assert!(markdown.contains(" did not fit here; `bartack diff --format text` lists all."), "{markdown}");
    assert_eq!(markdown.matches("<details>").count(), markdown.matches("</details>").count());
    let json: Value = serde_json::from_str(&out(&history.run(&["diff", "--format", "json"]))).unwrap();
    assert!(json["known"].as_array().unwrap().len() > 600);
}

//! A new source that nobody can look up, through the front door: `check --since`, and `diff` in its three forms.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;

use serde_json::Value;

use crate::difference::out;
use crate::support;
use crate::support::history::History;

const VARIANT: &str = "entries/makers/hollin/no-4/no-4-best";
/// Any picture that is one.
const PICTURE: &str = "tests/fuzz/corpus/photograph/clear.png";
const STAMP: &str = "[stamp]\nname = \"Stamp\"\nkind = \"code\"\nlook = \"Read the stamp inside the pocket.\"\n";
const KEY: &str = "+++\ntitle = \"The inside code\"\nreads = \"stamp\"\nmakers = [\"hollin\"]\nsources = [\"list\"]\n\
    parts = [{ digits = 4, is = \"year\" }]\nexamples = [{ code = \"1971\", reads = \"1971\" }]\n+++\n";

fn claim(event: &str, year: &str, source: &str) -> String {
    format!("[[claims]]\nevent = \"{event}\"\nwhen = \"{year}\"\nsources = [\"{source}\"]\n")
}

fn source(id: &str, citation: &str, kind: &str) -> String {
    format!("[[source]]\nid = \"{id}\"\ncitation = \"{citation}\"\nkind = \"{kind}\"\n")
}

fn statement(observer: &str, rest: &str) -> String {
    format!("+++\nbasis = \"statement\"\nobserver = \"{observer}\"\n{rest}+++\n")
}

/// A maker whose variant ended in 1960, as a book says and a seller remembers.
fn of_two_older_entries() -> History {
    let history = History::empty();
    history.write("entries/about.md", "+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n");
    history.write("schema/vocabulary.toml", STAMP);
    let lines = "[[lines]]\nid = \"best\"\nname = \"Best\"\n";
    history.write("entries/makers/hollin/maker.md", format!("+++\nname = \"Hollin\"\n{lines}+++\n"));
    history.write("entries/makers/hollin/no-4/model.md", "+++\nname = \"No. 4\"\ngarment = \"trousers\"\n+++\n");
    let variant = "+++\nname = \"No. 4 Best\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
    history.write(&format!("{VARIANT}/variant.md"), variant);
    let book = claim("discontinued", "1960", "yearbook") + &source("yearbook", "Yearbook of the trade", "book");
    history.write(&format!("{VARIANT}/yearbook.md"), statement("rowan-k", &book));
    let seller = claim("discontinued", "1961", "seller") + &source("seller", "A seller", "recollection");
    history.write(&format!("{VARIANT}/seller.md"), statement("tamsin-w", &seller));
    history.commit("two who say when it ended");
    history
}

fn add_list(history: &History, extra: &str) {
    history.write(
        "entries/sources/list.md",
        format!("+++\ncitation = \"Spring list\"\nkind = \"price-list\"\n{extra}+++\n"),
    );
    let text = statement("new-here", &claim("introduced", "1970", "list p. 4"));
    history.write(&format!("{VARIANT}/list.md"), text);
}

fn json(history: &History, arguments: &[&str]) -> Value {
    serde_json::from_str(&out(&history.run(arguments))).unwrap()
}

#[test]
fn check_since_shows_it_on_the_line_of_the_new_source() {
    let history = of_two_older_entries();
    add_list(&history, "");
    let text = out(&history.run(&["check", "--since", "HEAD"]));
    let said = "warning[claim-from-nowhere]: `Spring list` is new, names no copy, and overturns 1 older statement\n \
        --> entries/sources/list.md:1:1\n";
    assert!(text.contains(said), "{text}");
    assert!(text.contains("rests on it: `hollin/no-4/no-4-best` was first made in 1970"), "{text}");
    let label = "set aside now: `hollin/no-4/no-4-best` was last made in 1960 (on `yearbook`; weight 2)";
    assert!(text.contains(label), "{text}");
    let denied = history.run(&["check", "--since", "HEAD", "--deny", "warning"]);
    assert_eq!(denied.status.code(), Some(1));
    let github = out(&history.run(&["check", "--since", "HEAD", "--format", "github"]));
    assert!(github.contains("file=entries/sources/list.md,line=1,"), "{github}");
    assert!(!out(&history.run(&["check"])).contains("claim-from-nowhere"), "only a comparison says so");
    history.commit("merged");
    assert!(!out(&history.run(&["check", "--since", "HEAD"])).contains("claim-from-nowhere"), "it is not new any more");
}

#[test]
fn an_address_a_photograph_or_withholding_answers_it() {
    let history = of_two_older_entries();
    let since = || out(&history.run(&["check", "--since", "HEAD"]));
    add_list(&history, "");
    assert!(since().contains("[claim-from-nowhere]"));
    add_list(&history, "archived = \"https://example.org/list\"\n");
    assert!(!since().contains("[claim-from-nowhere]"), "{}", since());
    add_list(&history, "");
    let withheld = "language = \"en\"\nwithheld = [{ source = \"list\", reason = \"nobody has it\" }]\n";
    history.edit("entries/about.md", "language = \"en\"\n", withheld);
    assert_eq!(since(), "", "nothing rests on it");
    history.edit("entries/about.md", withheld, "language = \"en\"\n");
    assert!(since().contains("[claim-from-nowhere]"));
    let photograph = "photos = [{ file = \"page.png\", credit = \"new-here\", licence = \"CC0-1.0\" }]\n[[claims]]\n";
    history.edit(&format!("{VARIANT}/list.md"), "[[claims]]\n", photograph);
    history.write(&format!("{VARIANT}/page.png"), fs::read(support::repository(PICTURE)).unwrap());
    assert!(!since().contains("[claim-from-nowhere]"), "{}", since());
}

#[test]
fn diff_shows_it_first_and_lists_what_is_new_last() {
    let history = of_two_older_entries();
    add_list(&history, "");
    history.write("entries/keys/inside-code.md", KEY);
    history.edit("entries/makers/hollin/no-4/model.md", "No. 4", "Number four");
    let text = out(&history.run(&["diff"]));
    let first = "\nNew sources without a copy that overturn older statements\n\n  `Spring list` in \
        `entries/sources/list.md:1` names no copy and overturns older statements\n      \
        `entries/makers/hollin/no-4/no-4-best/yearbook.md#1`: `hollin/no-4/no-4-best` was last made in 1960 \
        (on `yearbook`; weight 2), set aside\n";
    assert!(text.contains(first), "{text}");
    let titles: Vec<&str> = text.lines().filter(|line| line.starts_with("New ")).collect();
    assert_eq!(titles.first(), Some(&"New sources without a copy that overturn older statements"));
    assert_eq!(titles[titles.len() - 3..], ["New observations", "New sources", "New keys"]);
    let listed = format!(
        "\nNew observations\n\n  `{VARIANT}/list.md`, recorded by `new-here`\n\nNew sources\n\n  `list`: `Spring list` \
         (price-list, without an address)\n\nNew keys\n\n  `entries/keys/inside-code.md`\n"
    );
    assert!(text.contains(&listed), "{text}");
    let markdown = out(&history.run(&["diff", "--format", "markdown"]));
    for summary in ["New sources without a copy that overturn older statements (1)", "New keys (1)"] {
        assert!(markdown.contains(&format!("<summary>{summary}</summary>")), "{markdown}");
    }
    let found = json(&history, &["diff", "--format", "json"]);
    let overturned = &found["from_nowhere"][0]["overturns"][0];
    assert_eq!(found["from_nowhere"][0]["path"], "entries/sources/list.md");
    assert_eq!((&overturned["rests_on"], &overturned["standing"]), (&"`yearbook`".into(), &"set aside".into()));
    assert_eq!(found["new"]["observations"][0]["observer"], "new-here");
    assert_eq!(found["new"]["sources"][0]["address"], false);
    assert_eq!(found["new"]["keys"], serde_json::json!(["entries/keys/inside-code.md"]));
}

#[test]
fn an_allowance_silences_check_and_not_diff() {
    let history = of_two_older_entries();
    add_list(&history, "allow = [{ lint = \"claim-from-nowhere\", reason = \"two of us read it\" }]\n");
    let since = out(&history.run(&["check", "--since", "HEAD"]));
    assert!(!since.contains("[claim-from-nowhere]") && !since.contains("[unused-allowance]"), "{since}");
    assert!(out(&history.run(&["diff"])).contains("overturns older statements"));
}

/// A feature that landmarks can speak of.
const STAR: &str =
    "[star]\nname = \"Star\"\nkind = \"state\"\nstates = [\"ringed\", \"plain\"]\nlook = \"Look at the label.\"\n";

/// The history of two older entries, with that feature.
fn of_a_star() -> History {
    let history = of_two_older_entries();
    history.write("schema/vocabulary.toml", format!("{STAMP}{STAR}"));
    history.commit("the star");
    history
}

/// A landmark with a source of its own; `more` goes into that source.
fn landmark(more: &str) -> String {
    let bounds =
        "when = { feature = \"star\", state = \"ringed\" }\nnot-before = \"1950\"\nforce = \"soft\"\nodds = 5\n";
    let own = source("gazette", "Gazette of the trade", "law");
    format!("+++\ntitle = \"The ringed star\"\n{bounds}sources = [\"gazette\"]\n{own}{more}+++\n")
}

#[test]
fn a_new_landmark_on_a_source_without_a_copy_is_shown_on_its_own_line() {
    const PATH: &str = "entries/landmarks/star.md";
    let history = of_a_star();
    history.write(PATH, landmark(""));
    let since = || out(&history.run(&["check", "--since", "HEAD"]));
    let said = "warning[claim-from-nowhere]: the landmark `landmarks/star` is new, bounds dates, and rests only on \
        `Gazette of the trade`, which names no copy\n";
    assert!(since().contains(said) && since().contains("--> entries/landmarks/star.md:2:"), "{}", since());
    let text = out(&history.run(&["diff"]));
    let listed = "\nNew landmarks that rest only on sources without a copy\n\n  `landmarks/star` in \
        `entries/landmarks/star.md:2` bounds dates and rests on no source with a copy\n      \
        `Gazette of the trade` (law) in `entries/landmarks/star.md:8` names no copy\n";
    assert!(text.contains(listed), "{text}");
    let found = json(&history, &["diff", "--format", "json"]);
    let schema = fs::read_to_string(support::repository("schema/difference.schema.json")).unwrap();
    let validator = jsonschema::draft202012::new(&serde_json::from_str(&schema).unwrap()).unwrap();
    assert!(validator.is_valid(&found), "{found}");
    assert_eq!(found["from_nowhere"], serde_json::json!([]), "nothing is overturned");
    let landmark_found = &found["landmarks"][0];
    assert_eq!((&landmark_found["path"], &landmark_found["line"]), (&PATH.into(), &2.into()));
    assert_eq!(landmark_found["sources"][0]["citation"], "Gazette of the trade");
    history.write(PATH, landmark("url = \"https://example.org/gazette\"\n"));
    assert!(!since().contains("[claim-from-nowhere]"), "its source has an address: {}", since());
    assert_eq!(json(&history, &["diff", "--format", "json"])["landmarks"], serde_json::json!([]));
    history.write(PATH, landmark(""));
    history.commit("the landmark");
    history.edit(PATH, "not-before = \"1950\"", "not-before = \"1951\"");
    assert!(!since().contains("[claim-from-nowhere]"), "it was there before: {}", since());
}

#[test]
fn of_a_landmark_with_several_sources_one_copy_is_enough() {
    let history = of_a_star();
    let shared = "entries/sources/decree.md";
    let decree = "+++\ncitation = \"The decree\"\nkind = \"law\"\n";
    history.write(shared, format!("{decree}+++\n"));
    history.commit("an older source");
    let both = landmark("").replace("sources = [\"gazette\"]", "sources = [\"gazette\", \"decree\"]");
    history.write("entries/landmarks/star.md", both);
    let since = || out(&history.run(&["check", "--since", "HEAD"]));
    assert!(since().contains("rests only on 2 sources that name no copy"), "{}", since());
    history.write(shared, format!("{decree}archived = \"https://example.org/decree\"\n+++\n"));
    assert!(!since().contains("[claim-from-nowhere]"), "{}", since());
}

#[test]
fn of_many_new_observations_the_first_are_listed_and_the_rest_counted() {
    let history = of_two_older_entries();
    for number in 0..52 {
        let text = statement("new-here", &claim("attested", "1950", "yearbook"));
        let text = text.replace("[[claims]]", &(source("yearbook", "Yearbook of the trade", "book") + "[[claims]]"));
        history.write(&format!("{VARIANT}/seen-{number:02}.md"), text);
    }
    let text = out(&history.run(&["diff"]));
    assert!(text.contains("/seen-49.md`") && !text.contains("/seen-50.md`"), "{text}");
    assert!(text.contains("\n  and 2 more; `--format json` lists all\n"), "{text}");
    assert!(!text.contains("New sources"), "the yearbook was there before: {text}");
    let markdown = out(&history.run(&["diff", "--format", "markdown"]));
    assert!(markdown.contains("<summary>New observations (52)</summary>"), "{markdown}");
    assert!(markdown.contains("\n- and 2 more; `bartack diff --format json` lists all\n"), "{markdown}");
    let found = json(&history, &["diff", "--format", "json"]);
    assert_eq!(found["new"]["observations"].as_array().unwrap().len(), 52);
}

/// Two thousand new sources, each against a book of its own, are one question.
#[test]
fn two_thousand_new_sources_take_little_longer_than_the_check_itself() {
    let history = of_two_older_entries();
    let variant = |number: usize| format!("entries/makers/hollin/no-4/run-{number:04}");
    for number in 0..2000 {
        let text = "+++\nname = \"A run\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
        history.write(&format!("{}/variant.md", variant(number)), text);
        let book = claim("discontinued", "1950", "book") + &source("book", &format!("Book {number}"), "book");
        history.write(&format!("{}/book.md", variant(number)), statement("rowan-k", &book));
    }
    history.commit("two thousand books");
    for number in 0..2000 {
        let list = claim("introduced", "1970", "list") + &source("list", &format!("List {number}"), "price-list");
        history.write(&format!("{}/list.md", variant(number)), statement("new-here", &list));
    }
    let seconds = |arguments: &[&str]| {
        let begun = std::time::Instant::now();
        let output = history.run(arguments);
        (begun.elapsed().as_secs_f64(), out(&output))
    };
    let (plain, _) = seconds(&["check"]);
    let (since, found) = seconds(&["check", "--since", "HEAD"]);
    assert_eq!(found.matches("[claim-from-nowhere]").count(), 2000);
    eprintln!("check {plain:.2} s, check --since {since:.2} s");
    // It compiles two states, and settles the one of now twice more; settled once a source it would take minutes.
    assert!(since < 30.0 * plain + 60.0, "check {plain:.2} s, check --since {since:.2} s");
}

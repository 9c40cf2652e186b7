//! What observations are called: the kind of thing and its date, on pages, in the search and in the feed.

use regex::Regex;

use crate::site::{DEMO, built, page};
use crate::support::{repository, site};

const WORLD: &str = "--- entries/sources/list.md\n+++\ncitation = \"List\"\nkind = \"price-list\"\n\
    date = \"197X\"\n+++\n\
    --- entries/keys/stamp.md\n+++\ntitle = \"Stamp\"\nreads = \"date-code\"\nsources = [\"list\"]\n\
    parts = [{ digits = 2, is = \"month\" }, { digits = 2, is = \"year-of-century\" }]\n\
    not-before = \"1950\"\nnot-after = \"1989\"\n+++\n";

/// The text of an entry of one variant.
fn entry(name: &str, fields: &str) -> String {
    format!("--- entries/makers/hollin/no-4/best/{name}.md\n+++\nplaced-by = \"mark\"\n{fields}\n+++\n")
}

/// The heading of an entry of one variant, and its title.
fn called(fields: &str) -> [String; 2] {
    let output = built(&format!("{WORLD}{}", entry("big-feb-67", fields)));
    let html = page(&output, "makers/hollin/no-4/best/big-feb-67.html");
    let between = |start: &str, end: &str| html.split_once(start).unwrap().1.split_once(end).unwrap().0.to_string();
    [between("<h1>", "</h1>"), between("<title>", " – ")]
}

#[test]
fn an_observation_is_called_by_what_it_is_and_its_date() {
    let rows = [
        ("basis = \"specimen\"\nmade = \"1967/1969\"\nmade-by = \"mark\"", "Trousers dated 1967–69"),
        ("basis = \"specimen\"\nmade = \"1967-09\"\nmade-by = \"paper\"", "Trousers dated September 1967"),
        ("basis = \"specimen\"\nmade = \"1984~\"\nmade-by = \"estimate\"", "Trousers, estimated about 1984"),
        ("basis = \"specimen\"\n[features]\ndate-code = \"0478\"", "Trousers with the code 0478"),
        ("basis = \"specimen\"\n[features]\nbelt-loops = 5", "Undated trousers"),
        ("basis = \"document\"\nsources = [\"list p. 4\"]", "Price list of the 1970s, p. 4"),
        ("basis = \"document\"\nmade = \"1961\"\nsources = [\"list\"]", "Price list of 1961"),
        (
            "basis = \"statement\"\nobserver = \"Ode\"\nobserved = 2020-02-23\n[[claims]]\nevent = \"attested\"\n\
             when = \"1961\"\nsources = [\"list\"]",
            "Statement by Ode, 23 February 2020",
        ),
    ];
    for (fields, name) in rows {
        let [heading, title] = called(fields);
        assert_eq!(heading, name);
        assert!(title.starts_with(&format!("{name} (")), "{title}");
    }
}

#[test]
fn two_of_one_title_are_told_apart_by_month_then_by_person_then_by_number() {
    let dated = |more: &str| format!("basis = \"specimen\"\nmade = \"1967\"\nmade-by = \"mark\"\n{more}");
    let names = |both: [&str; 2]| {
        let entries = ["a", "b"].into_iter().zip(both).map(|(name, more)| entry(name, &dated(more)));
        let output = built(&entries.collect::<String>());
        let heading = |name: &str| {
            let html = page(&output, &format!("makers/hollin/no-4/best/{name}.html"));
            html.split_once("<h1>").unwrap().1.split_once("</h1>").unwrap().0.to_string()
        };
        ["a", "b"].map(heading)
    };
    let months = names(["observed = 2020-02-23", "observed = 2021-03-01"]);
    assert_eq!(months, ["Trousers dated 1967, seen February 2020", "Trousers dated 1967, seen March 2021"]);
    let [day, person] = ["observed = 2020-02-23\nobserver = \"Ode\"", "observed = 2020-02-23\nobserver = \"Pim\""];
    let seen = "Trousers dated 1967, seen by";
    assert_eq!(
        names([day, person]),
        [format!("{seen} Ode, 23 February 2020"), format!("{seen} Pim, 23 February 2020")]
    );
    assert_eq!(names([day, day]), ["Trousers dated 1967, no. 1", "Trousers dated 1967, no. 2"]);
    assert_eq!(names(["", "observer = \"Ode\""])[1], "Trousers dated 1967, seen by Ode");
}

#[test]
fn what_nobody_placed_is_called_by_the_garment_that_has_its_features() {
    let output = built("--- entries/unplaced/odd-coat.md\n+++\nbasis = \"specimen\"\nwearer = \"women\"\n+++\n");
    assert!(page(&output, "unplaced/odd-coat.html").contains("<h1>Undated women’s garment</h1>"));
    assert!(page(&DEMO, "unplaced/east-german-trousers.html").contains("<h1>Undated men’s trousers</h1>"));
}

#[test]
fn no_page_feed_or_index_of_the_demo_calls_an_observation_by_its_file() {
    let (compilation, _) = site::compiled(&repository(""));
    let records = compilation.knowledge.catalog.records.iter().filter(|record| record.content.observation().is_some());
    let stems: Vec<&str> = records.map(|record| record.path.stem()).collect();
    assert!(stems.len() > 200);
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".html") || *path == "feed.xml") {
        let text = std::str::from_utf8(content).unwrap();
        for stem in &stems {
            let spaced = stem.replace('-', " ");
            for (before, after) in [(">", "<"), ("aria-label=\"", "\""), (">", ":"), (">", " – ")] {
                assert!(!text.contains(&format!("{before}{spaced}{after}")), "{path}: {spaced}");
            }
        }
    }
    let own = page(&DEMO, "makers/brackwold-tharn/sluice-118/standing-gate-men/sept-67-heavy.html");
    assert!(!own.contains("<code>entries/"), "{own}");
    assert!(own.contains("<h1>Trousers dated September 1967"), "{own}");
    let search = page(&DEMO, "search.js");
    assert!(search.contains("\"Trousers dated September 1967") && search.contains("\"heavy\""), "found by either");
}

#[test]
fn no_heading_of_the_demo_holds_a_hash() {
    let heading = Regex::new("(?s)<h[1-6][^>]*>(.*?)</h[1-6]>").unwrap();
    let hash = Regex::new("[0-9a-f]{8}").unwrap();
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".html")) {
        for found in heading.captures_iter(std::str::from_utf8(content).unwrap()) {
            assert!(!hash.is_match(&found[1]), "{path}: {}", &found[1]);
        }
    }
    let conflicts = page(&DEMO, "conflicts.html");
    let headings: Vec<&str> = heading.captures_iter(conflicts).map(|found| found.get(1).unwrap().as_str()).collect();
    assert!(headings.iter().any(|heading| heading.contains(" against the ")), "{headings:?}");
    assert!(conflicts.contains("What would change it?"), "the reasons are on the page");
    assert!(!conflicts.contains("bartack explain"), "a reader needs no terminal");
}

#[test]
fn conflicts_and_bounds_of_the_demo_say_days_in_words() {
    let day = Regex::new("[0-9]{4}-[0-9]{2}-[0-9]{2}").unwrap();
    let bounds = Regex::new("(?s)<dl class=\"bounds\">.*?</dl>").unwrap();
    let no_words = Regex::new("(?s)<code>.*?</code>|<[^>]*>").unwrap();
    let mut parts = vec![("conflicts.html", page(&DEMO, "conflicts.html"))];
    for (path, content) in DEMO.iter().filter(|(path, _)| path.starts_with("makers/") && path.ends_with(".html")) {
        let html = std::str::from_utf8(content).unwrap();
        parts.extend(bounds.find_iter(html).map(|found| (path.as_str(), found.as_str())));
    }
    assert!(parts.len() > 20);
    for (path, html) in parts {
        let words = no_words.replace_all(html, "");
        assert!(!day.is_match(&words), "{path}: {:?}", day.find(&words));
    }
}

/// Disputes were headed by the names of their files, and links to claims by the claims' ids.
#[test]
fn disputes_and_claims_are_called_by_what_they_are_about() {
    let conflicts = page(&DEMO, "conflicts.html");
    let end = "Two dates for the end of Weirkeeper, Yarrick’s Own, men’s";
    assert!(conflicts.contains(&format!("<h3>{end} <span")), "{conflicts}");
    let beginning = "The beginning of Harrowcoat 204, Underlode, men’s against when it was made";
    assert!(conflicts.contains(&format!("<h3>{beginning} <span")), "{conflicts}");
    let claim = "T. Quennerby, Orlby Coats and Who Wore Them, 2001, p. 44, on the end of Weirkeeper";
    assert!(conflicts.contains(claim) && conflicts.contains("</a>: discontinued 1962</li>"), "{conflicts}");
    assert!(conflicts.contains("</a>: attested September 1958</li>"), "a date in words: {conflicts}");
    assert!(page(&DEMO, "questions.html").contains(&format!(">{end}</a>")), "an open dispute is a question");
    let id = Regex::new(": claim [a-z0-9-]+</a>").unwrap();
    for (path, content) in DEMO.iter().filter(|(path, _)| path.ends_with(".html")) {
        let html = std::str::from_utf8(content).unwrap();
        assert!(!id.is_match(html), "{path}: {:?}", id.find(html));
    }
}

#[test]
fn a_dispute_is_called_by_what_its_claims_are_about() {
    let heading = |claims: &str| {
        let dispute = format!("--- entries/disputes/old-quarrel.md\n+++\nstatus = \"open\"\n{claims}\n+++\n");
        let garment = "basis = \"specimen\"\nmade = \"1967\"\nmade-by = \"mark\"\n[features]\ndate-code = \"0467\"\n";
        let output = built(&format!("{WORLD}{}{dispute}", entry("a", garment)));
        let html = page(&output, "conflicts.html");
        html.split_once("<h3>").unwrap().1.split_once(" <span").unwrap().0.to_string()
    };
    let about = |part: &str, says: &str| {
        format!("{{ claim = \"entries/makers/hollin/no-4/best/a.md#{part}\", says = \"{says}\" }}")
    };
    let [made, seen, code, key] = [
        about("made", "made 1967"),
        about("seen", "seen"),
        about("features.date-code", "0467"),
        "{ claim = \"entries/keys/stamp.md#key\", says = \"key\" }".to_string(),
    ];
    for (claims, title) in [
        (format!("claims = [{made}, {seen}]"), "The date of the trousers dated 1967 ("),
        (format!("claims = [{made}, {seen}]"), ") against the placing"),
        (format!("claims = [{code}]"), "code of the trousers dated 1967 ("),
        (format!("claims = [{key}]"), "The key “Stamp”"),
    ] {
        let said = heading(&claims);
        assert!(said.contains(title), "{claims}: {said}");
    }
}

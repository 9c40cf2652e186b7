//! Comparison pages, model pages and open questions: on the demo, and on thin, odd and broken evidence.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fmt::Write;
use std::fs;
use std::sync::LazyLock;

use crate::support;
use crate::support::site::{self, Output};
use bartack::compile::example;
use regex::Regex;
use tempfile::TempDir;

static DEMO: LazyLock<Output> = LazyLock::new(|| site::output(&support::repository("")));

const PAIR: &str = "compare/hollin/no-4/best.plain.html";
const CHAIN: &str = "made = \"1974\"\nmade-by = \"mark\"\n[features]\nhem = \"chain-stitch\"";
const RAW: &str = "made = \"1975\"\nmade-by = \"mark\"\n[features]\nhem = \"raw\"";

/// Builds the site of a model with two variants, of garments with the front matter given.
fn built(best: &[&str], plain: &[&str]) -> Output {
    let mut text = String::new();
    for (variant, garments) in [("best", best), ("plain", plain)] {
        let folder = format!("entries/makers/hollin/no-4/{variant}");
        let head = format!("+++\nname = \"{variant}\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        write!(text, "--- {folder}/variant.md\n{head}").unwrap();
        for (number, said) in garments.iter().enumerate() {
            let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"";
            write!(text, "--- {folder}/g{number:02}.md\n{head}\n{said}\n+++\n").unwrap();
        }
    }
    output(&text)
}

fn output(text: &str) -> Output {
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(text).sources.iter() {
        let path = folder.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    site::output(folder.path())
}

fn page<'o>(output: &'o Output, path: &str) -> &'o str {
    std::str::from_utf8(output.get(path).unwrap_or_else(|| panic!("no {path}"))).unwrap()
}
/// The comparisons of two variants; those of lines lie less deep.
fn comparisons(output: &Output) -> impl Iterator<Item = (&str, &str)> {
    let paths = output.keys().filter(|path| path.starts_with("compare/") && path.matches('/').count() == 3);
    paths.map(|path| (path.as_str(), page(output, path)))
}

/// The sentences in which a page says what to make of each feature.
fn findings(html: &str) -> Vec<String> {
    paragraphs(html, "finding")
}

/// The texts of the paragraphs of a class.
fn paragraphs(html: &str, class: &str) -> Vec<String> {
    let paragraph = Regex::new(&format!("<p class=\"{class}\">([^<]*)</p>")).unwrap();
    paragraph.captures_iter(html).map(|found| found[1].to_string()).collect()
}

fn advice(html: &str) -> String {
    Regex::new("<p class=\"advice\">([^<]*)</p>").unwrap().captures(html).unwrap()[1].to_string()
}

/// The groups of a page that hold something.
fn groups(html: &str) -> Vec<String> {
    let heading = Regex::new("<h2 id=\"group-[0-9]+\">([^<]*)</h2>").unwrap();
    heading.captures_iter(html).map(|found| found[1].to_string()).collect()
}

#[test]
fn every_pair_of_the_demo_has_a_page_that_a_phone_can_load() {
    let models = Regex::new("^makers/([^/]+/[^/]+)/([^/]+).html$").unwrap();
    let mut variants: Vec<(String, String)> = Vec::new();
    for path in DEMO.keys() {
        if let Some(found) = models.captures(path)
            && !page(&DEMO, path).contains("http-equiv=\"refresh\"")
        {
            variants.push((found[1].to_string(), found[2].to_string()));
        }
    }
    variants.sort();
    let mut expected = 0;
    for (place, (model, a)) in variants.iter().enumerate() {
        for (_, b) in variants[place + 1..].iter().filter(|(other, _)| other == model) {
            expected += 1;
            let html = page(&DEMO, &format!("compare/{model}/{a}.{b}.html"));
            assert!(html.len() < 170_000, "{model}/{a}.{b}: {} bytes", html.len());
            for end in [a, b] {
                assert!(page(&DEMO, &format!("makers/{model}/{end}.html")).contains(&format!("{a}.{b}.html")));
            }
            assert!(page(&DEMO, &format!("makers/{model}.html")).contains(&format!("{a}.{b}.html")));
        }
    }
    assert!(expected > 15 && comparisons(&DEMO).count() == expected, "{expected} pairs");
}

#[test]
fn a_verdict_is_one_sentence_and_its_numbers_are_folded_away_beside_it() {
    let (mut explained, mut all) = (0, 0);
    for (path, html) in comparisons(&DEMO) {
        assert!(!html.contains("NaN") && !html.contains(">inf") && !html.contains("-0.0"), "{path}");
        let amounts = paragraphs(html, "amount");
        assert_eq!((findings(html).len(), html.matches("<details open").count()), (amounts.len(), 0), "{path}");
        for (finding, amount) in findings(html).into_iter().zip(amounts) {
            all += 1;
            explained += usize::from(finding.starts_with("Explained by"));
            let has_figure = finding.replace("Too few: 3 of each", "").contains(|one: char| one.is_ascii_digit());
            assert!(!has_figure, "{path}: {finding}");
            assert!(amount.contains("; n ") && amount.contains("matched n: decade "), "{path}: {amount}");
            assert!(!amount.contains("differs") && !amount.contains("−0.00"), "{path}: {amount}");
        }
        assert!(!advice(html).contains("differ"), "{path}");
    }
    assert!(explained > 0 && all > 100, "{explained} explained of {all}");
}

#[test]
fn what_age_explains_is_under_its_own_heading_and_to_be_ignored() {
    let early = "made = \"1964\"\nmade-by = \"mark\"\n[features]\nhem = \"raw\"";
    let mixed = |late: usize| (0..20).map(|number| if number < late { CHAIN } else { early }).collect::<Vec<_>>();
    let output = built(&mixed(16), &mixed(4));
    let html = page(&output, PAIR);
    assert_eq!(groups(html), ["Explained by something else"]);
    assert!(advice(html).contains("ignore the hem: it follows the decade it was made in"), "{}", advice(html));
    assert!(html.contains("1960s: 4 × raw <i>against</i> 16 × raw"), "{html}");
    let row = &html[html.find("id=\"feature-hem\"").unwrap()..html.find("</article>").unwrap()];
    assert!(!row.contains("differs") && !row.contains("Tells"), "{row}");
    // On the model's page it is not among what tells variants apart.
    assert!(page(&output, "makers/hollin/no-4.html").contains("<tr id=\"feature-hem\" class=\"rest\">"));
}

#[test]
fn a_tell_leads_the_page_with_a_linked_dot_for_each_garment() {
    let output = built(&[CHAIN; 8], &[RAW; 8]);
    let html = page(&output, PAIR);
    assert!(advice(html) == "Look at the hem." && groups(html) == ["Tells"]);
    for (variant, number) in [("best", 0), ("best", 7), ("plain", 7)] {
        assert!(html.contains(&format!("href=\"../../../makers/hollin/no-4/{variant}/g{number:02}.html\"")));
    }
    assert!(html.contains("factory not known") && html.contains("not an authentication"));
    assert!(page(&output, "makers/hollin/no-4.html").contains("tells 1 pair apart"));
}

#[test]
fn thin_altered_and_undated_evidence_gets_words_and_no_verdict() {
    let altered = "[features]\nhem = { state = \"raw\", altered = true }";
    let undated = "[features]\nhem = \"raw\"";
    let decided = ["Tells", "Leaning", "The same", "Explained by something else"];
    let cases: [(&[&str], &[&str], &str); 5] = [
        (&[], &[], "No feature has been counted in both"),
        (&[CHAIN], &[], "best: chain stitch 1 of 1"),
        (&[CHAIN], &[RAW], "Too few: 3 of each are needed"),
        (&[altered; 6], &[CHAIN; 6], "plain: chain stitch 6 of 6"),
        (
            &["[features]\nhem = \"chain-stitch\""; 12],
            &[undated; 12],
            "Cannot be separated from the decade it was made in",
        ),
    ];
    for (best, plain, words) in cases {
        let output = built(best, plain);
        let html = page(&output, PAIR);
        assert!(html.contains(words), "{words}: {html}");
        assert!(groups(html).iter().all(|group| !decided.contains(&group.as_str())), "{words}");
        assert!(advice(html).ends_with('.') && !html.contains("NaN"), "{words}");
    }
}

#[test]
fn garments_found_together_stand_joined_and_count_once() {
    let find = "find = \"barn\"\n[features]\nhem = \"raw\"";
    let output = built(&[find; 3], &[RAW; 3]);
    let html = page(&output, PAIR);
    assert!(html.contains("raw <span class=\"n\">· 1 of 1</span>"), "{html}");
    assert_eq!(html.matches("class=\"joined\"").count(), 2);
}

#[test]
fn a_feature_of_twenty_states_lists_them_all() {
    let pockets: Vec<String> = (1..=20).map(|count| format!("[features]\npockets = {count}")).collect();
    let rows: Vec<&str> = pockets.iter().map(String::as_str).collect();
    let html = page(&built(&rows, &rows[..10]), PAIR).to_string();
    assert_eq!(html.matches("class=\"state\"").count(), 30);
}

#[test]
fn a_model_of_many_variants_has_pages_for_neighbours() {
    let variant = |number: usize| {
        let head = "+++\nname = \"Some\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
        format!("--- entries/makers/hollin/no-4/v{number:02}/variant.md\n{head}")
    };
    let output = output(&(0..13).map(variant).collect::<String>());
    assert_eq!(comparisons(&output).count(), 12);
}

#[test]
fn a_model_shows_what_does_not_count_and_says_why() {
    let altered = "[features]\nzip = { state = \"steel\", altered = true }";
    let output = built(&[altered, "[features]\nzip = \"lost\"", CHAIN], &[RAW]);
    let html = page(&output, "makers/hollin/no-4.html");
    assert!(html.contains("<span class=\"uncounted\">steel, altered</span>"), "{html}");
    assert!(html.contains("<span class=\"uncounted\">lost</span>"));
    // Jeffreys, 1 of 1: Beta(3/2, 1/2) has F(sin² t) = (2/π)(t - sin t cos t), by hand 0.0250 at sin² t = 0.1468.
    assert!(html.contains("chain stitch × 1 <span class=\"limits\">15–100 %</span>"));
    assert!(html.contains("<input type=\"checkbox\" id=\"only-apart\">"));
}

#[test]
fn on_a_narrow_page_each_variant_stands_beside_all_others_together() {
    let variant = |(name, said): (&str, &str)| {
        let folder = format!("--- entries/makers/hollin/no-4/{name}");
        let head = format!("{folder}/variant.md\n+++\nname = \"{name}\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        format!("{head}{folder}/g.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{said}\n+++\n")
    };
    let output = output(&[("best", RAW), ("plain", CHAIN), ("work", RAW)].map(variant).concat());
    let html = page(&output, "makers/hollin/no-4.html");
    let parts: Vec<&str> = html.split("<details name=\"seen-one\"").skip(1).collect();
    assert!(parts.len() == 3 && parts[0].starts_with(" open>") && !parts[1].starts_with(" open>"), "{html}");
    assert!(parts.iter().all(|part| part.contains("The 2 others together")), "{html}");
    let others = ["chain stitch × 1<br>raw × 1<br>", "raw × 2<br>", "chain stitch × 1<br>raw × 1<br>"];
    for (part, others) in parts.iter().zip(others) {
        assert!(part.contains(&format!("<td>{others}<span class=\"n\">of 2</span></td>")), "{part}");
    }
}

#[test]
fn open_questions_ask_first_where_most_hangs() {
    let output = built(&[CHAIN; 4], &[RAW; 2]);
    let html = page(&output, "questions.html");
    assert!(html.contains("<p>Look at the hem.</p>"), "{html}");
    assert!(html.contains("one more and they can be compared") && html.contains("counted 2 times"));
    let place = |variant: &str| html.find(&format!("id=\"ask-hollin.no-4.{variant}\"")).unwrap();
    assert!(place("plain") < place("best"), "one look at a plain one opens a comparison");
}

#[test]
fn open_questions_of_the_demo_and_of_nothing_are_readable() {
    let html = page(&DEMO, "questions.html");
    assert!(html.matches("<p>Look at the ").count() > 10 && html.len() < 150_000, "{}", html.len());
    assert!(
        page(
            &output("--- entries/about.md\n+++\ntitle = \"None\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n"),
            "questions.html"
        )
        .contains("Nothing: every feature")
    );
}

//! *Step by step* in `garment.html`, opened from its packed text: the key of the printed page, small, and whole.

use std::fmt::Write;
use std::io::Read;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::read::{ZlibDecoder, ZlibEncoder};
use regex::Regex;
use serde_json::Value;

use super::{DEMO, built, page};
use crate::support::site::Output;

/// The keys of all models in `garment.html`, by model.
fn packed(site: &Output) -> Value {
    let block = Regex::new("data-name=\"bartackRecording\">([^<]*)</script>").unwrap();
    let text = &block.captures(page(site, "garment.html")).unwrap()[1];
    let mut json = Vec::new();
    ZlibDecoder::new(STANDARD.decode(text.trim()).unwrap().as_slice()).read_to_end(&mut json).unwrap();
    let mut known: Value = serde_json::from_slice(&json).unwrap();
    known["steps"].take()
}

/// A line for each answer of a key: the feature, the state's words, and where it leads.
fn of_packed(key: &Value) -> Vec<String> {
    let mut lines = Vec::new();
    for step in key["steps"].as_array().unwrap() {
        let feature = step[0].as_str().unwrap();
        for answer in step[1].as_array().unwrap() {
            let leads = match answer[1].as_u64() {
                Some(next) => format!("to {}", next + 1),
                None => {
                    let named = answer[2].as_array().unwrap().iter();
                    let ends = named.map(|end| format!("{} {} of {}", end[0].as_str().unwrap(), end[1], answer[3]));
                    let more = if answer[4].as_bool().unwrap() { " or others" } else { "" };
                    ends.collect::<Vec<_>>().join(" or ") + more
                }
            };
            lines.push(format!("{feature} {}: {leads}", answer[0].as_str().unwrap()));
        }
    }
    lines
}

/// The same of the printed page, whose states are words.
fn of_page(html: &str, state_of: impl Fn(&str, &str) -> String) -> Vec<String> {
    let asked = Regex::new("<h2><a href=\"[^\"]*features/([a-z0-9-]+)\\.html\">").unwrap();
    let answer = Regex::new("(?s)<li><b>([^<]*)</b>(.*?)</li>").unwrap();
    let next = Regex::new("href=\"#step-([0-9]+)\"").unwrap();
    let end = Regex::new("/([a-z0-9-]+)\\.html\">[^<]*</a> <span class=\"n\">([0-9]+ of [0-9]+)</span>").unwrap();
    let mut lines = Vec::new();
    for step in html.split("<li id=\"step-").skip(1) {
        let feature = &asked.captures(step).unwrap()[1];
        for found in answer.captures_iter(step) {
            let leads = match next.captures(&found[2]) {
                Some(next) => format!("to {}", &next[1]),
                None => {
                    let ends = end.captures_iter(&found[2]).map(|end| format!("{} {}", &end[1], &end[2]));
                    let more = if found[2].contains(" or others") { " or others" } else { "" };
                    ends.collect::<Vec<_>>().join(" or ") + more
                }
            };
            lines.push(format!("{feature} {}: {leads}", state_of(feature, &found[1])));
        }
    }
    lines
}

const VARIANTS: usize = 27;

/// A model of variants that three features tell apart; how to look takes hundreds of letters.
fn telling() -> Output {
    let mut text = "--- schema/vocabulary.toml\n".to_string();
    let look = "Turn it to the light and look along the edge. ".repeat(15);
    for feature in ["collar", "cuff", "hem"] {
        let states = "kind = \"state\"\nstates = [\"round\", \"square\", \"long\"]";
        write!(text, "[{feature}]\nname = \"The {feature}\"\n{states}\nlook = \"{look}\"\n").unwrap();
    }
    for variant in 0..VARIANTS {
        let [collar, cuff, hem] = [variant / 9, variant / 3 % 3, variant % 3].map(|at| ["round", "square", "long"][at]);
        let features = format!("collar = \"{collar}\"\ncuff = \"{cuff}\"\nhem = \"{hem}\"");
        for garment in 0..4 {
            let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]";
            write!(text, "--- entries/makers/m/x/v{variant:02}/g{garment}.md\n{head}\n{features}\n+++\n").unwrap();
        }
    }
    built(&text)
}

#[test]
fn the_key_of_the_phone_page_is_that_of_the_printed_page_and_takes_few_bytes_a_variant() {
    let site = telling();
    let keys = packed(&site);
    let key = &keys["m/x"];
    let printed = of_page(page(&site, "steps/m/x.html"), |_, words| words.to_string());
    assert_eq!(of_packed(key), printed);
    assert!(printed.len() >= VARIANTS, "{printed:?}");
    let json = serde_json::to_vec(key).unwrap();
    assert!(json.len() < 150 * VARIANTS, "{} bytes for {VARIANTS} variants", json.len());
    let mut deflated = Vec::new();
    ZlibEncoder::new(json.as_slice(), Compression::best()).read_to_end(&mut deflated).unwrap();
    let length = STANDARD.encode(&deflated).len();
    assert!(length < 60 * VARIANTS, "{length} letters for {VARIANTS} variants");
}

#[test]
fn the_phone_page_has_the_key_of_each_model_of_the_demo_that_has_a_printed_one() {
    let keys = packed(&DEMO);
    let mut printed: Vec<&str> =
        DEMO.keys().filter_map(|path| path.strip_prefix("steps/")?.strip_suffix(".html")).collect();
    let mut models: Vec<&str> = keys.as_object().unwrap().keys().map(String::as_str).collect();
    models.sort_unstable();
    printed.sort_unstable();
    assert_eq!(models, printed);
    let labels = |feature: &str, words: &str| {
        let anchor = Regex::new("(?s)id=\"shows-([^\"]*)\">\\s*<h3>([^<]*)</h3>").unwrap();
        let shown = anchor.captures_iter(page(&DEMO, &format!("features/{feature}.html")));
        let own = shown.filter(|found| &found[2] == words).map(|found| found[1].to_string());
        own.last().unwrap_or_else(|| words.replace(' ', "-"))
    };
    for model in models {
        let html = page(&DEMO, &format!("steps/{model}.html"));
        assert_eq!(of_packed(&keys[model]), of_page(html, labels), "{model}");
    }
}

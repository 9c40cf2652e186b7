//! The drawings of garments on pages: filled in from evidence, numbered as the rows are, inert and light.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::sync::LazyLock;

use crate::support;
use crate::support::site::{self, Output};
use bartack::compile::example;
use bartack::figure::Drawing;
use regex::Regex;
use tempfile::TempDir;

static DEMO: LazyLock<Output> = LazyLock::new(|| site::output(&support::repository("")));

const HEAD: &str = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\n";

/// Builds a model of two variants with one garment each, and with the drawings given.
fn built(best: &str, plain: &str, drawings: &[(&str, &str)]) -> Output {
    let mut text = String::new();
    for (variant, features) in [("best", best), ("plain", plain)] {
        write!(text, "--- entries/makers/hollin/no-4/{variant}/g.md\n{HEAD}{features}\n+++\n").unwrap();
    }
    let folder = TempDir::new().unwrap();
    let example = example::read(&text);
    let files = example.sources.iter().map(|(_, file)| (file.path().as_str(), file.text()));
    for (path, text) in files.chain(drawings.iter().copied()) {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    site::output(folder.path())
}

fn page<'o>(output: &'o Output, path: &str) -> &'o str {
    std::str::from_utf8(output.get(path).unwrap_or_else(|| panic!("no {path}"))).unwrap()
}

fn comparisons() -> impl Iterator<Item = (&'static str, &'static str)> {
    let paths = DEMO.keys().filter(|path| path.starts_with("compare/"));
    paths.map(|path| (path.as_str(), page(&DEMO, path)))
}

/// What a pattern finds, as pairs of its two groups.
fn pairs(pattern: &str, html: &str) -> BTreeMap<String, String> {
    let pattern = Regex::new(pattern).unwrap();
    pattern.captures_iter(html).map(|found| (found[1].to_string(), found[2].to_string())).collect()
}

#[test]
fn a_variant_seen_with_so_many_loops_is_drawn_with_as_many() {
    for count in [2, 5, 7, 8] {
        let output = built(&format!("belt-loops = {count}"), "", &[]);
        let loops = |variant: &str| {
            let html = page(&output, &format!("makers/hollin/no-4/{variant}.html"));
            (html.matches("data-feature=\"belt-loops\" data-nth=").count(), html.contains("Belt loops: "))
        };
        assert_eq!(loops("best"), (count, true));
        assert_eq!(loops("plain"), (0, false));
    }
}

#[test]
fn what_was_not_examined_is_faint_and_what_was_altered_is_dashed() {
    let output = built("hem = { state = \"raw\", altered = true }", "hem = \"chain-stitch\"", &[]);
    let mark = |variant: &str| {
        let html = page(&output, &format!("makers/hollin/no-4/{variant}.html")).to_string();
        let drawn = Regex::new("<(?:path|use)[^>]*data-feature=\"(?:hem|belt-loops)\"[^>]*>").unwrap();
        drawn.find_iter(&html).map(|mark| mark.as_str().to_string()).collect::<Vec<String>>()
    };
    assert!(mark("best").iter().all(|mark| mark.contains("altered\"")), "{:?}", mark("best"));
    assert!(mark("plain").iter().all(|mark| !mark.contains("altered") && !mark.contains("unexamined")));
    let html = page(&output, "makers/hollin/no-4/best.html");
    assert!(html.contains("<g class=\"unexamined\" data-feature=\"belt-loops\">"), "{html}");
    assert!(html.contains("hem: seen only altered") || html.contains("Hem: seen only altered"));
    assert!(html.contains("Not examined: belt loops"), "{html}");
}

#[test]
fn the_numbers_on_the_drawings_are_those_of_the_rows() {
    let mut placed = 0;
    for (path, html) in comparisons() {
        let rows = "id=\"feature-([a-z0-9-]+)\">\\s*<h3><span class=\"number\">([0-9]+)</span>";
        let rows = pairs(rows, html);
        let listed = pairs("<span class=\"number\">([0-9]+)</span> <a href=\"#feature-([a-z0-9-]+)\">", html);
        assert_eq!(listed.len(), rows.len(), "{path}");
        let numbers: Vec<usize> = rows.values().map(|number| number.parse().unwrap()).collect();
        assert!((1..=rows.len()).all(|number| numbers.contains(&number)), "{path}: {numbers:?}");
        let callouts = pairs("data-callout=\"([a-z0-9-]+)\".*?<text[^>]*>([0-9]+)</text>", html);
        for (feature, number) in &callouts {
            assert_eq!((rows.get(feature), listed.get(number)), (Some(number), Some(feature)), "{path}");
        }
        // Every difference of the demo has its place on a drawing.
        assert_eq!(callouts.len(), rows.len(), "{path}: {rows:?} {callouts:?}");
        placed += callouts.len();
    }
    assert!(placed > 40, "{placed}");
}

#[test]
fn a_comparison_with_its_drawings_is_light() {
    for (path, html) in comparisons() {
        assert!(html.len() < 170_000, "{path}: {} bytes", html.len());
        let has_numbers = html.contains("<span class=\"number\">");
        assert_eq!(html.matches("<svg class=\"figure\"").count() >= 2, has_numbers, "{path}");
    }
}

#[test]
fn hatches_of_metals_have_a_key_where_a_metal_is_drawn() {
    let has_key = |path: &str| page(&DEMO, path).contains("dots are brass");
    assert!(has_key("makers/brackwold-tharn/sluice-118/standing-gate-men.html"));
    assert!(!has_key("makers/brackwold-tharn/culmer-31/standing-gate-men.html"), "a shirt has no metal");
}

#[test]
fn every_drawing_is_small_says_what_it_shows_and_scales() {
    let drawings = support::entries(&support::repository("site/figures"));
    assert!(drawings.len() >= 14);
    for path in drawings {
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.len() < 12_000, "{}: {} bytes", path.display(), text.len());
        let drawing = Drawing::read(&text).unwrap();
        assert!(!drawing.title().is_empty() && text.contains("viewBox=") && !drawing.marks().is_empty());
        // Nothing in it is left out.
        let kept = bartack::markup::svg(&text).unwrap();
        for part in ["<path", "<g", "<text", "<use", "<circle", "data-at", " d=", "fill=", "stroke-width"] {
            assert_eq!(kept.matches(part).count(), text.matches(part).count(), "{}: {part}", path.display());
        }
    }
}

#[test]
fn a_knowledge_base_brings_drawings_of_its_own() {
    let own = "<svg viewBox=\"0 0 9 9\"><title>Front &lt;i&gt;</title><g data-feature=\"hem\"/>\
        <path id=\"main\" data-feature=\"hem\" data-state=\"raw\" d=\"M1 2\"/></svg>";
    let output = built("hem = \"raw\"", "hem = \"folded\"", &[("site/figures/trousers-front.svg", own)]);
    let html = page(&output, "makers/hollin/no-4/best.html");
    for bad in ["<i>", "data-nth"] {
        assert!(!html.replace("belt-loops\" data-nth", "").contains(bad), "{bad}: {html}");
    }
    assert!(html.contains("<path d=\"M1 2\" data-feature=\"hem\" id=\"figure-front-main\"/>"), "{html}");
    assert!(html.contains("Back of the trousers"), "the other sides are the built-in ones");
}

/// The drawings of a line's page, each with its words for people who do not see it.
fn drawn_of_line(html: &str) -> Vec<String> {
    let figure = Regex::new("(?s)<div class=\"drawn\"><div><svg.*?<desc[^>]*>([^<]*)</desc>.*?<figcaption>").unwrap();
    figure.captures_iter(html).map(|found| found[1].to_string()).collect()
}

#[test]
fn the_page_of_a_line_draws_what_the_makers_entry_says_of_its_label() {
    let lines: Vec<&String> = DEMO.keys().filter(|path| path.starts_with("lines/")).collect();
    assert!(lines.len() > 4, "{lines:?}");
    let marks = Regex::new("data-feature=\"([^\"]*)\"").unwrap();
    for path in lines {
        let html = page(&DEMO, path);
        let sign = drawn_of_line(html);
        assert_eq!(sign.len(), 1, "{path}: {sign:?}");
        assert!(html.contains(">What its label looks like</h2>"), "{path}");
        assert!(marks.captures_iter(html).all(|mark| &mark[1] == "label-make"), "{path}");
    }
    let four_sides = drawn_of_line(page(&DEMO, "lines/brackwold-tharn/standing-gate.html"));
    let two_sides = drawn_of_line(page(&DEMO, "lines/brackwold-tharn/underlode.html"));
    assert!(four_sides[0].contains("woven") && two_sides[0].contains("printed"), "{four_sides:?} {two_sides:?}");
}

#[test]
fn a_line_whose_label_no_drawing_shows_is_drawn_by_the_detail_that_tells_it() {
    let mut text = "--- entries/makers/hollin/maker.md\n+++\nname = \"A maker\"\n".to_string();
    for line in ["best", "plain", "never-sold"] {
        writeln!(text, "[[lines]]\nid = \"{line}\"\nname = \"{line}\"").unwrap();
    }
    text.push_str("+++\n");
    // Without a date, the decade might explain how the hems differ.
    let dated = HEAD.replace("[features]", "made = \"1962\"\nmade-by = \"mark\"\n[features]");
    for (line, hem) in [("best", "chain-stitch"), ("plain", "raw")] {
        for (model, garment) in (0..24).map(|number| (number / 8, number % 8)) {
            let folder = format!("entries/makers/hollin/no-{model}/{line}");
            if garment == 0 {
                let head = format!("+++\nname = \"V\"\nline = \"{line}\"\nwearer = \"men\"\n+++\n");
                write!(text, "--- {folder}/variant.md\n{head}").unwrap();
            }
            write!(text, "--- {folder}/g{garment}.md\n{dated}hem = \"{hem}\"\n+++\n").unwrap();
        }
    }
    let folder = TempDir::new().unwrap();
    for (_, file) in example::read(&text).sources.iter() {
        let path = folder.path().join(file.path().as_str());
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, file.text()).unwrap();
    }
    let output = site::output(folder.path());
    for (line, says) in [("best", "Hem: chain stitch."), ("plain", "Hem: raw.")] {
        let html = page(&output, &format!("lines/hollin/{line}.html"));
        assert_eq!(drawn_of_line(html), [says], "{line}");
        assert!(html.contains(">What to look at</h2>"), "{line}");
        assert!(html.contains("Drawn: Hem, as most often seen on this line."), "{line}");
    }
    assert_eq!(drawn_of_line(page(&output, "lines/hollin/never-sold.html")), Vec::<String>::new());
}

//! What many small records come to: pages grow with the number of records, and what `check` passes can be built.
//!
//! Growth is counted in bytes of output, which depend on no machine: a shape is built at a size and at twice that size.

use std::fmt::Write;

use bartack::analysis::Analysis;
use bartack::compile::example;
use bartack::diagnostic::Level;
use bartack::record::id::ModelId;

use super::{Output, built, page};

/// How much more may be written for twice as many records: 2 if it grows with their number, 4 if with its square.
const MOST: f64 = 2.5;

fn bytes(output: &Output) -> usize {
    output.values().map(Vec::len).sum()
}

/// Holds a shape to growth in proportion, beside what any knowledge base comes to.
fn hold(name: &str, size: usize, shape: fn(usize) -> String) {
    let always = bytes(&built(&shape(1)));
    let [one, two] = [size, 2 * size].map(|count| (bytes(&built(&shape(count))) - always) as f64);
    assert!(two / one < MOST, "{name}: {one} bytes more for {size}, {two} for twice as many");
}

fn variant(number: usize, more: &str) -> String {
    format!(
        "--- entries/makers/m/x/v{number:05}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n{more}+++\n"
    )
}

fn garment(variant: usize, name: &str, more: &str) -> String {
    format!(
        "--- entries/makers/m/x/v{variant:05}/{name}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{more}+++\n"
    )
}

#[test]
fn variants_of_one_line_grow_with_their_number() {
    hold("variants", 60, |count| (0..count).map(|number| variant(number, "")).collect());
}

#[test]
fn variants_with_garments_of_unlike_counts_grow_with_their_number() {
    hold("variants with garments", 60, |count| {
        let garments = |number: usize| {
            (0..3).map(move |at| {
                garment(number, &format!("g{at}"), &format!("features = {{ pockets = {} }}\n", number * 3 + at + 1))
            })
        };
        (0..count).flat_map(|number| std::iter::once(variant(number, "")).chain(garments(number))).collect()
    });
}

#[test]
fn revivals_in_a_chain_grow_with_their_number() {
    hold("revivals", 60, |count| {
        let revives =
            |number: usize| if number == 0 { String::new() } else { format!("revives = \"m/x/v{:05}\"\n", number - 1) };
        (0..count).map(|number| variant(number, &revives(number))).collect()
    });
}

#[test]
fn a_ring_of_orders_grows_with_its_length() {
    hold("a ring of `before`", 40, |count| {
        let claim =
            |number: usize| format!("[[claims]]\nevent = \"before\"\nother = \"m/x/v{:05}\"\n", (number + 1) % count);
        let claim = |number: usize| if count == 1 { String::new() } else { claim(number) };
        (0..count).map(|number| variant(number, &claim(number))).collect()
    });
}

#[test]
fn a_find_of_garments_with_unlike_counts_grows_with_their_number() {
    hold("a find", 100, |count| {
        (0..count)
            .map(|at| {
                garment(0, &format!("g{at:05}"), &format!("find = \"barn\"\nfeatures = {{ pockets = {} }}\n", at + 1))
            })
            .collect()
    });
}

#[test]
fn a_model_of_many_variants_stands_on_several_pages_that_lead_to_one_another() {
    let dated = |number: usize| format!("[[claims]]\nevent = \"introduced\"\nwhen = \"{}\"\n", 1960 - number / 2);
    let output = built(&(0..60).map(|number| variant(number, &dated(number))).collect::<String>());
    let pages: Vec<&String> = output.keys().filter(|path| path.starts_with("makers/m/x.")).collect();
    assert_eq!(pages, ["makers/m/x.2.html", "makers/m/x.3.html", "makers/m/x.html"]);
    let on = |path: &str| -> Vec<usize> {
        let html = page(&output, path);
        assert!(html.contains("of 60 variants, in order of time"), "{path}");
        // What the dates of the model rest on names variants of any page.
        let chart = html.split("id=\"bounds\"").next().unwrap();
        (0..60).filter(|number| chart.contains(&format!("href=\"x/v{number:05}.html\""))).collect()
    };
    let shown = pages.iter().map(|path| on(path).len()).sum::<usize>();
    assert!(on("makers/m/x.html").iter().all(|number| *number >= 36), "the earliest stand first");
    assert_eq!(shown, 60, "each variant stands on one page");
    assert!(page(&output, "makers/m/x.html").contains("href=\"x.2.html\">later variants"));
    assert!(page(&output, "makers/m/x.3.html").contains("href=\"x.2.html\">earlier variants"));
}

#[test]
fn two_variants_that_show_counts_of_more_kinds_than_an_integer_has_bits_are_built() {
    let mut text = String::new();
    for variant in 0..2 {
        for count in 1..=33 {
            let reading = format!("features = {{ pockets = {count} }}\n");
            write!(text, "{}", garment(variant, &format!("g{count:02}"), &reading)).unwrap();
        }
    }
    let compilation = example::compile(&text);
    assert!(!compilation.reaches(Level::Error));
    assert_eq!(Analysis::new(&compilation.knowledge).comparisons(&ModelId::new("m/x")).len(), 1);
    assert!(page(&built(&text), "compare/m/x/v00000.v00001.html").contains("<h1"));
}

#[test]
fn ids_on_a_page_are_different_whatever_records_are_called() {
    let source = |id: &str| {
        format!("--- entries/sources/{id}.md\n+++\ncitation = \"Source {id}\"\nkind = \"book\"\n+++\n# Head\n\n# b c\n")
    };
    let mark = |id: &str| {
        format!(
            "--- entries/landmarks/{id}.md\n+++\ntitle = \"Mark {id}\"\nwhen = {{ feature = \"hem\", state = \"raw\" }}\nnot-before = \"1960\"\nforce = \"hard\"\nsources = [\"main\"]\n+++\n"
        )
    };
    let names = ["main", "find", "contemporary", "scale", "a-b", "a--b", "-a-b", "a", "a-b-c"];
    let text: String = names.iter().map(|name| source(name) + &mark(name)).collect();
    let output = built(&text);
    for path in ["sources.html", "landmarks.html"] {
        let html = page(&output, path);
        let mut ids: Vec<&str> = html.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
        // The script of each page adds the field for searching.
        ids.push("find");
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{path}: {ids:?}");
    }
}

#[test]
fn a_line_with_thousands_of_mistakes_gives_a_hundred_findings_and_their_number() {
    let text =
        format!("--- entries/makers/m/x/v/g.md\n+++\nbasis = \"specimen\"\nformerly = [{}]\n+++\n", "1, ".repeat(5000));
    let found = example::compile(&text).diagnostics;
    assert_eq!(found.len(), 101);
    let last = found.iter().find(|one| one.message().contains("more")).unwrap();
    assert!(last.message().starts_with("4900 more mistakes of this kind"), "{}", last.message());
}

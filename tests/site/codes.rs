//! A garment's page and its codes: what they read, which dates remain, and whether that counts.

use bartack::compile::example;

use crate::exports::world::files;

const FOLDER: &str = "entries/makers/hollin/no-4/best";

/// Codes of 1950 to 1989 with a single figure for the year.
const KEY: &str = "--- entries/keys/waist.md\n+++\ntitle = \"Year inside the waistband\"\nreads = \"date-code\"\nsources = [\"talk\"]\n\
    not-before = \"1950\"\nnot-after = \"1989\"\nparts = [{ digits = 1, is = \"year-of-decade\" }]\n+++\n\
    --- entries/sources/talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n\
    --- entries/sources/list.md\n+++\ncitation = \"List\"\nkind = \"price-list\"\n+++\n";

/// The section about codes on the page of a garment with a code, whose variant ended in a year.
fn page(code: &str, end: &str, fields: &str) -> String {
    let text = format!(
        "{KEY}--- {FOLDER}/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n[[claims]]\nevent = \"discontinued\"\n\
         when = \"{end}\"\nsources = [\"list\"]\n+++\n\
         --- {FOLDER}/seen.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{fields}\n[features]\ndate-code = \"{code}\"\n+++\n"
    );
    let knowledge = example::compile(&text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
    let page = files(&knowledge, "makers/").remove("makers/hollin/no-4/best/seen.html").unwrap();
    String::from_utf8(page).unwrap()
}

fn said(page: &str) -> &str {
    let (_, rest) = page.split_once("<h2 id=\"codes\">Code</h2><div>\n<p>").unwrap_or_default();
    rest.split_once("</p>").map_or("", |(said, _)| said)
}

#[test]
fn the_page_says_which_of_several_years_remain() {
    let all = "The code <code>8</code> reads 1958, 1968, 1978 or 1988 through the key \
               <a href=\"../../../../keys/waist.html\">Year inside the waistband</a>.";
    let rows = [
        ("1995", format!("{all} That is the garment&#39;s date.")),
        (
            "1980",
            format!(
                "{all} That is the garment&#39;s date. Only 1958, 1968 or 1978 fits everything else known about the garment."
            ),
        ),
        (
            "1960",
            format!("{all} That is the garment&#39;s date. Only 1958 fits everything else known about the garment."),
        ),
        (
            "1950",
            format!(
                "{all} Other evidence contradicts it, so it is set aside. None of these dates fits everything else known about the garment."
            ),
        ),
    ];
    for (end, expected) in rows {
        let page = page("8", end, "");
        let found = said(&page).replace("&#x27;", "&#39;");
        assert_eq!(found, expected, "ended in {end}");
        assert!(!page.contains("Undated."), "the code dates it");
    }
}

#[test]
fn the_page_says_whether_a_code_counts_beside_a_date() {
    for (code, made, expected) in [
        ("8", "1978", "The entry gives a date that agrees with it; the date in the entry counts."),
        ("8", "1977", "The entry gives a different date, which counts; the code does not."),
        ("88", "1977", "No key of its maker can read the code <code>88</code>. So it dates nothing."),
    ] {
        let page = page(code, "1995", &format!("made = \"{made}\"\nmade-by = \"paper\""));
        assert!(said(&page).contains(expected), "{}", said(&page));
    }
}

#[test]
fn a_page_without_a_code_or_with_one_that_no_key_speaks_of_has_no_section() {
    let text = format!("--- {FOLDER}/seen.md\n+++\nbasis = \"specimen\"\n[features]\ndate-code = \"8\"\n+++\n");
    let knowledge = example::compile(&text).knowledge;
    let page = files(&knowledge, "makers/").remove("makers/hollin/no-4/best/seen.html").unwrap();
    assert!(!String::from_utf8(page).unwrap().contains("id=\"codes\""));
}

#[test]
fn a_code_that_is_markup_is_text_on_its_page() {
    let page = page("<b onmouseover='x()'>8", "1995", "");
    assert!(page.contains("&lt;b onmouseover=") && !page.contains("<b onmouseover"), "{}", said(&page));
}

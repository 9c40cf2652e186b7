//! The page of all keys, and a page for each: what they show of a key, and what becomes of huge and hostile ones.

use bartack::compile::example;

use crate::exports::world::files;

const SOURCES: &str = "--- entries/sources/talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n\
    --- entries/sources/list.md\n+++\ncitation = \"List\"\nkind = \"price-list\"\n+++\n\
    --- entries/makers/hollin/maker.md\n+++\nname = \"Hollin\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n";

/// The pages of a key with these fields and more files: its own, then that of all keys.
fn pages(fields: &str, more: &str) -> [String; 2] {
    let text = format!(
        "{SOURCES}--- entries/keys/waist.md\n+++\ntitle = \"Year in the waistband\"\nreads = \"date-code\"\n\
         sources = [\"talk tape 2\"]\nnot-before = \"1950\"\nnot-after = \"1989\"\n{fields}\n+++\nHow it was found out.\n{more}"
    );
    let knowledge = example::compile(&text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
    let mut pages = files(&knowledge, "keys/");
    ["keys/waist.html", "keys/index.html"].map(|path| String::from_utf8(pages.remove(path).unwrap()).unwrap())
}

fn garment(name: &str, code: &str, more: &str) -> String {
    format!(
        "--- entries/makers/hollin/no-4/best/{name}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n{more}[features]\n\
         date-code = \"{code}\"\n+++\n"
    )
}

#[test]
fn a_page_shows_forms_tables_examples_sources_and_what_became_of_each_code() {
    let fields = "makers = [\"hollin\"]\nforms = [[{ letters = 1, is = \"factory\", table = { D = \"dunmore\" } }, { text = \"-\" }, \
                  { digits = 2, is = \"year-of-century\" }], [{ digits = 1, is = \"year-of-decade\" }]]\n\
                  examples = [{ code = \"D-78\", reads = \"1978\", factory = \"dunmore\" }]";
    let more = garment("one", "D-61", "")
        + &garment("two", "D-62", "made = \"1962\"\nmade-by = \"paper\"\n")
        + &garment("three", "D-63", "made = \"1973\"\nmade-by = \"paper\"\n")
        + &garment("four", "Q-63", "");
    let [own, all] = pages(fields, &more);
    for part in [
        "<h3>Form 1</h3>",
        "<b>D</b> dunmore",
        "<code>-</code> must be there",
        "2 figures: the year of the century",
        "<dt><code>D-78</code></dt><dd>1978, factory dunmore</dd>",
        "How it was found out.",
        "tape 2",
        "dates the garment",
        "agrees with the date its entry gives",
        "its entry gives another date, which counts",
        "<th scope=\"row\">Q-63</th>",
    ] {
        assert!(own.contains(part), "{part}: {own}");
    }
    assert!(
        all.contains("a code is 1 letter for the factory, <code>-</code>, 2 figures for the year of the century, or 1"),
        "{all}"
    );
    assert!(all.contains("4 recorded garments with a code"), "{all}");
    for page in [own, all] {
        assert!(page.contains("An opinion from records, not an authentication."), "{page}");
        assert!(page.contains("every code read by it is wrong"), "{page}");
    }
}

#[test]
fn a_key_in_doubt_says_so_on_both_pages() {
    let year = "makers = [\"hollin\"]\nparts = [{ digits = 2, is = \"year-of-century\" }]";
    let dispute = "--- entries/disputes/d.md\n+++\nstatus = \"settled\"\n\
                   claims = [{ claim = \"makers/hollin/no-4/best/one#features.date-code\", says = \"78\" }]\n\
                   set-aside = [\"keys/waist#key\"]\n+++\nIt was made up.\n";
    let ended = "--- entries/makers/hollin/no-4/best/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n\
                 [[claims]]\nevent = \"discontinued\"\nwhen = \"1960\"\nsources = [\"list\"]\n+++\n";
    let withheld = "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n\
                    withheld = [{ source = \"talk\", reason = \"asked for\" }]\n+++\n";
    for (more, expected) in [
        (dispute, "A settled dispute sets it aside"),
        (ended, "Evidence from garments contradicts it"),
        (withheld, "withheld"),
    ] {
        let [own, all] = pages(year, &(garment("one", "78", "") + more));
        assert!(own.contains("In doubt:") && own.contains(expected), "{expected}: {own}");
        assert!(all.contains(expected), "{expected}: {all}");
    }
    let [own, all] = pages(year, &garment("one", "78", ""));
    assert!(!own.contains("In doubt:") && !all.contains("<strong>"), "nothing stands against it");
}

#[test]
fn huge_keys_stay_short_on_their_pages() {
    let table: Vec<String> = (0..10_000).map(|number| format!("\"{number:04}\" = {}", 1950 + number % 40)).collect();
    let long = format!("parts = [{{ digits = 4, is = \"year\", table = {{ {} }} }}]", table.join(", "));
    let form = "[{ digits = 2, is = \"year-of-century\" }, { digits = 1, is = \"serial\" }]";
    let many = format!("forms = [{}]", vec![form; 500].join(", "));
    for (fields, said) in [(long, "and 9880 more"), (many, "And 488 more forms.")] {
        let [own, all] = pages(&fields, "");
        assert!(own.contains(said), "{said}");
        // What the field reads with is the key itself, and cannot be shorter; the text beside it is.
        for page in [own, all] {
            let data: usize = page.split("data-keys=\"").skip(1).map(|rest| rest.find('"').unwrap()).sum();
            assert!(page.len() - data < 24_000, "{} bytes beside {data}", page.len() - data);
        }
    }
}

#[test]
fn a_key_of_markup_is_text_on_its_pages() {
    let fields = "parts = [{ text = \"<b onclick=x>`\" }, { digits = 1, is = \"year-of-decade\" }]";
    for page in pages(fields, "") {
        assert!(!page.contains("<b onclick"), "{page}");
        assert!(page.contains("&lt;b onclick=x&gt;"), "{page}");
    }
}

#[test]
fn without_a_key_the_page_says_how_to_write_one() {
    let knowledge = example::compile(SOURCES).knowledge;
    let mut pages = files(&knowledge, "keys/");
    let page = String::from_utf8(pages.remove("keys/index.html").unwrap()).unwrap();
    assert!(page.contains("No key is recorded yet.") && !page.contains("id=\"reader\""), "{page}");
    assert!(pages.is_empty(), "{:?}", pages.keys());
}

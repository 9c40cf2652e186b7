//! Hostile inputs of one shape, doubled three times: the work may grow with the length, not with its square.
//!
//! Work is the processor time of one thread, the least of several tries, so that a busy machine does not count.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::time::Duration;

use bartack::compile::{self, example};
use bartack::import::mapping::Mapping;
use bartack::import::proof::Present;
use bartack::import::{self, ImportInput, proof, sheet};
use bartack::report::text::{self, Style};

use crate::support;

/// How often a shape is doubled.
const DOUBLINGS: i32 = 3;
/// How much more work a doubling may make on average: 2 where it grows with the length, 4 where with its square.
const MOST: f64 = 3.0;
/// What is too short to be measured counts as this long.
const SHORTEST: Duration = Duration::from_millis(1);

/// What takes longer is tried once.
const LONG: Duration = Duration::from_millis(200);

/// A shape of input: what it is called, how large it is at first, and what it does at a size.
pub type Shape = (&'static str, usize, fn(usize) -> Box<dyn Fn()>);

/// The least of three tries; what takes long is not disturbed for long, and tried once.
fn work(act: &dyn Fn()) -> Duration {
    let one = || {
        let begun = support::processor_time();
        act();
        support::processor_time() - begun
    };
    let first = one();
    let again = if first < LONG { 2 } else { 0 };
    (0..again).map(|_| one()).fold(first, Duration::min)
}

/// Says what is wrong where a shape grows too fast.
fn growth((name, first, make): &Shape) -> Option<String> {
    // What is done whatever the size, such as making the schemas ready, would hide how the rest grows.
    let always = work(&*make(1));
    let sizes = (0..=DOUBLINGS).map(|doubling| first << doubling);
    let works: Vec<Duration> = sizes.map(|size| work(&*make(size)).saturating_sub(always).max(SHORTEST)).collect();
    let ratio = (works[works.len() - 1].as_secs_f64() / works[0].as_secs_f64()).powf(1.0 / f64::from(DOUBLINGS));
    eprintln!("{name}: {works:?}, {ratio:.2} a doubling");
    (ratio >= MOST).then(|| format!("{name}: {works:?}, {ratio:.2} a doubling"))
}

/// Holds shapes to the bound, on one thread, whose time is all there is.
pub fn hold(shapes: &[Shape]) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread().build().unwrap();
    // A second look at what seems to grow: a busy machine is slow twice more seldom than once.
    let grown: Vec<String> =
        pool.install(|| shapes.iter().filter_map(|shape| growth(shape).and_then(|_| growth(shape))).collect());
    assert!(grown.is_empty(), "{}", grown.join("\n"));
}

/// Lines or words, each with its number, until the text is as long as is wanted.
pub fn filled(length: usize, piece: impl Fn(usize) -> String) -> String {
    let mut text = String::new();
    for number in 0.. {
        if text.len() >= length {
            break;
        }
        text.push_str(&piece(number));
    }
    text
}

/// Compiles one file among the smallest others and draws all that is told.
fn told(path: &'static str, text: String) -> Box<dyn Fn()> {
    let example = example::read(&format!("--- {path}\n{text}"));
    Box::new(move || {
        let compilation = compile::compile(example.sources.clone(), Vec::new(), compile::Options::default());
        let sources = &compilation.knowledge.catalog.sources;
        for one in &compilation.diagnostics {
            text::render(sources, one, Style::Plain);
        }
    })
}

fn garment(front: String) -> Box<dyn Fn()> {
    told("entries/makers/a/b/c/d.md", format!("+++\nbasis = \"specimen\"\n{front}\n+++\n"))
}

fn vocabulary(text: String) -> Box<dyn Fn()> {
    told("schema/vocabulary.toml", text)
}

/// The unit of sizes.
pub const KIB: usize = 1 << 10;

#[test]
fn front_matter_takes_time_by_its_length() {
    hold(&[
        ("unknown keys", 16 * KIB, |length| garment(filled(length, |at| format!("a{at} = 1\n")))),
        ("unknown features", 16 * KIB, |length| {
            garment(format!("[features]\n{}", filled(length, |at| format!("a{at} = 1\n"))))
        }),
        ("wrong states", 16 * KIB, |length| {
            garment(format!("[features]\n{}", filled(length, |at| format!("hem.a{at} = \"x\"\n"))))
        }),
        ("tables", 16 * KIB, |length| garment(filled(length, |_| "[[claims]]\n".into()))),
        ("claims alike", 16 * KIB, |length| {
            garment(filled(length, |_| {
                "[[claims]]\nid = \"a\"\nevent = \"produced\"\nwhen = \"1960\"\nsources = [\"b\"]\n".into()
            }))
        }),
        ("claims apart", 16 * KIB, |length| {
            garment(filled(length, |at| {
                format!("[[claims]]\nid = \"a{at}\"\nevent = \"x\"\nwhen = \"y\"\nsources = [\"b{at}\"]\n")
            }))
        }),
        ("a long list", 64 * KIB, |length| {
            garment(format!("formerly = [{}]", filled(length, |at| format!("\"unplaced/a{at}\","))))
        }),
        ("a list of one", 64 * KIB, |length| {
            garment(format!("formerly = [{}]", filled(length, |_| "\"unplaced/a\",".into())))
        }),
        ("photographs", 32 * KIB, |length| {
            garment(format!("photos = [{}]", filled(length, |at| format!("\"{at}.jpg\","))))
        }),
        ("allowances", 16 * KIB, |length| {
            garment(format!("allow = [{}]", filled(length, |at| format!("{{ lint = \"a{at}\", reason = \"b\" }},"))))
        }),
        ("sources of its own", 64 * KIB, |length| {
            garment(filled(length, |at| format!("[[source]]\nid = \"a{at}\"\ncitation = \"b\"\nkind = \"book\"\n")))
        }),
        ("deep lists", 64 * KIB, |length| garment(format!("a = {}", "[".repeat(length)))),
        ("a deep key", 64 * KIB, |length| garment(format!("{}a = 1", "a.".repeat(length / 2)))),
        ("deep tables", 64 * KIB, |length| garment(filled(length, |at| format!("[a.b.c.d.e{at}]\n")))),
        ("syntax errors", 64 * KIB, |length| garment("a = \n".repeat(length / 5))),
        ("a long text", 64 * KIB, |length| garment(format!("observer = \"{}\"", "a".repeat(length)))),
        ("escapes", 64 * KIB, |length| garment(format!("observer = \"{}\"", "\\u00e9".repeat(length / 6)))),
        ("lines of a text", 64 * KIB, |length| garment(format!("observer = '''{}'''", "\n".repeat(length)))),
        ("fences", 64 * KIB, |length| garment("+++ x\n".repeat(length / 6))),
    ]);
}

#[test]
fn a_vocabulary_takes_time_by_its_length() {
    hold(&[
        ("features", 16 * KIB, |length| {
            vocabulary(filled(length, |at| format!("[a{at}]\nname = \"a\"\nkind = \"count\"\nlook = \"b\"\n")))
        }),
        ("wrong features", 16 * KIB, |length| vocabulary(filled(length, |at| format!("[a{at}]\nkind = \"x\"\n")))),
        ("states", 32 * KIB, |length| {
            vocabulary(format!(
                "[a]\nname = \"a\"\nkind = \"state\"\nlook = \"b\"\nstates = [{}]",
                filled(length, |at| format!("\"s{at}\","))
            ))
        }),
        ("states alike", 16 * KIB, |length| {
            vocabulary(format!(
                "[a]\nname = \"a\"\nkind = \"state\"\nlook = \"b\"\nstates = [{}]",
                filled(length, |_| "\"s\",".into())
            ))
        }),
        ("other words", 64 * KIB, |length| {
            vocabulary(format!(
                "[a]\nname = \"a\"\nkind = \"count\"\nlook = \"b\"\nalso = [{}]",
                filled(length, |at| format!("\"s{at}\","))
            ))
        }),
        ("other words for states", 32 * KIB, |length| {
            let (states, own) = (
                filled(length / 3, |at| format!("\"s{at}\",")),
                filled(length / 2, |at| format!("s{at} = [\"t{at}\"]\n")),
            );
            vocabulary(format!(
                "[a]\nname = \"a\"\nkind = \"state\"\nlook = \"b\"\nstates = [{states}]\n[a.also]\n{own}"
            ))
        }),
        ("varies with many", 16 * KIB, |length| {
            let (others, own) = (
                filled(length / 5, |at| format!("\"a{at}\",")),
                filled(length, |at| format!("[a{at}]\nname = \"a\"\nkind = \"count\"\nlook = \"b\"\n")),
            );
            vocabulary(format!("[a]\nname = \"a\"\nkind = \"count\"\nlook = \"b\"\nvaries-with = [{others}]\n{own}"))
        }),
        ("bands", 64 * KIB, |length| {
            vocabulary(format!(
                "[a]\nname = \"a\"\nkind = \"number\"\nlook = \"b\"\nbands = [{}]",
                filled(length, |at| format!("{at},"))
            ))
        }),
    ]);
}

/// Imports a sheet into the smallest knowledge base.
fn imported(text: String) -> Box<dyn Fn()> {
    let catalog = example::compile("--- entries/makers/a/b/c/d.md\n+++\nbasis = \"specimen\"\n+++\n").knowledge.catalog;
    Box::new(move || {
        let mapping = Mapping::default();
        let Ok(sheet) = sheet::read(&text, None) else { return };
        let Ok(columns) = import::columns(&catalog, &sheet, &mapping) else { return };
        let left = BTreeSet::new();
        let brought = ImportInput { mapping: &mapping, sheet: Some((&sheet, &columns)), drafts: &[], left: &left };
        let gather = |wrong: &BTreeSet<_>| import::gather(&catalog, &brought, wrong);
        let present = Present { sources: &catalog.sources, unread: &[] };
        proof::prove(&present, gather, |_| Vec::new(), &|_| {});
    })
}

#[test]
fn sheets_take_time_by_their_length() {
    hold(&[
        ("columns", 4 * KIB, |length| imported(format!("hem,{}\nraw", filled(length, |at| format!("a{at},"))))),
        ("rows", 4 * KIB, |length| {
            imported(format!("variant,hem,made\n{}", filled(length, |at| format!("a/b/c,raw,{}\n", 1950 + at % 40))))
        }),
        ("rows alike", 4 * KIB, |length| imported(format!("variant,hem\n{}", "a/b/c,raw\n".repeat(length / 10)))),
        ("wrong rows", 4 * KIB, |length| {
            imported(format!("variant,hem,made\n{}", filled(length, |at| format!("a/b/x{at},y{at},z\n"))))
        }),
        ("a long cell", 128 * KIB, |length| imported(format!("variant,notes\na/b/c,{}\n", "a".repeat(length)))),
        ("quotation marks", 128 * KIB, |length| {
            imported(format!("variant,notes\na/b/c,\"{}\"\n", "\"\"".repeat(length / 2)))
        }),
        ("one that is never closed", 128 * KIB, |length| {
            imported(format!("variant,notes\na/b/c,\"{}", "x\n".repeat(length / 2)))
        }),
        ("separators", 64 * KIB, |length| imported(format!("variant,notes\n{}", ",;\t".repeat(length / 3)))),
        ("sources", 32 * KIB, |length| imported(format!("variant,sources\na/b/c,{}\n", "a p. 1; ".repeat(length / 8)))),
    ]);
}

/// Compiles many files, and draws all that is told.
fn compiled(text: String) -> Box<dyn Fn()> {
    let example = example::read(&text);
    Box::new(move || {
        let compilation = compile::compile(example.sources.clone(), Vec::new(), compile::Options::default());
        for one in &compilation.diagnostics {
            text::render(&compilation.knowledge.catalog.sources, one, Style::Plain);
        }
    })
}

/// So many observations, each with some more lines of its own.
fn observations(count: usize, lines: impl Fn(usize) -> String) -> Box<dyn Fn()> {
    let mut text = String::from("--- entries/sources/list.md\n+++\ncitation = \"A list\"\nkind = \"book\"\n+++\n");
    for at in 0..count {
        let lines = lines(at);
        write!(text, "--- entries/makers/a/b/c/g{at:05}.md\n+++\nbasis = \"specimen\"\n{lines}\n+++\n").unwrap();
    }
    compiled(text)
}

#[test]
fn references_take_time_by_their_number() {
    hold(&[
        ("one source for all", 256, |count| {
            observations(count, |_| {
                "[[claims]]\nevent = \"attested\"\nwhen = \"1960\"\nsources = [\"list p. 1\"]".into()
            })
        }),
        ("a source that is not there", 256, |count| {
            observations(count, |_| {
                "[[claims]]\nevent = \"attested\"\nwhen = \"1960\"\nsources = [\"lost p. 1\"]".into()
            })
        }),
        ("one garment", 256, |count| {
            observations(count, |at| if at == 0 { String::new() } else { "same-as = \"g00000\"".into() })
        }),
        ("a chain of one garment", 256, |count| {
            observations(count, |at| if at == 0 { String::new() } else { format!("same-as = \"g{:05}\"", at - 1) })
        }),
        ("one earlier address", 256, |count| observations(count, |_| "formerly = [\"unplaced/x\"]".into())),
        ("a chain of sources", 256, |count| {
            compiled((0..count).map(|at| format!("--- entries/sources/s{at:05}.md\n+++\ncitation = \"S\"\nkind = \"book\"\nrepeats = [\"s{:05}\"]\n+++\n", at + 1)).collect())
        }),
    ]);
}

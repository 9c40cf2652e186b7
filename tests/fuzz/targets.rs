//! What is tried with any bytes at all: each target reads an input as the program would, and panics at what must never be.
//!
//! Shared by the bounded run within `cargo test` and by the guided one, which is a package of its own.

use std::collections::BTreeSet;
use std::io::Cursor;
use std::sync::LazyLock;

use ammonia::Builder;
use bartack::compile::{self, Compilation, example};
use bartack::date::edtf::{CircaYears, Edtf};
use bartack::fault::Fault;
use bartack::figure::{Drawing, Feature, Known, Setting};
use bartack::import::mapping::Mapping;
use bartack::import::proof::Present;
use bartack::import::sheet::Sheet;
use bartack::import::{self, ImportInput, Origin, proof, shape, sheet};
use bartack::markup::{self, Above};
use bartack::parse;
use bartack::photograph::{self, making};
use bartack::sheet::{encoding, workbook};
use bartack::source::{FileId, FilePath, SourceFile, Sources, Span};
use bartack::validate;
use regex::Regex;

use super::judge::{assert_inert, html_judge, svg_judge};
use super::parts::packed;
use super::whole;
use super::words::{DATE, DRAWING, MARKDOWN, PHOTOGRAPH, RECORD, SHEET, TOML, VOCABULARY, WORKBOOK};

/// One way into the program.
pub struct Target {
    /// Its name, and the folder of its corpus.
    pub name: &'static str,
    /// How many inputs `cargo test` tries beside the corpus.
    pub executions: usize,
    /// The longest input that is made.
    pub longest: usize,
    /// Words that its inputs are made of.
    pub words: &'static [&'static str],
    /// Tries one input.
    pub run: fn(&[u8]),
}

/// All of them.
pub const TARGETS: &[Target] = &[
    Target { name: "front-matter", executions: 20_000, longest: 4096, words: TOML, run: front_matter },
    Target { name: "record", executions: 1000, longest: 4096, words: RECORD, run: record },
    Target { name: "date", executions: 20_000, longest: 64, words: DATE, run: date },
    Target { name: "markdown", executions: 4000, longest: 2048, words: MARKDOWN, run: markdown },
    Target { name: "vocabulary", executions: 1000, longest: 4096, words: VOCABULARY, run: vocabulary },
    Target { name: "sheet", executions: 500, longest: 2048, words: SHEET, run: sheet },
    Target { name: "workbook", executions: 500, longest: 4096, words: WORKBOOK, run: workbook },
    Target { name: "drawing", executions: 4000, longest: 4096, words: DRAWING, run: drawing },
    Target { name: "photograph", executions: 4000, longest: 4096, words: PHOTOGRAPH, run: photograph },
    Target { name: "whole", executions: 30, longest: 8192, words: RECORD, run: whole::run },
];

/// Gives the bytes as text, as an editor would that keeps what it can.
fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Asserts that each fault lies within its file, between characters.
fn assert_placed(sources: &Sources, faults: &[Fault]) {
    for fault in faults {
        let file = sources.file(fault.place.file);
        assert!(file.text().get(fault.span().start()..fault.span().end()).is_some(), "{fault:?}");
        file.line_and_column(fault.span().start());
    }
}

fn front_matter(bytes: &[u8]) {
    let file = SourceFile::new(FilePath::new("entries/a.md"), text(bytes));
    let sources = Sources::new(vec![file.clone()]);
    let parsed = parse::record(FileId(0), &file);
    assert_placed(&sources, &parsed.faults);
    assert!(file.text().get(parsed.value.body.start()..parsed.value.body.end()).is_some(), "the body is text");
    let within = |span: Span| file.text().get(span.start()..span.end()).is_some();
    assert!(parsed.value.front.entries().iter().all(|entry| within(entry.key.span) && within(entry.value.span)));
    assert_placed(&sources, &parse::toml(FileId(0), &file).faults);
}

/// The paths of all kinds of record; the first byte of an input, a digit, says which.
const PLACES: [&str; 11] = [
    "entries/about.md",
    "entries/sources/a.md",
    "entries/landmarks/a.md",
    "entries/disputes/a.md",
    "entries/unplaced/a.md",
    "entries/makers/a/maker.md",
    "entries/makers/a/b/model.md",
    "entries/makers/a/b/c/variant.md",
    "entries/makers/a/b/c/d.md",
    "entries/keys/a.md",
    "schema/vocabulary.toml",
];

/// Reads one record among the smallest others.
fn recorded(path: &str, text: &str) {
    let sources = example::read(&format!("--- {path}\n{text}")).sources;
    let faults = validate::all(&sources, &|| {}).faults;
    assert_placed(&sources, &faults);
    if faults.is_empty() {
        whole::built_if_passed(&compile::compile(sources, Vec::new(), compile::Options::default()));
    }
}

fn record(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else { return };
    recorded(PLACES[usize::from(first.wrapping_sub(b'0')) % 10], &text(rest));
}

fn vocabulary(bytes: &[u8]) {
    let text = text(bytes);
    let garment = "entries/makers/a/b/c/d.md\n+++\nbasis = \"specimen\"\n[features]\nhem = \"raw\"\n+++\n";
    recorded(PLACES[10], &format!("{text}\n--- {garment}"));
}

fn date(bytes: &[u8]) {
    let text = text(bytes);
    let Ok(date) = Edtf::parse(&text) else { return };
    assert_eq!(Edtf::parse(date.as_str()).ok().as_ref().map(Edtf::as_str), Some(date.as_str()));
    for circa in [CircaYears(0), CircaYears(2), CircaYears(50)] {
        let (wide, narrow) = (date.span(circa), date.unwidened());
        let is_ordered = wide.first().zip(wide.last()).is_none_or(|(first, last)| first <= last);
        assert!(is_ordered && wide.intersection(narrow) == Some(narrow), "{text}: {wide:?} holds {narrow:?}");
        assert!(!date.describe(circa).is_empty());
    }
}

fn markdown(bytes: &[u8]) {
    let text = text(bytes);
    let mut judge = html_judge();
    assert_inert(&judge, &markup::html(&text, "s", Above::Section), &text);
    judge.add_tags(["h2"]).add_tag_attributes("h2", ["id"]);
    assert_inert(&judge, &markup::html(&text, "s", Above::Page), &text);
    assert!(markup::summary(&text, 20).chars().count() <= 20);
    markup::plain(&text);
    markup::first_sentence(&text);
}

/// What sheets are imported into.
static EMPTY: LazyLock<Compilation> = LazyLock::new(|| {
    example::compile("--- entries/makers/a/b/c/variant.md\n+++\nname = \"c\"\nline = \"best\"\nwearer = \"men\"\n+++\n")
});

fn sheet(bytes: &[u8]) {
    let Ok(text) = encoding::decode(bytes, None).map(|decoded| decoded.text) else { return };
    let (mapping, drafts) = (Mapping::default(), [("d.md".to_string(), Ok(text.clone()))]);
    let Ok(sheet) = sheet::read(&text, None) else {
        return brought(&ImportInput { mapping: &mapping, sheet: None, drafts: &drafts, left: &BTreeSet::new() });
    };
    rows_brought(sheet);
}

/// Imports the rows of a sheet.
fn rows_brought(sheet: Sheet) {
    let (catalog, mapping) = (&EMPTY.knowledge.catalog, Mapping::default());
    let sheet = shape::headed(catalog, sheet, &mapping);
    let Ok(columns) = import::columns(catalog, &sheet, &mapping) else { return };
    let sheet = shape::garments(sheet, &columns);
    brought(&ImportInput { mapping: &mapping, sheet: Some((&sheet, &columns)), drafts: &[], left: &BTreeSet::new() });
}

/// The most rows, and the most columns, of a workbook that are imported here: a few bytes can stand for millions of cells.
const MOST_IMPORTED: usize = 40;

/// Reads bytes that begin as an archive as they are, others as a text of parts.
fn workbook(bytes: &[u8]) {
    let archive = if bytes.starts_with(b"PK") { bytes.to_vec() } else { packed(bytes) };
    let Ok(worksheet) = workbook::read(&archive, None) else { return };
    assert_eq!(workbook::is_one(&archive), Ok(true));
    let again = workbook::read(&archive, Some(&worksheet.name));
    assert!(again.is_ok(), "{:?} is not found by its name: {again:?}", worksheet.name);
    assert!(!worksheet.grid.is_empty() && !worksheet.is_hidden, "what is chosen has content that is shown");
    let is_small = worksheet.grid.rows().all(|(_, cells)| cells.len() <= MOST_IMPORTED);
    if let Ok(sheet) = sheet::of_workbook(&worksheet)
        && is_small
        && sheet.rows.len() <= MOST_IMPORTED
    {
        rows_brought(sheet);
    }
}

/// Imports, and holds each entry that may be written to a check of its own: no error lies in it.
fn brought(brought: &ImportInput<'_>) {
    let catalog = &EMPTY.knowledge.catalog;
    let gather = |wrong: &BTreeSet<Origin>| import::gather(catalog, brought, wrong);
    let present = Present { sources: &catalog.sources, unread: &[] };
    let proved = proof::prove(&present, gather, |_| Vec::new(), &|_| {});
    let own = catalog.sources.iter().map(|(_, file)| file.clone());
    let new = proved
        .gathered
        .candidates
        .iter()
        .map(|one| SourceFile::new(FilePath::new(one.path.as_str()), one.text.clone()));
    let again = compile::compile(Sources::new(own.chain(new).collect()), Vec::new(), compile::Options::default());
    let broken = again.broken();
    for one in &proved.gathered.candidates {
        assert!(!broken.iter().any(|path| path.as_str() == one.path), "{}:\n{}", one.path, one.text);
    }
    whole::built_if_passed(&again);
}

/// What drawings may have beside what the judge of known attacks allows: attributes of shape and paint.
const HARMLESS: &str = "alignment-baseline baseline-shift clip-rule color color-interpolation direction display dominant- \
    baseline fill-opacity fill-rule font-size-adjust font-stretch font-style font-variant font-weight \
    image-rendering letter-spacing paint-order shape-rendering stop-color stop-opacity stroke-dasharray \
    stroke-dashoffset stroke-linecap stroke-linejoin stroke-miterlimit stroke-opacity text-anchor text- \
    decoration text-rendering transform-origin unicode-bidi vector-effect visibility word-spacing \
    writing-mode clipPathUnits cy dx dy fr fx fy gradientTransform gradientUnits lang lengthAdjust \
    offset pathLength patternContentUnits patternTransform patternUnits preserveAspectRatio refX refY \
    rotate rx ry spreadMethod textLength x x1 x2 y y1 y2 version";

/// Allows exactly what any drawing may become.
fn any_svg_judge() -> Builder<'static> {
    let mut judge = svg_judge();
    judge.add_generic_attributes(HARMLESS.split_whitespace()).add_generic_attribute_prefixes(["aria-"]);
    judge
}

/// An element that ends where it begins, which HTML writes in two tags.
static UNWRITTEN_END: LazyLock<Regex> =
    LazyLock::new(|| Regex::new("<([a-zA-Z]+)([^<>]*)/>").expect("it is written well"));

fn drawing(bytes: &[u8]) {
    let text = text(bytes);
    let Ok(once) = markup::svg(&text) else { return };
    let mut judge = any_svg_judge();
    assert_inert(&judge, &once, &text);
    assert_eq!(markup::svg(&once).as_deref(), Ok(once.as_str()), "from {text:?}");
    let drawing = Drawing::read(&text).expect("what is inert can be read");
    let ids: BTreeSet<&str> = drawing.marks().iter().map(|mark| mark.feature.as_str()).collect();
    let known = Known::Seen(vec![("raw".into(), 2), ("3".into(), 1)]);
    let features: Vec<Feature<'_>> = ids
        .iter()
        .enumerate()
        .map(|(number, id)| Feature { id, name: id, known: known.clone(), label: None, number: Some(number) })
        .collect();
    let filled = drawing.filled(&features, &Setting { scope: "s", shares: None, of: "<&\">", around: Some("hem") });
    judge.add_generic_attributes(["data-callout"]);
    assert_inert(&judge, &UNWRITTEN_END.replace_all(&filled, "<$1$2></$1>"), &text);
    drawing.words(&features);
}

/// The most pixels that are decoded here: enough to go every way, and few enough to go it often.
const MOST_DECODED: u64 = 1 << 16;

fn photograph(bytes: &[u8]) {
    let Ok(facts) = photograph::look(&mut Cursor::new(bytes)).expect("memory can be read") else { return };
    assert!(facts.width > 0 && facts.height > 0 && facts.sizes().iter().all(|size| size.width > 0 && size.height > 0));
    if facts.pixels() > MOST_DECODED || facts.excess().is_some() {
        return;
    }
    let Ok(pictures) = making::pictures(bytes, &facts) else { return };
    for (picture, size) in pictures.iter().zip(facts.sizes()) {
        let made = photograph::look(&mut Cursor::new(picture)).expect("memory can be read").expect("it is a picture");
        assert_eq!((made.width, made.height, facts.ending()), (size.width, size.height, made.ending()));
    }
}

//! Turns a text of several files into a tiny knowledge base, and adds the smallest records it
//! leaves out.
//!
//! It serves the examples of lints, on their pages and in tests; contributors' entries never pass
//! through it.

use std::collections::BTreeMap;

use crate::compile::{self, Compilation, Review, Scrutiny};
use crate::date::Day;
use crate::fault::{Fault, FaultKind, Unreadable};
use crate::photograph::{Facts, Flaw};
use crate::source::{Attachment, DrawnMark, FilePath, Place, SourceFile, Sources, Span};

/// The start of a line that names a file.
const HEAD: &str = "--- ";

/// The remark on a file that is missing from the earlier state.
const NEW: &str = "new";

/// The remark on a file that exists only in the earlier state.
const GONE: &str = "gone";

/// Today's date in every example, 2100-01-01, counted from 1970-01-01: no example depends on when it is compiled.
const TODAY: i32 = 47_482;

const ABOUT: &str = "\
+++
title = \"Example\"
licence = \"CC0-1.0\"
language = \"en\"
+++
";

const VOCABULARY: &str = "\
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"folded\", \"chain-stitch\", \"raw\"]
look = \"Turn the hem up and look at the inside.\"
[zip]
name = \"Zip\"
kind = \"state\"
states = [\"brass\", \"steel\"]
look = \"Look at the teeth.\"
replaceable = \"often\"
[belt-loops]
name = \"Belt loops\"
kind = \"count\"
look = \"Count them all round.\"
[pockets]
name = \"Pockets\"
kind = \"count\"
look = \"Count them, the watch pocket too.\"
[date-code]
name = \"Date code\"
kind = \"code\"
look = \"Look inside the waistband.\"
[leg-opening]
name = \"Leg opening\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.25
range = [4, 16]
look = \"Lay the leg flat and measure across the hem.\"
[inseam]
name = \"Inseam\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.5
range = [10, 50]
look = \"Measure from the crotch to the hem.\"
";

/// A tiny knowledge base.
#[derive(Clone, Debug, Default)]
pub struct Example {
    pub sources: Sources,
    /// The faults of the unreadable files.
    pub unread: Vec<Fault>,
}

/// One file of the text: its path, the remark in brackets, and its lines.
struct Part<'a> {
    path: &'a str,
    remark: &'a str,
    text: String,
}

/// Compiles a text of several files, each under a line `--- ` with its path.
///
/// A remark in brackets after the path stands for what a text cannot hold: `(not UTF-8 from byte 20)`, `(symbolic
/// link)`, or the size of a picture, `(1200 x 800)` or `(cut short)`. It also gives the marks of a drawing, `(marks hem
/// zip=brass zip=steel)`. If files are `(new)` or `(gone)`, the text holds two states that are compared: the earlier
/// one without the new files, and the present one without those gone.
pub fn compile(text: &str) -> Compilation {
    let mut now = compiled(read(&without(text, GONE)));
    if parts(text).iter().any(|part| [NEW, GONE].contains(&part.remark)) {
        now.compare_with(&compiled(read(&without(text, NEW))).knowledge);
    }
    now
}

/// The text without the files that have a remark.
fn without(text: &str, remark: &str) -> String {
    let kept = parts(text).into_iter().filter(|part| part.remark != remark);
    kept.map(|part| format!("{HEAD}{} ({})\n{}", part.path, part.remark, part.text)).collect()
}

fn compiled(example: Example) -> Compilation {
    let scrutiny = Scrutiny { review: Review::Everything, today: Day::from_number(TODAY) };
    compile::compile(
        example.sources,
        example.unread,
        compile::Options { scrutiny: Some(&scrutiny), ..compile::Options::default() },
    )
}

/// Splits a text of several files, and adds the smallest records that it leaves out.
pub fn read(text: &str) -> Example {
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    let (mut attachments, mut refused, mut drawn) = (Vec::new(), Vec::new(), Vec::new());
    for part in parts(text) {
        if let Some(why) = refusal(part.remark) {
            refused.push((part.path.to_string(), why));
            texts.insert(part.path.to_string(), String::new());
        } else if let Some(figure) = part.path.strip_prefix("site/figures/") {
            drawn.extend(marks(figure, part.remark));
        } else if part.path.ends_with(".md") || part.path.ends_with(".toml") {
            texts.insert(part.path.to_string(), part.text);
        } else {
            let path = FilePath::new(part.path);
            attachments.push(Attachment { path, bytes: 1024, picture: picture(part.remark) });
        }
    }
    fill(&mut texts);
    let files = texts.into_iter().map(|(path, text)| SourceFile::new(FilePath::new(path), text)).collect();
    let sources = Sources::new(files).with_attachments(attachments).with_marks(drawn);
    let unread = refused.into_iter().filter_map(|(path, why)| fault(&sources, &path, why)).collect();
    Example { sources, unread }
}

fn parts(text: &str) -> Vec<Part<'_>> {
    let mut parts: Vec<Part<'_>> = Vec::new();
    for line in text.split_inclusive('\n') {
        if let Some(head) = line.strip_prefix(HEAD) {
            let (path, remark) = head.trim_end().split_once(" (").unwrap_or((head.trim_end(), ""));
            parts.push(Part { path, remark: remark.trim_end_matches(')'), text: String::new() });
        } else if let Some(part) = parts.last_mut() {
            part.text.push_str(line);
        }
    }
    parts
}

fn refusal(remark: &str) -> Option<Unreadable> {
    if remark == "symbolic link" {
        return Some(Unreadable::SymbolicLink);
    }
    let offset = remark.strip_prefix("not UTF-8 from byte ")?.parse().ok()?;
    Some(Unreadable::NotUtf8 { offset })
}

fn marks(figure: &str, remark: &str) -> Vec<DrawnMark> {
    let garment = figure.rsplit_once('-').map_or(figure, |(garment, _)| garment);
    let words = remark.strip_prefix("marks ").unwrap_or_default().split_whitespace();
    let mark = |word: &str| {
        let (feature, state) = word.split_once('=').map_or((word, None), |(feature, state)| (feature, Some(state)));
        DrawnMark { garment: garment.into(), feature: feature.into(), state: state.map(str::to_string) }
    };
    words.map(mark).collect()
}

fn picture(remark: &str) -> Result<Facts, Flaw> {
    if remark == "cut short" {
        return Err(Flaw::CutShort);
    }
    let size = remark.split_once(" x ").and_then(|(width, height)| Some((width.parse().ok()?, height.parse().ok()?)));
    size.map(|(width, height)| Facts::upright(width, height)).ok_or(Flaw::NotAPicture)
}

fn fault(sources: &Sources, path: &str, why: Unreadable) -> Option<Fault> {
    let file = sources.find(path)?;
    Some(Fault::new(Place { file, span: Span::default() }, FaultKind::Unreadable(why)))
}

/// Adds settings, vocabulary, and the records that the folders of the files imply.
fn fill(texts: &mut BTreeMap<String, String>) {
    let paths: Vec<String> = texts.keys().cloned().collect();
    let mut add = |path: String, text: &str| {
        texts.entry(path).or_insert_with(|| text.to_string());
    };
    add("entries/about.md".to_string(), ABOUT);
    add("schema/vocabulary.toml".to_string(), VOCABULARY);
    for path in paths {
        let folders: Vec<&str> = path.split('/').collect();
        let ["entries", "makers", maker, folders @ .., _] = folders.as_slice() else { continue };
        let maker = format!("entries/makers/{maker}");
        add(format!("{maker}/maker.md"), "+++\nname = \"A maker\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n");
        let Some(model) = folders.first() else { continue };
        add(format!("{maker}/{model}/model.md"), "+++\nname = \"A model\"\ngarment = \"trousers\"\n+++\n");
        let Some(variant) = folders.get(1) else { continue };
        let text = format!("+++\nname = \"{variant}\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        add(format!("{maker}/{model}/{variant}/variant.md"), &text);
    }
}

#[cfg(test)]
mod tests {
    use super::read;
    use crate::photograph::Facts;

    #[test]
    fn what_an_example_leaves_out_is_supplied_and_what_it_has_is_kept() {
        let example =
            read("--- entries/makers/a/b/c/d.md\nx\n--- entries/about.md\ny\n--- entries/makers/a/b/c/p.jpg (3 x 2)\n");
        let paths: Vec<&str> = example.sources.iter().map(|(_, file)| file.path().as_str()).collect();
        let expected = [
            "entries/about.md",
            "entries/makers/a/b/c/d.md",
            "entries/makers/a/b/c/variant.md",
            "entries/makers/a/b/model.md",
            "entries/makers/a/maker.md",
            "schema/vocabulary.toml",
        ];
        assert_eq!(paths, expected);
        let about = example.sources.find("entries/about.md").expect("it is there");
        assert_eq!(example.sources.file(about).text(), "y\n");
        assert_eq!(example.sources.attachments()[0].picture, Ok(Facts::upright(3, 2)));
    }

    #[test]
    fn remarks_stand_for_files_that_no_text_can_hold() {
        let example =
            read("--- entries/sources/a.md (not UTF-8 from byte 7)\n--- entries/sources/b.md (symbolic link)\n");
        assert_eq!(example.unread.len(), 2);
    }
}

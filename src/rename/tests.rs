//! Renamings of a small knowledge base that names everything in every form, and what is refused.

use std::collections::BTreeMap;

use super::refusal::Refusal;
use super::{Plan, plan};
use crate::compile::example;

/// Each name is a word of its own, so that every place that holds it names it.
const ALL: &str = include_str!("tests/all.txt");

fn planned(text: &str, old: &str, new: &str) -> Result<Plan, Refusal> {
    plan(&example::compile(text), &BTreeMap::new(), (old, new), &|_| {})
}

/// The files after a renaming, by path.
fn after(text: &str, plan: &Plan) -> BTreeMap<String, String> {
    let sources = plan.sources(&example::read(text).sources);
    sources.iter().map(|(_, file)| (file.path().to_string(), file.text().to_string())).collect()
}

/// A text of several files from their texts.
fn joined(files: &BTreeMap<String, String>) -> String {
    files.iter().map(|(path, text)| format!("--- {path}\n{text}")).collect()
}

/// The text without the lines that hold earlier addresses.
fn without_earlier(text: &str) -> String {
    text.split_inclusive('\n').filter(|line| !line.starts_with("formerly")).collect()
}

#[test]
fn the_example_has_no_errors_that_would_hide_a_reference() {
    let found = example::compile(ALL).diagnostics;
    let errors: Vec<&str> =
        found.iter().filter(|one| one.level() == crate::diagnostic::Level::Error).map(|one| one.message()).collect();
    assert!(errors.is_empty(), "{errors:?}");
}

#[test]
fn every_reference_changes_and_nothing_else_and_the_way_back_is_the_same() {
    let names = [
        ("mako", "mako"),
        ("mako/xylo", "xylo"),
        ("mako/xylo/vega", "vega"),
        ("mako/xylo/vega/obsidian", "obsidian"),
        ("mako/line:bestow", "bestow"),
        ("sources/listing", "listing"),
        ("landmarks/lawful", "lawful"),
        ("disputes/quarrel", "quarrel"),
        ("keys/cipher", "cipher"),
        ("unplaced/stray", "stray"),
        ("feature:hemline", "hemline"),
        ("feature:stamping", "stamping"),
        ("hemline=rawness", "rawness"),
    ];
    let before: BTreeMap<String, String> =
        example::read(ALL).sources.iter().map(|(_, file)| (file.path().to_string(), file.text().to_string())).collect();
    for (old, word) in names {
        let plan = planned(ALL, old, "zz-9").unwrap_or_else(|refusal| unreachable!("{old}: {refusal}"));
        let made = after(ALL, &plan);
        let shown = |(path, text): (&String, &String)| (path.clone(), without_earlier(text));
        let renamed = |(path, text): (&String, &String)| {
            (path.replace(word, "zz-9"), without_earlier(text).replace(word, "zz-9"))
        };
        let expected: BTreeMap<String, String> = before.iter().map(renamed).collect();
        assert_eq!(made.iter().map(shown).collect::<BTreeMap<String, String>>(), expected, "{old}");
        for path in before.keys().filter(|path| path.contains(word)) {
            let text = &made[&path.replace(word, "zz-9")];
            assert!(text.contains(&format!("\"{path}\"]")), "{path} is an earlier address:\n{text}");
        }
        let count = before.values().map(|text| text.matches(word).count()).sum::<usize>();
        assert_eq!(plan.references.values().sum::<usize>(), count, "{old}");
        let back = planned(&joined(&made), &old.replace(word, "zz-9"), word);
        let back = back.unwrap_or_else(|refusal| unreachable!("{old}: {refusal}"));
        assert_eq!(after(&joined(&made), &back), before, "{old}");
    }
}

#[test]
fn old_names_and_new_ones_are_written_in_many_ways() {
    let rows = [
        ("./entries/makers/mako/xylo/", "makers/mako/zz", "mako/zz"),
        ("makers/mako/xylo/model", "entries/makers/mako/zz/model.md", "mako/zz"),
        ("xylo", "zz", "mako/zz"),
        ("mako/xylo/vega/variant", "mako/xylo/zz", ""),
        ("entries/makers/mako/xylo/vega/variant.md", "mako/xylo/zz", "mako/xylo/zz"),
        ("obsidian", "mako/xylo/vega/zz.md", "mako/xylo/vega/zz"),
        ("bestow", "mako/line:zz", "mako/line:zz"),
        ("hemline", "feature:zz", "feature:zz"),
        ("feature:hemline=rawness", "hemline=zz", "feature:hemline=zz"),
    ];
    for (old, new, expected) in rows {
        let found = planned(ALL, old, new).map(|plan| plan.new).unwrap_or_default();
        assert_eq!(found, expected, "{old} to {new}");
    }
}

#[test]
fn what_cannot_be_a_new_name_is_refused_with_the_reason() {
    let rows = [
        ("mako/xylo/vega", "Zz", "small letters"),
        ("mako/xylo/vega", "model", "means something else"),
        ("feature:hemline", "wear", "means something else"),
        ("hemline=rawness", "lost", "means something else"),
        ("mako/xylo/vega", "vega", "already"),
        ("mako/xylo/vega", "wren", "taken"),
        ("mako/line:bestow", "worsted", "taken"),
        ("feature:hemline", "loops", "taken"),
        ("hemline=rawness", "cut", "taken"),
        ("mako/xylo/vega", "mako/zither/vega", "another place"),
        ("mako/xylo/vega", "mako/zither/zz", "as in `mako/xylo/NAME`"),
        ("mako/xylo/vega", "", "small letters"),
        ("vegas", "zz", "near it: `mako/xylo/vega`"),
        ("quite-elsewhere", "zz", "nothing called"),
        ("about", "zz", "found by its name"),
        ("unplaced/gone", "zz", "is called `unplaced/stray` now"),
        ("rawness", "zz", "nothing called"),
        ("unplaced/second", "gone", "is an earlier address of `unplaced/stray`"),
    ];
    for (old, new, reason) in rows {
        let refusal = planned(ALL, old, new).map_err(|refusal| refusal.to_string()).err().unwrap_or_default();
        assert!(refusal.contains(reason), "{old} to {new}: {refusal}");
    }
    let photograph = format!("{ALL}--- entries/makers/mako/xylo/vega/Zz.md\n+++\nbasis = \"specimen\"\n+++\n");
    let refusal = planned(&photograph, "obsidian", "zz").map_err(|refusal| refusal.to_string());
    assert_eq!(
        refusal.err().as_deref(),
        Some("`mako/xylo/vega/zz` is taken, by `entries/makers/mako/xylo/vega/Zz.md`")
    );
}

#[test]
fn one_name_of_several_things_is_asked_back() {
    let text = format!("{ALL}--- entries/sources/mako.md\n+++\ncitation = \"A book\"\nkind = \"book\"\n+++\n");
    let refusal = planned(&text, "mako", "zz").map_err(|refusal| refusal.to_string());
    assert_eq!(refusal.err().as_deref(), Some("`mako` may be `makers/mako` or `sources/mako`; write the full path"));
    assert!(planned(&text, "sources/mako", "zz").is_ok());
}

#[test]
fn a_file_that_cannot_be_read_may_name_anything() {
    for broken in ["--- entries/sources/a.md\n+++\nkind =\n+++\n", "--- entries/sources/a.md (symbolic link)\n"] {
        let refusal = planned(&format!("{ALL}{broken}"), "mako/xylo", "zz").map_err(|refusal| refusal.to_string());
        assert!(refusal.err().is_some_and(|words| words.starts_with("`entries/sources/a.md` cannot be read")));
    }
    let wrong = format!("{ALL}--- entries/sources/a.md\n+++\nkind = \"rumour\"\nrepeats = [\"listing\"]\n+++\n");
    let plan = planned(&wrong, "sources/listing", "zz").unwrap_or_else(|refusal| unreachable!("{refusal}"));
    assert_eq!(plan.references["entries/sources/a.md"], 1, "a record with a mistake still has its references");
}

#[test]
fn what_would_bring_an_error_or_move_a_conclusion_is_refused() {
    let refusal = planned(ALL, "sources/listing", "own-notes").map_err(|refusal| refusal.to_string());
    let words = refusal.err().unwrap_or_default();
    assert!(
        words.starts_with("it would cause errors:\n") && words.contains("vega/obsidian.md:20: `own-notes`"),
        "{words}"
    );
    // The claim names something that is not there yet; under that name it would begin to speak of the variant.
    let claim = "[[claims]]\nevent = \"before\"\nother = \"mako/xylo/zz\"\nsources = [\"listing\"]\n";
    let dated = "[[claims]]\nevent = \"discontinued\"\nwhen = \"1960\"\nsources = [\"listing\"]\n";
    let head = "+++\nname = \"V\"\nline = \"worsted\"\nwearer = \"men\"\n";
    let text = format!(
        "{ALL}--- entries/makers/mako/xylo/aster/variant.md\n{head}{claim}+++\n\
         --- entries/makers/mako/xylo/briar/variant.md\n{head}{dated}+++\n"
    );
    let refusal = planned(&text, "mako/xylo/briar", "zz").map_err(|refusal| refusal.to_string());
    let words = refusal.err().unwrap_or_default();
    assert!(words.contains("the era of `mako/xylo/aster`"), "{words}");
    assert!(planned(&text, "mako/xylo/briar", "yy").is_ok());
}

#[test]
fn a_local_source_of_the_same_name_is_another() {
    let text = "--- entries/sources/listing.md\n+++\ncitation = \"A\"\nkind = \"book\"\n+++\n\
                --- entries/makers/m/x/v/o.md\n+++\nbasis = \"document\"\nsources = [\"listing p. 1\"]\n\
                [[source]]\nid = \"listing\"\ncitation = \"B\"\nkind = \"book\"\n+++\n";
    let plan = planned(text, "sources/listing", "zz").unwrap_or_else(|refusal| unreachable!("{refusal}"));
    assert!(plan.references.is_empty(), "{:?}", plan.references);
}

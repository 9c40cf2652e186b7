//! The marks of a drawing under the new name of a feature or state; nothing else of the drawing is read or changed.

use std::sync::LazyLock;

use regex::Regex;

use crate::difference::moved::Moves;
use crate::record::id::{FeatureId, StateId};
use crate::source::Span;
use crate::source::edit::{Edit, apply};

static TAG: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r#"<[A-Za-z](?:[^"'<>]|"[^"]*"|'[^']*')*>"#).expect("the pattern of a tag is one"));
static MARK: LazyLock<Regex> = LazyLock::new(|| {
    Regex::new(r#"\sdata-(feature|state)\s*=\s*(?:"([^"]*)"|'([^']*)')"#).expect("the pattern of a mark is one")
});

/// A value of a mark, and where it begins.
#[derive(Clone, Copy)]
struct Value<'a> {
    start: usize,
    text: &'a str,
}

/// Gives the other text of a drawing and how many marks in it changed.
pub fn renamed(moves: &Moves, text: &str) -> (String, usize) {
    let edits: Vec<Edit> = TAG.find_iter(text).flat_map(|tag| of_tag(moves, tag.start(), tag.as_str())).collect();
    let count = edits.len();
    (apply(text, edits), count)
}

fn of_tag(moves: &Moves, offset: usize, tag: &str) -> Vec<Edit> {
    let (mut features, mut states): (Vec<Value<'_>>, Vec<Value<'_>>) = (Vec::new(), Vec::new());
    for mark in MARK.captures_iter(tag) {
        let value = mark
            .get(2)
            .or_else(|| mark.get(3))
            .map(|value| Value { start: offset + value.start(), text: value.as_str() });
        if &mark[1] == "feature" { features.extend(value) } else { states.extend(value) }
    }
    let Some(feature) = features.first() else { return Vec::new() };
    let feature = FeatureId::new(feature.text);
    let state = |word: &str| moves.state(&feature, &StateId::new(word)).to_string();
    let feature_edits = features.iter().map(|value| edit(*value, |id| moves.feature(&FeatureId::new(id)).to_string()));
    let words = states.iter().flat_map(|value| words(*value)).map(|word| edit(word, state));
    feature_edits.chain(words).flatten().collect()
}

/// The words of a value: a part may be drawn for several states.
fn words(value: Value<'_>) -> impl Iterator<Item = Value<'_>> {
    let mut next = value.start;
    value.text.split(' ').map(move |word| {
        let start = next;
        next += word.len() + 1;
        Value { start, text: word }
    })
}

fn edit(word: Value<'_>, now: impl Fn(&str) -> String) -> Option<Edit> {
    let Value { start, text } = word;
    let now = now(text);
    (now != text).then(|| Edit { span: Span::new(start, start + text.len()), text: now })
}

#[cfg(test)]
mod tests {
    use super::renamed;
    use crate::difference::moved::Moves;
    use crate::record::id::{FeatureId, StateId};

    const TEXT: &str = "<svg><!-- hem --><g data-feature=\"hem\" data-state='raw felled' d=\"a>b\"/>\
                        <g data-feature='hem-tape' data-state=\"raw\"/><text>data-feature=\"hem\"</text></svg>";

    #[test]
    fn only_marks_change() {
        let (made, count) = renamed(&Moves::of_feature(FeatureId::new("hem"), FeatureId::new("edge")), TEXT);
        assert_eq!((made, count), (TEXT.replacen("\"hem\"", "\"edge\"", 1), 1));
        let state = Moves::of_state(FeatureId::new("hem"), StateId::new("felled"), StateId::new("flat-felled"));
        assert_eq!(renamed(&state, TEXT), (TEXT.replace("raw felled", "raw flat-felled"), 1));
        let other = Moves::of_state(FeatureId::new("yoke"), StateId::new("raw"), StateId::new("cut"));
        assert_eq!(renamed(&other, TEXT), (TEXT.to_string(), 0));
    }
}

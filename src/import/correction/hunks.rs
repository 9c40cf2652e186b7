//! Shows the effect of edits on a text, line by line, for people to read. Unchanged lines are left
//! out.

use crate::source::Span;
use crate::source::edit::{self, Edit};

/// The lines that go and the lines that come, each with its number before and a sign.
pub fn lines(text: &str, edits: &[Edit]) -> Vec<String> {
    let mut groups: Vec<(Span, Vec<Edit>)> = Vec::new();
    let mut sorted = edits.to_vec();
    sorted.sort_by_key(|edit| edit.span);
    for edit in sorted {
        let whole = whole_lines(text, edit.span);
        match groups.last_mut() {
            Some((last, edits)) if whole.start() < last.end() || whole == *last => {
                *last = Span::new(last.start(), last.end().max(whole.end()));
                edits.push(edit);
            }
            _ => groups.push((whole, vec![edit])),
        }
    }
    groups.iter().flat_map(|(span, edits)| hunk(text, *span, edits)).collect()
}

/// The lines that a span touches; none if it is empty at the beginning of a line.
fn whole_lines(text: &str, span: Span) -> Span {
    let start = text[..span.start()].rfind('\n').map_or(0, |newline| newline + 1);
    let is_at_start = |at: usize| at == 0 || text[..at].ends_with('\n');
    let is_whole = span.end() == text.len() || is_at_start(span.end());
    let is_nothing = span.start() == span.end() && !is_at_start(span.start());
    let end = if is_whole && !is_nothing {
        span.end()
    } else {
        text[span.end()..].find('\n').map_or(text.len(), |newline| span.end() + newline + 1)
    };
    Span::new(start, end)
}

fn hunk(text: &str, span: Span, edits: &[Edit]) -> Vec<String> {
    let before = &text[span.start()..span.end()];
    let moved = edits.iter().map(|edit| Edit {
        span: Span::new(edit.span.start() - span.start(), edit.span.end() - span.start()),
        text: edit.text.clone(),
    });
    let after = edit::apply(before, moved.collect());
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let same = old.iter().zip(&new).take_while(|(old, new)| old == new).count();
    let rest = old[same..].iter().rev().zip(new[same..].iter().rev()).take_while(|(old, new)| old == new).count();
    let first = text[..span.start()].matches('\n').count() + same + 1;
    let old = old[same..old.len() - rest].iter().zip(first..).map(|(line, number)| format!("{number:>5} - {line}"));
    let new = new[same..new.len() - rest].iter().map(|line| format!("{:>5} + {line}", ""));
    old.chain(new).collect()
}

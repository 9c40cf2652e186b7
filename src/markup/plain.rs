//! Turns Markdown into words without marks, and finds their first sentences.
//!
//! The result is text, not HTML: a page must escape it.

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use super::{dialect, source};

/// Gives the words of a bounded source, one line a block.
pub fn words(source: &str) -> String {
    let mut text = String::with_capacity(source.len());
    for event in Parser::new_ext(source, dialect()) {
        push(&mut text, &event);
    }
    text.truncate(text.trim_end().len());
    text
}

/// Gives the words of the first paragraph of a bounded source, or else its first line of words.
pub fn first_paragraph(source: &str) -> String {
    let mut text = String::new();
    let mut events = Parser::new_ext(source, dialect());
    let Some(_) = events.find(|event| matches!(event, Event::Start(Tag::Paragraph))) else {
        return words(source).lines().next().unwrap_or_default().to_owned();
    };
    for event in events.take_while(|event| !matches!(event, Event::End(TagEnd::Paragraph))) {
        push(&mut text, &event);
    }
    text.trim().to_owned()
}

/// Gives the offsets at which sentences of a paragraph end, except a last one without a full stop.
pub fn sentence_ends(paragraph: &str) -> impl Iterator<Item = usize> {
    paragraph.char_indices().filter(|(_, character)| matches!(character, '.' | '!' | '?')).filter_map(|(at, _)| {
        let after = paragraph[at + 1..].trim_start_matches(['"', '\'', ')', ']', '”', '’', '»']);
        let is_stop = after.is_empty() || after.starts_with(char::is_whitespace);
        let goes_on = after.trim_start().starts_with(char::is_lowercase);
        (is_stop && !goes_on && !is_initial(&paragraph[..at])).then_some(paragraph.len() - after.len())
    })
}

/// Gives the beginning of a paragraph in at most `limit` characters.
pub fn shortened(paragraph: &str, limit: usize) -> String {
    let Some((cut, _)) = paragraph.char_indices().nth(limit) else {
        return paragraph.to_owned();
    };
    if let Some(end) = sentence_ends(paragraph).take_while(|end| *end <= cut).last() {
        return paragraph[..end].to_owned();
    }
    let Some((room, _)) = limit.checked_sub(1).and_then(|before| paragraph.char_indices().nth(before)) else {
        return String::new();
    };
    // A cut right before a space has not broken a word.
    let is_whole = paragraph[room..].starts_with(char::is_whitespace);
    let end = if is_whole { room } else { paragraph[..room].rfind(char::is_whitespace).unwrap_or(room) };
    format!("{}…", paragraph[..end].trim_end())
}

fn is_initial(before: &str) -> bool {
    let mut characters = before.chars().rev();
    characters.next().is_some_and(char::is_alphabetic) && !characters.next().is_some_and(char::is_alphanumeric)
}

fn push(text: &mut String, event: &Event<'_>) {
    match event {
        Event::Text(part) | Event::Code(part) | Event::Html(part) | Event::InlineHtml(part) => {
            text.push_str(&source::shown(part));
        }
        Event::SoftBreak | Event::HardBreak | Event::End(TagEnd::TableCell) => text.push(' '),
        Event::End(end) if !is_within_a_line(*end) => end_line(text),
        Event::Start(Tag::List(_)) => end_line(text),
        _ => {}
    }
}

fn end_line(text: &mut String) {
    text.truncate(text.trim_end().len());
    if !text.is_empty() {
        text.push('\n');
    }
}

fn is_within_a_line(end: TagEnd) -> bool {
    matches!(end, TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link | TagEnd::Image)
}

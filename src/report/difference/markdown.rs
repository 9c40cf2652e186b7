//! A difference as Markdown for a comment or a job summary: a headline, and lists that open with a
//! click.
//!
//! Text from strangers is shown literally: it makes no markup, link, picture or mention.

use crate::diagnostic::wording;
use crate::explain;
use crate::report::difference::{Item, Section, Told, account};

/// The longest comment in characters; GitHub takes 65,536, and the end must still fit.
const LONGEST: usize = 60_000;
/// The longest single text, in characters before it is made harmless.
const LONGEST_TEXT: usize = 600;
/// Stands unseen between signs that the host would otherwise take for one.
const APART: char = '\u{200b}';
/// How many lines stand under one item.
const MOST_DETAILS: usize = 12;

/// Writes the difference, with a newline at its end.
pub fn render(told: &Told<'_>) -> String {
    within(told, LONGEST)
}

fn within(told: &Told<'_>, longest: usize) -> String {
    let account = account(told);
    let mut lines = account.headline.iter();
    let mut text = lines.next().map_or(String::new(), |first| format!("**{}**\n", escaped(first)));
    lines.for_each(|line| text.push_str(&format!("\n{}\n", escaped(line))));
    let mut left = longest.saturating_sub(text.chars().count());
    let mut hidden = 0;
    for section in &account.sections {
        let (part, rest) = folded(section, left);
        left -= part.chars().count();
        text.push_str(&part);
        hidden += rest;
    }
    if hidden > 0 {
        let more = wording::count(hidden, "more change");
        text.push_str(&format!("\n{more} did not fit here; `bartack diff --format text` lists all.\n"));
    }
    if !account.sections.is_empty() {
        text.push_str(&format!("\n<sub>{}</sub>\n", explain::CAUTION));
    }
    text
}

/// A section that opens with a click, as far as there is room, and how many of its items are left out.
fn folded(section: &Section, left: usize) -> (String, usize) {
    let all = section.items.len() + section.more;
    let head = format!("\n<details>\n<summary>{} ({all})</summary>\n\n", section.title);
    let more = match section.more {
        0 => String::new(),
        more => format!("- and {more} more; `bartack diff --format json` lists all\n"),
    };
    let end = format!("{more}\n</details>\n");
    let mut room = left.saturating_sub(head.chars().count() + end.len());
    let mut body = String::new();
    let mut shown = 0;
    for item in &section.items {
        let listed = listed(item);
        let length = listed.chars().count();
        if length > room {
            break;
        }
        room -= length;
        body.push_str(&listed);
        shown += 1;
    }
    let rest = section.items.len() - shown;
    if shown == 0 { (String::new(), rest) } else { (format!("{head}{body}{end}"), rest) }
}

fn listed(item: &Item) -> String {
    let mut text = format!("- {}\n", escaped(&item.lead));
    item.details.iter().take(MOST_DETAILS).for_each(|detail| text.push_str(&format!("  - {}\n", escaped(detail))));
    let more = item.details.len().saturating_sub(MOST_DETAILS);
    if more > 0 {
        text.push_str(&format!("  - and {more} more\n"));
    }
    text
}

/// Makes a sentence harmless. Text between backticks becomes code, which no host interprets;
/// elsewhere every sign that Markdown or the host could interpret is escaped or broken up.
fn escaped(sentence: &str) -> String {
    let plain = |character: char| if wording::is_hidden(character) { ' ' } else { character };
    let mut text: String = sentence.chars().take(LONGEST_TEXT).map(plain).collect();
    if sentence.chars().nth(LONGEST_TEXT).is_some() {
        text.push('…');
    }
    let parts: Vec<&str> = text.split('`').collect();
    let last = parts.len() - 1;
    let mut escaped = String::new();
    for (number, part) in parts.into_iter().enumerate() {
        // A backtick that nothing closes is a letter like any other.
        let is_code = number % 2 == 1 && number < last;
        match (is_code, part.trim().is_empty()) {
            (true, false) => escaped.push_str(&format!("`{part}`")),
            (true, true) => escaped.push_str("\\`\\`"),
            (false, _) if number % 2 == 1 => escaped.push_str(&format!("\\`{}", words(part))),
            (false, _) => escaped.push_str(&words(part)),
        }
    }
    escaped
}

/// Words outside of code.
fn words(text: &str) -> String {
    let lower = text.to_ascii_lowercase();
    // `https:` and `www.` would become links of their own accord.
    let has_link = lower.contains("//") || lower.contains("www.");
    let mut words = String::with_capacity(text.len());
    let mut before = ' ';
    for character in text.chars() {
        match character {
            '&' => words.push_str("&amp;"),
            '<' => words.push_str("&lt;"),
            '>' => words.push_str("&gt;"),
            // The host looks for names and numbers in what is shown, so that an escape alone does not hide them.
            '@' | '#' => words.extend(['\\', character, APART]),
            '-' if before.eq_ignore_ascii_case(&'h') => words.extend(['-', APART]),
            ':' | '.' if has_link => words.extend([APART, character]),
            '\\' | '*' | '_' | '[' | ']' | '!' | '|' | '~' | '$' | '+' | '=' => words.extend(['\\', character]),
            other => words.push(other),
        }
        before = character;
    }
    words
}

#[cfg(test)]
mod tests {
    use pulldown_cmark::{Event, Options, Parser, Tag};

    use super::{escaped, listed};
    use crate::report::difference::Item;

    /// Texts that would do something if they were let.
    const HOSTILE: [&str; 12] = [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "![picture](https://example.org/a.png)",
        "[link](javascript:alert(1))",
        "@somebody and @some/team",
        "fixes #1, GH-2 and some/place#3",
        "https://example.org www.example.org a@example.org",
        "`@somebody` ``` <b> ` @other",
        "`` </details> <!-- `",
        "one\n\n# two\n- three\r\u{2028}\u{202e}",
        "a | b\\",
        "*a* _b_ ~~c~~ $d$ &lt; &#64;x",
    ];

    /// An item as a Markdown parser reads it: its text, and whether it became anything except a
    /// list, text and code.
    fn read(markdown: &str) -> (String, bool) {
        let (mut text, mut is_plain) = (String::new(), true);
        for event in Parser::new_ext(markdown, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
            match event {
                Event::Text(part) => text.push_str(&part),
                Event::Code(part) => text.push_str(&format!("`{part}`")),
                Event::Start(Tag::List(None) | Tag::Item | Tag::Paragraph) | Event::End(_) => {}
                _ => is_plain = false,
            }
        }
        (text, is_plain)
    }

    #[test]
    fn whatever_a_stranger_wrote_stays_text() {
        for hostile in HOSTILE {
            let item = Item { lead: format!("it is the {hostile} of `a`"), details: vec![format!("so {hostile}")] };
            let (text, is_plain) = read(&listed(&item));
            assert!(is_plain, "{hostile:?}: {}", listed(&item));
            let outside: String = text.split('`').step_by(2).collect();
            for sign in ["@s", "@o", "@e", "#1", "#3", "GH-2", "https:", "www."] {
                assert!(!outside.contains(sign), "{hostile:?}: {text}");
            }
            let kept: String = text.chars().filter(char::is_ascii_alphanumeric).collect();
            let given = format!("it is the {hostile} of `a`so {hostile}");
            assert_eq!(kept, given.chars().filter(char::is_ascii_alphanumeric).collect::<String>(), "nothing is lost");
        }
    }

    #[test]
    fn long_texts_are_cut() {
        let long = escaped(&"x".repeat(5_000));
        assert!(long.ends_with('…') && long.chars().count() < 700);
    }
}

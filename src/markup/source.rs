//! Prepares Markdown so that it is parsed in linear time: LF line ends, no control characters, bounded nesting.
//!
//! It does not understand code blocks: a line of code that begins with more than 64 list or quote marks gains a backslash.

/// Marks of lists, quotes and notes that one line may begin with; the next one is shown as text.
const MARKS: usize = 64;
/// Spaces that the beginning of one line may hold; more are dropped.
const BLANKS: usize = 256;

/// Gives the text with line ends as LF, without control characters, and with each line's nesting bounded.
///
/// Why: pulldown-cmark 0.13 compares every line with every open list and quote, which took 8 s for 64 KiB of `- `
/// followed by 64 KiB of one-letter lines.
pub fn bounded(markdown: &str) -> String {
    let mut bounded = String::with_capacity(markdown.len() + 16);
    let text: String = markdown.replace("\r\n", "\n").replace('\r', "\n");
    for line in text.split_inclusive('\n') {
        let line: String = line.chars().filter(|character| is_shown(*character)).collect();
        push_line(&mut bounded, &line);
    }
    bounded
}

/// Gives the text without characters that show nothing or reorder what others wrote around them.
pub fn shown(text: &str) -> String {
    text.chars().filter(|character| is_shown(*character)).collect()
}

/// Says whether a character may reach a page: no control, no noncharacter, no override of direction.
pub fn is_shown(character: char) -> bool {
    match character {
        '\n' | '\t' => true,
        '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FDD0}'..='\u{FDEF}' => false,
        other => !other.is_control() && (u32::from(other) & 0xFFFE) != 0xFFFE,
    }
}

fn push_line(bounded: &mut String, line: &str) {
    let (mut rest, mut marks, mut blanks) = (line, 0, 0);
    loop {
        if let Some(after) = rest.strip_prefix([' ', '\t']) {
            blanks += 1;
            if blanks <= BLANKS {
                bounded.push_str(&rest[..1]);
            }
            rest = after;
        } else if let Some(length) = mark_length(rest) {
            marks += 1;
            if marks > MARKS {
                // A backslash disarms the last character of a list mark, or the first of any other.
                let disarmed = if rest.starts_with('[') { 0 } else { length - 1 };
                bounded.push_str(&rest[..disarmed]);
                bounded.push('\\');
                bounded.push_str(&rest[disarmed..]);
                return;
            }
            bounded.push_str(&rest[..length]);
            rest = &rest[length..];
        } else {
            bounded.push_str(rest);
            return;
        }
    }
}

fn mark_length(rest: &str) -> Option<usize> {
    let is_end = |at: usize| rest[at..].is_empty() || rest[at..].starts_with([' ', '\t', '\n']);
    match rest.as_bytes().first()? {
        b'>' => Some(1),
        b'-' | b'*' | b'+' if is_end(1) => Some(1),
        b'0'..=b'9' => {
            let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
            let has_point = matches!(rest.as_bytes().get(digits), Some(b'.' | b')'));
            (digits <= 9 && has_point && is_end(digits + 1)).then_some(digits + 1)
        }
        b'[' if rest.starts_with("[^") => {
            let label = rest[2..].find([']', '[', '\n', ' '])?;
            rest[2 + label..].starts_with("]:").then_some(label + 4)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::bounded;

    #[test]
    fn ordinary_text_stays_as_it_is() {
        for text in ["a\n\n- b\n  1. c\n\n> d\n", "[^1]: note", "    code\n", "2024 was\n3.5 cm", "é\n"] {
            assert_eq!(bounded(text), text);
        }
    }

    #[test]
    fn line_ends_become_one_kind_and_controls_vanish() {
        assert_eq!(bounded("a\r\nb\rc\0\u{7}\u{85}\u{202E}\u{FFFF}d"), "a\nb\ncd");
    }

    #[test]
    fn the_mark_past_the_bound_is_disarmed() {
        for (mark, disarmed) in [("> ", "\\> "), ("- ", "\\- "), ("12) ", "12\\) "), ("[^a]: ", "\\[^a]: ")] {
            assert_eq!(bounded(&(mark.repeat(64) + "x")), mark.repeat(64) + "x");
            assert_eq!(bounded(&(mark.repeat(66) + "x")), mark.repeat(64) + disarmed + mark + "x");
        }
    }

    #[test]
    fn blanks_past_the_bound_are_dropped() {
        assert_eq!(bounded(&(" ".repeat(300) + "x")), " ".repeat(256) + "x");
    }
}

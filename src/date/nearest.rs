//! Repairs a text that is nearly in the notation; reads no words.

/// Repairs what is nearly in the notation: spaces, small letters, marks, brackets, and words of its older draft.
pub(super) fn notation(plain: &str) -> Option<String> {
    if ["unknown", "undated", "no date", "n.d"].contains(&plain) {
        return Some("XXXX".to_owned());
    }
    // A mark after the date is the usual place for it.
    let mut text = if plain.contains("~ ") { return None } else { plain.replace(' ', "") };
    text = text.replace('{', "[").replace('}', "]");
    for (old, new) in [("open", ".."), ("unknown", ""), ("?~", "%"), ("~?", "%"), ("??", "?"), ("~~", "~")] {
        text = text.replace(old, new);
    }
    let text: String = text.chars().map(|character| if "xu".contains(character) { 'X' } else { character }).collect();
    let dates = text.split_inclusive(['/', '[', ']', ',']).map(|date| {
        let bare = date.trim_end_matches(['/', '[', ']', ',']);
        format!("{}{}", with_one_mark_a_part(bare), &date[bare.len()..])
    });
    Some(dates.collect())
}

/// Rewrites a date so that no part has marks on both sides: `1953-~07?` says of the year what `1953?-%07` says.
///
/// A mark after a part is also about all parts before it, so it moves to the part before.
fn with_one_mark_a_part(date: &str) -> String {
    let is_mark = |character| matches!(character, '?' | '~' | '%');
    let mut moved = String::new();
    let mut parts: Vec<String> = Vec::new();
    for (place, part) in date.split('-').enumerate().collect::<Vec<_>>().into_iter().rev() {
        let rest = part.trim_start_matches(is_mark);
        let bare = rest.trim_end_matches(is_mark);
        let before = &part[..part.len() - rest.len()];
        let after = format!("{}{moved}", &rest[bare.len()..]);
        moved.clear();
        parts.push(match (before.is_empty() || after.is_empty(), place) {
            (true, _) => format!("{}{bare}{}", one_mark(before), one_mark(&after)),
            (false, 0) => format!("{bare}{}", one_mark(&format!("{before}{after}"))),
            (false, _) => {
                let both = one_mark(&format!("{before}{after}"));
                moved = after;
                format!("{both}{bare}")
            }
        });
    }
    parts.reverse();
    parts.join("-")
}

/// The one mark that says what several say.
fn one_mark(marks: &str) -> &'static str {
    let (is_approximate, is_uncertain) = (marks.contains(['~', '%']), marks.contains(['?', '%']));
    match (is_approximate, is_uncertain) {
        (false, false) => "",
        (true, false) => "~",
        (false, true) => "?",
        (true, true) => "%",
    }
}

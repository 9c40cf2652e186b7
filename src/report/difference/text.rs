//! A difference as text for people: every conclusion that changed in full, and the first of what is new.

use crate::diagnostic::wording;
use crate::explain;
use crate::report::difference::{Told, account};

/// Writes the difference, with a newline at its end.
pub fn render(told: &Told<'_>) -> String {
    let account = account(told);
    let mut text = account.headline.iter().map(|line| format!("{}\n", shown(line))).collect::<String>();
    for section in &account.sections {
        text.push_str(&format!("\n{}\n\n", section.title));
        for item in &section.items {
            text.push_str(&format!("  {}\n", shown(&item.lead)));
            item.details.iter().for_each(|detail| text.push_str(&format!("      {}\n", shown(detail))));
        }
        if section.more > 0 {
            text.push_str(&format!("  and {} more; `--format json` lists all\n", section.more));
        }
    }
    if !account.sections.is_empty() {
        text.push_str(&format!("\n{}\n", explain::CAUTION));
    }
    text
}

/// A text without anything that a terminal would obey.
fn shown(text: &str) -> String {
    text.chars().map(|character| if wording::is_hidden(character) { ' ' } else { character }).collect()
}

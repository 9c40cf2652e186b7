//! One reading of a feature in one cell: `brass !altered | looks replaced`.
//!
//! Which values a feature allows is not asked here, only what is written: `value`, then ` !altered` and ` !unsure`
//! where they hold, then ` | ` and the note. `other: ` begins words that the vocabulary does not have. In words and
//! codes `\`, `|` and `!` have a `\` before them.

/// A reading as a cell says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marked {
    pub value: Written,
    /// The part was replaced or changed.
    pub altered: bool,
    /// The reading is doubtful.
    pub unsure: bool,
    /// Anything else to say.
    pub note: Option<String>,
}

/// A value as a cell says it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// A state, a number, a code, `absent` or `lost`.
    Value(String),
    /// Words for what the vocabulary has no state for.
    Other(String),
}

const OTHER: &str = "other: ";
const ALTERED: &str = " !altered";
const UNSURE: &str = " !unsure";
const NOTE: &str = " | ";

/// Writes a reading as a cell.
///
/// ```
/// use bartack::sheet::notation::{Marked, Written, read, write};
/// let reading = Marked {
///     value: Written::Value("brass".into()),
///     altered: true,
///     unsure: false,
///     note: Some("looks replaced".into()),
/// };
/// assert_eq!(write(&reading), "brass !altered | looks replaced");
/// assert_eq!(read("brass !altered | looks replaced"), reading);
/// ```
pub fn write(reading: &Marked) -> String {
    let mut cell = match &reading.value {
        // A code that looks like the words of an `other` would be read as one.
        Written::Value(value) if value.starts_with(OTHER) => escaped(value).replacen(':', "\\:", 1),
        Written::Value(value) => escaped(value),
        Written::Other(words) => format!("{OTHER}{}", escaped(words)),
    };
    for (holds, mark) in [(reading.altered, ALTERED), (reading.unsure, UNSURE)] {
        cell.push_str(if holds { mark } else { "" });
    }
    if let Some(note) = &reading.note {
        cell.push_str(NOTE);
        cell.push_str(note);
    }
    cell
}

/// Reads a cell back; the marks may stand in any order.
pub fn read(cell: &str) -> Marked {
    let (mut rest, note) = match cell.find(NOTE) {
        Some(bar) => (&cell[..bar], Some(cell[bar + NOTE.len()..].to_string())),
        None => (cell, None),
    };
    let (mut altered, mut unsure) = (false, false);
    loop {
        if let Some(before) = rest.strip_suffix(ALTERED) {
            (rest, altered) = (before, true);
        } else if let Some(before) = rest.strip_suffix(UNSURE) {
            (rest, unsure) = (before, true);
        } else {
            break;
        }
    }
    let value = match rest.strip_prefix(OTHER) {
        Some(words) => Written::Other(unescaped(words)),
        None => Written::Value(unescaped(rest)),
    };
    Marked { value, altered, unsure, note }
}

fn escaped(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for character in text.chars() {
        if matches!(character, '\\' | '|' | '!') {
            written.push('\\');
        }
        written.push(character);
    }
    written
}

fn unescaped(text: &str) -> String {
    let mut read = String::with_capacity(text.len());
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        read.push(if character == '\\' { characters.next().unwrap_or('\\') } else { character });
    }
    read
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert_eq, proptest};

    use super::{Marked, Written, read, write};

    #[test]
    fn marks_and_notes_are_told_from_the_value() {
        let other = Marked {
            value: Written::Other("seven rows, in pairs".into()),
            altered: false,
            unsure: true,
            note: Some("left | right".into()),
        };
        assert_eq!(write(&other), "other: seven rows, in pairs !unsure | left | right");
        assert_eq!(read(&write(&other)), other);
    }

    #[test]
    fn marks_may_stand_in_any_order() {
        let reading = read("5 !unsure !altered");
        assert_eq!((reading.value, reading.altered, reading.unsure), (Written::Value("5".into()), true, true));
    }

    proptest! {
        #[test]
        fn every_reading_comes_back(
            text in r"[ -~é]{0,12}", prefix in "(other: |)", is_other in any::<bool>(),
            altered in any::<bool>(), unsure in any::<bool>(), note in proptest::option::of(any::<String>()),
        ) {
            let text = format!("{prefix}{text}");
            let value = if is_other { Written::Other(text) } else { Written::Value(text) };
            let reading = Marked { value, altered, unsure, note };
            prop_assert_eq!(read(&write(&reading)), reading);
        }
    }
}

//! Codes that tell a date: the forms of a key, and every date that a code can mean.
//!
//! Knows nothing of garments, makers and sources. There are no regular expressions: each part of a form takes a fixed
//! number of characters. So a code is read in one pass, and a reader in any language can do the same.

pub mod calendar;
pub mod form;

use std::collections::{BTreeMap, BTreeSet};

use crate::code::calendar::{CodeDate, Facts, Window};
use crate::code::form::Folded;

/// What a part of a code stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Meaning {
    /// The year in four figures.
    Year,
    /// The last two figures of the year.
    YearOfCentury,
    /// The last figure of the year.
    YearOfDecade,
    /// The month, 1 to 12.
    Month,
    /// The quarter of the year, 1 to 4.
    Quarter,
    /// The week of ISO 8601, 1 to 53.
    Week,
    /// The day of the month.
    Day,
    /// The factory.
    Factory,
    /// A number that tells no date.
    Serial,
}

impl Meaning {
    /// Every meaning with its word in a key.
    pub const ALL: [(Meaning, &'static str); 9] = [
        (Meaning::Year, "year"),
        (Meaning::YearOfCentury, "year-of-century"),
        (Meaning::YearOfDecade, "year-of-decade"),
        (Meaning::Month, "month"),
        (Meaning::Quarter, "quarter"),
        (Meaning::Week, "week"),
        (Meaning::Day, "day"),
        (Meaning::Factory, "factory"),
        (Meaning::Serial, "serial"),
    ];

    /// The word of a key.
    pub fn word(self) -> &'static str {
        Meaning::ALL.iter().find(|(meaning, _)| *meaning == self).map_or("", |(_, word)| word)
    }

    /// The least and the greatest number it can stand for; `None` if it stands for no number.
    pub fn limits(self) -> Option<(u32, u32)> {
        match self {
            Meaning::Year => Some((1, 9999)),
            Meaning::YearOfCentury => Some((0, 99)),
            Meaning::YearOfDecade => Some((0, 9)),
            Meaning::Month => Some((1, 12)),
            Meaning::Quarter => Some((1, 4)),
            Meaning::Week => Some((1, 53)),
            Meaning::Day => Some((1, 31)),
            Meaning::Factory | Meaning::Serial => None,
        }
    }

    /// Says whether it tells the year.
    pub fn is_year(self) -> bool {
        matches!(self, Meaning::Year | Meaning::YearOfCentury | Meaning::YearOfDecade)
    }
}

/// Which characters a part takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Alphabet {
    /// The figures 0 to 9.
    Digits,
    /// The letters A to Z, small or capital.
    Letters,
}

impl Alphabet {
    /// Says whether it holds a character that has been folded to a capital.
    pub fn holds(self, character: char) -> bool {
        match self {
            Alphabet::Digits => character.is_ascii_digit(),
            Alphabet::Letters => character.is_ascii_uppercase(),
        }
    }
}

/// What a row of a table maps its text to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PartValue {
    /// A number: a year, a month.
    Number(u32),
    /// A name: a factory.
    Name(String),
}

/// A part of a form that is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    /// Which characters it takes.
    pub alphabet: Alphabet,
    /// How many.
    pub width: usize,
    /// What they stand for.
    pub meaning: Meaning,
    /// What each text stands for, letters as capitals; without it figures stand for themselves.
    pub table: Option<BTreeMap<String, PartValue>>,
}

/// A part of a form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// Characters that must stand there.
    Text(String),
    /// Characters that are read.
    Field(Field),
}

/// One form that codes of a key can have: its parts in the order of the code.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Form {
    /// The parts.
    pub parts: Vec<Part>,
}

/// The forms of a key, and the days in which codes of them were used.
///
/// ```
/// use bartack::code::{Alphabet, Field, Form, Meaning, Notation, Part};
/// use bartack::code::calendar::Window;
/// let figures = |width, meaning| Part::Field(Field { alphabet: Alphabet::Digits, width, meaning, table: None });
/// let form = Form { parts: vec![figures(2, Meaning::Month), figures(1, Meaning::YearOfDecade)] };
/// let years = |first, last| Window::new(bartack::date::Day::from_ymd(first, 1, 1), bartack::date::Day::from_ymd(last, 12, 31));
/// let key = Notation { forms: vec![form], window: years(1965, 1984) };
/// assert_eq!(key.read("04-8").unwrap().edtf(), "[1968-04,1978-04]");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notation {
    /// The forms.
    pub forms: Vec<Form>,
    /// When codes of these forms were used.
    pub window: Window,
}

/// A part of a code as a form read it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FigureRead {
    /// The characters, letters as capitals.
    pub text: String,
    /// What they stand for; `None` for a fixed text.
    pub meaning: Option<Meaning>,
    /// The number or name they stand for; `None` for a serial number.
    pub value: Option<PartValue>,
}

/// A form that took the whole code, with what it made of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormRead {
    /// The form's number, from 0.
    pub form: usize,
    /// The parts of the code, in order.
    pub figures: Vec<FigureRead>,
    /// The dates within the key's years, in order; may be empty.
    pub dates: Vec<CodeDate>,
}

/// Every date that a code can mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CodeReading {
    /// The days, weeks, months, quarters or years, in order; never empty.
    pub dates: Vec<CodeDate>,
    /// The factories that the forms name, in order.
    pub factories: BTreeSet<String>,
    /// The forms that read it.
    pub forms: Vec<FormRead>,
}

/// Why a key reads nothing from a code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unread {
    /// No form takes the code.
    NoForm,
    /// Forms take it, but what they read lies outside the years of the key.
    OutsideYears(Vec<FormRead>),
}

impl Notation {
    /// Reads every date that a code can mean, or says why there is none.
    pub fn read(&self, code: &str) -> Result<CodeReading, Unread> {
        self.read_folded(&mut Folded::new(code))
    }

    /// Reads a code that is also compared with other keys.
    pub fn read_folded(&self, folded: &mut Folded<'_>) -> Result<CodeReading, Unread> {
        let forms = self.forms.iter().enumerate();
        let taken: Vec<FormRead> = forms.filter_map(|(form, parts)| self.form_read(form, parts, folded)).collect();
        if taken.is_empty() {
            return Err(Unread::NoForm);
        }
        let (read, outside): (Vec<FormRead>, Vec<FormRead>) =
            taken.into_iter().partition(|form| !form.dates.is_empty());
        if read.is_empty() {
            return Err(Unread::OutsideYears(outside));
        }
        let dates: BTreeSet<CodeDate> = read.iter().flat_map(|form| form.dates.iter().copied()).collect();
        let factories = read.iter().filter_map(|form| factory(&form.figures)).map(str::to_string).collect();
        Ok(CodeReading { dates: dates.into_iter().collect(), factories, forms: read })
    }

    fn form_read(&self, form: usize, parts: &Form, folded: &mut Folded<'_>) -> Option<FormRead> {
        let figures = form::figures(parts, folded)?;
        let numbers = figures.iter().filter_map(|figure| match (figure.meaning?, figure.value.as_ref()?) {
            (meaning, PartValue::Number(number)) => Some((meaning, *number)),
            _ => None,
        });
        let dates = Facts::new(numbers).dates(self.window)?;
        Some(FormRead { form, figures, dates })
    }
}

fn factory(figures: &[FigureRead]) -> Option<&str> {
    let named = figures.iter().find(|figure| figure.meaning == Some(Meaning::Factory))?;
    match named.value.as_ref()? {
        PartValue::Name(name) => Some(name),
        PartValue::Number(_) => None,
    }
}

impl CodeReading {
    /// The factory, if the forms name one and the same.
    pub fn factory(&self) -> Option<&str> {
        self.factories.first().filter(|_| self.factories.len() == 1).map(String::as_str)
    }

    /// The dates as one EDTF string: a date, an interval, or one of a set.
    pub fn edtf(&self) -> String {
        calendar::edtf(&self.dates)
    }

    /// The years that hold a day of what is read, in order.
    pub fn years(&self) -> BTreeSet<i32> {
        self.dates.iter().flat_map(|date| date.first.year()..=date.last.year()).collect()
    }

    /// Says whether two readings of a code mean the same: the same days, and no two factories.
    pub fn agrees_with(&self, other: &CodeReading) -> bool {
        let are_factories_alike =
            self.factories.is_empty() || other.factories.is_empty() || self.factories == other.factories;
        calendar::joined(&self.dates) == calendar::joined(&other.dates) && are_factories_alike
    }
}

#[cfg(test)]
mod tests;

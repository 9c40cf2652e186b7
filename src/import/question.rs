//! Gathers complaints about rows into questions whose answers hold for the whole sheet.
//!
//! It only asks; `mapping` stores the answers.

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::import::{Origin, Trouble};
use crate::record::id::FeatureId;

/// How many rows and cells of a question are named.
const NAMED: usize = 12;

/// Which answer is missing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Asked {
    /// In which century garments were made.
    Century,
    /// In which century somebody looked.
    ObservedCentury,
    /// Whether the day comes before the month.
    Order,
    /// From which day numbers of days count.
    Epoch,
    /// In which unit the numbers of a feature are.
    Unit(FeatureId),
    /// The meaning of the words of a key, such as a misspelt maker.
    Value(&'static str, String),
    /// The meaning of the words for a feature.
    State(FeatureId, String),
    /// The meaning of the words for a date.
    Date(String),
}

/// The question of a complaint.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Query {
    /// The answer that is missing.
    pub asked: Asked,
    /// The words of the cell.
    pub words: String,
    /// The answers that are spelt alike or likely.
    pub near: Vec<String>,
}

/// Complaints that one answer settles, or that say the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The answer that is missing; none where only the cell can be corrected.
    pub asked: Option<Asked>,
    /// The headings, keys or lines it is about.
    pub about: Vec<String>,
    /// Where the cells stand, in order.
    pub origins: Vec<Origin>,
    /// The answers that are spelt alike or likely.
    pub near: Vec<String>,
    /// The mistake, and the correct form.
    pub message: String,
    /// The words of the cells, each once.
    pub words: Vec<String>,
}

/// Gathers complaints into questions, those with an answer first, each by its first row.
pub fn gathered(troubles: &[Trouble]) -> Vec<Question> {
    let mut questions: Vec<Question> = Vec::new();
    let mut places = BTreeMap::new();
    for trouble in troubles {
        let asked = trouble.query.as_ref().map(|query| &query.asked);
        let alone = asked.is_none().then_some((&trouble.about, &trouble.message));
        let at = *places.entry((asked, alone)).or_insert(questions.len());
        if at == questions.len() {
            questions.push(Question {
                asked: asked.cloned(),
                about: Vec::new(),
                origins: Vec::new(),
                near: Vec::new(),
                message: trouble.message.clone(),
                words: Vec::new(),
            });
        }
        questions[at].add(trouble);
    }
    questions.iter_mut().for_each(Question::settle);
    questions.sort_by_key(|question| question.asked.is_none());
    questions
}

impl Question {
    fn add(&mut self, trouble: &Trouble) {
        if self.origins.last() != Some(&trouble.origin) {
            self.origins.push(trouble.origin.clone());
        }
        self.about
            .extend(trouble.about.iter().filter(|about| !self.about.contains(about)).cloned().collect::<Vec<_>>());
        let Some(query) = &trouble.query else { return };
        for near in &query.near {
            if !self.near.contains(near) {
                self.near.push(near.clone());
            }
        }
        if !self.words.contains(&query.words) {
            self.words.push(query.words.clone());
        }
    }

    /// Says of several different cells what they have in common.
    fn settle(&mut self) {
        if self.words.len() < 2 {
            return;
        }
        let cells = listed(&self.words.iter().map(|words| wording::quote(words)).collect::<Vec<String>>());
        let says = match &self.asked {
            Some(Asked::Century) => "which century is meant? Say it for the whole sheet with `century = 1900`",
            Some(Asked::ObservedCentury) => {
                "which century is meant? Say it for the whole sheet with `observed-century = 2000`"
            }
            Some(Asked::Order) => {
                "the day or the month may come first. Say which for the whole sheet with `day-first = true` or `false`"
            }
            Some(Asked::Epoch) => {
                "these look like numbers of days. Say for the whole sheet what they count from, with `day-numbers = 1900` or \
                 `1904`"
            }
            Some(Asked::Unit(_)) => {
                "these fit another unit. If the whole column uses it, say so under `[columns]`; otherwise under `[states]` or in the cells"
            }
            _ => return,
        };
        self.message = format!("{cells}: {says}");
    }

    /// Its rows, or the names of its files: `rows 3, 7 and 12`.
    pub fn places(&self) -> String {
        let rows: Option<Vec<String>> = self
            .origins
            .iter()
            .map(|origin| match origin {
                Origin::Row(number) => Some(number.to_string()),
                Origin::File(_) | Origin::Entry(_) => None,
            })
            .collect();
        match rows {
            Some(rows) if rows.len() == 1 => format!("row {}", rows[0]),
            Some(rows) => format!("rows {}", listed(&rows)),
            None => listed(&self.origins.iter().map(Origin::to_string).collect::<Vec<String>>()),
        }
    }
}

/// A list in words; a long one names only its first items.
fn listed(items: &[String]) -> String {
    match items.len().saturating_sub(NAMED) {
        0 => wording::join(items, "and"),
        more => format!("{} and {more} more", items[..NAMED].join(", ")),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Asked, Query, gathered};
    use crate::import::{Origin, Trouble};

    fn trouble(row: usize, message: &str, asked: Option<(Asked, &str)>) -> Trouble {
        let mut trouble = Trouble::new(Origin::Row(row), Some("Year".into()), message.into());
        trouble.query =
            asked.map(|(asked, words)| Query { asked, words: words.into(), near: vec![words.to_uppercase()] });
        trouble
    }

    #[test]
    fn complaints_with_one_answer_are_one_question() {
        let maker = |words: &str| Some((Asked::Value("maker", words.into()), "b"));
        let troubles = [
            trouble(2, "wrong", None),
            trouble(3, "`77`: when?", Some((Asked::Century, "77"))),
            trouble(4, "no maker", maker("b")),
            trouble(5, "no maker", maker("b")),
            trouble(5, "`78`: when?", Some((Asked::Century, "78"))),
            trouble(6, "wrong", None),
            trouble(7, "other", maker("c")),
        ];
        let questions = gathered(&troubles);
        let told: Vec<String> =
            questions.iter().map(|question| format!("{}: {}", question.places(), question.message)).collect();
        assert_eq!(
            told[0],
            "rows 3 and 5: `77` and `78`: which century is meant? Say it for the whole sheet with `century = 1900`"
        );
        assert_eq!(told[1..], ["rows 4 and 5: no maker", "row 7: other", "rows 2 and 6: wrong"]);
        assert_eq!(questions[1].near, ["B"]);
        let many: Vec<_> = (2..20).map(|row| trouble(row, "wrong", None)).collect();
        assert_eq!(gathered(&many)[0].places(), "rows 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13 and 6 more");
    }
}

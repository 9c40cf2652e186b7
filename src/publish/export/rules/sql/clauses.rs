//! Turns a landmark's condition into clauses, one of which must be met in all its parts: a join and a count can test
//! that.

use crate::record::id::FeatureId;
use crate::record::landmark::Condition;
use crate::vocabulary::{Kind, Vocabulary};

/// The most clauses of a condition: with more, its table would outgrow all others.
pub const MOST: usize = 1000;

/// One thing that a garment must show: a state, or a number within bounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Part<'a> {
    pub feature: &'a FeatureId,
    pub state: Option<&'a str>,
    /// The least number that fits.
    pub low: Option<f64>,
    /// The greatest.
    pub high: Option<f64>,
}

/// The clauses of a condition; `None` if there are too many.
pub fn of<'a>(vocabulary: &Vocabulary, condition: &'a Condition) -> Option<Vec<Vec<Part<'a>>>> {
    match condition {
        Condition::State { feature, state } => Some(vec![vec![state_part(vocabulary, feature, state.as_str())]]),
        Condition::Range { feature, from, to } => {
            Some(vec![vec![Part { feature, state: None, low: *from, high: *to }]])
        }
        Condition::Any(parts) => {
            let clauses: Option<Vec<_>> = parts.iter().map(|part| of(vocabulary, part)).collect();
            clauses.map(|clauses| clauses.concat()).filter(|clauses| clauses.len() <= MOST)
        }
        Condition::All(parts) => {
            parts.iter().try_fold(vec![Vec::new()], |clauses, part| both(&clauses, &of(vocabulary, part)?))
        }
    }
}

/// A number is met by the same number, however it is written.
fn state_part<'a>(vocabulary: &Vocabulary, feature: &'a FeatureId, state: &'a str) -> Part<'a> {
    let kind = vocabulary.feature(feature.as_str()).map(|feature| &feature.kind);
    let is_numeric = matches!(kind, Some(Kind::Number | Kind::Measure(_)));
    let number = state.parse().ok().filter(|number: &f64| is_numeric && number.is_finite());
    Part { feature, state: Some(state).filter(|_| number.is_none()), low: number, high: number }
}

/// Every clause of one condition with every clause of another; a part that both name is named once.
fn both<'a>(one: &[Vec<Part<'a>>], other: &[Vec<Part<'a>>]) -> Option<Vec<Vec<Part<'a>>>> {
    let joined = |first: &Vec<Part<'a>>, second: &Vec<Part<'a>>| {
        let mut clause = first.clone();
        clause.extend(second.iter().filter(|part| !first.contains(part)).cloned());
        clause
    };
    let is_few = one.len().saturating_mul(other.len()) <= MOST;
    is_few.then(|| one.iter().flat_map(|first| other.iter().map(move |second| joined(first, second))).collect())
}

#[cfg(test)]
mod tests {
    use super::{Part, of};
    use crate::record::id::{FeatureId, StateId};
    use crate::record::landmark::Condition;
    use crate::vocabulary::Vocabulary;

    fn state(feature: &str) -> Condition {
        Condition::State { feature: FeatureId::new(feature), state: StateId::new("yes") }
    }

    fn features(clauses: &[Vec<Part<'_>>]) -> Vec<String> {
        let names =
            |clause: &Vec<Part<'_>>| clause.iter().map(|part| part.feature.as_str()).collect::<Vec<_>>().join(" ");
        clauses.iter().map(names).collect()
    }

    #[test]
    fn alternatives_within_all_are_multiplied_out() {
        let any = Condition::Any(vec![state("a"), state("b")]);
        let condition = Condition::All(vec![any, state("c"), state("a")]);
        let clauses = of(&Vocabulary::default(), &condition);
        assert_eq!(features(&clauses.unwrap_or_default()), ["a c", "b c a"]);
    }

    #[test]
    fn condition_with_too_many_ways_to_be_met_has_no_clauses() {
        let any = Condition::Any((0..10).map(|at| state(&format!("f{at}"))).collect());
        let cube = Condition::All(vec![any.clone(), any.clone(), any.clone()]);
        assert_eq!(of(&Vocabulary::default(), &cube).map(|clauses| clauses.len()), Some(1000));
        let more = Condition::All(vec![any.clone(), any.clone(), any.clone(), Condition::Any(vec![any, state("x")])]);
        assert_eq!(of(&Vocabulary::default(), &more), None);
    }
}

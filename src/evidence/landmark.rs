//! Which landmarks apply to a garment, and the days they leave it.
//!
//! How a soft landmark weighs the years is computed in `dating`.

use std::collections::BTreeMap;

use crate::date::Day;
use crate::date::edtf::CircaYears;
use crate::record::Content;
use crate::record::id::FeatureId;
use crate::record::landmark::{Condition, Force, Landmark};
use crate::record::observation::Value;
use crate::resolve::{Catalog, RecordIndex};

/// A garment's readings: one agreed value for each feature.
pub type Values = BTreeMap<FeatureId, Value>;

/// The landmarks that bound a garment for certain: hard ones for its market whose condition it meets.
pub fn hard(catalog: &Catalog, values: &Values, market: Option<&str>) -> Vec<RecordIndex> {
    let speaks = |landmark: &Landmark| {
        matches!(landmark.force, Force::Hard { .. })
            && landmark.market().is_none_or(|named| market == Some(named))
            && is_met(&landmark.when.value, values)
    };
    let all = catalog.landmarks.values().copied();
    all.filter(|index| of(catalog, *index).is_some_and(speaks)).collect()
}

/// The landmark of a record.
pub fn of(catalog: &Catalog, index: RecordIndex) -> Option<&Landmark> {
    match &catalog.record(index).content {
        Content::Landmark(landmark) => Some(landmark),
        _ => None,
    }
}

/// The first day a bearer can have been made.
pub fn not_before(landmark: &Landmark, circa: CircaYears) -> Option<Day> {
    landmark.not_before.as_ref()?.value.span(circa).first()
}

/// The last day a bearer can have been made, years of stock included.
pub fn not_after(landmark: &Landmark, circa: CircaYears) -> Option<Day> {
    let last = landmark.not_after.as_ref()?.value.span(circa).last()?;
    Some(last.plus_years(i32::try_from(landmark.stock_years).unwrap_or(0)))
}

/// Says whether a garment with these values meets a condition.
pub fn is_met(condition: &Condition, values: &Values) -> bool {
    match condition {
        Condition::State { feature, state } => {
            values.get(feature).is_some_and(|value| has_state(value, state.as_str()))
        }
        Condition::Range { feature, from, to } => values
            .get(feature)
            .and_then(number)
            .is_some_and(|number| from.is_none_or(|from| from <= number) && to.is_none_or(|to| number <= to)),
        Condition::Any(parts) => parts.iter().any(|part| is_met(part, values)),
        Condition::All(parts) => parts.iter().all(|part| is_met(part, values)),
    }
}

fn has_state(value: &Value, state: &str) -> bool {
    match value {
        Value::State(found) => found.as_str() == state,
        Value::Code(found) => found == state,
        Value::Absent => state == "absent",
        Value::Lost => state == "lost",
        Value::Count(count) => count.to_string() == state,
        Value::Number(number) | Value::Measure(number) => state.parse() == Ok(*number),
        Value::Other(_) => false,
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Count(count) => Some(f64::from(*count)),
        Value::Number(number) | Value::Measure(number) => Some(*number),
        Value::Code(code) => code.trim().parse().ok().filter(|number: &f64| number.is_finite()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Values, is_met};
    use crate::record::id::{FeatureId, StateId};
    use crate::record::landmark::Condition;
    use crate::record::observation::Value;

    #[test]
    fn ranges_hold_their_ends() {
        let feature = FeatureId::new("register-number");
        let range = Condition::Range { feature: feature.clone(), from: Some(10.0), to: Some(20.0) };
        let with = |code: &str| Values::from([(feature.clone(), Value::Code(code.into()))]);
        assert!(is_met(&range, &with("10")) && is_met(&range, &with("20")));
        assert!(!is_met(&range, &with("21")) && !is_met(&range, &with("x")));
    }

    #[test]
    fn any_and_all_look_inside() {
        let state = |text: &str| Condition::State { feature: FeatureId::new("origin"), state: StateId::new(text) };
        let values = Values::from([(FeatureId::new("origin"), Value::State(StateId::new("old-name")))]);
        assert!(is_met(&Condition::Any(vec![state("other"), state("old-name")]), &values));
        assert!(!is_met(&Condition::All(vec![state("other"), state("old-name")]), &values));
    }
}

//! The rules as `garment.html` carries them: for measures the readings that their centres and spreads are made of, which
//! take a tenth of the room.
//!
//! The page expands them to `rules.json`, digit for digit (`site/assets/expanding.js`). A number that the page could
//! not reproduce digit for digit, because of rounding, is carried as it is.

use std::sync::Arc;

use serde_json::{Number, Value, json};

use crate::dating::likelihood::ModelTables;
use crate::dating::likelihood::measure::{MeasureReading, MeasureTable};
use crate::dating::likelihood::years::Years;
use crate::publish::export::rules::cells::{digits, number};
use crate::record::id::VariantId;

/// Readings that count alike in every year.
struct Group {
    /// The place of what they count, in the model's list.
    near: usize,
    garments: u32,
    sum: f64,
}

/// Puts readings in place of centres and spreads, in a model of the exported rules.
pub fn put_readings(exported: &mut Value, tables: &ModelTables) {
    let mut nears = Vec::new();
    for (feature, strata) in &tables.measures {
        for (at, table) in strata.iter().enumerate() {
            put(&mut exported["measures"][feature.as_str()][at], table, &mut nears);
        }
    }
    exported["near"] = nears.iter().map(|near| runs(near)).collect();
}

fn put(exported: &mut Value, table: &MeasureTable, nears: &mut Vec<Arc<Years>>) {
    exported["scale"] = json!(table.scale);
    let mut compact = serde_json::Map::new();
    for (variant, readings) in &table.readings {
        let groups = grouped(readings, nears);
        if !groups.is_empty() && is_met(table, variant, &groups, nears) {
            let flat = groups.iter().flat_map(|group| [group.near.into(), group.garments.into(), number(group.sum)]);
            compact.insert(variant.to_string(), Value::from(flat.map(Value::Number).collect::<Vec<Value>>()));
        }
    }
    if let Some(variants) = exported["variants"].as_object_mut() {
        variants.retain(|variant, _| !compact.contains_key(variant));
    }
    exported["readings"] = Value::Object(compact);
}

fn grouped(readings: &[MeasureReading], nears: &mut Vec<Arc<Years>>) -> Vec<Group> {
    let mut groups = Vec::<Group>::new();
    for MeasureReading { number, near } in readings {
        let known = nears.iter().position(|known| Arc::ptr_eq(known, near) || known == near);
        let place = known.unwrap_or(nears.len());
        if known.is_none() {
            nears.push(near.clone());
        }
        match groups.iter_mut().find(|group| group.near == place) {
            Some(group) => (group.garments, group.sum) = (group.garments + 1, group.sum + number),
            None => groups.push(Group { near: place, garments: 1, sum: *number }),
        }
    }
    groups
}

/// Whether the page, which adds group by group, comes to the exported digits in every year.
fn is_met(table: &MeasureTable, variant: &VariantId, groups: &[Group], nears: &[Arc<Years>]) -> bool {
    let Some(exported) = table.variants.get(variant) else { return false };
    exported.iter().enumerate().all(|(year, (centre, spread))| {
        let (mut weight, mut sum) = (0.0, 0.0);
        for group in groups {
            weight += f64::from(group.garments) * nears[group.near][year];
            sum += nears[group.near][year] * group.sum;
        }
        let own = ((table.general.0 + sum) / (1.0 + weight), table.scale * (1.0 + 1.0 / (1.0 + weight)).sqrt());
        [(own.0, *centre), (own.1, *spread)].iter().all(|(own, other)| digits(*own) == digits(*other) && !is_tie(*own))
    })
}

/// Whether a number may lie halfway between two of twelve digits, which languages round in two ways.
fn is_tie(number: f64) -> bool {
    let thirteen = format!("{number:.12e}");
    let ends_in_five = thirteen.split('e').next().is_some_and(|digits| digits.ends_with('5'));
    ends_in_five && thirteen.parse() == Ok(number)
}

/// Flat: how many years, what counts in each of them, and so on.
fn runs(years: &Years) -> Value {
    let runs = years.chunk_by(|one, next| one == next);
    let flat = runs.flat_map(|run| [Number::from(run.len()), number(run[0])]);
    Value::from(flat.map(Value::Number).collect::<Vec<Value>>())
}

#[cfg(test)]
mod tests {
    use super::{is_tie, runs};
    use crate::dating::likelihood::years;

    #[test]
    fn only_what_lies_halfway_at_the_twelfth_digit_is_a_tie() {
        assert!(is_tie(16.0 + 0.5_f64.powi(11)), "16.00048828125");
        assert!(!is_tie(16.0) && !is_tie(16.000_488_281_26) && !is_tie(1.0 / 3.0));
    }

    #[test]
    fn years_that_count_alike_are_joined() {
        let mut near = [0.0; years::COUNT];
        near[100..110].fill(1.0);
        near[110] = 0.5;
        assert_eq!(runs(&near).to_string(), "[100,0,10,1,1,0.5,70,0]");
    }
}

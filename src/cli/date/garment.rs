//! Turns typed words into a garment: names that must exist, and readings in the vocabulary's words and units.

use std::borrow::Borrow;
use std::collections::BTreeMap;

use anyhow::{anyhow, bail, ensure};

use crate::cli::today;
use crate::dating::answer::garment::Garment;
use crate::diagnostic::wording;
use crate::import::quantity;
use crate::record::Content;
use crate::record::id::{LineId, MakerId, StateId, VariantId};
use crate::record::observation::{Value, Wearer};
use crate::resolve::Catalog;
use crate::sheet::notation::{self, Written};
use crate::vocabulary::{Feature, Kind, Measure, Retired, Unit};

/// The columns of a sheet that name no feature.
pub(super) const KNOWN: [&str; 7] = ["id", "maker", "model", "line", "wearer", "variant", "market"];

/// The garment typed so far.
#[derive(Default)]
pub(super) struct Typed {
    /// The garment.
    pub(super) garment: Garment,
    /// What the caller calls it.
    pub(super) id: Option<String>,
    /// Notes on how it was read.
    pub(super) remarks: Vec<String>,
}

impl Typed {
    /// A garment in hand today.
    pub(super) fn new() -> Typed {
        let garment = Garment { in_hand: Some(today()), ..Garment::default() };
        Typed { garment, ..Typed::default() }
    }

    /// Records a fact other than a feature, such as the maker.
    pub(super) fn know(&mut self, catalog: &Catalog, name: &str, value: &str) -> anyhow::Result<()> {
        let known = &mut self.garment.known;
        match name {
            "maker" => known.maker = Some(named(catalog, "maker", value, &catalog.makers)?),
            "model" => known.model = Some(named(catalog, "model", value, &catalog.models)?),
            "line" => known.line = Some(line(catalog, value)?),
            "variant" => known.variant = Some(named(catalog, "variant", value, &catalog.variants)?),
            "wearer" => known.wearer = Some(wearer(value)?),
            "market" => self.garment.market = Some(market(value)?),
            _ => self.id = Some(value.to_string()),
        }
        Ok(())
    }

    /// Refuses facts that contradict one another.
    pub(super) fn agreeing(self) -> anyhow::Result<Typed> {
        let known = &self.garment.known;
        let model = known.model.as_ref().map(|model| (model.as_str(), model.maker()));
        let line = known.line.as_ref().map(|line| (line.as_str(), line.maker()));
        let variant = known.variant.as_ref().map(|variant| (variant.as_str(), variant.maker()));
        let made: Vec<_> = known
            .maker
            .iter()
            .map(|maker| (maker.as_str(), maker.clone()))
            .chain([model, line, variant].into_iter().flatten())
            .collect();
        for pair in made.windows(2) {
            let [(one, maker), (other, other_maker)] = pair else { continue };
            ensure!(maker == other_maker, "`{one}` and `{other}` are of different makers");
        }
        if let (Some(model), Some(variant)) = (&known.model, &known.variant) {
            ensure!(variant.model() == *model, "`{variant}` is not a variant of `{model}`");
        }
        Ok(self)
    }

    /// Adds a remark on features that this kind of garment does not have.
    pub(super) fn doubt(&mut self, catalog: &Catalog) {
        let known = &self.garment.known;
        let Some(model) = known.model.clone().or(known.variant.as_ref().map(VariantId::model)) else { return };
        let record = catalog.models.get(&model).map(|entry| &catalog.record(entry.record).content);
        let Some(Content::Model(described)) = record else { return };
        let garment = described.garment.value.as_str();
        for feature in self.garment.features.keys().filter_map(|id| catalog.vocabulary.feature(id.as_str())) {
            if !feature.is_of(garment) {
                let id = &feature.id;
                self.remarks.push(format!("`{garment}` have no feature `{id}`, so it says nothing about `{model}`"));
            }
        }
    }

    /// Records a reading of a feature.
    pub(super) fn see(&mut self, catalog: &Catalog, name: &str, cell: &str) -> anyhow::Result<()> {
        let feature = feature(catalog, name)?;
        if let Some(retired) = &feature.retired {
            self.remarks.push(retirement(name, retired));
            return Ok(());
        }
        let reading = notation::read(cell);
        if reading.altered || reading.unsure {
            self.remarks.push(format!("`{name}` is altered or unsure, so it is not used"));
            return Ok(());
        }
        let value = match reading.value {
            Written::Other(words) => Value::Other(words),
            Written::Value(text) => value(feature, &text)?,
        };
        if let (Value::Other(text), Kind::State { states }) = (&value, &feature.kind)
            && text != "other"
        {
            let states: Vec<&str> = states.iter().map(StateId::as_str).collect();
            self.remarks.push(unknown_state(name, text, &states));
        }
        ensure!(self.garment.features.insert(feature.id.clone(), value).is_none(), "`{name}` is given twice");
        Ok(())
    }
}

fn retirement(feature: &str, retired: &Retired) -> String {
    let instead = retired.instead.as_ref().map_or_else(String::new, |id| format!("; record `{id}` instead"));
    format!("`{feature}` is retired, so it is not used ({}){instead}", retired.reason.trim_end_matches('.'))
}

fn unknown_state(feature: &str, text: &str, states: &[&str]) -> String {
    format!("`{feature}` has no state {}, so it is read as `other`{}", wording::quote(text), nearby(text, states))
}

/// Finds a feature by its id.
pub(super) fn feature<'a>(catalog: &'a Catalog, name: &str) -> anyhow::Result<&'a Feature> {
    if let Some(feature) = catalog.vocabulary.feature(name) {
        return Ok(feature);
    }
    let known: Vec<&str> = catalog.vocabulary.iter().map(|feature| feature.id.as_str()).collect();
    bail!("there is no feature {}{}", wording::quote(name), nearby(name, &known))
}

fn nearby(name: &str, known: &[&str]) -> String {
    match wording::nearest(name, known, 3).as_slice() {
        [] => String::new(),
        near => format!("; near it: {}", wording::join_quoted(near, "and")),
    }
}

/// Finds the id of a record by its present or former name.
fn named<Id, Entry>(catalog: &Catalog, kind: &str, typed: &str, records: &BTreeMap<Id, Entry>) -> anyhow::Result<Id>
where
    Id: Ord + Clone + Borrow<str>,
{
    let name = typed.strip_prefix("entries/").unwrap_or(typed);
    let name = name.strip_prefix("makers/").unwrap_or(name).trim_end_matches('/');
    let suffix = format!("/{kind}");
    let name = name.strip_suffix(&format!("{suffix}.md")).unwrap_or(name);
    let moved = catalog.moved.get(&format!("makers/{name}{suffix}"));
    let now = moved.and_then(|now| now.strip_prefix("makers/")?.strip_suffix(&suffix)).unwrap_or(name);
    if let Some((id, _)) = records.get_key_value(now) {
        return Ok(id.clone());
    }
    let known: Vec<&str> = records.keys().map(Borrow::borrow).collect();
    bail!("there is no {kind} {}{}", wording::quote(typed), nearby(name, &known))
}

/// A label line, as `maker/line:id` or, shorter, `maker/id`.
fn line(catalog: &Catalog, typed: &str) -> anyhow::Result<LineId> {
    let full = match typed.split_once('/') {
        Some((maker, own)) if !own.starts_with("line:") => LineId::of(&MakerId::new(maker), own),
        _ => LineId::new(typed),
    };
    if catalog.lines.contains_key(&full) {
        return Ok(full);
    }
    let known: Vec<&str> = catalog.lines.keys().map(LineId::as_str).collect();
    bail!("there is no label line {}{}", wording::quote(typed), nearby(full.as_str(), &known))
}

fn wearer(typed: &str) -> anyhow::Result<Wearer> {
    let words = Wearer::ALL.map(|(_, word)| word);
    match Wearer::parse(typed) {
        Some(wearer) => Ok(wearer),
        None => bail!("the wearer must be {}, not {}", wording::join_quoted(&words, "or"), wording::quote(typed)),
    }
}

fn market(typed: &str) -> anyhow::Result<String> {
    let is_code = typed.len() == 2 && typed.bytes().all(|letter| letter.is_ascii_uppercase());
    ensure!(is_code, "a market must be two capital letters of ISO 3166-1, such as `US`, not {}", wording::quote(typed));
    Ok(typed.to_string())
}

/// Reads the typed value of a feature; a state missing from the vocabulary becomes `other`.
pub(in crate::cli) fn value(feature: &Feature, text: &str) -> anyhow::Result<Value> {
    let text = text.trim();
    match (&feature.kind, text) {
        (_, "") => bail!("`{}=` has no state", feature.id),
        (_, "absent") => Ok(Value::Absent),
        (_, "lost") => Ok(Value::Lost),
        (Kind::State { states }, text) => Ok(match feature.current_state(text) {
            state if state.as_str() == "absent" => Value::Absent,
            state if states.contains(&state) => Value::State(state),
            _ => Value::Other(text.to_string()),
        }),
        (Kind::Count, "0") => bail!("a count of 0 is written `{}=absent`", feature.id),
        (Kind::Count, "other") => Ok(Value::Other(text.to_string())),
        (Kind::Count, text) => match text.parse() {
            Ok(count) => Ok(Value::Count(count)),
            Err(_) => bail!("`{}` is a count: a whole number or `absent`, not {}", feature.id, wording::quote(text)),
        },
        (Kind::Measure(measure), text) => measured(feature, measure, text),
        (Kind::Number, text) => Ok(Value::Number(number(feature, text)?)),
        (Kind::Code, text) => Ok(Value::Code(text.to_string())),
    }
}

/// Reads a quantity: a number in the vocabulary's unit, or with a unit of its own.
fn measured(feature: &Feature, measure: &Measure, text: &str) -> anyhow::Result<Value> {
    let (digits, own) = quantity::with_unit(text);
    let home = measure.unit;
    if own.is_none() && !digits.ends_with(|letter: char| letter.is_numeric() || letter == '.') {
        let units = wording::join_quoted(&home.alike(), "or");
        bail!("`{}` is measured in {units}, not {}", feature.id, wording::quote(text))
    }
    let unit = own.unwrap_or(home);
    let Some(value) = unit.convert(number(feature, digits)?, home) else {
        bail!("`{}` is measured in `{}`, and `{}` measures something else", feature.id, home.word(), unit.word())
    };
    let (low, high) = measure.range;
    if !(low <= value && value <= high) {
        let (low, high) = range_in(measure, unit);
        bail!("`{}` must be between {low} and {high} {}, not {}", feature.id, unit.word(), wording::quote(text))
    }
    Ok(Value::Measure(value))
}

/// The range in the typed unit, rounded inwards to hundredths.
fn range_in(measure: &Measure, unit: Unit) -> (f64, f64) {
    let (low, high) = measure.range;
    let there = |value: f64| measure.unit.convert(value, unit).unwrap_or(value) * 100.0;
    // A rounding error in the unit conversion must not move a bound to the next hundredth.
    if unit == measure.unit {
        (low, high)
    } else {
        ((there(low) - 1e-6).ceil() / 100.0, (there(high) + 1e-6).floor() / 100.0)
    }
}

fn number(feature: &Feature, text: &str) -> anyhow::Result<f64> {
    quantity::number(text).map_err(|problem| anyhow!("`{}` is a number: {problem}", feature.id))
}

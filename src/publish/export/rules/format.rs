//! The types of `rules.json`, version 1: fields are added within the version, never removed or redefined.
//!
//! They stand apart from the model so that a change there cannot change what other programs read.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Number;

/// The whole file.
#[derive(Serialize)]
pub struct Rules<'a> {
    pub format: &'static str,
    pub version: u32,
    /// Features of the format that a reader must understand, or else answer that it cannot tell.
    pub requires: [&'static str; 0],
    pub knowledge_base: &'a str,
    pub title: &'a str,
    pub licence: &'a str,
    pub language: &'a str,
    pub address: Option<&'a str>,
    pub years: Years,
    pub landmarks: Vec<Landmark<'a>>,
    pub keys: Vec<Key<'a>>,
    pub makers: Vec<Maker<'a>>,
    pub lines: Vec<Line<'a>>,
    pub models: Vec<Model<'a>>,
    pub variants: Vec<Variant<'a>>,
    pub vocabulary: Vocabulary<'a>,
    pub ids: Ids<'a>,
}

/// The years that every run of cells adds up to.
#[derive(Serialize)]
pub struct Years {
    pub first: i32,
    pub last: i32,
}

/// A landmark with what it speaks of and when.
#[derive(Serialize)]
pub struct Landmark<'a> {
    pub id: &'a str,
    pub title: &'a str,
    pub condition: Condition<'a>,
    pub not_before: Option<String>,
    /// Years of stock are already in it.
    pub not_after: Option<String>,
    pub force: &'static str,
    pub odds: f64,
    pub market: Option<&'a str>,
    pub sources: Vec<Source<'a>>,
}

/// The readings a garment needs for a landmark to apply.
#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Condition<'a> {
    State { feature: &'a str, state: &'a str },
    Range { feature: &'a str, from: Option<f64>, to: Option<f64> },
    Any { of: Vec<Condition<'a>> },
    All { of: Vec<Condition<'a>> },
}

/// How codes of a feature are read.
#[derive(Serialize)]
pub struct Key<'a> {
    pub id: &'a str,
    pub title: &'a str,
    pub feature: &'a str,
    /// The makers on whose garments it is read; empty for all.
    pub makers: Vec<&'a str>,
    /// Codes of these forms were used from this day.
    pub not_before: String,
    /// Codes of these forms were used until this day.
    pub not_after: String,
    /// How many times less likely the years are that no reading allows.
    pub odds: f64,
    /// The forms, each a list of parts.
    pub forms: Vec<Vec<KeyPart<'a>>>,
    pub sources: Vec<Source<'a>>,
}

/// A part of a form: a text, or a number of figures or letters and what they stand for.
#[derive(Default, Serialize)]
pub struct KeyPart<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub digits: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub letters: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub is: Option<&'static str>,
    /// The meaning of each text, letters as capitals.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<BTreeMap<&'a str, TableValue<'a>>>,
}

/// The meaning of a text in a row of a table.
#[derive(Serialize)]
#[serde(untagged)]
pub enum TableValue<'a> {
    Number(u32),
    Name(&'a str),
}

/// A source of a landmark or a key.
#[derive(Serialize)]
pub struct Source<'a> {
    pub citation: &'a str,
    pub locator: Option<&'a str>,
    pub url: Option<&'a str>,
}

/// A maker under its id.
#[derive(Serialize)]
pub struct Maker<'a> {
    pub id: &'a str,
    pub name: &'a str,
}

/// A label line with its maker.
#[derive(Serialize)]
pub struct Line<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub sign: Option<&'a str>,
}

/// A model with the tables that its variants share.
#[derive(Serialize)]
pub struct Model<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub garment: &'a str,
    /// Whether any of its garments is counted.
    pub counted: bool,
    /// The power that the product of likelihoods is raised to.
    pub temper: f64,
    /// Features with a counted reading: soft landmarks that name one do not apply.
    pub examined: Vec<&'a str>,
    /// Tables of the variants that have none of their own, by feature.
    pub cells: BTreeMap<&'a str, Vec<Runs>>,
    /// Densities of measures, by feature, one for each stratum.
    pub measures: BTreeMap<&'a str, Vec<Measure<'a>>>,
}

/// Runs of equal cells, flat: how many years, then the cell in twentieths of a bit, and so on.
pub type Runs = Vec<i32>;

/// The densities of a measure at one value of what divides its garments.
#[derive(Serialize)]
pub struct Measure<'a> {
    /// The readings a garment needs for the table to apply: covariate to stratum.
    #[serde(rename = "where")]
    pub stratum: BTreeMap<&'a str, &'a str>,
    pub degrees: u64,
    pub log2_constant: f64,
    pub slip: f64,
    pub width: f64,
    pub shrinks: bool,
    /// Of variants that are not listed.
    pub centre: f64,
    pub spread: f64,
    /// Runs, flat: how many years, centre, spread, and so on.
    pub variants: BTreeMap<&'a str, Vec<Number>>,
}

/// A variant with its era and the tables of its own.
#[derive(Serialize)]
pub struct Variant<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub maker: String,
    pub model: String,
    pub line: Option<&'a str>,
    pub wearer: &'static str,
    pub revives: Option<&'a str>,
    pub era: Era,
    /// Tables of its own, by feature; the model's serve for the rest.
    pub cells: BTreeMap<&'a str, Vec<Runs>>,
}

/// The four bounds of an era.
#[derive(Serialize)]
pub struct Era {
    pub begin: Bounds,
    pub end: Bounds,
    /// Names of the bounds that rest only on an estimate.
    pub estimated: Vec<&'static str>,
    /// Names of the bounds that rest on one claim or one garment.
    pub rests_on_one: Vec<&'static str>,
}

/// The first and the last year of a span.
#[derive(Serialize)]
pub struct Bounds {
    pub earliest: Option<String>,
    pub latest: Option<String>,
}

/// The features, with the columns of each.
#[derive(Serialize)]
pub struct Vocabulary<'a> {
    /// In the order of the vocabulary's file.
    pub features: Vec<Feature<'a>>,
}

/// A feature with its states and columns.
#[derive(Serialize)]
pub struct Feature<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub kind: &'static str,
    pub states: Vec<&'a str>,
    /// The words for states on a page, if they are not the id with spaces for hyphens.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub labels: BTreeMap<&'a str, &'a str>,
    /// The states with a column in tables, in order; any other state reads as the last, `other`.
    pub columns: Vec<&'a str>,
    pub unit: Option<&'static str>,
    pub tolerance: Option<f64>,
    pub range: Option<(f64, f64)>,
    pub shrinks: bool,
    pub zone: Option<&'a str>,
    pub look: &'a str,
    pub garments: Vec<&'a str>,
    pub varies_with: Vec<&'a str>,
    pub bands: &'a [f64],
    pub defining: bool,
    pub replaceable: &'static str,
}

/// Earlier ids, each with the id of now.
#[derive(Serialize)]
pub struct Ids<'a> {
    /// Earlier ids of makers, models, variants, landmarks and other records, to those of now.
    pub aliases: BTreeMap<&'a str, &'a str>,
}

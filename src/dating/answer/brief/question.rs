//! A garment laid out for passing variants: which are in question, what is read of it, and what years are left.

use std::borrow::Cow;

use crate::dating::answer::bound::{Bounded, SoftFactors};
use crate::dating::answer::brief::layout::{Layout, MeasureLayout, MemberLayout, Parameters, Window};
use crate::dating::answer::codes::Codes;
use crate::dating::answer::garment::Garment;
use crate::dating::answer::posterior;
use crate::dating::answer::prepared::{Member, Prepared};
use crate::dating::likelihood::years::{self, Years};
use crate::evidence::landmark::Values;
use crate::record::id::FeatureId;
use crate::record::observation::Value;
use crate::vocabulary::Kind;

/// How many densities are worked out at once.
const LANES: usize = 4;

/// The question about one garment.
pub struct Question<'q> {
    /// The bounds from landmarks.
    pub bounded: Bounded,
    /// Which variants are in question, by number.
    pub is_in: Vec<bool>,
    /// The readings of features with columns: feature and column, both by number.
    pub columns: Vec<(usize, usize)>,
    /// The power that the product of likelihoods is raised to.
    pub temper: f64,
    /// How many models are in question.
    pub models: f64,
    /// How many variants of each model are, by number.
    pub sizes: Vec<f64>,
    /// Whether years can be told.
    pub is_dated: bool,
    measures: Vec<Measured<'q>>,
    codes: Option<Box<Years>>,
    soft: Option<SoftFactors>,
    are_all_left: bool,
}

/// The factors for the years of a variant: powers for its cells, then for its measures, each in the
/// years of its window.
#[derive(Clone, Copy)]
pub struct Factors<'f> {
    /// For cells.
    pub cells: &'f [f64],
    /// The densities of measures; empty if none was read.
    pub densities: &'f [f64],
}

/// A measure of the garment.
struct Measured<'q> {
    feature: &'q FeatureId,
    number: usize,
    reading: f64,
    /// The table that serves each model, by number; only of models in question.
    tables: Vec<usize>,
}

impl<'q> Question<'q> {
    /// Reads a garment.
    pub fn of(prepared: &Prepared<'_>, layout: &'q Layout<'_>, garment: &Garment) -> Question<'q> {
        let features = &garment.features;
        let members = prepared.in_question(&garment.known, features);
        let mut is_in = vec![false; prepared.members.len()];
        members.iter().for_each(|member| is_in[*member] = true);
        let sizes = posterior::model_sizes(prepared, &members);
        let bounded = Bounded::of(prepared, features, garment.market.as_deref());
        let soft = (!bounded.soft.is_empty()).then(|| SoftFactors::new(prepared, &bounded, &sizes));
        let is_bounded = members.iter().any(|member| prepared.members[*member].tables.is_bounded);
        let columns = features.iter().filter_map(|(id, value)| {
            let feature = prepared.knowledge.catalog.vocabulary.feature(id.as_str())?;
            posterior::column(prepared, feature, value)
        });
        Question {
            columns: columns.collect(),
            temper: posterior::temper(prepared, &members),
            models: sizes.iter().filter(|variants| **variants > 0.0).count() as f64,
            is_dated: is_bounded && !bounded.is_outside,
            measures: measures(prepared, layout, features, &sizes),
            codes: Codes::of(prepared, &garment.known, features).factors,
            are_all_left: bounded.is_left.iter().all(|is_left| *is_left),
            soft,
            bounded,
            is_in,
            sizes,
        }
    }

    /// The product of each year of a variant, relative to its greatest one.
    pub fn joint(&self, member: &Member<'_>, layout: &MemberLayout, factors: Factors<'_>) -> Years {
        let Factors { cells, densities } = factors;
        let mut joint = *self.before(member);
        if let Some(codes) = &self.codes {
            joint.iter_mut().zip(&codes[..]).for_each(|(share, factor)| *share *= factor);
        }
        layout.window.multiply(cells, &mut joint);
        if !densities.is_empty() {
            self.window(member, layout).multiply(densities, &mut joint);
        }
        joint
    }

    /// The weight of each year from production and landmarks.
    fn before<'m>(&self, member: &Member<'m>) -> Cow<'m, Years> {
        let weights = &member.tables.weights;
        let soft = self.soft.as_ref().and_then(|soft| soft.of_model(member.model_number));
        if self.are_all_left && soft.is_none() {
            return Cow::Borrowed(weights);
        }
        let mut before = *weights;
        for (weight, is_left) in before.iter_mut().zip(&self.bounded.is_left) {
            *weight = if *is_left { *weight } else { 0.0 };
        }
        if let Some(soft) = soft {
            before.iter_mut().zip(soft).for_each(|(weight, factor)| *weight *= factor);
        }
        Cow::Owned(before)
    }

    /// The number of density values of a variant.
    pub fn densities_len(&self, member: &Member<'_>, layout: &MemberLayout) -> usize {
        if self.measures.is_empty() { 0 } else { self.window(member, layout).len() }
    }

    /// The years in which the density of a measure changes.
    fn window(&self, member: &Member<'_>, layout: &MemberLayout) -> Window {
        let windows = self.measures.iter().map(|measured| measured.window(member, layout));
        windows.reduce(Window::with).unwrap_or(Window::NONE)
    }

    /// Appends the tempered product of the densities of all measures in the years in which one changes.
    pub fn densities(&self, member: &Member<'_>, layout: &MemberLayout, into: &mut Vec<f64>) {
        if self.measures.is_empty() {
            return;
        }
        let window = self.window(member, layout);
        let begin = into.len();
        into.resize(begin + window.len(), 1.0);
        let product = &mut into[begin..];
        for measured in &self.measures {
            measured.multiply(member, layout, window, product);
        }
        let mut last = (1.0, 1.0);
        for density in product {
            // Densities change in runs, so many powers are already known.
            if last.0 != *density {
                last = (*density, (self.temper * density.log2()).exp2());
            }
            *density = last.1;
        }
    }
}

impl Measured<'_> {
    fn parameters<'l>(&self, member: &Member<'_>, layout: &'l MemberLayout) -> Option<&'l Parameters> {
        layout.measures[self.number][self.tables[member.model_number]].as_ref()
    }

    fn window(&self, member: &Member<'_>, layout: &MemberLayout) -> Window {
        self.parameters(member, layout).map_or(Window::NONE, |parameters| parameters.window)
    }

    /// Multiplies the values of a window by the density of the reading in each of its years.
    fn multiply(&self, member: &Member<'_>, layout: &MemberLayout, window: Window, into: &mut [f64]) {
        let table = &member.model.measures[self.feature][self.tables[member.model_number]];
        let Some(Parameters { window: own, centres, spreads }) = self.parameters(member, layout) else {
            let [density] = table.density([table.general.0], [table.general.1], self.reading);
            into.iter_mut().for_each(|value| *value *= density);
            return;
        };
        let mut densities = [0.0; years::COUNT];
        let densities = &mut densities[..own.len()];
        let (lanes, rest) = densities.as_chunks_mut::<LANES>();
        let (centre_lanes, centres) = centres.as_chunks::<LANES>();
        let (spread_lanes, spreads) = spreads.as_chunks::<LANES>();
        for ((lane, centre), spread) in lanes.iter_mut().zip(centre_lanes).zip(spread_lanes) {
            *lane = table.density(*centre, *spread, self.reading);
        }
        for ((one, centre), spread) in rest.iter_mut().zip(centres).zip(spreads) {
            [*one] = table.density([*centre], [*spread], self.reading);
        }
        own.multiply_within(densities, window, into);
    }
}

/// The measures that every model in question has a table for, in the garment's stratum.
fn measures<'q>(
    prepared: &Prepared<'_>,
    layout: &'q Layout<'_>,
    features: &Values,
    sizes: &[f64],
) -> Vec<Measured<'q>> {
    let measures = features.iter().filter_map(|(id, value)| {
        let Value::Measure(reading) = value else { return None };
        let feature = prepared.knowledge.catalog.vocabulary.feature(id.as_str())?;
        let is_measure = matches!(feature.kind, Kind::Measure(_));
        let (feature, measure) = layout.measures.get_key_value(id).filter(|_| is_measure)?;
        let tables = tables(prepared, measure, features, sizes)?;
        Some(Measured { feature, number: measure.number, reading: *reading, tables })
    });
    measures.collect()
}

/// The table of each model in question for the garment's stratum, if all of them have one.
fn tables(
    prepared: &Prepared<'_>,
    measure: &MeasureLayout<'_>,
    features: &Values,
    sizes: &[f64],
) -> Option<Vec<usize>> {
    let are_met: Vec<bool> =
        measure.strata.iter().map(|stratum| posterior::is_in_stratum(prepared, stratum, features)).collect();
    let tables = measure.of_model.iter().map(|strata| strata.iter().position(|stratum| are_met[*stratum]));
    // A model that is not in question needs none.
    tables.zip(sizes).map(|(table, size)| table.or_else(|| (*size == 0.0).then_some(0))).collect()
}

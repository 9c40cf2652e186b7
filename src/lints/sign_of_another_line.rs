//! Labels that exclude the line their garment is filed in.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::explain;
use crate::knowledge::Knowledge;
use crate::record::id::{FeatureId, LineId, ModelId, StateId, VariantId};
use crate::record::observation::{Basis, Placement, Reading, Value};
use crate::record::{Content, Line, Record};
use crate::resolve::Catalog;
use crate::source::{Place, Spanned};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "sign-of-another-line",
    level: Level::Warning,
    title: "a label does not belong to its label line",
    explanation: "\
A label line is recognised by its label, and `shows` in the record of the maker lists the readings that every garment of the line has. This entry records a different one: the garment is filed in the wrong line, the label was misread, or the label was moved here from another garment.

Look at the label again. Move the file to a variant of the line that the label names, correct the reading, or write `altered = true` if the label is not the garment's first. If the line also used this label, `shows` in the record of the maker is too strict: remove the feature from it.",
    wrong: "\
--- schema/vocabulary.toml
[label-make]
name = \"Make of the line label\"
kind = \"state\"
states = [\"woven\", \"printed\"]
look = \"Turn the label to the light.\"
defining = true
--- entries/makers/hollin/maker.md
+++
name = \"Hollin\"
[[lines]]
id = \"best\"
name = \"Best\"
shows = { label-make = \"woven\" }
[[lines]]
id = \"work\"
name = \"Work\"
shows = { label-make = \"printed\" }
+++
--- entries/makers/hollin/no-4/no-4-best/variant.md
+++
name = \"No. 4\"
line = \"best\"
wearer = \"men\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
features = { label-make = \"printed\" }
+++
",
    right: "\
--- schema/vocabulary.toml
[label-make]
name = \"Make of the line label\"
kind = \"state\"
states = [\"woven\", \"printed\"]
look = \"Turn the label to the light.\"
defining = true
--- entries/makers/hollin/maker.md
+++
name = \"Hollin\"
[[lines]]
id = \"best\"
name = \"Best\"
shows = { label-make = \"woven\" }
[[lines]]
id = \"work\"
name = \"Work\"
shows = { label-make = \"printed\" }
+++
--- entries/makers/hollin/no-4/no-4-work/variant.md
+++
name = \"No. 4\"
line = \"work\"
wearer = \"men\"
+++
--- entries/makers/hollin/no-4/no-4-work/barn-find.md
+++
basis = \"specimen\"
features = { label-make = \"printed\" }
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    catalog.records.iter().flat_map(|record| of_record(catalog, record)).collect()
}

fn of_record(catalog: &Catalog, record: &Record) -> Vec<Diagnostic> {
    let Some(seen) = record.content.observation().filter(|seen| seen.basis.value != Basis::Statement) else {
        return Vec::new();
    };
    let Placement::Variant(variant) = &seen.placement else { return Vec::new() };
    let Some(line) = catalog.variants.get(variant).and_then(|entry| entry.line.as_ref()) else { return Vec::new() };
    let Some((maker, own)) = line_of(catalog, line) else { return Vec::new() };
    let contradicted = own.shows.iter().filter_map(|(feature, sign)| {
        let reading = seen.features.get(feature)?;
        let shown = shown(reading).filter(|shown| *shown != sign.value)?;
        let label = Label { catalog, maker, own, variant, feature, sign };
        Some(label.word(record, reading, &shown))
    });
    contradicted.collect()
}

/// The state of a label that can identify a line: not altered, unsure or absent.
fn shown(reading: &Reading) -> Option<StateId> {
    if reading.altered || reading.unsure {
        return None;
    }
    match &reading.value {
        Value::State(state) => Some(state.clone()),
        Value::Count(count) => Some(StateId::new(count.to_string())),
        _ => None,
    }
}

/// A line with the record of its maker.
fn line_of<'c>(catalog: &'c Catalog, id: &LineId) -> Option<(&'c Record, &'c Line)> {
    Some((catalog.record(*catalog.lines.get(id)?), catalog.line(id)?))
}

/// A label that is not its line's.
struct Label<'c> {
    catalog: &'c Catalog,
    maker: &'c Record,
    own: &'c Line,
    variant: &'c VariantId,
    feature: &'c FeatureId,
    sign: &'c Spanned<StateId>,
}

impl Label<'_> {
    fn word(&self, record: &Record, reading: &Reading, shown: &StateId) -> Diagnostic {
        let feature = self.catalog.vocabulary.feature(self.feature.as_str());
        let name = feature.map_or(self.feature.as_str(), |feature| &feature.name);
        let others: Vec<&Line> = self.others(shown);
        let names: Vec<String> = others.iter().map(|line| line.name.clone()).collect();
        let excluded = format!("excluded by the line {}", self.own.name);
        let message = match names.is_empty() {
            true => format!("{} {} is {excluded}", name.to_lowercase(), explain::value(&reading.value)),
            false => format!(
                "{} {} is the sign of {}, and {excluded}",
                name.to_lowercase(),
                explain::value(&reading.value),
                wording::join(&names, "and")
            ),
        };
        let place = Place { file: record.file, span: reading.span };
        let told = format!("{} is recognised by {}", self.own.name, wording::quote(self.sign.value.as_str()));
        LINT.at(place, message).label(self.catalog.place(self.maker, self.sign), told).help(self.help(&others))
    }

    /// The other lines of the maker that have this sign.
    fn others(&self, shown: &StateId) -> Vec<&Line> {
        let Content::Maker(maker) = &self.maker.content else { return Vec::new() };
        let has_sign = |line: &&Line| line.shows.get(self.feature).is_some_and(|sign| sign.value == *shown);
        maker.lines.iter().filter(has_sign).collect()
    }

    fn help(&self, lines: &[&Line]) -> String {
        let variants = self.variants_of(&self.variant.model(), lines);
        let move_it = match variants.is_empty() {
            true => "move the file to a variant of the line that the label names".to_string(),
            false => format!("move the file to {}", wording::join_quoted(&variants, "or")),
        };
        format!("look at the label again; {move_it}, or write `altered = true` if the label was moved here")
    }

    /// The variants of a model in some lines.
    fn variants_of(&self, model: &ModelId, lines: &[&Line]) -> Vec<String> {
        let entry = self.catalog.models.get(model);
        let variants = entry.map_or(&[][..], |entry| entry.variants.as_slice()).iter();
        let is_of = |variant: &&VariantId| {
            let line = self.catalog.variants.get(*variant).and_then(|entry| entry.line.as_ref());
            lines.iter().any(|one| Some(&one.id.value) == line)
        };
        variants.filter(is_of).map(|variant| variant.to_string()).collect()
    }
}

//! Writes `tells.csv`: every pair of variants of a model, a row for each feature counted in both and each covariate.

use crate::analysis::Analysis;
use crate::comparison::strata::Covariate;
use crate::comparison::{Compared, Comparison};
use crate::knowledge::Knowledge;
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, optional, yes_no};
use crate::typography::in_full;

/// The table of tells.
pub const TABLE: Table = Table {
    name: "tells",
    summary: "which features tell two variants of a model apart, at equal age and size",
    description: "A row for each pair of variants of one model, feature counted in both, and covariate: what could \
        explain a difference. The columns up to p_method and the verdict are the same for all covariates of a feature. \
        A cell without a number is empty. A verdict is a conclusion from recorded garments, not \
        authentication.",
    columns,
    key: &["a", "b", "feature", "covariate"],
    references: &[("a", "eras", "thing"), ("b", "eras", "thing")],
    rows,
};

const METHODS: &[&str] = &["exact", "chi-square", "normal"];

fn columns(_: &Knowledge) -> Vec<Column> {
    columns_of("The first variant by id: maker/model/variant", "The other variant")
}

/// The columns of a table of comparisons, from what its first two hold.
pub fn columns_of(a: &'static str, b: &'static str) -> Vec<Column> {
    vec![
        column("a", Cells::Text, a).required(),
        column("b", Cells::Text, b).required(),
        column("feature", Cells::Text, "The feature of the vocabulary").required(),
        column("n_a", Cells::Integer("items"), "How many garments, finds and documents of a are counted").required(),
        column("n_b", Cells::Integer("items"), "How many of b are counted").required(),
        column(
            "difference",
            Cells::Number("share from 0 to 1"),
            "From 0 to 1: total variation; for measures |2 AUC - 1|",
        )
        .required(),
        column("low", Cells::Number("share from 0 to 1"), "Lower limit of its 95 % interval").required(),
        column("high", Cells::Number("share from 0 to 1"), "Upper limit of its 95 % interval").required(),
        column(
            "right",
            Cells::Number("share from 0 to 1"),
            "How often the feature alone names the right variant, each garment judged by the others",
        ),
        column("p", Cells::Number("probability from 0 to 1"), "The p value, before any adjustment").required(),
        column(
            "p_holm",
            Cells::Number("probability from 0 to 1"),
            "Adjusted by Holm; empty where the feature is outside the family",
        ),
        column("p_method", Cells::Word(METHODS), "The test that gave p").required(),
        column("covariate", Cells::Text, "The covariate held equal: decade, factory, or a feature").required(),
        column("matched", Cells::YesNo, "Whether three garments of each are in shared strata").required(),
        column(
            "difference_adjusted",
            Cells::Number("share from -1 to 1"),
            "The difference at equal values, in the direction of the other",
        ),
        column("p_adjusted", Cells::Number("probability from 0 to 1"), "The p value at equal values"),
        column(
            "p_adjusted_holm",
            Cells::Number("probability from 0 to 1"),
            "The same, adjusted by Holm over the features that could reach significance at \
            equal values; empty unless the covariate explains two features and this one would be a tell without it",
        ),
        column("n_matched", Cells::Integer("items"), "Garments of both, in strata that contain both").required(),
        column("verdict", Cells::Text, "The verdict on the feature").required(),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    // Variants are sorted by id, so that those of a model stand together.
    let variants: Vec<_> = analysis.knowledge.catalog.variants.keys().collect();
    let models = variants.chunk_by(|one, other| one.model() == other.model()).map(|model| model[0].model());
    let models: Vec<_> = models.collect();
    Box::new(models.into_iter().flat_map(|model| analysis.comparisons(&model)).flat_map(rows_of))
}

fn rows_of(comparison: &Comparison) -> Vec<Vec<String>> {
    let features = comparison.features.iter();
    let rows = features.flat_map(|compared| compared.covariates.iter().map(move |covariate| (compared, covariate)));
    let names = || [comparison.a.to_string(), comparison.b.to_string()];
    rows.map(|(compared, covariate)| row(names(), compared, covariate)).collect()
}

/// The cells of a row, from the names of the two.
pub fn row([a, b]: [String; 2], compared: &Compared, covariate: &Covariate) -> Vec<String> {
    let crude = &compared.crude;
    vec![
        a,
        b,
        compared.feature.to_string(),
        crude.n_a.to_string(),
        crude.n_b.to_string(),
        in_full(crude.difference),
        in_full(crude.low),
        in_full(crude.high),
        optional(crude.right.map(in_full)),
        in_full(crude.p),
        optional(compared.p_holm.map(in_full)),
        crude.p_method.to_string(),
        covariate.name.clone(),
        yes_no(covariate.is_matched),
        optional(covariate.difference.map(in_full)),
        optional(covariate.p.map(in_full)),
        optional(covariate.p_holm.map(in_full)),
        covariate.matched.to_string(),
        compared.verdict.words(),
    ]
}

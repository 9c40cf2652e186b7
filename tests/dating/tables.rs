//! Cells of a small world, worked by hand from the formula that the project documents.

use bartack::compile::example;
use bartack::dating::likelihood::{self, years};
use bartack::record::id::{FeatureId, ModelId, VariantId};

/// Three garments of two variants: too few to choose by, so the centre is half pooled and the temper 0.55.
const WORLD: &str = r#"--- schema/vocabulary.toml
[hem]
name = "Hem"
kind = "state"
states = ["chain", "fold"]
look = "Look at the hem."
--- entries/makers/hollin/no-4/model.md
+++
name = "No. 4"
garment = "trousers"
+++
--- entries/makers/hollin/no-4/a/variant.md
+++
name = "A"
line = "best"
wearer = "men"
[[claims]]
event = "produced"
when = "1970/1974"
[[claims]]
about = "feature:hem=fold"
event = "introduced"
when = "1972"
+++
--- entries/makers/hollin/no-4/a/one.md
+++
basis = "specimen"
placed-by = "mark"
made = "1973"
made-by = "mark"
[features]
hem = "fold"
+++
--- entries/makers/hollin/no-4/a/two.md
+++
basis = "specimen"
placed-by = "mark"
made = "1971"
made-by = "mark"
[features]
hem = "chain"
+++
--- entries/makers/hollin/no-4/b/variant.md
+++
name = "B"
line = "best"
wearer = "men"
[[claims]]
event = "produced"
when = "1980/1984"
+++
--- entries/makers/hollin/no-4/b/three.md
+++
basis = "specimen"
placed-by = "mark"
[features]
hem = "chain"
+++
"#;

/// The state's number among chain, fold and other.
fn cell(variant: &str, column: usize, year: i32) -> i16 {
    let compilation = example::compile(WORLD);
    assert!(compilation.knowledge.faults.is_empty(), "{:?}", compilation.knowledge.faults);
    let tables = likelihood::all(&compilation.knowledge);
    let model = &tables.models[&ModelId::new("hollin/no-4")];
    assert_eq!(model.choice.temper, 0.55, "fewer than four garments choose nothing");
    let table = model.table(&model.variants[&VariantId::new(variant)], &FeatureId::new("hem")).unwrap();
    table.columns[column][(year - years::FIRST) as usize]
}

/// Shares in general: the model's mean of (1/2, 1/2) and (1, 0), and equal thirds as one more.
const GENERAL: [f64; 3] = [(0.75 + 1.0 / 3.0) / 2.0, (0.25 + 1.0 / 3.0) / 2.0, (1.0 / 3.0) / 2.0];

/// Half the pooled share (of both variants and the general one), half an equal share.
fn centre(column: usize) -> f64 {
    let pooled = ([0.5, 0.5, 0.0][column] + [1.0, 0.0, 0.0][column] + GENERAL[column]) / 3.0;
    0.5 * pooled + 0.5 / 3.0
}

/// Half of three columns' worth of centre, a slip of 0.05.
fn share(column: usize, counted: f64, all: f64) -> f64 {
    0.95 * (1.5 * centre(column) + counted) / (1.5 + all) + 0.05 / 3.0
}

fn twentieths(probability: f64) -> i16 {
    (20.0 * probability.log2()).round() as i16
}

#[test]
fn undated_garment_is_spread_over_the_days_its_variant_leaves_it() {
    // Five years, 1980 to 1984, are 1827 days; the window of 1976 reaches 31 December 1981, so it holds 366 + 365.
    let near = 731.0 / 1827.0;
    assert_eq!(cell("hollin/no-4/b", 0, 1976), twentieths(share(0, near, near)));
    assert_eq!(cell("hollin/no-4/b", 0, 1982), twentieths(share(0, 1.0, 1.0)));
    assert_eq!(cell("hollin/no-4/b", 1, 1960), twentieths(share(1, 0.0, 0.0)), "nothing near: the centre");
}

#[test]
fn claimed_state_is_rarer_outside_its_era() {
    // One garment each way near 1973, when the claim has begun: nothing is made rarer.
    let plain = [share(0, 1.0, 2.0), share(1, 1.0, 2.0), share(2, 0.0, 2.0)];
    assert_eq!(cell("hollin/no-4/a", 1, 1973), twentieths(plain[1]));
    // In 1980, six years after the end of 1974, the folded hem has 0.05 halved over six fifths, less than the slip.
    let far = [share(0, 0.0, 0.0), share(1, 0.0, 0.0) * 0.05, share(2, 0.0, 0.0)];
    let total: f64 = far.iter().sum();
    assert_eq!(cell("hollin/no-4/a", 1, 1980), twentieths(far[1] / total));
    assert_eq!(cell("hollin/no-4/a", 0, 1980), twentieths(far[0] / total));
    // On 1 July 1972 the begin, some day of 1972, is 182 of 365 days past its earliest. On 1 July 1973, the greatest, the
    // end is 548 of 729 days before its latest: begun by then, but not surely still made.
    let begun = (182.0 / 365.0) / (548.0 / 729.0);
    let half = [share(0, 1.0, 2.0), share(1, 1.0, 2.0) * begun, share(2, 0.0, 2.0)];
    let total: f64 = half.iter().sum();
    assert_eq!(cell("hollin/no-4/a", 1, 1972), twentieths(half[1] / total));
}

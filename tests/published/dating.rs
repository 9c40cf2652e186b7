//! Dating against worked examples: the days of playing tennis, and labels that bear dated public facts.
//!
//! Tennis: fourteen days, J. R. Quinlan, "Induction of decision trees", Machine Learning 1 (1986), table 1; the day asked
//! about and the products are T. M. Mitchell, "Machine Learning" (1997), section 6.9.1.

use std::fmt::Write;

use bartack::compile::example;
use bartack::dating::answer::Dating;
use bartack::dating::answer::garment::{Garment, Known};
use bartack::dating::likelihood::{self, temper};
use bartack::evidence::landmark::Values;
use bartack::record::id::{FeatureId, StateId, VariantId};
use bartack::record::observation::Value;

const FEATURES: [(&str, &[&str]); 4] = [
    ("outlook", &["sunny", "overcast", "rain"]),
    ("temperature", &["hot", "mild", "cool"]),
    ("humidity", &["high", "normal"]),
    ("wind", &["weak", "strong"]),
];

/// The fourteen days: outlook, temperature, humidity, wind, and whether tennis was played.
const DAYS: [([&str; 4], usize); 14] = [
    (["sunny", "hot", "high", "weak"], 0),
    (["sunny", "hot", "high", "strong"], 0),
    (["overcast", "hot", "high", "weak"], 1),
    (["rain", "mild", "high", "weak"], 1),
    (["rain", "cool", "normal", "weak"], 1),
    (["rain", "cool", "normal", "strong"], 0),
    (["overcast", "cool", "normal", "strong"], 1),
    (["sunny", "mild", "high", "weak"], 0),
    (["sunny", "cool", "normal", "weak"], 1),
    (["rain", "mild", "normal", "weak"], 1),
    (["sunny", "mild", "normal", "strong"], 1),
    (["overcast", "mild", "high", "strong"], 1),
    (["overcast", "hot", "normal", "weak"], 1),
    (["rain", "mild", "high", "strong"], 0),
];

const ASKED: [&str; 4] = ["sunny", "cool", "high", "strong"];

/// No and yes as two variants of a model without a date, every day a garment of one.
fn text() -> String {
    let mut text = "--- schema/vocabulary.toml\n".to_string();
    for (feature, states) in FEATURES {
        writeln!(text, "[{feature}]\nname = \"{feature}\"\nkind = \"state\"\nstates = {states:?}\nlook = \"Look.\"")
            .unwrap();
    }
    text.push_str("--- entries/makers/hollin/tennis/model.md\n+++\nname = \"T\"\ngarment = \"shirt\"\n+++\n");
    for variant in ["no", "yes"] {
        writeln!(text, "--- entries/makers/hollin/tennis/{variant}/variant.md").unwrap();
        text.push_str("+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
    }
    for (number, (states, played)) in DAYS.iter().enumerate() {
        let variant = ["no", "yes"][*played];
        writeln!(text, "--- entries/makers/hollin/tennis/{variant}/day-{number:02}.md").unwrap();
        text.push_str("+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\n");
        for ((feature, _), state) in FEATURES.iter().zip(states) {
            writeln!(text, "{feature} = \"{state}\"").unwrap();
        }
        text.push_str("+++\n");
    }
    text
}

/// The shares of a feature's states in each answer, among some days: (count of the state, days of the answer).
fn counted(days: &[([&str; 4], usize)], feature: usize, state: &str, answer: usize) -> (f64, f64) {
    let own = days.iter().filter(|(_, played)| *played == answer);
    let with = own.clone().filter(|(states, _)| states[feature] == state).count();
    (with as f64, own.count() as f64)
}

/// The formula by hand: P = (1 - slip)(K c / 2 + n_s)/(K / 2 + n) + slip/K, where c lies between 1/K and q, q is the mean
/// of both answers' shares and r, and r is the mean of the only model's shares and 1/K. K counts `other` too; the slip of
/// a part that is sometimes replaced is 0.05.
fn by_hand(days: &[([&str; 4], usize)], feature: usize, state: &str, (answer, toward_pooled): (usize, f64)) -> f64 {
    let states = FEATURES[feature].1.len() as f64 + 1.0;
    let share = |days: &[([&str; 4], usize)], answer: usize| {
        let (with, all) = counted(days, feature, state, answer);
        with / all
    };
    let general = ((share(&DAYS, 0) + share(&DAYS, 1)) / 2.0 + 1.0 / states) / 2.0;
    let pooled = (share(days, 0) + share(days, 1) + general) / 3.0;
    let centre = toward_pooled * pooled + (1.0 - toward_pooled) / states;
    let (with, all) = counted(days, feature, state, answer);
    0.95 * (states / 2.0 * centre + with) / (states / 2.0 + all) + 0.05 / states
}

/// The tempered product for each answer, made to total 1.
fn posterior(products: [f64; 2], temper: f64) -> [f64; 2] {
    let powers = products.map(|product| product.powf(temper));
    powers.map(|power| power / (powers[0] + powers[1]))
}

/// Chooses centre and temper by judging each day by the others, as the project documents it.
fn chosen() -> (f64, f64) {
    let mut best = (f64::NEG_INFINITY, (0.0, 0.0));
    for temper in [0.25, 0.4, 0.55, 0.7, 0.85, 1.0] {
        for toward_pooled in [0.0, 0.5, 1.0] {
            let scores = (0..DAYS.len()).map(|out| {
                let mut others = DAYS.to_vec();
                let (states, played) = others.remove(out);
                let product = |answer: usize| {
                    let of = |feature: usize| by_hand(&others, feature, states[feature], (answer, toward_pooled));
                    (0..4).map(of).product()
                };
                posterior([product(0), product(1)], temper)[played].log2()
            });
            let score: f64 = scores.sum();
            if score > best.0 + 1e-9 {
                best = (score, (toward_pooled, temper));
            }
        }
    }
    best.1
}

#[test]
fn tennis_has_the_posterior_that_the_formula_gives_by_hand() {
    let compilation = example::compile(&text());
    assert!(compilation.knowledge.faults.is_empty(), "{:?}", compilation.knowledge.faults);
    let tables = likelihood::all(&compilation.knowledge);
    let features: Values = FEATURES
        .iter()
        .zip(ASKED)
        .map(|((feature, _), state)| (FeatureId::new(*feature), Value::State(StateId::new(state))))
        .collect();
    let garment = Garment { known: Known::default(), market: None, features, ..Garment::default() };
    let answer = Dating::new(&compilation.knowledge, &tables).answer(&garment);
    let (toward_pooled, temper) = chosen();
    assert_eq!(answer.temper, temper);
    // Answers come from tables in twentieths of a bit.
    let cell = |probability: f64| ((20.0 * probability.log2()).round() / 20.0).exp2();
    let product = |played: usize| {
        (0..4).map(|feature| cell(by_hand(&DAYS, feature, ASKED[feature], (played, toward_pooled)))).product()
    };
    let expected = posterior([product(0), product(1)], temper);
    let found: Vec<(VariantId, f64)> = answer.variants;
    assert_eq!(found[0].0, VariantId::new("hollin/tennis/no"), "as Mitchell's: no tennis");
    assert!((found[0].1 - expected[0]).abs() < 1e-9, "{} {}", found[0].1, expected[0]);
    assert!((found[1].1 - expected[1]).abs() < 1e-9);
    assert!(answer.years.is_none(), "nothing bounds a date");
}

/// The joint probabilities that the scoring gives for shares, with the answers' own shares as prior.
fn joint(share: impl Fn(usize, usize) -> f64, prior: [f64; 2]) -> Vec<f64> {
    let products = [0, 1].map(|answer| (0..4).map(|feature| share(feature, answer)).product());
    temper::variants(&prior, &products, 1)
}

#[test]
fn scoring_fed_raw_shares_gives_the_published_products() {
    let raw = |feature: usize, answer: usize| {
        let (with, all) = counted(&DAYS, feature, ASKED[feature], answer);
        with / all
    };
    let joint = joint(raw, [5.0 / 14.0, 9.0 / 14.0]);
    // Mitchell 1997, section 6.9.1: 0.0053 for yes, 0.0206 for no, and 0.0206 / (0.0206 + 0.0053) = 0.795.
    assert!((joint[1] - 0.0053).abs() < 0.000_05 && (joint[0] - 0.0206).abs() < 0.000_05, "{joint:?}");
    assert!((joint[0] / (joint[0] + joint[1]) - 0.795).abs() < 0.000_5);
}

#[test]
fn scoring_fed_laplace_shares_equals_an_independent_library() {
    let laplace = |feature: usize, answer: usize| {
        let (with, all) = counted(&DAYS, feature, ASKED[feature], answer);
        (with + 1.0) / (all + FEATURES[feature].1.len() as f64)
    };
    let joint = joint(laplace, [5.0 / 14.0, 9.0 / 14.0]);
    // scikit-learn 1.9.1, CategoricalNB(alpha=1) on the same table: 0.7200666507974293.
    assert!((joint[0] / (joint[0] + joint[1]) - 0.720_066_650_797_429_3).abs() < 1e-12);
}

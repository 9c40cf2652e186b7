//! A seeded world whose features change together: how often the first variant is right against how sure it claims to be.
//!
//! A hidden turn of each garment, likelier in one variant than the other, carries most of its features with it. Taken
//! as independent, such features claim far too much; the temper of each model is there to stop that.

use std::fmt::Write;

use bartack::compile::example;
use bartack::dating::answer::Dating;
use bartack::dating::answer::garment::{Garment, Known};
use bartack::dating::likelihood;
use bartack::evidence::landmark::Values;
use bartack::record::id::{FeatureId, ModelId, StateId, VariantId};
use bartack::record::observation::Value;

use crate::support::numbers::Numbers;

const MODELS: usize = 60;
const RECORDED: usize = 12;
const NEW: usize = 20;

/// How many features a garment has, how often in a hundred each follows the hidden turn, and how far claimed and right
/// may then lie apart. The second is nearly ten copies of one feature, more than the least temper, a quarter, can hold
/// back: it is bounded where it stands, not where one would wish it.
const WORLDS: [(usize, u64, f64); 2] = [(8, 80, 0.05), (10, 90, 0.08)];

fn falls(numbers: &mut Numbers, percent: u64) -> bool {
    numbers.below(100) < percent
}

/// The states of one garment, most of which follow the hidden turn.
fn states(numbers: &mut Numbers, variant: usize, (features, follow): (usize, u64)) -> Vec<&'static str> {
    let turned = falls(numbers, [70, 35][variant]);
    (0..features).map(|_| if falls(numbers, follow) == turned { "one" } else { "two" }).collect()
}

fn world(numbers: &mut Numbers, kind: (usize, u64)) -> String {
    let mut text = "--- schema/vocabulary.toml\n".to_string();
    for feature in 0..kind.0 {
        writeln!(text, "[f{feature}]\nname = \"F\"\nkind = \"state\"\nstates = [\"one\", \"two\"]\nlook = \"Look.\"")
            .unwrap();
    }
    for model in 0..MODELS {
        writeln!(text, "--- entries/makers/hollin/m{model}/model.md\n+++\nname = \"M\"\ngarment = \"shirt\"\n+++")
            .unwrap();
        for (variant, name) in ["a", "b"].iter().enumerate() {
            let folder = format!("entries/makers/hollin/m{model}/{name}");
            writeln!(text, "--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++")
                .unwrap();
            for number in 0..RECORDED {
                writeln!(
                    text,
                    "--- {folder}/g{number:02}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]"
                )
                .unwrap();
                for (feature, state) in states(numbers, variant, kind).iter().enumerate() {
                    writeln!(text, "f{feature} = \"{state}\"").unwrap();
                }
                text.push_str("+++\n");
            }
        }
    }
    text
}

#[test]
fn claims_of_features_that_change_together_come_true_as_often_as_they_say() {
    for (features, follow, apart) in WORLDS {
        let (claimed, right) = shares((features, follow));
        eprintln!("{features} features that follow {follow} %: claimed {claimed:.3}, right {right:.3}");
        assert!((claimed - right).abs() <= apart, "{features} features: claimed {claimed:.3}, right {right:.3}");
        assert!(right > 0.55, "the variants can be told apart at all: {right:.3}");
    }
}

/// The mean probability that is claimed for the first variant, and how often it is right.
fn shares(kind: (usize, u64)) -> (f64, f64) {
    let mut numbers = Numbers(0xcafe_5eed);
    let compilation = example::compile(&world(&mut numbers, kind));
    let tables = likelihood::all(&compilation.knowledge);
    let dating = Dating::new(&compilation.knowledge, &tables);
    let (mut claimed, mut right, mut all) = (0.0, 0.0, 0.0);
    for model in 0..MODELS {
        for (variant, name) in ["a", "b"].iter().enumerate() {
            for _ in 0..NEW {
                let states = states(&mut numbers, variant, kind);
                let named = |(feature, state): (usize, &&str)| {
                    (FeatureId::new(format!("f{feature}")), Value::State(StateId::new(*state)))
                };
                let features: Values = states.iter().enumerate().map(named).collect();
                let known = Known { model: Some(ModelId::new(format!("hollin/m{model}"))), ..Known::default() };
                let answer = dating.answer(&Garment { known, market: None, features, ..Garment::default() });
                let (first, probability) = &answer.variants[0];
                claimed += probability;
                right += f64::from(u8::from(*first == VariantId::new(format!("hollin/m{model}/{name}"))));
                all += 1.0;
            }
        }
    }
    (claimed / all, right / all)
}

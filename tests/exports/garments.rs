//! Garments made up at random from a vocabulary, the same on every run, with the engine's answers.

use bartack::dating::answer::garment::{Garment, Known};
use bartack::dating::answer::{self, Dating};
use bartack::dating::likelihood::{self, Tables, years};
use bartack::knowledge::Knowledge;
use bartack::record::id::StateId;
use bartack::record::observation::Value;
use bartack::vocabulary::{Feature, Kind};
use serde_json::{Value as Json, json};

/// How many garments are made up.
const GARMENTS: usize = 150;

/// Codes, of which the keys of the vectors' world read some, each maker's others; `1957` is read by keys of two sources.
const CODES: [&str; 17] = [
    "W",
    "29",
    "-7\\A",
    "=1",
    " 12 ",
    "0458D",
    "04 58-q",
    "Y8",
    "2-8",
    "5301",
    "7226",
    "L 17.03.1958 DQ",
    "55",
    "35",
    "1957",
    "B-07",
    "8",
];

/// Numbers that look random: xorshift64 of G. Marsaglia, "Xorshift RNGs" (Journal of Statistical Software 8/14, 2003).
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as usize % end
    }

    fn one_of<'t, T>(&mut self, from: &'t [T]) -> Option<&'t T> {
        if from.is_empty() { None } else { Some(&from[self.below(from.len())]) }
    }
}

/// Cases as `vectors.json` has them, with variants and years of the answers only.
pub fn cases(knowledge: &Knowledge) -> Vec<Json> {
    cases_by(knowledge, &likelihood::all(knowledge))
}

/// Tables of which no two models are alike in temper, some are not counted, and some have no bounds: the demo has none
/// such.
pub fn uneven(knowledge: &Knowledge) -> Tables {
    let mut tables = likelihood::all(knowledge);
    for (at, model) in tables.models.values_mut().enumerate() {
        model.choice.temper = [1.0, 0.4, 0.7, 0.25, 0.85, 0.55][at % 6];
        model.is_counted = at % 4 != 3;
        for variant in model.variants.values_mut() {
            variant.is_bounded = at % 3 != 2;
        }
    }
    tables
}

/// The same from tables that may have been changed.
pub fn cases_by(knowledge: &Knowledge, tables: &Tables) -> Vec<Json> {
    let dating = Dating::new(knowledge, tables);
    let mut random = Random(0x9E37_79B9_7F4A_7C15);
    let garments = (0..GARMENTS).map(|_| garment(&mut random, knowledge, tables));
    let cases = garments.map(|garment| {
        let answer = dating.answer_without_advice(&garment);
        let variants = answer.variants.iter().map(|(id, share)| json!({ "id": id.as_str(), "probability": share }));
        let years = answer.years.as_ref().map(|spread| {
            let shares = years::all().zip(spread.probability.iter()).filter(|(_, share)| **share > 0.0);
            json!({ "probability": shares.collect::<Vec<_>>() })
        });
        let keys = answer.keys.iter().map(|read| {
            json!({ "feature": read.feature.as_str(), "key": read.key.as_str(), "years": read.reading.years(), "used": read.is_used })
        });
        let answer =
            json!({ "variants": variants.collect::<Vec<_>>(), "years": years, "keys": keys.collect::<Vec<_>>() });
        json!({ "name": "made up", "garment": object(&garment), "answer": answer })
    });
    cases.collect()
}

fn garment(random: &mut Random, knowledge: &Knowledge, tables: &Tables) -> Garment {
    let catalog = &knowledge.catalog;
    let models: Vec<_> = catalog.models.keys().collect();
    let model = random.one_of(&models).map(|id| (*id).clone());
    let known = match (random.below(4), model) {
        (0, _) | (_, None) => Known::default(),
        (1, Some(model)) => Known { maker: Some(model.maker()), ..Known::default() },
        (_, model) => Known { model, ..Known::default() },
    };
    let market = random.one_of(&[None, Some("DE"), Some("US"), Some("ZZ")]).copied().flatten().map(String::from);
    let (some, all) = (1 + random.below(6), 8);
    let features = catalog.vocabulary.iter().filter_map(|feature| {
        let is_examined = random.below(all) < some;
        is_examined.then(|| Some((feature.id.clone(), value(random, feature, tables)?))).flatten()
    });
    let features = features.collect();
    Garment { known, market, features, ..Garment::default() }
}

fn value(random: &mut Random, feature: &Feature, tables: &Tables) -> Option<Value> {
    match random.below(12) {
        0 => return Some(Value::Absent),
        1 => return Some(Value::Lost),
        2 => return Some(Value::Other("no-such-state".into())),
        _ => {}
    }
    let columns = tables.pool.feature(&feature.id).map_or(&[][..], |pooled| &pooled.columns);
    let half = |random: &mut Random| 26.0 + random.below(40) as f64 / 2.0;
    Some(match &feature.kind {
        Kind::State { .. } => match random.one_of(columns)?.as_str() {
            "absent" => Value::Absent,
            "other" => Value::Other("another".into()),
            state => Value::State(StateId::new(state)),
        },
        Kind::Count => Value::Count(1 + random.below(7) as u32),
        Kind::Measure(measure) => {
            let densities = tables.models.values().filter_map(|model| model.measures.get(&feature.id)).flatten();
            let centres: Vec<f64> = densities.map(|density| density.general.0).collect();
            // From below what may have shrunk to above the centre.
            let centre = random.one_of(&centres).copied().unwrap_or((measure.range.0 + measure.range.1) / 2.0);
            Value::Measure((centre * (0.8 + random.below(35) as f64 / 100.0) * 8.0).round() / 8.0)
        }
        Kind::Number => Value::Number(half(random)),
        Kind::Code => Value::Code(random.one_of(&CODES)?.to_string()),
    })
}

fn object(garment: &Garment) -> Json {
    let features = garment.features.iter().map(|(feature, value)| {
        let value = match value {
            Value::Measure(number) | Value::Number(number) => json!(number),
            other => json!(answer::text(other)),
        };
        (feature.to_string(), value)
    });
    json!({
        "maker": garment.known.maker.as_ref().map(|id| id.as_str()),
        "model": garment.known.model.as_ref().map(|id| id.as_str()),
        "market": garment.market,
        "features": features.collect::<serde_json::Map<String, Json>>(),
    })
}

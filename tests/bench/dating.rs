//! One garment among a thousand variants, on one thread.

use std::path::Path;

use bartack::dating::answer::Dating;
use bartack::dating::answer::garment::Garment;
use bartack::dating::likelihood;
use bartack::record::observation::Value;

use crate::{knowledge, seconds};

/// Features with states and counts; measures come on top, and their densities cost more.
const FEATURES: usize = 12;

/// How many garments are dated; the figures are their means.
const GARMENTS: usize = 500;

#[test]
fn a_garment_is_dated_among_a_thousand_variants() {
    // A measurement is made only where `tests/bench/run` asks for it, by naming the folder.
    let Ok(root) = std::env::var("BENCH_DATING_ROOT") else { return };
    let knowledge = knowledge(Path::new(&root));
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults.first());
    let tables = likelihood::all(&knowledge);
    let dating = Dating::new(&knowledge, &tables);
    let observations = knowledge.catalog.records.iter().filter_map(|record| record.content.observation());
    let values = observations.map(|observation| {
        observation.features.iter().map(|(feature, reading)| (feature.clone(), reading.value.clone())).collect()
    });
    let measured: Vec<Garment> =
        values.map(|features| Garment { features, ..Garment::default() }).take(GARMENTS).collect();
    let counted: Vec<Garment> = measured.iter().map(without_measures).collect();
    assert!(counted.iter().all(|garment| garment.features.len() == FEATURES));

    let plain = timed(&counted, |garment| dating.answer_without_advice(garment).variants.len());
    let whole = timed(&counted, |garment| dating.answer(garment).variants.len());
    let with_measures = timed(&measured, |garment| dating.answer_without_advice(garment).variants.len());
    let milliseconds = [plain, whole - plain, with_measures].map(|seconds| format!("{:.3}", seconds * 1e3));
    println!("measured dating {}", milliseconds.join(" "));
}

fn without_measures(garment: &Garment) -> Garment {
    let mut garment = garment.clone();
    garment.features.retain(|_, value| !matches!(value, Value::Measure(_)));
    garment
}

/// The mean CPU seconds of an answer.
fn timed(garments: &[Garment], answer: impl Fn(&Garment) -> usize) -> f64 {
    let before = seconds();
    assert!(garments.iter().all(|garment| answer(garment) >= 1000));
    (seconds() - before) / garments.len() as f64
}

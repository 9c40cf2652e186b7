//! The answer in one line, of eight garments at once, against the whole answer: not one bit may differ.

use std::path::Path;

use bartack::dating::answer::brief::Brief;
use bartack::dating::answer::garment::Garment;
use bartack::dating::answer::{Answer, Dating};
use bartack::dating::likelihood;
use bartack::record::observation::Value;

use crate::dating::reader;
use crate::support::numbers::Numbers;
use crate::support::{repository, site};

/// Every number of an answer that one line says, as bits.
fn bits(likeliest: Option<(&str, f64)>, years: Option<&[f64]>) -> (String, Vec<u64>) {
    let (variant, share) = likeliest.unwrap_or(("", -1.0));
    (variant.to_string(), [share].iter().chain(years.unwrap_or(&[])).map(|number| number.to_bits()).collect())
}

fn of_brief(brief: &Brief) -> (String, Vec<u64>) {
    let likeliest = brief.likeliest.as_ref().map(|(variant, share)| (variant.as_str(), *share));
    bits(likeliest, brief.years.as_ref().map(|years| &years.probability[..]))
}

fn of_answer(answer: &Answer) -> (String, Vec<u64>) {
    let likeliest = answer.variants.first().map(|(variant, share)| (variant.as_str(), *share));
    bits(likeliest, answer.years.as_ref().map(|years| &years.probability[..]))
}

/// Holds random garments and every observation of a knowledge base to the whole answer; says how many have measures.
fn agree(root: &Path, random: usize) -> (usize, usize) {
    let (compilation, _) = site::compiled(root);
    let knowledge = &compilation.knowledge;
    let tables = likelihood::all(knowledge);
    let dating = Dating::new(knowledge, &tables);
    let mut numbers = Numbers(0x5eed_0b1e);
    let mut garments: Vec<Garment> = (0..random).map(|_| reader::garment(&mut numbers, &knowledge.catalog)).collect();
    for observation in knowledge.catalog.records.iter().filter_map(|record| record.content.observation()) {
        let features = observation.features.iter().map(|(feature, reading)| (feature.clone(), reading.value.clone()));
        garments.push(Garment { features: features.collect(), ..Garment::default() });
    }
    let asked: Vec<&Garment> = garments.iter().collect();
    let briefs = dating.briefs().of(&asked);
    assert_eq!(briefs.len(), garments.len());
    let (mut told, mut measured) = (0, 0);
    for (garment, brief) in garments.iter().zip(&briefs) {
        let answer = dating.answer_without_advice(garment);
        assert_eq!(brief.hard, answer.hard);
        assert_eq!(brief.is_contradiction, answer.is_contradiction);
        assert_eq!(of_brief(brief), of_answer(&answer), "{garment:?}");
        told += usize::from(answer.years.is_some());
        measured += usize::from(answer.features.iter().any(|weighed| matches!(weighed.value, Value::Measure(_))));
    }
    (told, measured)
}

#[test]
fn one_line_has_the_bits_of_the_whole_answer_on_the_demo() {
    let (told, measured) = agree(&repository(""), 1000);
    assert!(told > 500 && measured > 50, "{told} with years, {measured} with measures");
}

#[test]
fn one_line_has_the_bits_of_the_whole_answer_where_days_are_open() {
    let root = reader::half_bounded();
    let (told, _) = agree(root.path(), 300);
    assert!(told > 30, "{told} with years");
}

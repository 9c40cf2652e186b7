//! The answer for a garment as JSON, `bartack-date` version 1, in types of its own: fields are added, never changed.

use serde::Serialize;

use crate::dating::answer::garment::Garment;
use crate::dating::answer::{Answer, CodeRead, Doubt, Hard, Spread};
use crate::explain::listing;
use crate::explain::speaking::{self, Speaking};
use crate::knowledge::Knowledge;
use crate::record::id::{FeatureId, LandmarkId, VariantId};
use crate::record::observation::Value;

/// A garment with its answer, and the knowledge base that gave it.
#[derive(Clone, Copy)]
pub struct Answered<'a> {
    /// The knowledge base.
    pub knowledge: &'a Knowledge,
    /// Its content id.
    pub version: &'a str,
    /// The caller's name for the garment.
    pub id: Option<&'a str>,
    pub garment: &'a Garment,
    pub answer: &'a Answer,
}

/// Everything the answer says.
pub fn json(answered: &Answered<'_>) -> serde_json::Result<serde_json::Value> {
    serde_json::to_value(object(answered))
}

/// The answer in one line.
pub fn line(answered: &Answered<'_>) -> serde_json::Result<String> {
    serde_json::to_string(&object(answered))
}

/// The answer in one line, with the changeovers that speak for the garment's years.
pub fn line_with(answered: &Answered<'_>, changes: &[Speaking]) -> serde_json::Result<String> {
    let changes = changes.iter().map(|one| change(answered.knowledge, one)).collect();
    serde_json::to_string(&WithChanges { answer: object(answered), changes })
}

#[derive(Serialize)]
struct WithChanges<'a> {
    #[serde(flatten)]
    answer: Object<'a>,
    changes: Vec<ChangeObject<'a>>,
}

#[derive(Serialize)]
struct ChangeObject<'a> {
    thing: &'a str,
    feature: &'a str,
    word: String,
    from: Option<&'a str>,
    to: Option<&'a str>,
    earliest: Option<String>,
    latest: Option<String>,
    side: &'static str,
    sentence: String,
}

fn change<'a>(knowledge: &Knowledge, one: &'a Speaking) -> ChangeObject<'a> {
    let change = one.change();
    ChangeObject {
        thing: one.history.thing.as_str(),
        feature: one.history.feature.as_str(),
        word: one.history.word.words(),
        from: change.before.state.as_deref(),
        to: change.after.state.as_deref(),
        earliest: change.span.first().map(|day| day.to_string()),
        latest: change.span.last().map(|day| day.to_string()),
        side: one.side.word(),
        sentence: speaking::sentence(knowledge, one),
    }
}

#[derive(Serialize)]
struct Object<'a> {
    format: &'static str,
    version: u32,
    id: Option<&'a str>,
    knowledge_base: &'a str,
    hard: HardObject<'a>,
    contradiction: bool,
    temper: f64,
    variants: Vec<VariantObject<'a>>,
    years: Option<YearsObject>,
    features: Vec<FeatureObject<'a>>,
    keys: Vec<KeyObject<'a>>,
    look_next: Vec<LookNextObject<'a>>,
    would_bound: Vec<WouldBoundObject<'a>>,
    unlike: UnlikeObject,
    doubt: Vec<DoubtObject<'a>>,
    paragraph: String,
    ignored: [&'a str; 0],
}

#[derive(Serialize)]
struct HardObject<'a> {
    not_before: Option<String>,
    not_before_by: Vec<&'a str>,
    not_after: Option<String>,
    not_after_by: Vec<&'a str>,
}

#[derive(Serialize)]
struct VariantObject<'a> {
    id: &'a str,
    probability: f64,
}

#[derive(Serialize)]
struct YearsObject {
    probability: Vec<(i32, f64)>,
    span50: Vec<(i32, i32)>,
    span95: Vec<(i32, i32)>,
}

#[derive(Serialize)]
struct FeatureObject<'a> {
    feature: &'a str,
    state: String,
    bits: Option<f64>,
}

#[derive(Serialize)]
struct KeyObject<'a> {
    feature: &'a str,
    code: &'a str,
    key: &'a str,
    reads: String,
    years: Vec<i32>,
    factory: Option<&'a str>,
    used: bool,
}

#[derive(Serialize)]
struct LookNextObject<'a> {
    feature: &'a str,
    entropy_drop: f64,
    look: &'a str,
}

#[derive(Serialize)]
struct WouldBoundObject<'a> {
    feature: &'a str,
    state: &'a str,
    landmark: &'a str,
    rules_out: f64,
}

#[derive(Serialize)]
struct UnlikeObject {
    z: Option<f64>,
    fires: bool,
}

#[derive(Serialize)]
struct DoubtObject<'a> {
    features: Vec<&'a str>,
    hard: HardObject<'a>,
    variants: Vec<VariantObject<'a>>,
    years: Option<YearsObject>,
}

fn object<'a>(answered: &Answered<'a>) -> Object<'a> {
    let answer = answered.answer;
    let vocabulary = &answered.knowledge.catalog.vocabulary;
    let look = |feature: &FeatureId| vocabulary.feature(feature.as_str()).map_or("", |feature| feature.look.as_str());
    Object {
        format: "bartack-date",
        version: 1,
        id: answered.id,
        knowledge_base: answered.version,
        hard: hard(&answer.hard),
        contradiction: answer.is_contradiction,
        temper: answer.temper,
        variants: variants(&answer.variants),
        years: answer.years.as_ref().map(years),
        features: answer
            .features
            .iter()
            .map(|weighed| FeatureObject {
                feature: weighed.feature.as_str(),
                state: state(&weighed.value),
                bits: weighed.bits,
            })
            .collect(),
        keys: answer.keys.iter().map(key).collect(),
        look_next: answer
            .look_next
            .iter()
            .map(|next| LookNextObject {
                feature: next.feature.as_str(),
                entropy_drop: next.entropy_drop,
                look: look(&next.feature),
            })
            .collect(),
        would_bound: answer
            .would_bound
            .iter()
            .map(|mark| WouldBoundObject {
                feature: mark.feature.as_str(),
                state: &mark.state,
                landmark: mark.landmark.as_str(),
                rules_out: mark.rules_out,
            })
            .collect(),
        unlike: UnlikeObject { z: answer.unlike, fires: answer.is_unlike() },
        doubt: answer.doubt.iter().map(doubt).collect(),
        paragraph: listing::paragraph(answered.knowledge, answered.version, answered.garment, answer),
        ignored: [],
    }
}

fn key(read: &CodeRead) -> KeyObject<'_> {
    KeyObject {
        feature: read.feature.as_str(),
        code: &read.code,
        key: read.key.as_str(),
        reads: read.reading.edtf(),
        years: read.reading.years().into_iter().collect(),
        factory: read.reading.factory(),
        used: read.is_used,
    }
}

fn hard(hard: &Hard) -> HardObject<'_> {
    HardObject {
        not_before: hard.not_before.map(|day| day.to_string()),
        not_before_by: hard.not_before_by.iter().map(LandmarkId::as_str).collect(),
        not_after: hard.not_after.map(|day| day.to_string()),
        not_after_by: hard.not_after_by.iter().map(LandmarkId::as_str).collect(),
    }
}

fn variants(variants: &[(VariantId, f64)]) -> Vec<VariantObject<'_>> {
    let objects = variants.iter().map(|(id, probability)| VariantObject { id: id.as_str(), probability: *probability });
    objects.collect()
}

fn years(spread: &Spread) -> YearsObject {
    let years = crate::dating::likelihood::years::all().zip(spread.probability.iter().copied());
    YearsObject {
        probability: years.filter(|(_, probability)| *probability > 0.0).collect(),
        span50: spread.spans(0.5),
        span95: spread.spans(0.95),
    }
}

fn doubt(doubt: &Doubt) -> DoubtObject<'_> {
    DoubtObject {
        features: doubt.features.iter().map(FeatureId::as_str).collect(),
        hard: hard(&doubt.hard),
        variants: variants(&doubt.variants),
        years: doubt.years.as_ref().map(years),
    }
}

fn state(value: &Value) -> String {
    crate::dating::answer::text(value)
}

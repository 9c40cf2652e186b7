//! Readings of another knowledge base whose unit only its vocabulary says, where this one has another unit.

use crate::diagnostic::wording::quote;
use crate::record::id::FeatureId;
use crate::source::tree::{Item, Table};
use crate::vocabulary::{Kind, Unit, Vocabulary};

/// Says what is wrong with the first reading that would be read in another unit here.
///
/// `named` gives what a feature there is called here.
pub fn mistaken(
    front: &Table,
    theirs: &Vocabulary,
    ours: &Vocabulary,
    named: impl Fn(&FeatureId) -> FeatureId,
) -> Option<String> {
    let readings = front.table("features").map(Table::entries).unwrap_or_default();
    let bare = readings.iter().filter(|entry| match &entry.value.item {
        Item::Integer(_) | Item::Float(_) => true,
        Item::Table(reading) => reading.has("value") && !reading.has("unit"),
        _ => false,
    });
    bare.filter_map(|entry| {
        let feature = FeatureId::new(entry.key.value.as_str());
        let (there, here) = (unit(theirs, &feature)?, unit(ours, &named(&feature))?);
        (there != here).then(|| {
            format!(
                "{} has no unit: that is `{}` there and would be `{}` here. Write it there as `{{ value = …, unit = \"{}\" }}`",
                quote(feature.as_str()),
                there.word(),
                here.word(),
                there.word()
            )
        })
    })
    .next()
}

fn unit(vocabulary: &Vocabulary, feature: &FeatureId) -> Option<Unit> {
    match &vocabulary.feature(feature.as_str())?.kind {
        Kind::Measure(measure) => Some(measure.unit),
        _ => None,
    }
}

//! Records put where they belong: models under makers, variants under models and lines, observations under variants.

use crate::record::Content;
use crate::record::id::{KeyId, LandmarkId, LineId};
use crate::record::observation::Placement;
use crate::resolve::{Catalog, MakerEntry, ModelEntry, RecordIndex, VariantEntry};

/// Puts every record where it belongs: makers before what they made, in order of path.
pub fn records(catalog: &mut Catalog) {
    let indexes = (0..catalog.records.len()).map(|number| RecordIndex(number as u32));
    for index in indexes.clone() {
        let record = &catalog.records[index.0 as usize];
        match &record.content {
            Content::Maker(maker) => {
                let lines: Vec<LineId> = maker.lines.iter().map(|line| line.id.value.clone()).collect();
                catalog.lines.extend(lines.iter().map(|line| (line.clone(), index)));
                catalog.makers.insert(maker.id.clone(), MakerEntry { record: index, lines, models: Vec::new() });
            }
            Content::Model(model) => {
                catalog.models.insert(model.id.clone(), ModelEntry { record: index, variants: Vec::new() });
            }
            Content::Variant(variant) => {
                let entry = VariantEntry { record: index, line: None, observations: Vec::new() };
                catalog.variants.insert(variant.id.clone(), entry);
            }
            Content::Landmark(_) => {
                catalog.landmarks.insert(LandmarkId::new(record.path.stem()), index);
            }
            Content::Key(_) => {
                catalog.keys.insert(KeyId::new(record.path.stem()), index);
            }
            Content::Dispute(_) => catalog.disputes.push(index),
            _ => {}
        }
    }
    hang(catalog, indexes);
}

/// Hangs models on makers, variants on models and lines, observations on variants.
fn hang(catalog: &mut Catalog, indexes: impl Iterator<Item = RecordIndex>) {
    for model in catalog.models.keys() {
        if let Some(maker) = catalog.makers.get_mut(&model.maker()) {
            maker.models.push(model.clone());
        }
    }
    for variant in catalog.variants.keys() {
        if let Some(model) = catalog.models.get_mut(&variant.model()) {
            model.variants.push(variant.clone());
        }
    }
    for index in indexes {
        match &catalog.records[index.0 as usize].content {
            Content::Variant(variant) if catalog.lines.contains_key(&variant.line.value) => {
                if let Some(entry) = catalog.variants.get_mut(&variant.id) {
                    entry.line = Some(variant.line.value.clone());
                }
            }
            Content::Observation(observation) => match &observation.placement {
                Placement::Variant(variant) => {
                    if let Some(entry) = catalog.variants.get_mut(variant) {
                        entry.observations.push(index);
                    }
                }
                Placement::Unplaced(_) => catalog.unplaced.push(index),
            },
            _ => {}
        }
    }
}

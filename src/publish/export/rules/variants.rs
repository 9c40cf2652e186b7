//! Exports variants, each with its era.

use std::collections::BTreeMap;

use crate::chronology::{estimated_sides, sides_on_one};
use crate::dating::likelihood::{ModelTables, VariantTables};
use crate::knowledge::{self, Knowledge, Side};
use crate::publish::export::rules::cells;
use crate::publish::export::rules::format::{Bounds, Era, Variant};
use crate::record::id::{ModelId, Thing, VariantId, Whole};
use crate::record::{self, Content};

/// Exports every variant of some models, sorted by id.
pub fn all<'a>(knowledge: &'a Knowledge, models: &BTreeMap<&'a ModelId, &'a ModelTables>) -> Vec<Variant<'a>> {
    let variants = knowledge.catalog.variants.iter();
    let exported = variants.filter_map(|(id, entry)| match &knowledge.catalog.record(entry.record).content {
        Content::Variant(variant) => {
            let tables = models.get(&id.model())?.variants.get(id)?;
            Some(export(knowledge, id, variant, tables))
        }
        _ => None,
    });
    exported.collect()
}

fn export<'a>(
    knowledge: &'a Knowledge,
    id: &'a VariantId,
    variant: &'a record::Variant,
    tables: &'a VariantTables,
) -> Variant<'a> {
    let thing = Thing::of(Whole::Variant(id.clone()));
    Variant {
        id: id.as_str(),
        name: &variant.name,
        maker: id.maker().to_string(),
        model: id.model().to_string(),
        line: knowledge.catalog.variants[id].line.as_ref().map(|line| line.as_str()),
        wearer: variant.wearer.word(),
        revives: variant.revives.as_ref().map(|revives| revives.value.as_str()),
        era: era(knowledge.eras.get(&thing).unwrap_or(&knowledge::Era::default())),
        cells: cells::export(&tables.cells),
    }
}

fn era(era: &knowledge::Era) -> Era {
    let day = |side| era.day(side).map(|day| day.to_string());
    Era {
        begin: Bounds { earliest: day(Side::BeginEarliest), latest: day(Side::BeginLatest) },
        end: Bounds { earliest: day(Side::EndEarliest), latest: day(Side::EndLatest) },
        estimated: estimated_sides(era),
        rests_on_one: sides_on_one(era),
    }
}

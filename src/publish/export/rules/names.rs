//! Exports makers, lines and models with their names, and shortens addresses to ids.

use std::collections::BTreeMap;

use crate::dating::likelihood::ModelTables;
use crate::publish::export::rules::cells;
use crate::publish::export::rules::format::{Line, Maker, Model};
use crate::record::Content;
use crate::record::id::{MakerId, ModelId};
use crate::resolve::Catalog;

/// Exports makers, sorted by id: all, or one.
pub fn makers<'a>(catalog: &'a Catalog, only: Option<&MakerId>) -> Vec<Maker<'a>> {
    let makers = catalog.makers.iter().filter(|(id, _)| only.is_none_or(|only| only == *id));
    let named = makers.filter_map(|(id, entry)| match &catalog.record(entry.record).content {
        Content::Maker(maker) => Some(Maker { id: id.as_str(), name: &maker.name }),
        _ => None,
    });
    named.collect()
}

/// Exports label lines, sorted by id: all, or those of one maker.
pub fn lines<'a>(catalog: &'a Catalog, only: Option<&MakerId>) -> Vec<Line<'a>> {
    let lines = catalog.lines.iter().filter(|(id, _)| only.is_none_or(|only| *only == id.maker()));
    let named = lines.filter_map(|(id, _)| {
        let line = catalog.line(id)?;
        Some(Line { id: id.as_str(), name: &line.name, sign: line.sign.as_deref() })
    });
    named.collect()
}

/// Exports some models with their tables, sorted by id.
pub fn models<'a>(catalog: &'a Catalog, models: &BTreeMap<&'a ModelId, &'a ModelTables>) -> Vec<Model<'a>> {
    let named = models.iter().filter_map(|(id, tables)| {
        let entry = catalog.models.get(*id)?;
        match &catalog.record(entry.record).content {
            Content::Model(model) => Some(Model {
                id: id.as_str(),
                name: &model.name,
                garment: &model.garment.value,
                counted: tables.is_counted,
                temper: tables.choice.temper,
                examined: tables.examined.iter().map(|feature| feature.as_str()).collect(),
                cells: cells::export(&tables.cells),
                measures: cells::measures(&tables.measures),
            }),
            _ => None,
        }
    });
    named.collect()
}

/// Shortens a record's address to the id that other fields use: `makers/a/x/v/variant` to `a/x/v`.
pub fn id_of(address: &str) -> &str {
    if let Some(landmark) = address.strip_prefix("landmarks/") {
        return landmark;
    }
    let Some(path) = address.strip_prefix("makers/") else { return address };
    let own_file = ["/maker", "/model", "/variant"].iter().find_map(|file| path.strip_suffix(file));
    own_file.unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::id_of;

    #[test]
    fn addresses_become_the_ids_of_the_other_fields() {
        assert_eq!(id_of("makers/a/x/v/variant"), "a/x/v");
        assert_eq!(id_of("makers/a/x/model"), "a/x");
        assert_eq!(id_of("makers/a/x/v/hem"), "a/x/v/hem");
        assert_eq!(id_of("landmarks/zip"), "zip");
        assert_eq!(id_of("sources/list"), "sources/list");
    }
}

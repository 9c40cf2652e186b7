//! Makers, lines and models with what people call them, and addresses of records as ids.

use crate::publish::rules::format::{Line, Maker, Model};
use crate::record::Content;
use crate::resolve::Catalog;

/// Exports every maker, sorted by id.
pub fn makers(catalog: &Catalog) -> Vec<Maker<'_>> {
    let makers = catalog.makers.iter();
    let named = makers.filter_map(|(id, entry)| match &catalog.record(entry.record).content {
        Content::Maker(maker) => Some(Maker { id: id.as_str(), name: &maker.name }),
        _ => None,
    });
    named.collect()
}

/// Exports every label line, sorted by id.
pub fn lines(catalog: &Catalog) -> Vec<Line<'_>> {
    let lines = catalog.lines.iter();
    let named = lines.filter_map(|(id, index)| match &catalog.record(*index).content {
        Content::Maker(maker) => {
            let line = maker.lines.iter().find(|line| line.id.value == *id)?;
            Some(Line { id: id.as_str(), name: &line.name, sign: line.sign.as_deref() })
        }
        _ => None,
    });
    named.collect()
}

/// Exports every model, sorted by id.
pub fn models(catalog: &Catalog) -> Vec<Model<'_>> {
    let models = catalog.models.iter();
    let named = models.filter_map(|(id, entry)| match &catalog.record(entry.record).content {
        Content::Model(model) => Some(Model { id: id.as_str(), name: &model.name, garment: &model.garment.value }),
        _ => None,
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

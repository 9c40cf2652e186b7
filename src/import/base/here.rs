//! Makers, models and variants of this knowledge base by id and name, and names that are free.

use crate::import::heading::plain;
use crate::record::Content;
use crate::record::id::{MakerId, ModelId, VariantId};
use crate::resolve::{Catalog, RecordIndex};

/// The most numbers that are tried for a name.
const MOST_NUMBERS: usize = 200;

/// The records here.
#[derive(Clone, Copy)]
pub struct Here<'a>(pub &'a Catalog);

impl<'a> Here<'a> {
    /// Finds a maker, model or variant by its id.
    pub fn record(&self, kind: &str, id: &str) -> Option<RecordIndex> {
        match kind {
            "maker" => self.0.makers.get(id).map(|entry| entry.record),
            "model" => self.0.models.get(id).map(|entry| entry.record),
            _ => self.0.variants.get(id).map(|entry| entry.record),
        }
    }

    /// Says whether a maker, model or variant has a name.
    pub fn is_named(&self, record: RecordIndex, other: &str) -> bool {
        plain(name(self.0, record)) == plain(other)
    }

    /// The id that a thing has here after it was renamed.
    pub fn moved(&self, kind: &str, id: &str) -> Option<String> {
        let now = self.0.moved.get(&address(kind, id))?;
        Some(now.strip_prefix("makers/")?.strip_suffix(&format!("/{kind}"))?.to_string())
    }

    /// The one other thing of the same kind and place that is called the same.
    pub fn same_name(&self, kind: &str, wish: &str, is_it: &dyn Fn(RecordIndex) -> bool) -> Option<&'a str> {
        let folder = wish.rsplit_once('/').map(|(folder, _)| folder);
        let is_beside = |id: &&str| id.rsplit_once('/').map(|(folder, _)| folder) == folder;
        let ids: Vec<&str> = match kind {
            "maker" => self.0.makers.keys().map(MakerId::as_str).collect(),
            "model" => self.0.models.keys().map(ModelId::as_str).collect(),
            _ => self.0.variants.keys().map(VariantId::as_str).collect(),
        };
        let mut found = ids.into_iter().filter(is_beside).filter(|id| self.record(kind, id).is_some_and(is_it));
        let one = found.next()?;
        found.next().is_none().then_some(one)
    }

    /// Says whether nothing here has a name, not even a record that cannot be read.
    pub fn is_free(&self, kind: &str, id: &str) -> bool {
        let folder = format!("entries/makers/{id}/");
        let sources = &self.0.sources;
        let paths =
            sources.iter().map(|(_, file)| file.path()).chain(sources.attachments().iter().map(|one| &one.path));
        !self.0.moved.contains_key(&address(kind, id))
            && !paths.into_iter().any(|path| path.as_str().starts_with(&folder))
    }
}

/// A name and the same with the numbers that it may have got when it was brought before.
pub fn numbered(wish: &str) -> impl Iterator<Item = String> + use<> {
    let wish = wish.to_string();
    (1..MOST_NUMBERS).map(move |number| if number == 1 { wish.clone() } else { format!("{wish}-{number}") })
}

/// The address of a maker, model or variant.
pub fn address(kind: &str, id: &str) -> String {
    format!("makers/{id}/{kind}")
}

/// The name of a maker, model or variant.
pub fn name(catalog: &Catalog, index: RecordIndex) -> &str {
    match &catalog.record(index).content {
        Content::Maker(maker) => &maker.name,
        Content::Model(model) => &model.name,
        Content::Variant(variant) => &variant.name,
        _ => "",
    }
}

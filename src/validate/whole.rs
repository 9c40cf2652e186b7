//! Makers, models and variants.

use std::collections::BTreeMap;

use crate::fault::FaultKind;
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, StateId, VariantId};
use crate::record::observation::Wearer;
use crate::record::{Line, Maker, Model, Variant};
use crate::source::Spanned;
use crate::source::tree::{Entry, Table};
use crate::validate::reader::{Named, Reader};
use crate::validate::thing::{self, Scope};
use crate::validate::{citation, claim};

/// Reads `maker.md`.
pub(super) fn maker(reader: &mut Reader<'_>, table: &Table, id: &MakerId) -> Option<Maker> {
    let claims = claim::all(reader, table, &Scope::of_maker(id));
    let local_sources = citation::local(reader, table);
    let ids: Vec<Spanned<String>> = table.tables("lines").filter_map(|line| line.text("id")).collect();
    reader.check_ids(&ids);
    let lines: Vec<Option<Line>> = table.tables("lines").map(|line| one_line(reader, line, id)).collect();
    Some(Maker {
        id: id.clone(),
        name: reader.text(table, "name")?.value,
        lines: lines.into_iter().collect::<Option<_>>()?,
        claims,
        local_sources,
    })
}

fn one_line(reader: &mut Reader<'_>, table: &Table, maker: &MakerId) -> Option<Line> {
    let (id, name) = (reader.text(table, "id"), reader.text(table, "name"));
    let shows = signs(reader, table);
    Some(Line { id: line_id(maker, &id?), name: name?.value, sign: table.words("sign"), shows })
}

/// Reads what a line's label shows.
fn signs(reader: &mut Reader<'_>, line: &Table) -> BTreeMap<FeatureId, Spanned<StateId>> {
    let entries = line.table("shows").map(Table::entries).unwrap_or_default();
    entries.iter().filter_map(|entry| Some((FeatureId::new(&*entry.key.value), sign(reader, entry)?))).collect()
}

fn sign(reader: &mut Reader<'_>, entry: &Entry) -> Option<Spanned<StateId>> {
    let Named::Known(feature) = reader.feature(&entry.key.value, entry.key.span) else { return None };
    if !feature.defining || !feature.has_states() {
        let found = format!("`{}`, which is not `defining`", feature.id);
        reader.other(entry.key.span, found, "a state or count feature that the vocabulary calls `defining`");
        return None;
    }
    let node = &entry.value;
    let word = node.text().map(str::to_string).or_else(|| Some(node.count()?.to_string()))?;
    if !thing::is_state(feature, &word) {
        reader.report(node.span, FaultKind::Term(thing::unknown_state(feature, &word)));
        return None;
    }
    Some(Spanned::new(feature.current_state(&word), node.span))
}

fn line_id(maker: &MakerId, line: &Spanned<String>) -> Spanned<LineId> {
    Spanned::new(LineId::of(maker, &line.value), line.span)
}

/// Reads `model.md`.
pub(super) fn model(reader: &mut Reader<'_>, table: &Table, id: &ModelId) -> Option<Model> {
    let claims = claim::all(reader, table, &Scope::of_model(id));
    let local_sources = citation::local(reader, table);
    let (name, garment) = (reader.text(table, "name"), reader.text(table, "garment"));
    Some(Model { id: id.clone(), name: name?.value, garment: garment?, claims, local_sources })
}

/// Reads `variant.md`.
pub(super) fn variant(reader: &mut Reader<'_>, table: &Table, id: &VariantId) -> Option<Variant> {
    let claims = claim::all(reader, table, &Scope::of_variant(id));
    let local_sources = citation::local(reader, table);
    let revives = revived(reader, table, id);
    let (name, line) = (reader.text(table, "name"), reader.text(table, "line"));
    let wearer = reader.word(table, "wearer", &Wearer::ALL);
    Some(Variant {
        id: id.clone(),
        name: name?.value,
        line: line_id(&id.maker(), &line?),
        wearer: wearer?.value,
        revives,
        claims,
        local_sources,
    })
}

/// Reads the variant whose run is taken up again: by name in the same model, or in full.
fn revived(reader: &mut Reader<'_>, table: &Table, id: &VariantId) -> Option<Spanned<VariantId>> {
    let text = table.text("revives")?;
    let revived = match text.value.contains('/') {
        true => VariantId::new(text.value.as_str()),
        false => VariantId::of(&id.model(), &text.value),
    };
    if revived == *id {
        reader.other(text.span, format!("`{}`", text.value), "a variant other than this one");
    }
    Some(Spanned::new(revived, text.span))
}

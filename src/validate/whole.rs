//! Makers, models and variants.

use crate::record::id::{LineId, MakerId, ModelId, VariantId};
use crate::record::observation::Wearer;
use crate::record::{Line, Maker, Model, Variant};
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::reader::Reader;
use crate::validate::thing::Scope;
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
    Some(Line { id: line_id(maker, &id?), name: name?.value, sign: table.words("sign") })
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
        reader.other(text.span, format!("`{}`", text.value), "another variant than this one itself");
    }
    Some(Spanned::new(revived, text.span))
}

//! Observations, placed and unplaced.

use crate::date::Day;
use crate::date::edtf::Edtf;
use crate::fault::FaultKind;
use crate::fault::photograph::PhotographFault;
use crate::record::claim::{Claim, Event};
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, VariantId, is_device};
use crate::record::observation::{Basis, Observation, PhotographReference, Placement, Unplaced, Wearer};
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::reader::{Named, Reader, word};
use crate::validate::thing::Scope;
use crate::validate::{about, citation, claim, judgement, reading};

const BASES: [(Basis, &str); 3] =
    [(Basis::Specimen, "specimen"), (Basis::Document, "document"), (Basis::Statement, "statement")];
/// Keys that say what a folder would, and so belong to unplaced observations only.
const UNPLACED_KEYS: [&str; 5] = ["maker", "model", "line", "wearer", "perhaps"];

/// Reads an observation in the folder of a variant.
pub(super) fn placed(reader: &mut Reader<'_>, table: &Table, variant: &VariantId) -> Option<Observation> {
    for key in UNPLACED_KEYS {
        if let Some(entry) = table.entry(key) {
            let found = format!("`{key}` in the folder of a variant");
            reader.other(entry.key.span, found, "it only in entries/unplaced/, because here the folder says it");
        }
    }
    read(reader, table, Placement::Variant(variant.clone()), &Scope::of_variant(variant))
}

/// Reads a record of `entries/unplaced/`.
pub(super) fn unplaced(reader: &mut Reader<'_>, table: &Table) -> Option<Observation> {
    let known = known(reader, table);
    let maker = known.maker.as_ref().map(|maker| maker.value.clone());
    let model = known.model.as_ref().map(|model| model.value.clone());
    let maker = maker.or(model.as_ref().map(ModelId::maker));
    let scope = Scope { maker, model, variant: None, own: None };
    read(reader, table, Placement::Unplaced(Box::new(known)), &scope)
}

fn read(reader: &mut Reader<'_>, table: &Table, placement: Placement, scope: &Scope) -> Option<Observation> {
    let basis = reader.word(table, "basis", &BASES);
    let placing = judgement::placing(reader, table);
    let dating = judgement::dating(reader, table, basis.as_ref().map(|basis| basis.value));
    let made = reader.date(table, "made");
    let features = reading::all(reader, table);
    let claims = claim::all(reader, table, scope);
    let local_sources = citation::local(reader, table);
    let photographs = photographs(reader, table);
    let observed = table.day("observed");
    if let Some(observed) = &observed {
        check_order(reader, observed.value, made.as_ref(), &claims);
    }
    let same_as = same_as(reader, table);
    Some(Observation {
        placement,
        basis: basis?,
        observed,
        observer: table.text("observer"),
        same_as,
        find: table.words("find"),
        factory: table.words("factory"),
        market: table.text("market"),
        placed_by: placing.by,
        placed_from: placing.from,
        made,
        made_by: dating.by,
        made_source: citation::reference(table, "made-source"),
        made_from: dating.from,
        made_as_written: table.words("made-as-written"),
        made_note: table.words("made-note"),
        sources: citation::references(table, "sources"),
        features,
        claims,
        local_sources,
        photographs,
    })
}

/// Reports what was made, or seen being made, wholly after the day on which it was looked at.
fn check_order(reader: &mut Reader<'_>, observed: Day, made: Option<&Spanned<Edtf>>, claims: &[Claim]) {
    let attested = claims.iter().filter_map(|claim| match &claim.event.value {
        Event::Attested(when) => Some(when),
        _ => None,
    });
    for date in made.into_iter().chain(attested) {
        let first = date.value.span(reader.terms.circa).first();
        if first.is_some_and(|first| first > observed) {
            let found = format!("`{}` is after the day in `observed`, {observed}", date.value.as_str());
            reader.other(date.span, found, "a date that begins on or before that day");
        }
    }
}

/// Reads the other entry of the same garment: a name in the same folder, or a path under `entries/`.
fn same_as(reader: &mut Reader<'_>, table: &Table) -> Option<Spanned<String>> {
    let text = table.text("same-as")?;
    let other = about::address(&text.value);
    if other == reader.path.stem() || other == reader.path.address() {
        reader.other(text.span, format!("`{}` is this entry itself", text.value), "another entry of the same garment");
    }
    Some(Spanned::new(other, text.span))
}

fn photographs(reader: &mut Reader<'_>, table: &Table) -> Vec<PhotographReference> {
    let mut photographs = Vec::new();
    for photograph in table.tables("photos") {
        photographs.extend(one_photograph(reader, photograph));
    }
    photographs
}

fn one_photograph(reader: &mut Reader<'_>, table: &Table) -> Option<PhotographReference> {
    let mut shows = Vec::new();
    for feature in table.texts("shows") {
        if !matches!(reader.feature(&feature.value, feature.span), Named::Unknown) {
            shows.push(Spanned::new(FeatureId::new(feature.value), feature.span));
        }
    }
    let file = reader.text(table, "file")?;
    if !is_file_name(&file.value) {
        let fault = PhotographFault::BadName { file: file.value.clone() };
        reader.report(file.span, FaultKind::Photograph(fault));
    }
    Some(PhotographReference { file, shows, credit: table.words("credit"), licence: table.words("licence") })
}

/// Says whether it names a file in the same folder on every system.
fn is_file_name(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name);
    !is_device(stem)
        && !name.starts_with('.')
        && !name.contains(['/', '\\', ':', '\n', '\r', '\t'])
        && name.trim() == name
}

fn known(reader: &mut Reader<'_>, table: &Table) -> Unplaced {
    let maker = table.text("maker").map(|maker| Spanned::new(MakerId::new(maker.value), maker.span));
    let model = table.text("model").and_then(|text| in_maker(reader, text, &maker, "maker/model"));
    let line = table.text("line").and_then(|text| in_maker(reader, text, &maker, "maker/line:id"));
    let line_id = |(maker, line): (MakerId, String)| LineId::of(&maker, line.trim_start_matches("line:"));
    Unplaced {
        model: model.map(|found| Spanned::new(ModelId::of(&found.value.0, &found.value.1), found.span)),
        line: line.map(|found| Spanned::new(line_id(found.value), found.span)),
        maker,
        wearer: word(table, "wearer", &Wearer::ALL).map(|wearer| wearer.value),
        perhaps: perhaps(table),
    }
}

fn perhaps(table: &Table) -> Vec<Spanned<VariantId>> {
    let texts = table.texts("perhaps").into_iter();
    texts.map(|text| Spanned::new(VariantId::new(text.value), text.span)).collect()
}

/// Splits a name that includes its maker, or uses the separate maker; the two must not differ.
fn in_maker(
    reader: &mut Reader<'_>,
    text: Spanned<String>,
    maker: &Option<Spanned<MakerId>>,
    form: &str,
) -> Option<Spanned<(MakerId, String)>> {
    let beside = maker.as_ref().map(|maker| maker.value.clone());
    let (own, name) = match text.value.split_once('/') {
        Some((own, name)) => (Some(MakerId::new(own)), name.to_string()),
        None => (None, text.value.clone()),
    };
    if own.is_some() && beside.is_some() && own != beside {
        reader.other(text.span, format!("`{}`", text.value), "the maker that `maker` names");
        return None;
    }
    let Some(maker) = own.or(beside) else {
        reader.other(text.span, format!("`{}`", text.value), &format!("`{form}`, or `maker` beside it"));
        return None;
    };
    Some(Spanned::new((maker, name), text.span))
}

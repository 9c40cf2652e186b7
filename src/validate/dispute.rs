//! Disputes: the names of claims, and what they said when the dispute was written.

use crate::record::id::VoiceName;
use crate::record::{Dispute, DisputeStatus, DisputedClaim};
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::reader::Reader;

const STATUS: [(DisputeStatus, &str); 2] = [(DisputeStatus::Open, "open"), (DisputeStatus::Settled, "settled")];

/// Reads a record of `entries/disputes/`.
pub(super) fn read(reader: &mut Reader<'_>, table: &Table) -> Option<Dispute> {
    let claims: Vec<Option<DisputedClaim>> = table.tables("claims").map(|claim| disputed(reader, claim)).collect();
    let status = reader.word(table, "status", &STATUS);
    let set_aside = table.texts("set-aside").into_iter().map(voice).collect();
    Some(Dispute { claims: claims.into_iter().collect::<Option<_>>()?, status: status?.value, set_aside })
}

fn disputed(reader: &mut Reader<'_>, table: &Table) -> Option<DisputedClaim> {
    let claim = reader.text(table, "claim").map(voice);
    let says = reader.text(table, "says");
    Some(DisputedClaim { claim: claim?, says: says? })
}

/// Gives the name its full form, the path from `entries/` to `.md`, where it is written without either.
fn voice(text: Spanned<String>) -> Spanned<VoiceName> {
    let (path, name) = text.value.split_once('#').unwrap_or((&text.value, ""));
    let path = path.strip_prefix("entries/").unwrap_or(path);
    let path = path.strip_suffix(".md").unwrap_or(path);
    Spanned::new(VoiceName::new(format!("entries/{path}.md#{name}")), text.span)
}

//! The settings of the knowledge base, and what any record may carry.

use crate::record::{About, Allowance, Weights, Withheld, WithheldWhat};
use crate::source::Spanned;
use crate::source::tree::Table;
use crate::validate::reader::Reader;

/// How far `~` widens a year where the settings say nothing.
const CIRCA_YEARS: u32 = 2;

/// Reads `entries/about.md`.
pub(super) fn read(reader: &mut Reader<'_>, table: &Table) -> Option<About> {
    let withheld: Vec<Option<Withheld>> = table.tables("withheld").map(|entry| one_withheld(reader, entry)).collect();
    let (title, licence) = (reader.text(table, "title"), reader.text(table, "licence"));
    let language = reader.text(table, "language");
    Some(About {
        title: title?.value,
        summary: table.words("summary").unwrap_or_default(),
        licence: licence?.value,
        language: language?.value,
        address: table.words("address"),
        edit_url: table.words("edit-url"),
        contact: table.words("contact"),
        circa_years: circa_years(table),
        withheld: withheld.into_iter().collect::<Option<_>>()?,
        weight: table.table("weight").map_or(Weights::default(), weights),
    })
}

/// How far `~` widens a year.
pub(super) fn circa_years(table: &Table) -> u32 {
    table.count("circa-years").filter(|years| *years <= 100).unwrap_or(CIRCA_YEARS)
}

fn weights(table: &Table) -> Weights {
    let default = Weights::default();
    let weight = |key: &str, default: u32| table.count(key).unwrap_or(default);
    Weights {
        contemporary: weight("contemporary", default.contemporary),
        in_hand: weight("in-hand", default.in_hand),
        secondary: weight("secondary", default.secondary),
        statement: weight("statement", default.statement),
    }
}

fn one_withheld(reader: &mut Reader<'_>, table: &Table) -> Option<Withheld> {
    let what = match (table.text("path"), table.text("observer"), table.text("source")) {
        (Some(path), None, None) => Spanned::new(WithheldWhat::Path(address(&path.value)), path.span),
        (None, Some(observer), None) => Spanned::new(WithheldWhat::Observer(observer.value), observer.span),
        (None, None, Some(source)) => Spanned::new(WithheldWhat::Source(source.value), source.span),
        _ => reader.need(table, "path", None)?,
    };
    Some(Withheld { what, reason: reader.text(table, "reason")?.value })
}

/// Reads `formerly`: earlier paths, with or without `entries/` and `.md`.
pub(super) fn formerly(table: &Table) -> Vec<Spanned<String>> {
    let paths = table.texts("formerly").into_iter();
    paths.map(|path| Spanned::new(address(&path.value), path.span)).collect()
}

/// Reads `allow`.
pub(super) fn allow(table: &Table) -> Vec<Allowance> {
    let one = |table: &Table| Some(Allowance { lint: table.text("lint")?, reason: table.words("reason")? });
    table.tables("allow").filter_map(one).collect()
}

/// The path under `entries/` without `.md`.
pub(super) fn address(path: &str) -> String {
    let path = path.strip_prefix("entries/").unwrap_or(path);
    path.strip_suffix(".md").unwrap_or(path).to_string()
}

//! Writes `eras.csv`: a row for every era.

use crate::analysis::Analysis;
use crate::chronology::{estimated_sides, sides_on_one};
use crate::knowledge::{Era, Knowledge, Side};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, optional, words};
use crate::record::id::Thing;

/// The table of eras.
pub const TABLE: Table = Table {
    name: "eras",
    summary: "when each maker, line, model, variant and state was first and last made",
    description: "A row for every maker, label line, model and variant, and for every state of a feature seen or \
        claimed. Possibly made from begin_earliest to end_latest, surely made from begin_latest to end_earliest if these are in order. An empty bound is not known. An era is a conclusion from recorded opinions \
        and observations, not authentication.",
    columns,
    key: &["thing"],
    references: &[],
    rows,
};

fn columns(_: &Knowledge) -> Vec<Column> {
    let thing = "Path under entries/makers/: maker, maker/line:line, maker/model or maker/model/variant; with \
        /feature:feature=state for a state of it";
    vec![
        column("thing", Cells::Text, thing).required(),
        column("begin_earliest", Cells::Day, "First made on this day or later"),
        column("begin_latest", Cells::Day, "First made on this day or earlier"),
        column("end_earliest", Cells::Day, "Last made on this day or later"),
        column("end_latest", Cells::Day, "Last made on this day or earlier"),
        column("estimated", Cells::Text, "Names of the bounds that rest only on an estimate, with spaces between"),
        column(
            "rests_on_one",
            Cells::Text,
            "Names of the bounds that would be open or move by more than a year without one claim or one garment",
        ),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    // The order of things is that of their types; a reader looks them up by name.
    let mut rows: Vec<_> = knowledge.eras.iter().map(|(thing, era)| row(thing, era)).collect();
    rows.sort();
    Box::new(rows.into_iter())
}

fn row(thing: &Thing, era: &Era) -> Vec<String> {
    let days = Side::ALL.iter().map(|(side, _)| optional(era.day(*side)));
    let names = [words(estimated_sides(era)), words(sides_on_one(era))];
    std::iter::once(thing.to_string()).chain(days).chain(names).collect()
}

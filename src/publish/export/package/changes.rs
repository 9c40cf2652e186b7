//! Writes `changes.csv`: what changed when in every line, model and variant, a row for each change or one for none.

use crate::analysis::Analysis;
use crate::changeover::{Change, History, Kind};
use crate::knowledge::Knowledge;
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, days, optional};
use crate::typography::in_full;

/// The table of changes.
pub const TABLE: Table = Table {
    name: "changes",
    summary: "what changed when: one state of a feature giving way to another in a variant, model or line",
    description: "A row for each change of a feature among the dated garments of a line, a model or a \
        variant; if there is none, one row whose cells are empty from change on. A change lies within its span with \
        95 %. A change called explained is a change of the covariate.",
    columns,
    key: &["thing", "feature", "change"],
    references: &[("thing", "eras", "thing")],
    rows,
};

const KINDS: &[&str] = &["real", "share"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("thing", Cells::Text, "maker/line:id, maker/model, or maker/model/variant").required(),
        column("feature", Cells::Text, "The feature of the vocabulary, of kind state or count").required(),
        column("n", Cells::Integer("items"), "Dated garments, finds and documents that count").required(),
        column("blocks", Cells::Integer("moments"), "At how many different times they lie").required(),
        column(
            "p_change",
            Cells::Number("probability from 0 to 1"),
            "Probability of at least one change; empty if it cannot be computed",
        ),
        column("word", Cells::Text, "The verdict on the feature").required(),
        column("covariate", Cells::Text, "The covariate in the verdict: variant, factory, or a feature"),
        column("change", Cells::Integer("place in a list"), "The number of the change, from 1"),
        column("from", Cells::Text, "The state seen most before it; empty if two are"),
        column("to", Cells::Text, "The state seen most after it; empty if two are"),
        column("kind", Cells::Word(KINDS), "real: a state gives way to another; share: only the shares change"),
        column("earliest", Cells::Day, "First day of the span that holds the change"),
        column("latest", Cells::Day, "Last day of it"),
        column("n_before", Cells::Integer("items"), "Items before the change and after the one before"),
        column("against_before", Cells::Integer("items"), "Of these, how many show another state than from"),
        column("n_after", Cells::Integer("items"), "Items after the change and before the next"),
        column("against_after", Cells::Integer("items"), "Of these, how many show another state than to"),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let histories = analysis.histories().iter().filter(|history| !history.items.is_empty());
    Box::new(histories.flat_map(rows_of))
}

fn rows_of(history: &History) -> Vec<Vec<String>> {
    if history.changes.is_empty() {
        let mut row = head(history);
        row.resize(17, String::new());
        return vec![row];
    }
    let rows = history.changes.iter().zip(1..).map(|(change, number)| {
        let mut row = head(history);
        row.extend(cells(change, number));
        row
    });
    rows.collect()
}

/// The cells that all changes of a feature share.
fn head(history: &History) -> Vec<String> {
    vec![
        history.thing.as_str().to_string(),
        history.feature.to_string(),
        history.items.len().to_string(),
        history.blocks.to_string(),
        optional(history.probability.map(in_full)),
        history.word.words(),
        optional(history.word.covariate()),
    ]
}

fn cells(change: &Change, number: usize) -> [String; 10] {
    let [earliest, latest] = days(Some(change.span));
    let kind = match change.kind {
        Kind::Real => "real",
        Kind::Share => "share",
    };
    [
        number.to_string(),
        optional(change.before.state.as_ref()),
        optional(change.after.state.as_ref()),
        kind.to_string(),
        earliest,
        latest,
        change.before.n.to_string(),
        optional(change.before.against),
        change.after.n.to_string(),
        optional(change.after.against),
    ]
}

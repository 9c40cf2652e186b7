//! Writes `conflicts.csv`: a row for each claim of each voice of every listed conflict.

use crate::analysis::Analysis;
use crate::knowledge::{Conflict, Knowledge, Standing, Voice};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column};

/// The table of conflicts.
pub const TABLE: Table = Table {
    name: "conflicts",
    summary: "the smallest sets of claims that cannot all be true, and which were set aside",
    description: "A conflict is a smallest set of voices that cannot all be true; a voice is all claims \
        that say the same. A row for each claim of each voice of each listed conflict. For every voice that is set aside or \
        contested, the smallest conflict that contains it is listed.",
    columns,
    key: &["conflict", "claim"],
    references: &[],
    rows,
};

const SET_ASIDE: &[&str] = &["yes", "contested", "no"];

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("knot", Cells::Text, "Conflicts that share voices, named by the first of these").required(),
        column("conflict", Cells::Text, "The conflict: an id made from the names of its voices").required(),
        column("voice", Cells::Text, "The voice, named by the first of its claims").required(),
        column("claim", Cells::Text, "A claim of the voice: the file, # and the claim's id or number").required(),
        column("weight", Cells::Number("points of weight"), "The weight of the voice").required(),
        column(
            "set_aside",
            Cells::Word(SET_ASIDE),
            "yes: every lightest solution leaves this voice out; contested: some do; neither counts toward eras",
        )
        .required(),
    ]
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    Box::new(knowledge.conflicts.iter().flat_map(|conflict| rows_of(knowledge, conflict)))
}

fn rows_of<'a>(knowledge: &'a Knowledge, conflict: &'a Conflict) -> impl Iterator<Item = Vec<String>> + 'a {
    let voices = conflict.members.iter().map(|member| knowledge.voice(*member));
    voices.flat_map(move |voice| voice.claims.iter().map(move |claim| row(conflict, voice, claim.name.as_str())))
}

fn row(conflict: &Conflict, voice: &Voice, claim: &str) -> Vec<String> {
    let set_aside = match voice.standing {
        Standing::SetAside => "yes",
        Standing::Contested => "contested",
        Standing::Kept => "no",
    };
    vec![
        conflict.knot.to_string(),
        conflict.id.clone(),
        voice.name.to_string(),
        claim.to_string(),
        voice.weight.as_f64().to_string(),
        set_aside.to_string(),
    ]
}

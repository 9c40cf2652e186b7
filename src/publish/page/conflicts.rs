//! The page of conflicts: the smallest sets of contradictory voices, what became of each, and the disputes about them.

use serde::Serialize;

use crate::date::edtf::Edtf;
use crate::date::spoken;
use crate::explain;
use crate::knowledge::{Conflict, Standing};
use crate::page::PageError;
use crate::page::batches::{self, Batch};
use crate::publish::moved;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::record::{Content, Dispute, DisputeStatus, Record};
use crate::resolve::RecordIndex;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link, thing_name};
use crate::view::path;
use crate::view::reasons::{self, VoiceView};

/// Writes the page of conflicts.
pub const PUBLISHER: Publisher = Publisher {
    name: "conflicts",
    description: "all conflicts with what each voice says, disputes and strains",
    owns: &["conflicts.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    caution: &'static str,
    knots: Vec<Batch<Knot>>,
    unsearched: Vec<Option<Link>>,
    disputes: Vec<Batch<DisputeView>>,
    strains: Vec<Batch<ConflictView>>,
}

/// The description of the page.
const ABOUT: &str =
    "Statements that cannot all be true: which of them are set aside or contested, why, and what people decided.";

#[derive(Serialize)]
struct Knot {
    conflicts: Vec<ConflictView>,
}

#[derive(Serialize)]
struct ConflictView {
    anchor: String,
    heading: String,
    verdict: &'static str,
    members: Vec<VoiceView>,
    /// The claims that would count without each of them.
    changes: Vec<String>,
}

#[derive(Serialize)]
struct DisputeView {
    anchor: String,
    /// Its former names in addresses.
    aliases: Vec<String>,
    name: String,
    status: &'static str,
    claims: Vec<DisputedView>,
    set_aside: Vec<Option<Link>>,
    body: String,
}

#[derive(Serialize)]
struct DisputedView {
    claim: Option<Link>,
    says: String,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("conflicts.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "conflicts.html");
    let knowledge = context.knowledge;
    let mut disputes: Vec<_> = leaf.catalog().disputes.iter().filter_map(|index| dispute(&leaf, *index)).collect();
    moved::settle(&mut disputes, |dispute| (&dispute.anchor, &mut dispute.aliases));
    let strains = knowledge.strains.iter().map(|strain| conflict(&leaf, strain, "strain"));
    let view = View {
        frame: leaf.frame("Conflicts", ABOUT, Vec::new()),
        caution: explain::CAUTION,
        knots: batches::of(knots(&leaf), |_| String::new()),
        unsearched: knowledge.unsearched.iter().map(|voice| leaf.claim(voice.as_str())).collect(),
        disputes: batches::of(disputes, |_| String::new()),
        strains: batches::of(strains.collect(), |_| String::new()),
    };
    leaf.render("conflicts.html", &view)
}

/// Conflicts come sorted by knot, so those that share voices are together.
fn knots(leaf: &Leaf<'_>) -> Vec<Knot> {
    let conflicts = &leaf.context.knowledge.conflicts;
    let knots = conflicts.chunk_by(|one, other| one.knot == other.knot);
    knots.map(|knot| Knot { conflicts: knot.iter().map(|found| conflict(leaf, found, "conflict")).collect() }).collect()
}

fn conflict(leaf: &Leaf<'_>, conflict: &Conflict, kind: &str) -> ConflictView {
    ConflictView {
        anchor: format!("{kind}-{}", conflict.id),
        heading: reasons::heading(leaf, conflict),
        verdict: verdict(leaf, conflict),
        members: conflict.members.iter().map(|member| reasons::voice(leaf, *member)).collect(),
        changes: reasons::sentences(leaf, &explain::conflict::changes(&leaf.context.analysis.without(), conflict)),
    }
}

fn verdict(leaf: &Leaf<'_>, conflict: &Conflict) -> &'static str {
    let has =
        |standing| conflict.members.iter().any(|member| leaf.context.knowledge.voice(*member).standing == standing);
    if conflict.members.len() == 1 {
        "This voice contradicts itself, or a rule that holds for anything made."
    } else if has(Standing::SetAside) {
        "The other voices outweigh one, which is set aside; the others count."
    } else if has(Standing::Contested) {
        "Neither side outweighs the other enough to decide. The contested voices are not counted until more is known."
    } else {
        "All of these are kept: they agree only because “about” was read broadly."
    }
}

fn dispute(leaf: &Leaf<'_>, index: RecordIndex) -> Option<DisputeView> {
    let record: &Record = leaf.catalog().record(index);
    let Content::Dispute(dispute) = &record.content else { return None };
    Some(DisputeView {
        anchor: path::anchor(record, record.path.stem()),
        aliases: moved::aliases(leaf.context, record),
        name: leaf.title(index),
        status: match dispute.status {
            DisputeStatus::Open => "open",
            DisputeStatus::Settled => "settled",
        },
        claims: disputed(leaf, dispute),
        set_aside: dispute.set_aside.iter().map(|voice| leaf.claim(voice.value.as_str())).collect(),
        body: leaf.prose(record),
    })
}

fn disputed(leaf: &Leaf<'_>, dispute: &Dispute) -> Vec<DisputedView> {
    let claims = dispute.claims.iter();
    claims
        .map(|claim| DisputedView {
            claim: leaf.claim(claim.claim.value.as_str()),
            says: said(leaf, &claim.says.value),
        })
        .collect()
}

/// The words of a claim, with its date or thing in words; anything except an event, or `made` with
/// a date, stays as written.
fn said(leaf: &Leaf<'_>, says: &str) -> String {
    let in_words = says.split_once(' ').and_then(|(event, what)| {
        let date = Edtf::parse(what).ok().and_then(|date| spoken::date(&date));
        let what = date.or_else(|| Some(thing_name(leaf.catalog(), leaf.context.index.thing(what)?)))?;
        Some(format!("{} {what}", event.replace('-', " ")))
    });
    in_words.unwrap_or_else(|| says.to_string())
}

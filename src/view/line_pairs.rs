//! Two label lines, or two wearers, of a maker: the pairs with a page, its path, and the names of
//! both.
//!
//! The comparisons are computed elsewhere, once for all pages and exports.

use crate::comparison::lines::{LineComparison, Subject};
use crate::explain::lines as words;
use crate::record::id::{LineId, MakerId};
use crate::view::context::Context;
use crate::view::leaf::{Leaf, Link};
use serde::Serialize;

/// A pair with what to make of it.
#[derive(Debug, Serialize)]
pub struct PairView {
    /// The page of the pair under both names.
    pub pair: Link,
    /// The features to examine, and those not to rely on.
    pub advice: String,
}

/// The path of a pair's page; ids contain no dot, so no two pairs share a path.
pub fn path(comparison: &LineComparison) -> String {
    let (a, b) = (&comparison.a, &comparison.b);
    let kind = match a {
        Subject::Line(_) => "line",
        Subject::Wearer(..) => "wearer",
    };
    format!("compare/{}/{kind}.{}.{}.html", a.maker(), a.own_name(), b.own_name())
}

/// The comparisons that have a page: those of lines or wearers with a model in both.
pub fn listed<'c>(context: &'c Context<'c>) -> impl Iterator<Item = &'c LineComparison> {
    context.analysis.lines().iter().filter(|comparison| !comparison.features.is_empty())
}

/// The pairs of a maker that have a page, with what to make of each.
pub fn of_maker(leaf: &Leaf<'_>, maker: &MakerId) -> Vec<PairView> {
    listed(leaf.context).filter(|comparison| comparison.a.maker() == *maker).map(|found| view(leaf, found)).collect()
}

/// Links to the pairs of a maker that have a page, without what to make of them.
pub fn links<'l>(leaf: &'l Leaf<'_>, maker: &'l MakerId) -> impl Iterator<Item = Link> + 'l {
    let own = listed(leaf.context).filter(move |comparison| comparison.a.maker() == *maker);
    own.map(|comparison| leaf.link(names(leaf, comparison), &path(comparison)))
}

/// The pairs that a line is in, each under the name of the other line.
pub fn of_line(leaf: &Leaf<'_>, line: &LineId) -> Vec<PairView> {
    let subject = Subject::Line(line.clone());
    let own = listed(leaf.context).filter(|found| found.a == subject || found.b == subject);
    let named = own.map(|found| {
        let other = if found.a == subject { &found.b } else { &found.a };
        let PairView { pair, advice } = view(leaf, found);
        PairView { pair: pair.named(format!("from {}", name(leaf, other))), advice }
    });
    named.collect()
}

fn view(leaf: &Leaf<'_>, comparison: &LineComparison) -> PairView {
    let names = names(leaf, comparison);
    PairView { pair: leaf.link(names, &path(comparison)), advice: words::advice(comparison, leaf.catalog()) }
}

/// The name of a pair.
pub fn names(leaf: &Leaf<'_>, comparison: &LineComparison) -> String {
    match (&comparison.a, &comparison.b) {
        (Subject::Wearer(_, a), Subject::Wearer(_, b)) => format!("Cut for {} and for {}", a.word(), b.word()),
        (a, b) => format!("{} and {}", name(leaf, a), name(leaf, b)),
    }
}

/// The name of a line or wearer among others of its maker.
pub fn name(leaf: &Leaf<'_>, subject: &Subject) -> String {
    match subject {
        Subject::Line(line) => line_name(leaf, line),
        Subject::Wearer(_, wearer) => format!("cut for {}", wearer.word()),
    }
}

/// The name that the maker's record gives a line.
pub fn line_name(leaf: &Leaf<'_>, line: &LineId) -> String {
    leaf.catalog().line(line).map_or_else(|| line.line().to_string(), |line| line.name.clone())
}

/// How to recognize the label of a line, from the maker's record.
pub fn sign(leaf: &Leaf<'_>, line: &LineId) -> Option<String> {
    leaf.catalog().line(line).and_then(|line| line.sign.clone())
}

//! What changed when: every cell of `changes.csv`, from the sum over all ways to divide the dated items.

use std::collections::{BTreeMap, BTreeSet};

use bartack::date::Day;

use super::items::{Counts, Row};
use super::lines::Cells;
use super::{is_above, is_below};

/// Every line, model and variant, and feature of states or counts, to the rows of the table.
pub fn rows(counts: &[Counts]) -> Vec<Cells> {
    let mut rows = Vec::new();
    for counts in counts.iter().filter(|counts| counts.tolerance.is_none()) {
        let things = counts.rows.iter().flat_map(|row| [&row.line, &row.model, &row.variant]);
        for thing in things.filter(|thing| !thing.is_empty()).collect::<BTreeSet<_>>() {
            let own = |row: &&Row| [&row.line, &row.model, &row.variant].contains(&thing);
            let items: Vec<&Row> = counts.rows.iter().filter(own).filter(|row| row.days.is_some()).collect();
            if !items.is_empty() {
                rows.extend(History::new(counts, thing, items).rows());
            }
        }
    }
    rows
}

struct History<'r> {
    counts: &'r Counts,
    thing: &'r str,
    /// In order of middle days.
    blocks: Vec<Vec<&'r Row>>,
}

/// One way to divide the blocks: the blocks that a new segment begins with.
type Cuts = Vec<usize>;

struct Change {
    kind: &'static str,
    before: Segment,
    after: Segment,
    span: (i32, i32),
    /// The blocks of the segment before and after.
    edges: (usize, usize, usize),
}

struct Segment {
    state: Option<String>,
    n: usize,
    against: Option<usize>,
}

fn middle(row: &Row) -> i32 {
    let (first, last) = row.days.unwrap();
    (first + last).div_euclid(2)
}

fn blocks<'r>(items: &[&'r Row]) -> Vec<Vec<&'r Row>> {
    let mut blocks: BTreeMap<i32, Vec<&Row>> = BTreeMap::new();
    items.iter().for_each(|row| blocks.entry(middle(row)).or_default().push(row));
    blocks.into_values().collect()
}

/// The probability of states in order, each with one half in advance, of K.
fn probability(items: &[&Row], states: usize) -> f64 {
    let mut seen: BTreeMap<&str, f64> = BTreeMap::new();
    let mut log = 0.0;
    for (at, row) in items.iter().enumerate() {
        let count = seen.entry(&row.state).or_default();
        log += ((*count + 0.5) / (at as f64 + states as f64 / 2.0)).ln();
        *count += 1.0;
    }
    log
}

fn states(items: &[&Row]) -> usize {
    items.iter().map(|row| &row.state).collect::<BTreeSet<_>>().len()
}

/// Every set of so many cuts among so many blocks, the earliest first.
fn all_cuts(blocks: usize, cuts: usize, from: usize) -> Vec<Cuts> {
    if cuts == 0 {
        return vec![Vec::new()];
    }
    let of =
        |first: usize| all_cuts(blocks, cuts - 1, first + 1).into_iter().map(move |more| [vec![first], more].concat());
    (from..blocks).flat_map(of).collect()
}

/// Every way to divide the blocks with its share of all that was seen, for 0 to 3 changes; `divide` gives what is held
/// apart within a segment.
fn ways(blocks: &[Vec<&Row>], divide: &dyn Fn(&Row) -> String) -> Vec<Vec<(Cuts, f64)>> {
    let all = blocks.concat();
    let states = states(&all);
    let most = 3.min(blocks.len() - 1);
    let halves: f64 = (1..=most).map(|m| 0.5_f64.powi(m as i32)).sum();
    let mut segments: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for first in 0..blocks.len() {
        for end in first + 1..=blocks.len() {
            let mut by_value: BTreeMap<String, Vec<&Row>> = BTreeMap::new();
            blocks[first..end].concat().into_iter().for_each(|row| by_value.entry(divide(row)).or_default().push(row));
            segments.insert((first, end), by_value.values().map(|items| probability(items, states)).sum());
        }
    }
    let of = |m: usize| {
        let prior = if m == 0 { 0.7 } else { 0.3 * 0.5_f64.powi(m as i32) / halves };
        let cuts = all_cuts(blocks.len(), m, 1);
        let each = prior / cuts.len() as f64;
        let with = |cuts: Cuts| {
            let edges = [vec![0], cuts.clone(), vec![blocks.len()]].concat();
            let log: f64 = edges.windows(2).map(|edge| segments[&(edge[0], edge[1])]).sum();
            (cuts, each.ln() + log)
        };
        cuts.into_iter().map(with).collect::<Vec<_>>()
    };
    let mut ways: Vec<Vec<(Cuts, f64)>> = (0..=most).map(of).collect();
    let greatest = ways.iter().flatten().map(|(_, log)| *log).fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = ways.iter().flatten().map(|(_, log)| (log - greatest).exp()).sum();
    ways.iter_mut().flatten().for_each(|(_, log)| *log = (*log - greatest).exp() / sum);
    ways
}

fn total(ways: &[(Cuts, f64)]) -> f64 {
    ways.iter().map(|(_, share)| share).sum()
}

fn changed(ways: &[Vec<(Cuts, f64)>]) -> f64 {
    ways[1..].iter().map(|ways| total(ways)).sum()
}

impl<'r> History<'r> {
    fn new(counts: &'r Counts, thing: &'r str, items: Vec<&'r Row>) -> History<'r> {
        History { counts, thing, blocks: blocks(&items) }
    }

    fn rows(&self) -> Vec<Cells> {
        let items = self.blocks.concat();
        let (n, seen) = (items.len(), states(&items));
        if n < 6 || self.blocks.len() < 2 {
            return vec![self.head(None, "too few", "")];
        }
        if seen == 1 {
            return vec![self.head(None, if n >= 8 { "no change seen" } else { "too few" }, "")];
        }
        let ways = ways(&self.blocks, &|_| String::new());
        let p = changed(&ways);
        if is_below(p, 0.8) {
            let word = if !is_above(p, 0.2) && n >= 8 { "no change seen" } else { "unclear" };
            return vec![self.head(Some(p), word, "")];
        }
        let changes = self.changes(&ways);
        let is_sure = !is_below(p, 0.95);
        let mut word = match (changes.iter().any(|change| change.kind == "real"), is_sure) {
            (true, true) => "changed".to_string(),
            (true, false) => "may have changed".to_string(),
            (false, true) => "share changed".to_string(),
            (false, false) => "unclear".to_string(),
        };
        let mut named = String::new();
        if word != "unclear" {
            let found = self.explained(&changes);
            let first = |what: &str| found.iter().find(|(_, outcome)| *outcome == what);
            if let Some((name, outcome)) = first("explained by").or_else(|| first("cannot separate from")) {
                (word, named) = (format!("{outcome} {name}"), name.clone());
            }
        }
        let rows = changes.iter().enumerate();
        rows.map(|(at, change)| change.cells(self.head(Some(p), &word, &named), at + 1)).collect()
    }

    fn head(&self, p: Option<f64>, word: &str, covariate: &str) -> Cells {
        let empty = [
            "change",
            "from",
            "to",
            "kind",
            "earliest",
            "latest",
            "n_before",
            "against_before",
            "n_after",
            "against_after",
        ];
        let mut cells: Cells = empty.into_iter().map(|column| (column, String::new())).collect();
        cells.insert("thing", self.thing.to_string());
        cells.insert("feature", self.counts.feature.clone());
        cells.insert("n", self.blocks.concat().len().to_string());
        cells.insert("blocks", self.blocks.len().to_string());
        cells.insert("p_change", p.map(|p| p.to_string()).unwrap_or_default());
        cells.insert("word", word.to_string());
        cells.insert("covariate", covariate.to_string());
        cells
    }

    fn changes(&self, ways: &[Vec<(Cuts, f64)>]) -> Vec<Change> {
        let mut most = 1;
        for m in 2..ways.len() {
            if is_above(total(&ways[m]), total(&ways[most])) {
                most = m;
            }
        }
        let own = &ways[most];
        let best = own.iter().map(|(_, share)| *share).fold(0.0, f64::max);
        let (cuts, _) = own.iter().find(|(_, share)| !is_below(*share, best)).unwrap();
        let edges = [vec![0], cuts.clone(), vec![self.blocks.len()]].concat();
        let of = |at: usize| {
            let (from, cut, to) = (edges[at], edges[at + 1], edges[at + 2]);
            let (before, after) = (segment(&self.blocks[from..cut]), segment(&self.blocks[cut..to]));
            let is_real = before.state.is_some()
                && after.state.is_some()
                && before.state != after.state
                && before.n >= 3
                && after.n >= 3;
            let kind = if is_real { "real" } else { "share" };
            Change { kind, before, after, span: self.span(own, at), edges: (from, cut, to) }
        };
        (0..cuts.len()).map(of).collect()
    }

    /// The days that hold a change with 95 %.
    fn span(&self, ways: &[(Cuts, f64)], change: usize) -> (i32, i32) {
        let mut places: Vec<f64> = vec![0.0; self.blocks.len()];
        ways.iter().for_each(|(cuts, share)| places[cuts[change]] += share / total(ways));
        let mut taken: Vec<usize> = Vec::new();
        while is_below(taken.iter().map(|at| places[*at]).sum(), 0.95) {
            let left = (1..places.len()).filter(|at| !taken.contains(at));
            let best = left.clone().map(|at| places[at]).fold(0.0, f64::max);
            taken.extend(left.clone().find(|at| !is_below(places[*at], best)));
        }
        let (low, high) = (taken.iter().min().unwrap(), taken.iter().max().unwrap());
        let first = self.blocks[low - 1].iter().map(|row| row.days.unwrap().0).min().unwrap();
        let last = self.blocks[*high].iter().map(|row| row.days.unwrap().1).max().unwrap();
        (first, last)
    }

    /// What each covariate makes of the changes.
    fn explained(&self, changes: &[Change]) -> Vec<(String, &'static str)> {
        let is_variant = self.thing.split('/').count() == 3;
        let mut found = Vec::new();
        if !is_variant {
            let setting = |row: &Row| Some([&*row.model, &*row.line, &*row.wearer].join(" "));
            found.push(("variant".to_string(), self.outcome(changes, &setting, true)));
        }
        for (name, _) in self.counts.covariates.iter().filter(|(name, _)| name != "decade") {
            found.push((name.clone(), self.outcome(changes, &|row| row.known.get(name).cloned(), name != "factory")));
        }
        found
    }

    fn outcome(&self, changes: &[Change], value: &dyn Fn(&Row) -> Option<String>, must: bool) -> &'static str {
        let known: Vec<&Row> = self.blocks.concat().into_iter().filter(|row| value(row).is_some()).collect();
        let silent = if must { "cannot separate from" } else { "" };
        let own = blocks(&known);
        if known.len() < 6 || states(&known) < 2 || own.len() < 2 {
            return silent;
        }
        let p_s = changed(&ways(&own, &|_| String::new()));
        if is_below(p_s, 0.5) {
            return silent;
        }
        let p_c = changed(&ways(&own, &|row| value(row).unwrap()));
        if !(is_below(p_c, 0.5) || !is_below(p_s, 0.95) && is_below(p_c, 0.8)) {
            return "";
        }
        let any_real = changes.iter().any(|change| change.kind == "real");
        let asked = changes.iter().filter(|change| !any_real || change.kind == "real");
        let values = |from: usize, to: usize| -> Vec<String> {
            self.blocks[from..to].concat().into_iter().filter_map(value).collect()
        };
        let mut is_shared = true;
        for change in asked {
            let (before, after) = (values(change.edges.0, change.edges.1), values(change.edges.1, change.edges.2));
            let in_both = |own: &[String], other: &[String]| own.iter().filter(|it| other.contains(it)).count();
            is_shared &= in_both(&before, &after) >= 3 && in_both(&after, &before) >= 3;
        }
        if is_shared { "explained by" } else { "cannot separate from" }
    }
}

fn segment(blocks: &[Vec<&Row>]) -> Segment {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    blocks.concat().into_iter().for_each(|row| *counts.entry(row.state.clone()).or_default() += 1);
    let (n, most) = (counts.values().sum(), counts.values().copied().max().unwrap());
    let leading: Vec<&String> = counts.iter().filter(|(_, count)| **count == most).map(|(state, _)| state).collect();
    let state = if let [only] = leading[..] { Some(only.clone()) } else { None };
    Segment { against: state.as_ref().map(|_| n - most), state, n }
}

impl Change {
    fn cells(&self, mut cells: Cells, number: usize) -> Cells {
        let day = |number: i32| {
            let (year, month, day) = Day::from_number(number).ymd();
            format!("{year:04}-{month:02}-{day:02}")
        };
        let optional = |number: Option<usize>| number.map(|number| number.to_string()).unwrap_or_default();
        cells.insert("change", number.to_string());
        cells.insert("from", self.before.state.clone().unwrap_or_default());
        cells.insert("to", self.after.state.clone().unwrap_or_default());
        cells.insert("kind", self.kind.to_string());
        cells.insert("earliest", day(self.span.0));
        cells.insert("latest", day(self.span.1));
        cells.insert("n_before", self.before.n.to_string());
        cells.insert("against_before", optional(self.before.against));
        cells.insert("n_after", self.after.n.to_string());
        cells.insert("against_after", optional(self.after.against));
        cells
    }
}

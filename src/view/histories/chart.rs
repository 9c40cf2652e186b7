//! One feature through time, as inline SVG: a lane for each state with its words, a mark for each dated garment, and the
//! years that hold each change.
//!
//! States are told by their lane, their hatch and their word. The hatches are defined once a page, in
//! `histories.html`. No colours are named here but through classes.

use std::fmt::Write;

use ecow::EcoString;

use crate::changeover::items::Dated;
use crate::changeover::{History, Kind};
use crate::date::{Day, DaySpan};
use crate::markup;
use crate::view::chart::Scale;
use crate::vocabulary::Feature;

/// The most lanes that a chart has; rarer states share the last.
const LANES: usize = 6;

/// The height of a lane: its word, then two rows of marks.
const LANE: usize = 36;
const WORD: usize = 12;
const MARKS: usize = 22;
const ROW: usize = 8;

/// The part of a lane that shows years, below its word: changes are boxed there, so that no line crosses a word.
const YEARS: usize = WORD + 4;

/// Marks nearer than this, in per cent of the width, stand in two rows.
const CROWDED: f64 = 1.2;

/// A garment as it is drawn.
pub struct Mark<'a> {
    /// The dated item.
    pub item: &'a Dated,
    /// Where it leads.
    pub href: String,
    /// Its name, with its state and date.
    pub words: String,
    /// Whether a photograph shows it.
    pub pictured: bool,
}

/// The claims of people, as drawn.
pub struct Claimed {
    /// The words in its lane.
    pub words: String,
    /// The days it names.
    pub span: DaySpan,
}

/// Draws the history of a feature.
pub struct Drawing<'h> {
    /// The years.
    pub scale: Scale,
    /// The history to draw.
    pub history: &'h History,
    /// The feature.
    pub feature: &'h Feature,
}

impl Drawing<'_> {
    /// Draws lanes, marks, changes and claims.
    pub fn svg(&self, marks: &[Mark<'_>], claims: &[Claimed], words: &str) -> String {
        let states = self.states();
        let height = (states.len() + claims.len()) * LANE;
        let mut svg = format!(
            "<svg class=\"strip history\" role=\"group\" aria-label=\"{}\" width=\"100%\" height=\"{height}\">",
            markup::escape(words)
        );
        svg += &self.scale.grid();
        self.spans(&mut svg, states.len());
        for (lane, state) in states.iter().enumerate() {
            let label = self.label(&states, lane, state);
            let _ = write!(svg, "<text x=\"0\" y=\"{}\">{}</text>", lane * LANE + WORD, markup::escape(&label));
            self.bars(&mut svg, lane, state);
        }
        self.marks(&mut svg, &states, marks);
        for (place, claim) in claims.iter().enumerate() {
            self.claim(&mut svg, (states.len() + place) * LANE, claim);
        }
        svg + "</svg>"
    }

    /// The states in order of first appearance; if there are too many, those seen most.
    fn states(&self) -> Vec<EcoString> {
        let mut states: Vec<(EcoString, usize)> = Vec::new();
        for item in &self.history.items {
            match states.iter_mut().find(|(state, _)| *state == item.state) {
                Some((_, count)) => *count += 1,
                None => states.push((item.state.clone(), 1)),
            }
        }
        if states.len() > LANES {
            states.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
            states.truncate(LANES);
        }
        states.into_iter().map(|(state, _)| state).collect()
    }

    /// The words of a lane; the last also holds states that have none of their own.
    fn label(&self, states: &[EcoString], lane: usize, state: &str) -> String {
        let has_others = lane + 1 == LANES && self.history.items.iter().any(|item| !states.contains(&item.state));
        let label = self.feature.label(state);
        if has_others { format!("{label}, and others") } else { label }
    }

    /// Draws the years in which a state was seen most, from the first garment to the last of each segment.
    fn bars(&self, svg: &mut String, lane: usize, state: &str) {
        let items = &self.history.items;
        let starts = self.history.changes.iter().map(|change| change.after.first);
        let starts: Vec<usize> = [0].into_iter().chain(starts).collect();
        for (place, start) in starts.iter().enumerate() {
            let end = starts.get(place + 1).copied().unwrap_or(items.len());
            let segment = match place.checked_sub(1) {
                Some(before) => self.history.changes.get(before).map(|change| &change.after),
                None => self.history.changes.first().map(|change| &change.before),
            };
            let is_own = segment.is_some_and(|segment| segment.state.as_deref() == Some(state));
            let Some((first, last)) = items[*start..end].first().zip(items[*start..end].last()).filter(|_| is_own)
            else {
                continue;
            };
            let (from, to) = (self.scale.percent(first.middle), self.scale.percent(last.middle));
            let (y, width) = (lane * LANE + MARKS - 4, (to - from).max(0.4));
            let _ = write!(
                svg,
                "<rect class=\"state\" fill=\"url(#state-{lane})\" x=\"{from:.2}%\" y=\"{y}\" width=\"{width:.2}%\" height=\"{}\"/>",
                ROW + 8
            );
        }
    }

    /// Draws a box in each lane over the years that hold a change.
    fn spans(&self, svg: &mut String, lanes: usize) {
        for change in &self.history.changes {
            let Some((first, last)) = change.span.first().zip(change.span.last()) else { continue };
            let (from, to) = (self.scale.percent(first), self.scale.percent(last));
            let class = if change.kind == Kind::Real { "change" } else { "change share" };
            let width = (to - from).max(0.6);
            for lane in 0..lanes {
                let (y, height) = (lane * LANE + YEARS, LANE - YEARS - 1);
                let _ = write!(
                    svg,
                    "<rect class=\"{class}\" x=\"{from:.2}%\" y=\"{y}\" width=\"{width:.2}%\" height=\"{height}\"/>"
                );
            }
        }
    }

    /// Draws a link for each garment: a circle on a line over the days it may have been made on.
    fn marks(&self, svg: &mut String, states: &[EcoString], marks: &[Mark<'_>]) {
        let mut before: Vec<(f64, bool)> = vec![(f64::NEG_INFINITY, true); LANES];
        for mark in marks {
            let lane = states.iter().position(|state| *state == mark.item.state).unwrap_or(LANES - 1);
            let middle = self.scale.percent(mark.item.middle);
            let (last, was_upper) = before[lane];
            let is_upper = middle - last > CROWDED || !was_upper;
            before[lane] = (middle, is_upper);
            let y = lane * LANE + MARKS + if is_upper { 0 } else { ROW };
            let _ = write!(
                svg,
                "<a href=\"{}\" tabindex=\"-1\" aria-label=\"{words}\">{}<circle class=\"garment\" cx=\"{middle:.2}%\" cy=\"{y}\" r=\"4\"/>{}</a>",
                markup::escape(&mark.href),
                self.reach(mark.item.span, y),
                pictured(mark, middle, y),
                words = markup::escape(&mark.words),
            );
        }
    }

    fn reach(&self, span: DaySpan, y: usize) -> String {
        let ends: Vec<Day> = span.first().into_iter().chain(span.last()).collect();
        let (Some(first), Some(last)) = (ends.first(), ends.last()) else { return String::new() };
        let (from, to) = (self.scale.percent(*first), self.scale.percent(*last));
        format!("<line class=\"reach\" x1=\"{from:.2}%\" x2=\"{to:.2}%\" y1=\"{y}\" y2=\"{y}\"/>")
    }

    fn claim(&self, svg: &mut String, top: usize, claim: &Claimed) {
        let from = claim.span.first().map_or(0.0, |day| self.scale.percent(day));
        let to = claim.span.last().map_or(100.0, |day| self.scale.percent(day));
        let y = top + MARKS;
        let _ = write!(
            svg,
            "<text class=\"claimed\" x=\"0\" y=\"{}\">{}</text><line class=\"claimed\" x1=\"{from:.2}%\" x2=\"{to:.2}%\" y1=\"{y}\" y2=\"{y}\"/>",
            top + WORD,
            markup::escape(&claim.words)
        );
        for end in [from, to] {
            let _ = write!(
                svg,
                "<line class=\"claimed\" x1=\"{end:.2}%\" x2=\"{end:.2}%\" y1=\"{}\" y2=\"{}\"/>",
                y - 5,
                y + 5
            );
        }
    }
}

/// The point within the circle of a garment that a photograph shows.
fn pictured(mark: &Mark<'_>, middle: f64, y: usize) -> String {
    match mark.pictured {
        true => format!("<circle class=\"pictured\" cx=\"{middle:.2}%\" cy=\"{y}\" r=\"1.6\"/>"),
        false => String::new(),
    }
}

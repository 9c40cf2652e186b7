//! Draws eras as inline SVG: strips under a common scale of years, at any width without a script.
//!
//! Places along the scale are percentages, so that text keeps its size while the page grows.
//! Classes alone set colours, and every strip has a description in words.

use std::fmt::Write;

use crate::date::{Day, DaySpan};
use crate::explain;
use crate::knowledge::{Era, Side};
use crate::markup;
use crate::view::leaf::Link;

/// The years that a chart shows, whole decades.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    first: i32,
    last: i32,
}

/// A dated garment or document on a strip.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Which it is.
    pub shape: Shape,
    /// When it was made; both ends are known.
    pub span: (Day, Day),
    /// Where it leads, under the words that say what it is.
    pub link: Option<Link>,
}

/// A bound of an era that leads to what it rests on.
#[derive(Clone, Debug)]
pub struct End {
    /// The day on which the bar ends.
    pub day: Day,
    /// Its chain, under the words of the bound.
    pub link: Link,
}

/// How a mark is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A circle.
    Garment,
    /// A square.
    Document,
}

/// The height of the bar and of each row of marks under it.
const BAR: usize = 18;
const ROW: usize = 9;
const ROWS: usize = 5;

impl Mark {
    /// Gives the mark of a span with two ends that lie less than twelve years apart.
    pub fn new(shape: Shape, span: DaySpan) -> Option<Mark> {
        let (first, last) = (span.first()?, span.last()?);
        (last < first.plus_years(12)).then_some(Mark { shape, span: (first, last), link: None })
    }

    /// Lets it lead somewhere.
    pub fn leading(self, link: Link) -> Mark {
        Mark { link: Some(link), ..self }
    }

    fn middle(&self) -> Day {
        let (first, last) = (self.span.0.number(), self.span.1.number());
        Day::from_number(first + (last - first) / 2)
    }
}

impl Scale {
    /// Gives the decades that hold all bounds and marks, or nothing where there are none.
    pub fn new<'a>(eras: impl Iterator<Item = &'a Era>, marks: &[Mark]) -> Option<Scale> {
        let bounds = eras.flat_map(|era| Side::ALL.iter().filter_map(|(side, _)| era.day(*side)));
        Scale::of_days(bounds.chain(marks.iter().flat_map(|mark| [mark.span.0, mark.span.1])))
    }

    /// Gives the decades that hold all of some days, or nothing where there are none.
    pub fn of_days(days: impl Iterator<Item = Day>) -> Option<Scale> {
        let days: Vec<Day> = days.collect();
        let (first, last) = (days.iter().min()?.year(), days.iter().max()?.year());
        // A little room on both sides, so that a bar is never cut by the edge.
        Some(Scale { first: (first - 1).div_euclid(10) * 10, last: (last + 2).div_euclid(10) * 10 + 10 })
    }

    /// Where a day lies, in per cent of the width.
    pub fn percent(self, day: Day) -> f64 {
        let year = f64::from(day.year());
        let start = Day::from_ymd(day.year(), 1, 1).map_or(0, Day::number);
        let within = f64::from(day.number() - start) / 365.25;
        ((year + within - f64::from(self.first)) * 100.0 / f64::from(self.last - self.first)).clamp(0.0, 100.0)
    }

    /// The decades on the scale, every second one only where there are many.
    fn decades(self) -> impl Iterator<Item = (f64, i32, &'static str)> {
        let step = if self.last - self.first > 120 { 20 } else { 10 };
        let width = f64::from(self.last - self.first);
        (self.first..=self.last).step_by(step).map(move |year| {
            let class = if year % 20 == 0 { "year" } else { "year between" };
            (f64::from(year - self.first) * 100.0 / width, year, class)
        })
    }

    /// Draws the years themselves; the hatching of the strips is in the page's legend.
    pub fn ruler(self) -> String {
        let mut svg = "<svg class=\"ruler\" aria-hidden=\"true\" width=\"100%\" height=\"26\">".to_string();
        for (place, year, class) in self.decades() {
            let anchor = if place < 1.0 {
                "start"
            } else if place > 99.0 {
                "end"
            } else {
                "middle"
            };
            let _ = write!(
                svg,
                "<text class=\"{class}\" x=\"{place:.2}%\" y=\"14\" text-anchor=\"{anchor}\">{year}</text>"
            );
            let _ = write!(svg, "<line class=\"tick\" x1=\"{place:.2}%\" x2=\"{place:.2}%\" y1=\"19\" y2=\"26\"/>");
        }
        svg + "<line class=\"edge\" x1=\"0\" x2=\"100%\" y1=\"25.5\" y2=\"25.5\"/></svg>"
    }

    /// Draws a thin line at each decade.
    pub fn grid(self) -> String {
        let line = |(place, _, _)| {
            format!("<line class=\"grid\" x1=\"{place:.2}%\" x2=\"{place:.2}%\" y1=\"0\" y2=\"100%\"/>")
        };
        self.decades().map(line).collect()
    }

    /// Draws an era: hatched for possible years, solid for sure years, dotted for unknown ones,
    /// with marks beneath.
    pub fn strip(self, era: Option<&Era>, marks: &[Mark], ends: &[End]) -> String {
        let rows = Rows::new(self, marks);
        let height = BAR + rows.count * ROW + 4;
        let words = era.map_or_else(|| "no known dates".to_string(), explain::made);
        let mut svg = format!(
            "<svg class=\"strip\" role=\"{}\" aria-label=\"{}\" width=\"100%\" height=\"{height}\">",
            // An SVG image cannot hold links.
            if ends.is_empty() && marks.iter().all(|mark| mark.link.is_none()) { "img" } else { "group" },
            markup::escape(&words)
        );
        svg += &self.grid();
        if let Some(era) = era {
            svg += &self.bars(era);
        }
        for end in ends {
            let place = self.percent(end.day);
            let line = format!("<line class=\"end\" x1=\"{place:.2}%\" x2=\"{place:.2}%\" y1=\"1\" y2=\"17\"/>");
            svg += &linked(&line, Some(&end.link));
        }
        svg += &rows.drawn;
        svg + "</svg>"
    }

    /// Draws a bound that holds for every maker: a tick on each day, and a line over the years left.
    pub fn bound(self, first: Option<Day>, last: Option<Day>, words: &str, class: &str) -> String {
        let mut svg = format!(
            "<svg class=\"strip bound {class}\" role=\"img\" aria-label=\"{}\" width=\"100%\" height=\"18\">",
            markup::escape(words)
        );
        svg += &self.grid();
        let (left, right) = (first.map_or(0.0, |day| self.percent(day)), last.map_or(100.0, |day| self.percent(day)));
        let _ = write!(svg, "<line class=\"left\" x1=\"{left:.2}%\" x2=\"{right:.2}%\" y1=\"9\" y2=\"9\"/>");
        for day in [first, last].into_iter().flatten() {
            let place = self.percent(day);
            let _ = write!(svg, "<line class=\"day\" x1=\"{place:.2}%\" x2=\"{place:.2}%\" y1=\"3\" y2=\"15\"/>");
        }
        svg + "</svg>"
    }

    fn bars(self, era: &Era) -> String {
        let days: Vec<Day> = Side::ALL.iter().filter_map(|(side, _)| era.day(*side)).collect();
        let (Some(first), Some(last)) = (days.iter().min(), days.iter().max()) else { return String::new() };
        let (first, last) = (self.percent(*first), self.percent(*last));
        let (begin, end) = era.possibly_made();
        let mut svg = String::new();
        if begin.is_none() {
            let _ = write!(svg, "<line class=\"unknown\" x1=\"0\" x2=\"{first:.2}%\" y1=\"9\" y2=\"9\"/>");
        }
        if end.is_none() {
            let _ = write!(svg, "<line class=\"unknown\" x1=\"{last:.2}%\" x2=\"100%\" y1=\"9\" y2=\"9\"/>");
        }
        svg += &bar("possibly", "url(#hatch)", first, last);
        if let Some(surely) = era.surely_made() {
            let ends = (surely.first().map(|day| self.percent(day)), surely.last().map(|day| self.percent(day)));
            if let (Some(first), Some(last)) = ends {
                svg += &bar("surely", "currentColor", first, last);
            }
        }
        svg
    }
}

fn bar(class: &str, fill: &str, first: f64, last: f64) -> String {
    let width = (last - first).max(0.4);
    format!("<rect class=\"{class}\" fill=\"{fill}\" x=\"{first:.2}%\" y=\"4\" width=\"{width:.2}%\" height=\"10\"/>")
}

/// Marks set into rows so that they do not cover each other.
struct Rows {
    drawn: String,
    count: usize,
}

impl Rows {
    fn new(scale: Scale, marks: &[Mark]) -> Rows {
        let mut sorted: Vec<&Mark> = marks.iter().collect();
        sorted.sort_by_key(|mark| (mark.middle(), mark.span, mark.shape == Shape::Document));
        let (mut ends, mut drawn) = ([f64::NEG_INFINITY; ROWS], String::new());
        for mark in sorted {
            let (first, middle, last) =
                (scale.percent(mark.span.0), scale.percent(mark.middle()), scale.percent(mark.span.1));
            // In a crowd, marks overlap in the last row: the table below the chart lists every one.
            let row = ends.iter().position(|end| *end < first.min(middle - 0.6)).unwrap_or(ROWS - 1);
            ends[row] = last.max(middle + 0.6);
            let symbol = symbol(mark.shape, Reach { first, middle, last }, BAR + row * ROW + ROW / 2);
            drawn += &linked(&symbol, mark.link.as_ref());
        }
        let count = ends.iter().filter(|end| end.is_finite()).count();
        Rows { drawn, count }
    }
}

/// A part of a chart as a link with its words; the page names what it leads to once more, so no Tab stops here.
fn linked(part: &str, link: Option<&Link>) -> String {
    let Some(Link { name, href }) = link else { return part.to_string() };
    let (href, name) = (markup::escape(href), markup::escape(name));
    format!("<a href=\"{href}\" tabindex=\"-1\" aria-label=\"{name}\"><title>{name}</title>{part}</a>")
}

/// The ends and the middle of a mark's span, in hundredths of the width.
struct Reach {
    first: f64,
    middle: f64,
    last: f64,
}

fn symbol(shape: Shape, reach: Reach, y: usize) -> String {
    let Reach { first, middle, last } = reach;
    let span = format!("<line class=\"reach\" x1=\"{first:.2}%\" x2=\"{last:.2}%\" y1=\"{y}\" y2=\"{y}\"/>");
    let symbol = match shape {
        Shape::Garment => format!("<circle class=\"garment\" cx=\"{middle:.2}%\" cy=\"{y}\" r=\"3\"/>"),
        // A square cannot be centred on a percentage without its own coordinates.
        Shape::Document => format!(
            "<svg class=\"document\" x=\"{middle:.2}%\" y=\"{y}\" width=\"1\" height=\"1\"><rect x=\"-3\" y=\"-3\" width=\"6\" height=\"6\"/></svg>"
        ),
    };
    span + &symbol
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{End, Mark, Scale, Shape};
    use crate::date::{Day, DaySpan};
    use crate::knowledge::Chain;
    use crate::knowledge::{Bound, Era};
    use crate::view::leaf::Link;

    fn bound(year: i32) -> Option<Bound> {
        Some(Bound { day: Day::from_ymd(year, 1, 1)?, because: Chain::new(), estimate: None, rests_on_one: false })
    }

    #[test]
    fn scales_are_whole_decades_with_room_on_both_sides() {
        let era = Era::new([bound(1930), None, None, bound(1949)]);
        assert_eq!(Scale::new([&era].into_iter(), &[]), Some(Scale { first: 1920, last: 1960 }));
        assert_eq!(Scale::new(std::iter::empty(), &[]), None);
    }

    #[test]
    fn what_is_sure_is_solid_and_what_is_open_is_dotted() {
        let scale = Scale { first: 1900, last: 2000 };
        let svg = scale.strip(Some(&Era::new([bound(1910), bound(1920), bound(1930), None])), &[], &[]);
        assert!(svg.contains("class=\"surely\" fill=\"currentColor\" x=\"20.00%\" y=\"4\" width=\"10.00%\""), "{svg}");
        assert!(svg.contains("class=\"unknown\" x1=\"30.00%\" x2=\"100%\""), "{svg}");
        let svg = scale.strip(Some(&Era::new([bound(1910), bound(1930), bound(1920), bound(1940)])), &[], &[]);
        assert!(!svg.contains("surely\" fill") && svg.contains("no year is sure"), "{svg}");
    }

    #[test]
    fn marks_of_one_day_stand_in_rows_of_their_own() {
        let day = Day::from_ymd(1950, 6, 1);
        let mark = Mark::new(Shape::Garment, DaySpan::new(day, day).unwrap()).unwrap();
        let svg = Scale { first: 1900, last: 2000 }.strip(None, &[mark.clone(), mark], &[]);
        assert!(svg.contains("cy=\"22\"") && svg.contains("cy=\"31\""), "{svg}");
        assert!(Mark::new(Shape::Garment, DaySpan::OPEN).is_none());
    }

    #[test]
    fn marks_and_ends_lead_to_their_reasons_in_words() {
        let day = Day::from_ymd(1950, 6, 1).unwrap();
        let link = |name: &str| Link { name: name.to_string(), href: "v.html#end".to_string() };
        let mark = Mark::new(Shape::Garment, DaySpan::new(Some(day), Some(day)).unwrap()).unwrap();
        let scale = Scale { first: 1900, last: 2000 };
        let svg = scale.strip(None, &[mark.clone().leading(link("Shirt & tie"))], &[]);
        let led = "<a href=\"v.html#end\" tabindex=\"-1\" aria-label=";
        assert!(svg.contains(&format!("{led}\"Shirt &amp; tie\"><title>Shirt &amp; tie</title><line")), "{svg}");
        assert!(svg.contains("role=\"group\""), "{svg}");
        let svg = scale.strip(None, std::slice::from_ref(&mark), &[End { day, link: link("Ended by 1950") }]);
        assert!(
            svg.contains(&format!("{led}\"Ended by 1950\"><title>Ended by 1950</title><line class=\"end\"")),
            "{svg}"
        );
        let svg = scale.strip(None, &[mark], &[]);
        assert!(svg.contains("role=\"img\"") && !svg.contains("<a "), "{svg}");
    }
}

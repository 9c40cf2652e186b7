//! Dates in words, read by the program and by the script of the page that records: the same for tens of thousands of
//! phrases, in meaning, days and what is said of them. The table of both is `src/date/words.txt`.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use crate::support;
use crate::support::numbers::Numbers;
use bartack::date::edtf::{CircaYears, Edtf};
use bartack::date::numeral::{DayOrder, MONTHS};
use bartack::date::words::{Candidates, Meaning, meaning, meaning_in};
use bartack::date::{Day, days_in_month, spoken};
use serde_json::json;

/// The widening of a year by `~` where a knowledge base says nothing else; the script is told the same.
const CIRCA: CircaYears = CircaYears(2);
const ABOUT: [&str; 9] = ["", "about ", "circa ", "c.", "maybe ", "before ", "after ", "by ", "since "];

/// A text, and what is taken for granted about it.
#[derive(Clone)]
struct Phrase {
    text: String,
    order: DayOrder,
    century: Option<u16>,
}

fn plainly(text: String) -> Phrase {
    Phrase { text, order: DayOrder::Unknown, century: None }
}

impl Phrase {
    fn asked(&self) -> serde_json::Value {
        let order = match self.order {
            DayOrder::Unknown => "unknown",
            DayOrder::DayFirst => "day-first",
            DayOrder::MonthFirst => "month-first",
        };
        json!({ "text": self.text, "order": order, "century": self.century })
    }

    fn read(&self) -> String {
        let meaning = match self.century {
            None => meaning(&self.text, self.order),
            Some(century) => meaning_in(&self.text, self.order, century),
        };
        let (kind, dates) = match meaning {
            Meaning::Certain(date) => ("certain", vec![date]),
            Meaning::Ambiguous(Candidates::Likeliest(date)) => ("likeliest", vec![date]),
            Meaning::Ambiguous(Candidates::DayAndMonth { day_first, month_first }) => {
                ("day-or-month", vec![day_first, month_first])
            }
            Meaning::Ambiguous(Candidates::Centuries { earlier, later }) => ("which-century", vec![earlier, later]),
            Meaning::Unreadable => ("unreadable", vec![]),
        };
        let dates = dates.iter().map(|date| shown(date));
        std::iter::once(kind.to_string()).chain(dates).collect::<Vec<_>>().join(" | ")
    }
}

fn shown(edtf: &str) -> String {
    let date = Edtf::parse(edtf).unwrap();
    let span = date.span(CIRCA);
    let day = |day: Option<Day>| day.map_or(String::new(), |day| day.to_string());
    let mark = |is_there: bool, mark| if is_there { mark } else { "" };
    let marks = [mark(date.is_uncertain(), "?"), mark(date.is_approximate(), "~")].concat();
    let mut parts = vec![edtf.to_string(), day(span.first()), day(span.last()), marks, spoken::within(span)];
    parts.extend(date.members().into_iter().map(|days| spoken::days(days).unwrap_or_default()));
    parts.join("; ")
}

/// Every month and season of years from each decade, in full and short, with each word before it.
fn months() -> Vec<String> {
    let seasons = ["spring", "summer", "fall", "autumn", "winter", "winter of"];
    let names = MONTHS.iter().flat_map(|name| [name.to_string(), name[..3].to_string(), format!("12 {name}")]);
    let names: Vec<String> = names.chain(seasons.map(String::from)).collect();
    let years = (183..=202).flat_map(|decade| [format!("{decade}4"), format!("'{:02}", decade * 10 % 100 + 4)]);
    years
        .flat_map(|year| names.iter().map(move |name| format!("{name} {year}")).collect::<Vec<_>>())
        .flat_map(|text| ABOUT.map(|about| format!("{about}{text}")))
        .collect()
}

fn decades() -> Vec<String> {
    let parts = ["", "early ", "mid-", "mid ", "late ", "the ", "middle of the "];
    let names = ["twenties", "sixties", "seventies", "nineties"];
    let written = (180..=202).flat_map(|decade| [format!("{decade}0s"), format!("{decade}0's"), format!("{decade}x")]);
    let short = (0..10).map(|ten| format!("'{ten}0s"));
    written
        .chain(short)
        .chain(names.map(String::from))
        .flat_map(|decade| parts.map(|part| format!("{part}{decade}")))
        .flat_map(|text| ABOUT.map(|about| format!("{about}{text}")))
        .collect()
}

/// Every day of a year before, in and after leap years, as people write it; and a day that is none at each month's end.
fn days() -> Vec<Phrase> {
    let months =
        [1899, 1900, 1904, 1978, 2000].into_iter().flat_map(|year| (1..=12_u8).map(move |month| (year, month)));
    let days = months.flat_map(|(year, month)| {
        (1..=days_in_month(year, month) + 1).flat_map(move |day| {
            let short = year % 100;
            let name = MONTHS[usize::from(month) - 1];
            [
                format!("{day}.{month}.{year}"),
                format!("{month}/{day}/{year}"),
                format!("{year}-{month}-{day}"),
                format!("{day:02}/{month:02}/{short:02}"),
                format!("{year}{month:02}{day:02}"),
                format!("{day} {name} {year}"),
                format!("{name} {day}th, {short:02}"),
            ]
        })
    });
    let orders = [DayOrder::Unknown, DayOrder::DayFirst, DayOrder::MonthFirst];
    days.enumerate().map(|(at, text)| Phrase { text, order: orders[at % 3], century: None }).collect()
}

fn spans() -> Vec<String> {
    let between = [" to ", "-", "–", "/", "..", " or ", " until ", " and ", " - "];
    let ends =
        ["1969", "1970", "1971", "72", "'72", "5", "197X", "1970s", "March 1971", "about 1974", "present", "1904"];
    let around = ["", "between ", "from ", "either ", "winter ", "about "];
    let pairs = ends.into_iter().flat_map(|one| ends.map(move |other| (one, other)));
    let joined = pairs.flat_map(|(one, other)| between.map(move |word| format!("{one}{word}{other}")));
    joined.flat_map(|text| around.map(|word| format!("{word}{text}"))).collect()
}

/// Pieces of dates in any order, the same on each run.
fn broken(count: usize) -> Vec<Phrase> {
    const PIECES: [&str; 68] = [
        "1977",
        "197X",
        "-",
        "/",
        "..",
        "03",
        "02",
        "29",
        "30",
        "24",
        "77",
        "'77",
        "~",
        "?",
        "%",
        "[",
        "]",
        ",",
        "circa ",
        "before ",
        "after ",
        " to ",
        " or ",
        "late ",
        "1970s",
        "March ",
        "fall ",
        "é",
        "–",
        "T10",
        "from ",
        "between ",
        " and ",
        "00",
        "3",
        " ",
        "th",
        "s",
        "'",
        "Y",
        "+",
        "{",
        "}",
        ".",
        " of ",
        "the ",
        "Σ",
        "İ",
        "\u{85}",
        "\u{feff}",
        "\u{a0}",
        "x",
        "u",
        "century",
        "unknown",
        "n.d.",
        "winter ",
        "mid-",
        "seventies",
        "ish",
        " or so",
        "41",
        "12",
        "1",
        "1904",
        "0000",
        "ma",
        "19",
    ];
    let mut numbers = Numbers(20_261_129);
    let mut next = move |below: usize| numbers.below(below as u64) as usize;
    let orders = [DayOrder::Unknown, DayOrder::DayFirst, DayOrder::MonthFirst];
    let mut one = || {
        let count = 1 + next(8);
        let text = (0..count).map(|_| PIECES[next(PIECES.len())]).collect();
        Phrase { text, order: orders[next(3)], century: [None, Some(1800), Some(1900), Some(2000)][next(4)] }
    };
    (0..count).map(|_| one()).collect()
}

fn table() -> Vec<Phrase> {
    let rows = fs::read_to_string(support::repository("src/date/words.txt")).unwrap();
    let texts = rows.lines().filter_map(|row| row.split_once(" => ")).map(|(text, _)| text.to_string());
    let centuries = [None, Some(1900)];
    texts.flat_map(|text| centuries.map(|century| Phrase { century, ..plainly(text.clone()) })).collect()
}

#[test]
fn words_mean_the_same_to_the_page_and_the_program() {
    let said = months().into_iter().chain(decades()).chain(spans()).map(plainly);
    let all: Vec<Phrase> = said.chain(days()).chain(table()).chain(broken(30_000)).collect();
    assert!(all.len() > 50_000, "{}", all.len());
    let script = support::repository("tests/recording/words.cjs");
    let mut asking = Command::new("node");
    asking.arg(script).arg(support::repository("")).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let Ok(mut node) = asking.spawn() else {
        eprintln!("skipped: no Node, so no words are read by the page");
        return;
    };
    let asked = serde_json::Value::from_iter(all.iter().map(Phrase::asked)).to_string();
    // A script that fails before it reads says why on its other stream.
    let _ = node.stdin.take().unwrap().write_all(asked.as_bytes());
    let told = node.wait_with_output().unwrap();
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let told: Vec<String> = serde_json::from_slice(&told.stdout).unwrap();
    assert_eq!(told.len(), all.len());
    let wrong = all.iter().zip(&told).map(|(phrase, told)| (&phrase.text, phrase.read(), told));
    let wrong: Vec<_> = wrong.filter(|(_, read, told)| read != *told).take(20).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    for kind in ["certain", "likeliest", "day-or-month", "which-century", "unreadable"] {
        assert!(told.iter().filter(|told| told.starts_with(kind)).count() > 300, "few are {kind}");
    }
}

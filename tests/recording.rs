//! What the page of a garment to record makes of dates and measures: each is one that entries take, and means what the
//! page says.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

#[path = "recording/words.rs"]
mod words;

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use crate::support;
use bartack::date::edtf::{CircaYears, Edtf};
use bartack::import::quantity;
use bartack::vocabulary::Unit;

/// The widening of a year by `~` where a knowledge base says nothing else; the script is told the same.
const CIRCA: CircaYears = CircaYears(2);

#[test]
fn every_date_of_the_page_is_one_that_entries_take_and_means_the_same_days() {
    let script = support::repository("tests/recording/dates.cjs");
    let Ok(told) = Command::new("node").arg(script).arg(support::repository("")).output() else {
        eprintln!("skipped: no Node, so no date is written by the page");
        return;
    };
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let told = String::from_utf8(told.stdout).unwrap();
    let mut written = BTreeSet::new();
    for line in told.lines() {
        let [text, first, last] = line.split('\t').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let date = Edtf::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        let span = date.span(CIRCA);
        let day = |day: Option<bartack::date::Day>| day.map_or(String::new(), |day| day.to_string());
        // The calendar of entries ends at the years 0001 and 9999; what is widened beyond them is open there.
        let is_at_the_end = |told: &str| told.starts_with("0001") || told > "9999";
        if !is_at_the_end(first) {
            assert_eq!(day(span.first()), first, "{text}");
        }
        if !is_at_the_end(last) {
            assert_eq!(day(span.last()), last, "{text}");
        }
        written.insert(text.to_string());
    }
    assert!(written.len() > 400, "{}", written.len());
    for form in ["1978", "1978~", "197X", "197X~", "1976-02", "1976-02-29", "../1978", "1978/..", "1976/1978"] {
        assert!(written.contains(form), "{form}");
    }
    for none in ["1900-02-29", "1978-13", "0000", "1978/1976"] {
        assert!(!written.contains(none), "{none}");
    }
}

#[test]
fn measures_are_read_alike_by_pages_and_terminal() {
    // 1 in = 2.54 cm exactly: international yard and pound agreement of 1959 (24 FR 5348; Weights and Measures Act 1963,
    // c. 31, schedule 1; citations from memory). The values of the table were worked out from it by hand.
    let table = fs::read_to_string(support::repository("tests/recording/measures.json")).unwrap();
    let rows: Vec<serde_json::Value> = serde_json::from_str(&table).unwrap();
    for row in &rows {
        let (text, unit) = (row["text"].as_str().unwrap(), Unit::parse(row["unit"].as_str().unwrap()).unwrap());
        let (digits, own) = quantity::with_unit(text);
        let read = quantity::number(digits).ok().and_then(|number| own.unwrap_or(unit).convert(number, unit));
        match row["value"].as_f64() {
            None => assert_eq!(read, None, "{text}"),
            Some(value) => {
                let within = row["within"].as_f64().unwrap_or(1e-12);
                assert!((read.unwrap() - value).abs() <= within, "{text}: {read:?}");
            }
        }
    }
    let script = support::repository("tests/recording/measures.cjs");
    let Ok(told) = Command::new("node").arg(script).arg(support::repository("")).output() else {
        eprintln!("skipped: no Node, so no measure is read by the pages");
        return;
    };
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    assert_eq!(String::from_utf8(told.stdout).unwrap().trim(), rows.len().to_string());
}

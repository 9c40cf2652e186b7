//! The dates of the page of a garment to record: each is one that entries take, and means the days that the page says.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

use std::collections::BTreeSet;
use std::process::Command;

use crate::support;
use bartack::date::edtf::{CircaYears, Edtf};

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

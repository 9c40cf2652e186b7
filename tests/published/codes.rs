//! Weeks, ordinal days and years of codes against ISO 8601's own examples and what database manuals print.
//!
//! No public date-code system of another field is among the facts that this project gathered, so none is tried here;
//! `tests/exports/keys.py` holds weeks, quarters and months of random codes to Python's `datetime`.

use bartack::code::calendar::{CodeDate, Window, week};
use bartack::code::{Alphabet, Field, Form, Meaning, Notation, Part};
use bartack::date::Day;

fn figures(width: usize, meaning: Meaning) -> Part {
    Part::Field(Field { alphabet: Alphabet::Digits, width, meaning, table: None })
}

fn day(text: &str) -> Day {
    let numbers: Vec<i32> = text.split('-').map(|number| number.parse().unwrap()).collect();
    Day::from_ymd(numbers[0], numbers[1] as u8, numbers[2] as u8).unwrap()
}

fn read(parts: Vec<Part>, code: &str) -> Vec<CodeDate> {
    let notation = Notation { forms: vec![Form { parts }], window: Window::new(None, None) };
    notation.read(code).unwrap().dates
}

/// ISO 8601:2000, 5.2.1 to 5.2.3: 12 April 1985 is written 19850412, 1985102 (the 102nd day of the year) and 1985W155 (the
/// fifth day, a Friday, of week 15); with the century left out 85W15, with the decade left out -5W15.
#[test]
fn the_standard_s_own_examples_name_one_day() {
    let friday = day("1985-04-12");
    assert_eq!(friday.number() - day("1985-01-01").number() + 1, 102);
    let text = || Part::Text("W".to_string());
    let forms = [
        (vec![figures(4, Meaning::Year), text(), figures(2, Meaning::Week)], "1985W15"),
        (vec![figures(4, Meaning::Year), text(), figures(2, Meaning::Week)], "1985-W15"),
        (vec![figures(2, Meaning::YearOfCentury), text(), figures(2, Meaning::Week)], "85W15"),
        (vec![figures(2, Meaning::YearOfCentury), text(), figures(2, Meaning::Week)], "85-W15"),
        (vec![figures(1, Meaning::YearOfDecade), text(), figures(2, Meaning::Week)], "-5W15"),
        (vec![figures(1, Meaning::YearOfDecade), text(), figures(2, Meaning::Week)], "-5-W15"),
    ];
    for (parts, code) in forms {
        let dates = read(parts, code);
        let own: Vec<Day> =
            dates.iter().filter(|date| date.first.year() == 1985).map(|date| date.first.plus_days(4)).collect();
        assert_eq!(own, [friday], "{code}");
    }
    let parts = vec![figures(4, Meaning::Year), figures(2, Meaning::Month), figures(2, Meaning::Day)];
    assert_eq!(read(parts, "19850412"), [CodeDate { first: friday, last: friday }]);
}

/// Db2 for Linux, UNIX and Windows 11.5, WEEK_ISO scalar function: the dates of its example with week and day of the week;
/// PostgreSQL, functions-datetime, EXTRACT: the dates of the paragraph on `week`, with the year that the week is of.
#[test]
fn days_lie_in_the_weeks_that_manuals_print() {
    let rows = [
        ("1997-12-28", 1997, 52),
        ("1997-12-31", 1998, 1),
        ("1998-01-01", 1998, 1),
        ("1999-01-01", 1998, 53),
        ("1999-01-04", 1999, 1),
        ("1999-12-31", 1999, 52),
        ("2000-01-01", 1999, 52),
        ("2005-01-01", 2004, 53),
        ("2006-01-01", 2005, 52),
        ("2012-12-31", 2013, 1),
    ];
    for (text, year, number) in rows {
        let found = week(year, number).unwrap();
        assert!((found.first..=found.last).contains(&day(text)), "{text} is not in {year}-W{number}: {found:?}");
    }
    // Of the years in these rows 1998 and 2004 have a week 53, and 1999 and 2005 have none.
    assert_eq!([1998, 1999, 2004, 2005].map(|year| week(year, 53).is_some()), [true, false, true, false]);
}

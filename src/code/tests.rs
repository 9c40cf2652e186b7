//! Codes as keys read them: forms, calendars, years.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use super::calendar::{Window, week};
use super::{Alphabet, Field, Form, Meaning, Notation, Part, PartValue, Unread};
use crate::date::Day;

fn figures(width: usize, meaning: Meaning) -> Part {
    Part::Field(Field { alphabet: Alphabet::Digits, width, meaning, table: None })
}

fn letters(meaning: Meaning, rows: &[(&str, PartValue)]) -> Part {
    let table: BTreeMap<String, PartValue> =
        rows.iter().map(|(text, value)| ((*text).to_string(), value.clone())).collect();
    Part::Field(Field { alphabet: Alphabet::Letters, width: rows[0].0.len(), meaning, table: Some(table) })
}

fn text(text: &str) -> Part {
    Part::Text(text.to_string())
}

fn key(parts: Vec<Part>, years: [i32; 2]) -> Notation {
    let window = Window::new(Day::from_ymd(years[0], 1, 1), Day::from_ymd(years[1], 12, 31));
    Notation { forms: vec![Form { parts }], window }
}

fn read(key: &Notation, code: &str) -> String {
    match key.read(code) {
        Ok(reading) => reading.edtf(),
        Err(Unread::NoForm) => "no form".to_string(),
        Err(Unread::OutsideYears(_)) => "outside".to_string(),
    }
}

#[test]
fn the_finest_part_gives_the_dates() {
    use Meaning::{Day, Month, Quarter, Week, Year, YearOfCentury, YearOfDecade};
    type Row<'r> = (&'r [(usize, Meaning)], &'r str, &'r str);
    let rows: [Row<'_>; 13] = [
        (&[(4, Year)], "1978", "1978"),
        (&[(2, YearOfCentury)], "78", "1978"),
        (&[(1, YearOfDecade)], "8", "[1968,1978]"),
        (&[(2, Month), (2, YearOfCentury)], "0478", "1978-04"),
        (&[(2, Month), (2, YearOfCentury)], "1378", "no form"),
        (&[(2, Month), (2, YearOfCentury)], "0078", "no form"),
        (&[(1, Quarter), (2, YearOfCentury)], "278", "1978-04/1978-06"),
        (&[(1, Quarter), (1, YearOfDecade)], "28", "[1968-04..1968-06,1978-04..1978-06]"),
        (&[(2, Week), (2, YearOfCentury)], "1478", "1978-04-03/1978-04-09"),
        (&[(2, Week), (2, YearOfCentury)], "5478", "no form"),
        (&[(2, Day), (2, Month), (2, YearOfCentury)], "310478", "no form"),
        (&[(2, Day), (2, Month), (2, YearOfCentury)], "300478", "1978-04-30"),
        (&[(1, Quarter), (2, Month), (2, YearOfCentury)], "10478", "no form"),
    ];
    for (parts, code, expected) in rows {
        let parts = parts.iter().map(|(width, meaning)| figures(*width, *meaning)).collect();
        assert_eq!(read(&key(parts, [1965, 1984]), code), expected, "{code}");
    }
}

#[test]
fn a_leap_day_is_read_in_leap_years_only() {
    let parts = vec![figures(2, Meaning::Day), figures(2, Meaning::Month), figures(1, Meaning::YearOfDecade)];
    assert_eq!(read(&key(parts.clone(), [1960, 1989]), "29028"), "[1968-02-29,1988-02-29]");
    assert_eq!(read(&key(parts.clone(), [1970, 1979]), "29028"), "outside");
    assert_eq!(read(&key(parts.clone(), [1970, 1979]), "29027"), "no form", "no leap year ends in 7");
    assert_eq!(read(&key(parts, [1970, 1979]), "30028"), "no form", "no year has it");
}

#[test]
fn a_week_belongs_to_the_year_of_its_thursday_and_53_only_to_years_that_have_it() {
    let parts = vec![figures(2, Meaning::YearOfCentury), figures(2, Meaning::Week)];
    assert_eq!(read(&key(parts.clone(), [1965, 1984]), "8101"), "1980-12-29/1981-01-04");
    assert_eq!(read(&key(parts.clone(), [1965, 1984]), "7653"), "1976-12-27/1977-01-02");
    assert_eq!(read(&key(parts.clone(), [1965, 1984]), "7753"), "no form", "neither 1877 nor 1977 has 53 weeks");
    let reading = key(parts, [1965, 1984]).read("8101").unwrap();
    assert_eq!(reading.years().into_iter().collect::<Vec<_>>(), [1980, 1981]);
}

#[test]
fn a_date_counts_if_one_of_its_days_is_in_the_years_of_the_key() {
    let notation = |first: Day| Notation {
        forms: vec![Form { parts: vec![figures(2, Meaning::Month), figures(2, Meaning::YearOfCentury)] }],
        window: Window::new(Some(first), None),
    };
    let day = |day| Day::from_ymd(1978, 4, day).unwrap();
    assert_eq!(read(&notation(day(30)), "0478"), "1978-04");
    assert_eq!(read(&notation(day(30).plus_days(1)), "0478"), "outside");
}

#[test]
fn separators_and_case_matter_only_where_a_text_says_so() {
    let month = || figures(2, Meaning::Month);
    let year = || figures(2, Meaning::YearOfCentury);
    let plain = key(vec![text("q"), month(), year()], [1965, 1984]);
    for code in ["Q0478", "q0478", "Q-04/78", "Q 04.78", " q\u{a0}04\u{2013}78 "] {
        assert_eq!(read(&plain, code), "1978-04", "{code}");
    }
    for code in ["0478", "Q0478X", "Q478", "Q04:78", "Q０４78", "\u{51a}0478"] {
        assert_eq!(read(&plain, code), "no form", "{code}");
    }
    let dashed = key(vec![month(), text("-"), year()], [1965, 1984]);
    for (code, expected) in [
        ("04-78", "1978-04"),
        ("04 - 78", "1978-04"),
        ("04\u{2212}78", "1978-04"),
        ("0478", "no form"),
        ("04--78", "no form"),
        ("04/-78", "1978-04"),
    ] {
        assert_eq!(read(&dashed, code), expected, "{code}");
    }
}

#[test]
fn tables_map_texts_and_refuse_all_others() {
    let year = letters(Meaning::Year, &[("A", PartValue::Number(1954)), ("B", PartValue::Number(1955))]);
    let factory = letters(Meaning::Factory, &[("D", PartValue::Name("dunmore".into()))]);
    let key = key(vec![year, figures(2, Meaning::Week), factory], [1950, 1960]);
    let reading = key.read("b14d").unwrap();
    assert_eq!((reading.edtf().as_str(), reading.factory()), ("1955-04-04/1955-04-10", Some("dunmore")));
    assert_eq!(read(&key, "c14d"), "no form");
    assert_eq!(read(&key, "b14e"), "no form");
    assert_eq!(read(&key, "b54d"), "no form");
}

#[test]
fn forms_are_taken_together() {
    let mut both = key(vec![figures(2, Meaning::Month), figures(2, Meaning::YearOfCentury)], [1965, 1984]);
    both.forms.push(Form { parts: vec![figures(2, Meaning::YearOfCentury), figures(2, Meaning::Month)] });
    assert_eq!(read(&both, "0478"), "1978-04");
    assert_eq!(read(&both, "7812"), "1978-12");
    both.window = Window::new(Day::from_ymd(1904, 1, 1), None);
    assert_eq!(read(&both, "0478"), "1978-04");
    assert_eq!(read(&both, "1112"), "[1911-12,1912-11,2011-12,2012-11]");
    let reading = both.read("1212").unwrap();
    assert_eq!((reading.edtf().as_str(), reading.forms.len()), ("[1912-12,2012-12]", 2));
}

#[test]
fn two_readings_agree_by_days_and_factories_and_not_by_how_they_are_cut() {
    let reads = |meaning, code: &str| key(vec![figures(code.len(), meaning)], [1965, 1974]).read(code).unwrap();
    let quarters = key(vec![figures(2, Meaning::YearOfCentury), figures(1, Meaning::Quarter)], [1965, 1984]);
    assert!(reads(Meaning::YearOfDecade, "8").agrees_with(&reads(Meaning::YearOfCentury, "68")));
    assert!(!quarters.read("682").unwrap().agrees_with(&reads(Meaning::YearOfDecade, "8")));
    let factory = |id: &str| {
        let named = letters(Meaning::Factory, &[("D", PartValue::Name(id.into()))]);
        key(vec![named, figures(2, Meaning::YearOfCentury)], [1965, 1984]).read("D68").unwrap()
    };
    assert!(factory("dunmore").agrees_with(&reads(Meaning::YearOfCentury, "68")));
    assert!(!factory("dunmore").agrees_with(&factory("orlby")));
}

#[test]
fn a_long_code_and_a_thousand_parts_take_one_pass() {
    let parts: Vec<Part> = (0..999).map(|_| text("-")).chain([figures(2, Meaning::YearOfCentury)]).collect();
    let notation = Notation { forms: vec![Form { parts }; 1000], window: Window::new(None, None) };
    assert_eq!(read(&notation, &("-".repeat(999) + "78")), "[1878,1978]");
    assert_eq!(read(&notation, &"7".repeat(100_000)), "no form");
}

#[test]
fn weeks_are_those_of_days_counted_from_thursdays() {
    // Week n of a year is the week of its nth Thursday (ISO 8601); walked here day by day.
    let mut weeks: BTreeMap<(i32, u32), i32> = BTreeMap::new();
    for number in Day::from_ymd(1849, 1, 1).unwrap().number()..=Day::from_ymd(2031, 12, 31).unwrap().number() {
        if number.rem_euclid(7) == 0 {
            let year = Day::from_number(number).year();
            let count = weeks.range((year, 0)..(year, 99)).count() as u32;
            weeks.insert((year, count + 1), number);
        }
    }
    for year in 1850..=2030 {
        for number in 0..=54 {
            let expected = weeks.get(&(year, number)).map(|thursday| thursday - 3);
            assert_eq!(week(year, number).map(|week| week.first.number()), expected, "{year}-W{number}");
        }
    }
}

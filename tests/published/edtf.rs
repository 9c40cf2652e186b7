//! The date parser against the examples of the EDTF specification and two independent libraries.
//!
//! `edtf.json` holds the strings, the libraries' answers and what ours must be. Where ours differs from a library's,
//! `DIFFERENCES` says why; a difference that is not named there fails, and so does a named one that does not exist.

use std::collections::BTreeSet;

use bartack::date::edtf::{CircaYears, Edtf};
use bartack::date::fault::DateProblem;
use serde_json::Value;

/// Why our answer differs from a library's, and on which strings.
struct Difference {
    because: &'static str,
    npm: &'static [&'static str],
    pypi: &'static [&'static str],
}

const DIFFERENCES: &[Difference] = &[
    Difference {
        because: "times of day are refused: nothing here is known to the hour",
        npm: &[
            "1985-04-12T23:20:30",
            "1985-04-12T23:20:30Z",
            "1985-04-12T23:20:30-04",
            "1985-04-12T23:20:30+04:30",
            "1985-04-12T10:00:00Z/1985-04-13",
        ],
        pypi: &["1985-04-12T23:20:30", "1985-04-12T23:20:30Z", "1985-04-12T23:20:30-04", "1985-04-12T23:20:30+04:30"],
    },
    Difference {
        because: "years outside 0001 to 9999 and years with letters are refused",
        npm: &["Y170000002", "Y-170000002", "Y-17E7", "Y17E8", "1950S2", "Y171010000S3", "Y3388E2S3", "-1985", "0000"],
        pypi: &["Y170000002", "Y-170000002", "Y-17E7", "Y17E8", "1950S2", "Y171010000S3", "Y3388E2S3", "-1985", "0000"],
    },
    Difference {
        because: "seasons are Mar–May, Jun–Aug, Sep–Nov and December to February; the library takes quarters of the year",
        npm: &["2001-21", "2001-22", "2001-23", "2001-24"],
        pypi: &[],
    },
    Difference {
        because: "winter runs on to the end of February; the library stops at 31 December",
        npm: &[],
        pypi: &["2001-24"],
    },
    Difference {
        because: "parts of a year beyond the four seasons (25 to 41) are refused",
        npm: &[
            "2001-34", "2001-25", "2001-28", "2001-29", "2001-30", "2001-32", "2001-33", "2001-36", "2001-37",
            "2001-39", "2001-40", "2001-41",
        ],
        pypi: &[
            "2001-34", "2001-25", "2001-28", "2001-29", "2001-30", "2001-32", "2001-33", "2001-36", "2001-37",
            "2001-39", "2001-40", "2001-41",
        ],
    },
    Difference {
        because: "`~` widens; the library's bounds ignore it",
        npm: &[
            "2004-06~",
            "2004-06-11%",
            "1984~",
            "1984%",
            "1984~/2004-06",
            "1984?/2004%",
            "1947~/1954?",
            "2004-06~-11",
            "?2004-06-~11",
            "2004-%06-11",
            "2004-06-~01/2004-06-~20",
        ],
        pypi: &[],
    },
    Difference {
        because: "the library refuses marks on years with unspecified digits",
        npm: &["195X~", "195X?"],
        pypi: &[],
    },
    Difference {
        because: "`?` halves a weight and moves no day; the library widens by it",
        npm: &[],
        pypi: &["1984?", "195X?", "2004?-06-11"],
    },
    Difference {
        because: "`~` widens by other amounts: decade 5 years, year 2, a month 3 months, a day 15 days, by the finest part",
        npm: &[],
        pypi: &[
            "2004-06~",
            "2004-06-11%",
            "1984~",
            "195X~",
            "1984~/2004-06",
            "2004-06~-11",
            "?2004-06-~11",
            "2004-%06-11",
            "2004-06-~01/2004-06-~20",
        ],
    },
    Difference { because: "both of the two above", npm: &[], pypi: &["1984?/2004%", "1947~/1954?"] },
    Difference {
        because: "an unknown end bounds nothing; the library puts it ten years away",
        npm: &[],
        pypi: &["1985-04-12/", "1985-04/", "1985/", "/1985-04-12", "/1985-04", "/1985"],
    },
    Difference {
        because: "both ends unknown is a date that bounds nothing; the library refuses it",
        npm: &[],
        pypi: &["/"],
    },
    Difference {
        because: "a range in a set reaches to its last member; the library stops at its first",
        npm: &["[1667,1668,1670..1672]"],
        pypi: &[],
    },
    Difference {
        because: "sets of all members are refused: a date is one unknown day",
        npm: &["{1667,1668,1670..1672}", "{1960,1961-12}", "{..1984}"],
        pypi: &["{1667,1668,1670..1672}", "{1960,1961-12}", "{..1984}"],
    },
    Difference {
        because: "a year without any digit bounds nothing; the library gives years 0000 to 9999",
        npm: &["XXXX-12-XX", "XXXX"],
        pypi: &["XXXX-12-XX", "XXXX"],
    },
    Difference {
        because: "a month or day with one digit unspecified is in the notation; the library refuses it",
        npm: &[],
        pypi: &["1984-1X", "1984-0X"],
    },
    Difference {
        because: "only days that exist are counted: of 190X only 1904 and 1908 have a 29 February",
        npm: &["190X-02-29"],
        pypi: &["190X-02-29"],
    },
    Difference {
        because: "seasons may be ends of an interval; the library refuses them",
        npm: &["1960-21/1961-23"],
        pypi: &[],
    },
    Difference {
        because: "an interval that ends before it begins is refused",
        npm: &["[1672..1670]"],
        pypi: &["2008/1964", "[1672..1670]"],
    },
    Difference { because: "a day that does not exist is refused", npm: &["2005-02-29"], pypi: &["2005-02-29"] },
    Difference {
        because: "a string outside the notation is refused: two digits, digits run together, spaces",
        npm: &["85", "19850412", "[1667, 1668]"],
        pypi: &["[1667, 1668]", "1984 "],
    },
];

fn rows() -> Vec<Value> {
    let facts: Value = serde_json::from_str(include_str!("edtf.json")).unwrap();
    facts["dates"].as_array().unwrap().clone()
}

/// The first and last day, or nothing where the string is refused.
fn ours(text: &str) -> Option<Value> {
    let span = Edtf::parse(text).ok()?.span(CircaYears(2));
    Some([span.first(), span.last()].map(|day| day.map(|day| day.to_string())).as_slice().into())
}

fn code(problem: &DateProblem) -> &'static str {
    match problem {
        DateProblem::Empty => "empty",
        DateProblem::TooLong => "too-long",
        DateProblem::NotADate => "not-a-date",
        DateProblem::ImpossibleMonth => "impossible-month",
        DateProblem::ImpossibleDay => "impossible-day",
        DateProblem::DayInSeason => "day-in-season",
        DateProblem::InvertedInterval => "inverted-interval",
        DateProblem::YearOutOfRange => "year-out-of-range",
        DateProblem::TimeOfDay => "time-of-day",
        DateProblem::WhichCentury { .. } => "which-century",
        DateProblem::LetterYear => "letter-year",
        DateProblem::SubYearGrouping => "sub-year-grouping",
        DateProblem::AllMembers => "all-members",
        DateProblem::DoubledMark => "doubled-mark",
    }
}

#[test]
fn every_published_string_has_the_bounds_or_the_problem_expected_of_it() {
    assert_eq!(rows().len(), 122);
    for row in rows() {
        let text = row["string"].as_str().unwrap();
        let expected = &row["ours"];
        match Edtf::parse(text) {
            Ok(_) => assert_eq!(
                ours(text).unwrap(),
                Value::from(vec![expected["first"].clone(), expected["last"].clone()]),
                "{text}"
            ),
            Err(fault) => {
                assert_eq!(Some(code(&fault.problem)), expected["problem"].as_str(), "{text}");
                assert_eq!(fault.nearest.as_deref(), expected.get("nearest").and_then(Value::as_str), "{text}");
            }
        }
        assert_eq!(expected.get("problem").is_none(), expected.get("first").is_some(), "{text}");
    }
}

#[test]
fn every_difference_from_a_library_is_named_and_every_named_one_exists() {
    assert!(DIFFERENCES.iter().all(|difference| !difference.because.is_empty()));
    let npm: Vec<&str> = DIFFERENCES.iter().flat_map(|difference| difference.npm).copied().collect();
    let pypi: Vec<&str> = DIFFERENCES.iter().flat_map(|difference| difference.pypi).copied().collect();
    for (library, listed) in [("npm", npm), ("pypi", pypi)] {
        let named: BTreeSet<&str> = listed.iter().copied().collect();
        assert_eq!(named.len(), listed.len(), "a difference from {library} is named twice");
        let rows = rows();
        let found: BTreeSet<&str> = rows
            .iter()
            .map(|row| (row["string"].as_str().unwrap(), &row[library]))
            .filter(|(text, answer)| ours(text).unwrap_or(Value::Null) != **answer)
            .map(|(text, _)| text)
            .collect();
        let unnamed: Vec<_> = found.difference(&named).collect();
        let absent: Vec<_> = named.difference(&found).collect();
        assert!(unnamed.is_empty() && absent.is_empty(), "{library}: not named {unnamed:?}; no difference {absent:?}");
    }
}

//! Ten thousand rows, of which a hundred are wrong in twelve ways.

use std::collections::BTreeSet;
use std::fmt::Write;

use crate::import::Desk;

const VARIANT: &str = "brackwold-tharn/sluice-118/underlode-men";

/// What a row has wrong, and what is said of it.
const MISTAKES: [(&str, &str); 12] = [
    ("V-x;wren;2026-03-14;1971;lockstitch;5;20,5", "there is no variant"),
    ("V;wren;2026-03-14;77;lockstitch;5;20,5", "which century is meant"),
    ("V;wren;2026-03-14;03/04/1975;lockstitch;5;20,5", "day first, it is 1975-04-03"),
    ("V;wren;2026-03-14;long ago;lockstitch;5;20,5", "is not a date"),
    ("V;wren;last week;1971;lockstitch;5;20,5", "is not one day"),
    ("V;wren;2026-03-14;1971;zigzagged;5;20,5", "is not one of its states"),
    ("V;wren;2026-03-14;1971;lockstitch;0;20,5", "a count of 0 is written `absent`"),
    ("V;wren;2026-03-14;1971;lockstitch;5.5;20,5", "is not a whole number"),
    ("V;wren;2026-03-14;1971;lockstitch;5;wide", "is not a number"),
    ("V;wren;2026-03-14;1971;lockstitch;5;900", "is outside the range"),
    ("V;wren;2026-03-14;1971;lockstitch;5;1,250", "may be 1.250 or 1250"),
    ("V;wren;2026-03-14;1971;lockstitch;5;20;5;in", "does a cell hold the separator?"),
];

#[test]
fn ten_thousand_rows_take_seconds_and_each_wrong_one_is_told() {
    let desk = Desk::new();
    let mut text = String::from("\u{feff}variant;observer;observed;made;hem;belt loops;leg opening\n");
    let mut wrong = BTreeSet::new();
    for row in 2..10_002 {
        if row % 100 == 50 {
            let (mistake, said) = MISTAKES[row / 100 % MISTAKES.len()];
            // Rows that say the same word for word are one garment.
            let mistake = mistake.replacen('V', VARIANT, 1).replacen(";wren;", &format!(";wren {row};"), 1);
            writeln!(text, "{mistake}").unwrap();
            wrong.insert((row, said));
        } else {
            let (loops, leg) = (row % 4 + 4, 150 + row % 190);
            writeln!(
                text,
                "{VARIANT};\"wren\n{row}\";2026-03-14;late 1970s;Chain stitch;{loops};{},{}",
                leg / 10,
                leg % 10
            )
            .unwrap();
        }
    }
    let sheet = desk.put("large.csv", text);
    // Compiled one by one, the rows would take hours.
    let ran = desk.import(&[&sheet]);
    assert_eq!((ran.code, wrong.len()), (1, 100));
    assert!(ran.summary.starts_with("9900 entries to write, 100 wrong;"), "{}", ran.summary);
    // Rows that one answer settles, or of which the same is said, share a line.
    let lines: Vec<(BTreeSet<usize>, &str)> =
        ran.told.lines().skip_while(|line| !line.contains(" questions about ")).filter_map(named).collect();
    assert_eq!(lines.len(), MISTAKES.len(), "{}", ran.told);
    for (row, said) in wrong {
        let told: Vec<&str> = lines.iter().filter(|(rows, _)| rows.contains(&row)).map(|(_, line)| *line).collect();
        assert!(told.len() == 1 && told[0].contains(said), "row {row}, {said}: {told:?}");
    }
}

/// The rows that a line names, if it is about rows that are wrong.
fn named(line: &str) -> Option<(BTreeSet<usize>, &str)> {
    let rest = line.strip_prefix("#   row")?;
    let rows = rest.trim_start_matches('s').split([':', '`']).next()?;
    let rows: Option<BTreeSet<usize>> = rows
        .split([',', ' '])
        .filter(|word| !word.is_empty() && *word != "and")
        .map(|word| word.parse().ok())
        .collect();
    Some((rows.filter(|rows| !rows.is_empty())?, line))
}

//! What functions are given: no tuple that hides arguments.

#![allow(clippy::unwrap_used)]

use crate::architecture::{assert_none, sources};

/// The parameters of each function of a text, split at the commas between them.
fn parameters(code: &str) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        let Some(open) = code[at..].find('(').map(|open| at + open) else { continue };
        let (mut depth, mut angles, mut all) = (0, 0, vec![String::new()]);
        for letter in code[open..].chars() {
            match letter {
                '(' | '[' | '{' => depth += 1,
                ')' | ']' | '}' => depth -= 1,
                '<' => angles += 1,
                '>' => angles -= 1,
                _ => (),
            }
            if depth == 0 {
                break;
            }
            match letter == ',' && depth == 1 && angles == 0 {
                true => all.push(String::new()),
                false => all.last_mut().unwrap().push(letter),
            }
        }
        all[0].remove(0);
        found.push(all);
    }
    found
}

fn tuples(code: &str) -> usize {
    parameters(code).iter().filter(|all| all.iter().any(|one| one.trim_start().starts_with('('))).count()
}

#[test]
fn tuples_taken_apart_are_counted() {
    let code =
        "fn a(b: (u8, u8)) {}\nfn c(\n    d: Vec<(u8, u8)>,\n    (e, f): (u8, u8),\n) {}\nfn g(&self, (h, i): &J) {}";
    assert_eq!((parameters(code).len(), tuples(code)), (3, 2));
}

#[test]
fn no_function_takes_a_tuple_apart() {
    let found = sources().into_iter().filter_map(|source| {
        let code: String = source.code().map(|(_, line)| format!("{line}\n")).collect();
        (tuples(&code) > 0).then(|| format!("src/{}: {}", source.path, tuples(&code)))
    });
    assert_none(found.collect(), "what is passed together is a struct with a name; what is not is passed one by one");
}

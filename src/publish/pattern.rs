//! Patterns of paths: `*` stands for any text within a segment, `**` for any number of segments.

/// Says whether a path fits a pattern.
pub fn matches(pattern: &str, path: &str) -> bool {
    fits(&segments(pattern), &segments(path))
}

/// Says whether some path fits both patterns; two segments that both hold `*` are taken to meet.
#[cfg(test)]
pub fn overlap(one: &str, other: &str) -> bool {
    fits(&segments(one), &segments(other))
}

fn segments(text: &str) -> Vec<&str> {
    text.split('/').collect()
}

fn fits(one: &[&str], other: &[&str]) -> bool {
    match (one, other) {
        ([], []) => true,
        (["**", rest @ ..], [_, after @ ..]) => fits(rest, other) || fits(one, after),
        ([_, after @ ..], ["**", rest @ ..]) => fits(one, rest) || fits(after, other),
        (["**", rest @ ..], []) | ([], ["**", rest @ ..]) => fits(rest, &[]),
        ([first, rest @ ..], [second, after @ ..]) => segment_fits(first, second) && fits(rest, after),
        _ => false,
    }
}

fn segment_fits(one: &str, other: &str) -> bool {
    match (one.split_once('*'), other.split_once('*')) {
        (None, None) => one == other,
        (Some(_), None) => text_fits(one, other),
        (None, Some(_)) => text_fits(other, one),
        (Some((one_start, one_end)), Some((other_start, other_end))) => {
            (one_start.starts_with(other_start) || other_start.starts_with(one_start))
                && (one_end.ends_with(other_end) || other_end.ends_with(one_end))
        }
    }
}

fn text_fits(pattern: &str, text: &str) -> bool {
    let Some((start, rest)) = pattern.split_once('*') else { return pattern == text };
    let Some(left) = text.strip_prefix(start) else { return false };
    (0..=left.len()).filter(|cut| left.is_char_boundary(*cut)).any(|cut| text_fits(rest, &left[cut..]))
}

#[cfg(test)]
mod tests {
    use super::{matches, overlap};

    #[test]
    fn stars_stay_within_a_segment_and_double_stars_do_not() {
        let rows = [
            ("makers/*/maker.html", "makers/a/maker.html", true),
            ("makers/*/maker.html", "makers/a/b/maker.html", false),
            ("data/*.csv", "data/eras.csv", true),
            ("data/*.csv", "data/eras.json", false),
            ("makers/**", "makers/a/b/c.html", true),
            ("**/maker.html", "maker.html", true),
            ("assets/**", "assets", true),
            ("index.html", "index.html", true),
        ];
        for (pattern, path, expected) in rows {
            assert_eq!(matches(pattern, path), expected, "{pattern} {path}");
        }
    }

    #[test]
    fn patterns_that_share_a_path_overlap() {
        assert!(overlap("makers/*/maker.html", "makers/**"));
        assert!(overlap("data/*.csv", "data/eras*"));
        assert!(!overlap("makers/*/maker.html", "makers/*/*/model.html"));
        assert!(!overlap("data/*.csv", "data/*.json"));
    }
}

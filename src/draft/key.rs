//! The text of a new key file, explained line by line, for someone who knows how to read a maker's
//! codes.
//!
//! It names no source, so `check` refuses it until its author names one.

use crate::record::id::MakerId;
use crate::vocabulary::Feature;

/// How many makers are named as examples.
const MOST_MAKERS: usize = 8;

/// Writes the file for a key that reads the first of the features, which are all of kind `code`.
pub fn text(features: &[&Feature], makers: &[&MakerId]) -> String {
    let ids: Vec<String> = features.iter().map(|feature| format!("`{}`", feature.id)).collect();
    let reads = features.first().map_or("", |feature| feature.id.as_str());
    let of = makers.iter().take(MOST_MAKERS).map(|maker| format!("\"{maker}\"")).collect::<Vec<String>>().join(", ");
    TEMPLATE.replace("{features}", &ids.join(", ")).replace("{reads}", reads).replace("{makers}", &of)
}

const TEMPLATE: &str = r#"+++
# What the code is, such as "Month and year inside the waistband".
title = "…"
# The feature that holds the code, one of {features}.
reads = "{reads}"
# On whose garments it is read. Leave the line out only if the code is read alike on garments of all makers.
# makers = [{makers}]
# When codes of this form were used. A year of one or two figures means every year between the two.
# not-before = "1965"
# not-after = "1984"
# Who says how the code is read, at least one source; `check` refuses a key without one.
# sources = ["stockroom-talk tape 2"]

# The parts of a code in its order. Each takes a fixed number of characters.
# digits or letters: how many. is: year, year-of-century (two figures), year-of-decade (one figure), month, quarter, week
# (of ISO 8601), day, factory or serial. table: what each text stands for. text: characters that must stand there.
# Spaces, dots, dashes and slashes do not matter, unless a text has them; nor do small letters.
parts = [
  # { letters = 1, is = "factory", table = { A = "first-works", B = "second-works" } },
  # { digits = 2, is = "month" },
  # { text = "-" },
  # { digits = 2, is = "year-of-century" },
]
# Several forms: forms = [[{ … }, { … }], [{ … }]] in place of parts.

# Codes with what the key must read from them, best from garments whose date is known otherwise. `check` tries each.
# examples = [{ code = "A04-78", reads = "1978-04", factory = "first-works" }]
+++
How is this known? Which garments bear the code out, and which do not?
"#;

#[cfg(test)]
mod tests {
    use super::text;
    use crate::compile::example;
    use crate::record::id::MakerId;

    /// The template with every line uncommented that begins with `# ` and contains TOML.
    fn filled_in(text: &str) -> String {
        let is_toml = |line: &str| line.contains(" = ") || line.starts_with("{ ");
        let line = |line: &str| match line.trim_start().strip_prefix("# ").filter(|rest| is_toml(rest)) {
            Some(rest) if !rest.contains('…') => rest.to_string(),
            _ => line.to_string(),
        };
        text.lines().map(|text| line(text) + "\n").collect()
    }

    #[test]
    fn what_stands_in_its_comments_makes_a_key_that_reads_its_own_example() {
        let world = "--- entries/sources/stockroom-talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n\
                     --- entries/makers/hollin/maker.md\n+++\nname = \"Hollin\"\n+++\n";
        let vocabulary = example::compile(world).knowledge.catalog.vocabulary;
        let Some(feature) = vocabulary.feature("date-code") else { unreachable!("the example has a code") };
        let empty = text(&[feature], &[&MakerId::new("hollin")]);
        let codes = |key: &str| {
            let found = example::compile(&format!("{world}--- entries/keys/waist.md\n{key}")).diagnostics;
            found.iter().map(|one| (one.lint().code, one.message().to_string())).collect::<Vec<_>>()
        };
        assert_eq!(codes(&filled_in(&empty)), []);
        let told: Vec<(&str, String)> = codes(&empty);
        assert!(
            told.iter().any(|(code, message)| *code == "schema-violation" && message.contains("sources")),
            "{told:?}"
        );
        let wrong = filled_in(&empty).replace("1978-04", "1978-05");
        assert_eq!(codes(&wrong).iter().map(|(code, _)| *code).collect::<Vec<_>>(), ["key-example-fails"]);
    }
}

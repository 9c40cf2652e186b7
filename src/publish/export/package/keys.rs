//! Writes `keys.csv`: a row for every key to codes, with whose codes it reads, how, and its standing.

use std::collections::BTreeMap;

use crate::analysis::Analysis;
use crate::code::{Alphabet, Field, Form, Meaning, Part, PartValue};
use crate::evidence::coded;
use crate::evidence::key;
use crate::import::toml_string::quoted;
use crate::knowledge::Knowledge;
use crate::publish::export::package::standing::{STANDINGS, Standings};
use crate::publish::export::package::table::{Cells, Column, Rows, Table, column, list, optional, words};
use crate::record::id::KeyId;
use crate::record::key::CodeKey;
use crate::resolve::{Catalog, RecordIndex};

/// The table of keys.
pub const TABLE: Table = Table {
    name: "keys",
    summary: "keys to codes: whose codes each reads, how, from which sources, and how many codes it reads",
    description: "A row for each key to a maker's codes. A key is not proof: codes are copied and labels moved.",
    columns,
    key: &["key"],
    references: &[],
    rows,
};

fn columns(_: &Knowledge) -> Vec<Column> {
    vec![
        column("key", Cells::Text, "The key's id").required(),
        column("record", Cells::Text, "The file that contains it").required(),
        column("title", Cells::Text, "What the code is").required(),
        column("feature", Cells::Text, "The feature that holds the code").required(),
        column("makers", Cells::Text, "The makers on whose garments it is read, with spaces between; empty for all"),
        column("not_before", Cells::Day, "First day on which codes of its forms were used").required(),
        column("not_after", Cells::Day, "Last day on which codes of its forms were used").required(),
        column("forms", Cells::Text, "Its forms, each the list of its parts as key files write it in TOML; | between")
            .required(),
        column("sources", Cells::Text, "Names as in sources.csv, each with the place in the source; | between them"),
        column("odds", Cells::Number("ratio"), "How many times less likely years outside its reading are").required(),
        column("codes", Cells::Integer("garments"), "How many garments of its makers have a code it covers"),
        column("read", Cells::Integer("garments"), "How many of these it reads"),
        column("weight", Cells::Number("points of weight"), "The weight of its voice; empty if it dates no garment"),
        column(
            "standing",
            Cells::Word(STANDINGS),
            "kept: its dates count; contested, set-aside: left out because of a conflict; settled: left out by a settled \
             dispute; withheld: its file or all its sources are not counted; empty: it dates no garment",
        ),
    ]
}

/// On how many garments codes stand that a key speaks of, and how many of them it reads.
#[derive(Clone, Copy, Default)]
struct Count {
    codes: usize,
    read: usize,
}

fn rows<'a>(analysis: &'a Analysis<'a>) -> Rows<'a> {
    let knowledge = analysis.knowledge;
    let standings = Standings::new(knowledge);
    let counts = counts(&knowledge.catalog);
    let keys = knowledge.catalog.keys.iter();
    Box::new(keys.filter_map(move |(id, index)| {
        let key = key::of(&knowledge.catalog, *index)?;
        Some(row(knowledge, &standings, Row { id, index: *index, key, count: counts.get(id).copied() }))
    }))
}

struct Row<'a> {
    id: &'a KeyId,
    index: RecordIndex,
    key: &'a CodeKey,
    count: Option<Count>,
}

/// Counts the codes for the keys that stand.
fn counts(catalog: &Catalog) -> BTreeMap<&KeyId, Count> {
    let mut counts: BTreeMap<&KeyId, Count> =
        key::standing(catalog).iter().map(|standing| (standing.id, Count::default())).collect();
    for garment in coded::all(catalog) {
        let seen = &garment.code.seen;
        let reads = seen.reads.iter().map(|read| (read.key.id, 1));
        for (id, read) in reads.chain(seen.unread.iter().map(|(key, _)| (key.id, 0))) {
            let count = counts.entry(id).or_default();
            count.codes += 1;
            count.read += read;
        }
    }
    counts
}

fn row(knowledge: &Knowledge, standings: &Standings<'_>, row: Row<'_>) -> Vec<String> {
    let Row { id, index, key, count } = row;
    let catalog = &knowledge.catalog;
    let record = catalog.record(index);
    let name = format!("{}#key", record.path);
    let standing = match catalog.rests_on_withheld(record.file, &key.sources) {
        true => "withheld",
        false => standings.word(index, &name),
    };
    let standing_key = key::StandingKey { id, index, key };
    vec![
        id.to_string(),
        record.path.to_string(),
        key.title.value.clone(),
        key.reads.value.to_string(),
        words(key.makers.iter().map(|maker| &maker.value)),
        key.notation.window.first.to_string(),
        key.notation.window.last.to_string(),
        list(key.notation.forms.iter().map(form)),
        sources(catalog, index, key),
        key::odds(catalog, standing_key).to_string(),
        optional(count.map(|count| count.codes)),
        optional(count.map(|count| count.read)),
        optional(standings.voice(&name).map(|voice| voice.weight.as_f64())),
        standing.to_string(),
    ]
}

fn sources(catalog: &Catalog, index: RecordIndex, key: &CodeKey) -> String {
    let file = catalog.record(index).file;
    list(key.sources.iter().map(|reference| {
        let id = &reference.value.id;
        let name = catalog.source_named(file, id).map_or(id.as_str(), |index| catalog.cited(index).name.as_str());
        format!("{name} {}", reference.value.locator).trim_end().to_string()
    }))
}

fn form(form: &Form) -> String {
    let parts: Vec<String> = form.parts.iter().map(part).collect();
    format!("[{}]", parts.join(", "))
}

fn part(part: &Part) -> String {
    match part {
        Part::Text(text) => format!("{{ text = {} }}", quoted(text)),
        Part::Field(field) => {
            let word = match field.alphabet {
                Alphabet::Digits => "digits",
                Alphabet::Letters => "letters",
            };
            let table = field.table.as_ref().map_or_else(String::new, |rows| {
                let rows: Vec<String> =
                    rows.iter().map(|(text, value)| format!("{text} = {}", cell(field, value))).collect();
                format!(", table = {{ {} }}", rows.join(", "))
            });
            format!("{{ {word} = {}, is = \"{}\"{table} }}", field.width, field.meaning.word())
        }
    }
}

fn cell(field: &Field, value: &PartValue) -> String {
    match value {
        PartValue::Name(name) => quoted(name),
        // The meaning of a serial number's row is not kept.
        PartValue::Number(_) if field.meaning == Meaning::Serial => "\"\"".to_string(),
        PartValue::Number(number) => number.to_string(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::TABLE;
    use crate::analysis::Analysis;
    use crate::compile::example;

    const FORMS: &str = r#"[
  [
    { letters = 1, is = "factory", table = { D = "dunmore", O = "orby" } },
    { text = "\"|\\" },
    { digits = 2, is = "year-of-century" },
  ],
  [
    { letters = 2, is = "year", table = { AA = 1951, ZZ = 1960 } },
    { letters = 1, is = "serial", table = { X = "any" } },
  ],
]"#;

    /// The cells of the only row, for a garment with a code and more files.
    fn row(forms: &str, code: &str, more: &str) -> Vec<String> {
        let text = format!(
            "--- entries/keys/waist.md\n+++\ntitle = \"Codes\"\nreads = \"date-code\"\nsources = [\"talk tape 2\"]\nnot-before = \"1950\"\n\
             not-after = \"1990-06\"\nforms = {forms}\n+++\n\
             --- entries/sources/talk.md\n+++\ncitation = \"Talk\"\nkind = \"interview\"\n+++\n\
             --- entries/sources/list.md\n+++\ncitation = \"List\"\nkind = \"price-list\"\n+++\n\
             --- entries/makers/hollin/no-4/best/seen.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\n\
             date-code = '{code}'\n+++\n{more}"
        );
        let knowledge = example::compile(&text).knowledge;
        assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
        (TABLE.rows)(&Analysis::new(&knowledge)).next().unwrap()
    }

    fn cell(row: &[String], name: &str) -> String {
        let knowledge = example::compile("").knowledge;
        let columns = (TABLE.columns)(&knowledge);
        row[columns.iter().position(|column| column.name == name).unwrap()].clone()
    }

    #[test]
    fn forms_come_back_as_the_key_file_has_them() {
        let written = cell(&row(FORMS, "D\"|\\78", ""), "forms");
        // A list has ` | ` between its texts, and in each text `\` and `|` have a `\` before them.
        let texts = written.replace("\\|", "\u{1}").replace("\\\\", "\\");
        let texts: Vec<String> = texts.split(" | ").map(|text| text.replace('\u{1}', "|")).collect();
        let again = cell(&row(&format!("[{}]", texts.join(", ")), "D\"|\\78", ""), "forms");
        assert_eq!((texts.len(), again), (2, written));
    }

    #[test]
    fn a_row_says_what_became_of_the_key() {
        let plain = "[[{ digits = 2, is = \"year-of-century\" }]]";
        let ended = "--- entries/makers/hollin/no-4/best/variant.md\n+++\nname = \"B\"\nline = \"best\"\nwearer = \"men\"\n[[claims]]\n\
                     event = \"discontinued\"\nwhen = \"1960\"\nsources = [\"list\"]\n+++\n";
        let says = "claims = [{ claim = \"makers/hollin/no-4/best/seen#features.date-code\", says = \"78\" }]";
        let settled = format!(
            "--- entries/disputes/d.md\n+++\nstatus = \"settled\"\n{says}\nset-aside = [\"keys/waist#key\"]\n+++\n"
        );
        let withheld = "--- entries/about.md\n+++\ntitle = \"E\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n\
                        withheld = [{ source = \"talk\", reason = \"asked for\" }]\n+++\n";
        for (code, more, expected) in [
            ("78", "", ["kept", "1", "1", "1"]),
            ("7", "", ["", "", "1", "0"]),
            ("78", ended, ["set-aside", "1", "1", "1"]),
            ("78", settled.as_str(), ["settled", "", "", ""]),
            ("78", withheld, ["withheld", "", "", ""]),
        ] {
            let row = row(plain, code, more);
            assert_eq!(["standing", "weight", "codes", "read"].map(|name| cell(&row, name)), expected, "{more}");
            let fixed = ["key", "sources", "odds", "not_before", "not_after"].map(|name| cell(&row, name));
            assert_eq!(fixed, ["waist", "talk tape 2", "5", "1950-01-01", "1990-06-30"]);
        }
    }
}

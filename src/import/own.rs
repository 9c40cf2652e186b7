//! Lists in a cell, and the sources of one file as such a list.
//!
//! The inverse of how the sheet of garments writes them.

use toml::Table;

/// Splits a cell of texts with ` | ` between them; in each, `\` stands before `\` and `|`.
///
/// ```
/// assert_eq!(bartack::import::own::listed("list p. 1\\|2 | other"), ["list p. 1|2", "other"]);
/// ```
pub fn listed(cell: &str) -> Vec<String> {
    let (mut items, mut item) = (Vec::new(), String::new());
    let mut characters = cell.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => item.push(characters.next().unwrap_or('\\')),
            '|' => items.push(std::mem::take(&mut item)),
            other => item.push(other),
        }
    }
    items.push(item);
    let items = items.into_iter().map(|item| item.trim().to_string());
    items.filter(|item| !item.is_empty()).collect()
}

/// The `[[source]]` tables of an entry from a cell that lists them in braces, as entry files write them.
pub fn tables(cell: &str) -> Result<String, String> {
    let mut text = String::new();
    for item in listed(cell) {
        let read: Result<Table, _> = toml::from_str(&format!("source = {item}"));
        let refused =
            || "a source of the entry's own is written `{ id = \"…\", citation = \"…\", kind = \"…\" }`".to_string();
        let table = read.map_err(|_| refused())?;
        let source = table.get("source").and_then(toml::Value::as_table).ok_or_else(refused)?;
        let lines: Vec<String> = source.iter().map(|(key, value)| format!("{key} = {value}\n")).collect();
        text.push_str(&format!("\n[[source]]\n{}", lines.concat()));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::tables;

    #[test]
    fn sources_in_braces_become_tables() {
        let cell = "{ id = \"own\", citation = \"Told by A \\| B\", kind = \"interview\" } | { id = \"b\", checked = 2024-01-02 }";
        let expected = "\n[[source]]\ncitation = \"Told by A | B\"\nid = \"own\"\nkind = \"interview\"\n\n[[source]]\nchecked = 2024-01-02\nid = \"b\"\n";
        assert_eq!(tables(cell).unwrap(), expected);
        assert!(tables("seller").unwrap_err().contains("is written"));
    }
}

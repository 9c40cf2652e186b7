//! A tiny invented knowledge base with its exports, and tables read back.

use std::collections::BTreeMap;
use std::path::Path;

use bartack::analysis::Analysis;
use bartack::compile::{self, example};
use bartack::disk;
use bartack::knowledge::Knowledge;
use bartack::page::Site;
use bartack::publish;
use bartack::view::context::Context;
use serde_json::Value;

/// The text of the tiny knowledge base.
pub const TEXT: &str = include_str!("world.txt");

/// A table as a reader of CSV sees it: header and rows.
pub struct Table {
    pub header: Vec<String>,
    pub rows: Vec<BTreeMap<String, String>>,
}

/// Compiles the tiny knowledge base.
pub fn knowledge() -> Knowledge {
    let compilation = example::compile(TEXT);
    assert!(compilation.knowledge.faults.is_empty(), "{:#?}", compilation.knowledge.faults);
    compilation.knowledge
}

/// Compiles `entries/`, the demo.
pub fn demo() -> Knowledge {
    let reading = disk::read(Path::new(env!("CARGO_MANIFEST_DIR")), &|_| {}).unwrap();
    compile::compile(reading.sources, reading.faults, compile::Options::default()).knowledge
}

/// Makes the files below a folder of the output, by path.
pub fn files(knowledge: &Knowledge, folder: &str) -> BTreeMap<String, Vec<u8>> {
    let site = Site::new(&BTreeMap::new()).unwrap();
    let analysis = Analysis::new(knowledge);
    let context = Context::new(&analysis, &site, "0123456789abcdef");
    let files = publish::files(&context).unwrap();
    let wanted = files.iter().filter(|file| file.path().starts_with(folder));
    wanted.map(|file| (file.path().to_string(), file.content(&Default::default()).unwrap())).collect()
}

/// Reads one table of the tiny knowledge base.
pub fn table(name: &str) -> Table {
    let files = files(&knowledge(), "data/");
    read(&files[&format!("data/{name}.csv")])
}

/// Reads a table.
pub fn read(csv: &[u8]) -> Table {
    let mut reader = csv::Reader::from_reader(csv);
    let header: Vec<String> = reader.headers().unwrap().iter().map(String::from).collect();
    let rows = reader.records().map(|row| {
        let row = row.unwrap();
        header.iter().cloned().zip(row.iter().map(String::from)).collect()
    });
    let rows = rows.collect();
    Table { header, rows }
}

/// Reads a file of the output as JSON.
pub fn json(files: &BTreeMap<String, Vec<u8>>, path: &str) -> Value {
    serde_json::from_slice(&files[path]).unwrap()
}

impl Table {
    /// The only row whose cell in a column is this.
    pub fn row(&self, column: &str, cell: &str) -> &BTreeMap<String, String> {
        let mut found = self.rows.iter().filter(|row| row[column] == cell);
        let row = found.next().unwrap_or_else(|| panic!("no {column} is {cell}"));
        assert!(found.next().is_none(), "{column} is {cell} twice");
        row
    }

    /// The cells of a column.
    pub fn column(&self, column: &str) -> Vec<&str> {
        self.rows.iter().map(|row| row[column].as_str()).collect()
    }
}

//! `datapackage.json`: what the package and each of its tables hold, for programs.
//!
//! The profile is the tabular one of Data Package 1 (https://specs.frictionlessdata.io/tabular-data-package/), which
//! readers of version 2 accept as well.

use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::knowledge::Knowledge;
use crate::publish::export::package::table::{Cells, Column, Table};
use crate::view::context::Context;

/// The bytes and SHA-256 of a table's file.
#[derive(Clone, Debug)]
pub struct Checksum {
    bytes: usize,
    hash: String,
}

impl Checksum {
    /// The checksum of a content.
    pub fn of(content: &[u8]) -> Checksum {
        let digits = Sha256::digest(content).iter().map(|byte| format!("{byte:02x}")).collect::<String>();
        Checksum { bytes: content.len(), hash: format!("sha256:{digits}") }
    }
}

/// Writes the descriptor of tables with their checksums.
pub fn json<'a>(context: &'a Context<'a>, tables: &[(&Table, Checksum)]) -> Result<Vec<u8>, String> {
    let about = &context.knowledge.catalog.about;
    let package = Package {
        profile: "tabular-data-package",
        name: "bartack-data",
        id: context.version,
        version: context.version,
        title: &about.title,
        description: &about.summary,
        homepage: about.address.as_deref(),
        licenses: [License { name: &about.licence }],
        sources: [Source { title: &about.title, path: about.address.as_deref() }],
        resources: tables.iter().map(|(table, checksum)| resource(context.knowledge, table, checksum)).collect(),
    };
    let mut json = serde_json::to_vec_pretty(&package).map_err(|error| error.to_string())?;
    json.push(b'\n');
    Ok(json)
}

#[derive(Serialize)]
struct Package<'a> {
    profile: &'static str,
    name: &'static str,
    id: &'a str,
    version: &'a str,
    title: &'a str,
    description: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    homepage: Option<&'a str>,
    licenses: [License<'a>; 1],
    sources: [Source<'a>; 1],
    resources: Vec<Resource>,
}

#[derive(Serialize)]
struct License<'a> {
    name: &'a str,
}

#[derive(Serialize)]
struct Source<'a> {
    title: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    path: Option<&'a str>,
}

#[derive(Serialize)]
struct Resource {
    profile: &'static str,
    name: &'static str,
    path: String,
    title: &'static str,
    description: &'static str,
    format: &'static str,
    mediatype: &'static str,
    encoding: &'static str,
    bytes: usize,
    hash: String,
    dialect: Dialect,
    schema: Schema,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Dialect {
    delimiter: &'static str,
    line_terminator: &'static str,
    quote_char: &'static str,
    double_quote: bool,
    header: bool,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Schema {
    fields: Vec<Field>,
    missing_values: [&'static str; 1],
    primary_key: Vec<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    foreign_keys: Vec<ForeignKey>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Field {
    name: String,
    #[serde(rename = "type")]
    kind: &'static str,
    description: String,
    /// No property of the profile, which allows others.
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    true_values: Option<[&'static str; 1]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    false_values: Option<[&'static str; 1]>,
    #[serde(skip_serializing_if = "Constraints::is_empty")]
    constraints: Constraints,
}

#[derive(Serialize)]
struct Constraints {
    #[serde(skip_serializing_if = "is_false")]
    required: bool,
    #[serde(rename = "enum", skip_serializing_if = "<[_]>::is_empty")]
    words: &'static [&'static str],
}

#[derive(Serialize)]
struct ForeignKey {
    fields: &'static str,
    reference: Reference,
}

#[derive(Serialize)]
struct Reference {
    resource: &'static str,
    fields: &'static str,
}

impl Constraints {
    fn is_empty(&self) -> bool {
        !self.required && self.words.is_empty()
    }
}

fn is_false(value: &bool) -> bool {
    !value
}

fn resource(knowledge: &Knowledge, table: &Table, checksum: &Checksum) -> Resource {
    let foreign_key = |(column, resource, fields): &(&'static str, &'static str, &'static str)| ForeignKey {
        fields: column,
        reference: Reference { resource, fields },
    };
    Resource {
        profile: "tabular-data-resource",
        name: table.name,
        path: format!("{}.csv", table.name),
        title: table.summary,
        description: table.description,
        format: "csv",
        mediatype: "text/csv",
        encoding: "utf-8",
        bytes: checksum.bytes,
        hash: checksum.hash.clone(),
        dialect: Dialect { delimiter: ",", line_terminator: "\n", quote_char: "\"", double_quote: true, header: true },
        schema: Schema {
            fields: (table.columns)(knowledge).into_iter().map(field).collect(),
            missing_values: [""],
            primary_key: table.key.to_vec(),
            foreign_keys: table.references.iter().map(foreign_key).collect(),
        },
    }
}

fn field(column: Column) -> Field {
    let (kind, words): (_, &'static [&'static str]) = match column.kind {
        Cells::Text => ("string", &[]),
        Cells::Word(words) => ("string", words),
        Cells::Day => ("date", &[]),
        Cells::Integer(_) => ("integer", &[]),
        Cells::Number(_) => ("number", &[]),
        Cells::YesNo => ("boolean", &[]),
    };
    let unit = match column.kind {
        Cells::Integer(unit) | Cells::Number(unit) => Some(unit),
        _ => None,
    };
    let description = column.description.into_owned();
    let is_yes_no = matches!(column.kind, Cells::YesNo);
    Field {
        name: column.name.into_owned(),
        kind,
        description: unit.map_or(description.clone(), |unit| format!("{description} (unit: {unit})")),
        unit,
        true_values: is_yes_no.then_some(["yes"]),
        false_values: is_yes_no.then_some(["no"]),
        constraints: Constraints { required: column.is_required, words },
    }
}

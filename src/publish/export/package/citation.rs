//! `CITATION.cff`: how to cite the data, in the Citation File Format 1.2.0 (https://doi.org/10.5281/zenodo.5171937).
//!
//! The version is that of the content. No date of release is given: a build does not know the day.

use serde_json::Value;

use crate::view::context::Context;

/// The file's path.
pub const PATH: &str = "data/CITATION.cff";

/// Writes the file. Texts are written as JSON has them, which YAML reads as they are.
pub fn text<'a>(context: &'a Context<'a>) -> Vec<u8> {
    let about = &context.knowledge.catalog.about;
    let quoted = |text: &str| Value::from(text).to_string();
    let title = quoted(&about.title);
    let mut lines = vec![
        "cff-version: 1.2.0".to_string(),
        "message: \"If you use these data, cite them with their version.\"".to_string(),
        "type: dataset".to_string(),
        format!("title: {title}"),
        format!("authors:\n  - name: {}", quoted(&format!("Contributors to {}", about.title))),
        format!("version: {}", quoted(context.version)),
    ];
    if !about.summary.trim().is_empty() {
        lines.push(format!("abstract: {}", quoted(&about.summary)));
    }
    // The format takes one id of SPDX, and no expression.
    if about.licence.bytes().all(|byte| byte.is_ascii_alphanumeric() || b".-".contains(&byte)) {
        lines.push(format!("license: {}", quoted(&about.licence)));
    }
    if let Some(address) = about.address.as_deref() {
        lines.push(format!("url: {}", quoted(address)));
    }
    (lines.join("\n") + "\n").into_bytes()
}

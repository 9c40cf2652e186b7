//! `data/changes.json`: the conclusions that differ from an earlier version's, as `diff --format json` gives them.

use crate::publish::output::{OutputFile, Publisher};
use crate::view::context::Context;

/// Writes what changed since the revision that a build is given.
pub const PUBLISHER: Publisher = Publisher {
    name: "since",
    description: "what changed since an earlier version, for programs",
    owns: &[PATH],
    publish,
};

const PATH: &str = "data/changes.json";

/// The file that other programs read, with what it is for.
pub fn downloads() -> Vec<(String, &'static str)> {
    vec![(PATH.to_string(), "what changed since an earlier version: conclusions, claims and files; `diff` as JSON")]
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let told = context.since.as_deref().into_iter();
    told.map(|text| OutputFile::new(PATH, || Ok::<_, String>(text.as_bytes().to_vec()))).collect()
}

//! The site for use without a network: the list of its pages with hashes, the worker that keeps them, the manifest.
//!
//! Exports, drawings apart from pages, and what only machines read are not kept.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::output_log::{self, OutputLog, Stamp, Turn};
use crate::view::context::Context;

/// Writes the worker and the manifest.
pub const PUBLISHER: Publisher = Publisher {
    name: "offline",
    description: "the worker and the manifest that let a browser keep the site for use without a network",
    owns: &["worker.js", "site.webmanifest"],
    publish,
};

/// The code of the worker, after its list of files.
const WORKER: &str = include_str!("offline/worker.js");

#[derive(Serialize)]
struct Manifest<'a> {
    id: &'static str,
    name: &'a str,
    description: &'a str,
    lang: &'a str,
    start_url: &'static str,
    scope: &'static str,
    display: &'static str,
    icons: [Icon; 1],
}

#[derive(Serialize)]
struct Icon {
    src: &'static str,
    sizes: &'static str,
    #[serde(rename = "type")]
    kind: &'static str,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![
        OutputFile::new("site.webmanifest", move || manifest(context)),
        OutputFile::after("worker.js", Turn::Last, worker),
    ]
}

fn manifest<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, serde_json::Error> {
    let about = &context.knowledge.catalog.about;
    let manifest = Manifest {
        id: "index.html",
        name: &about.title,
        description: &about.summary,
        lang: &about.language,
        start_url: "index.html",
        scope: "./",
        display: "minimal-ui",
        icons: [Icon { src: "assets/icon.svg", sizes: "any", kind: "image/svg+xml" }],
    };
    let mut json = serde_json::to_vec_pretty(&manifest)?;
    json.push(b'\n');
    Ok(json)
}

fn worker(written: &OutputLog) -> Result<Vec<u8>, serde_json::Error> {
    let kept = output_log::kept_offline(written);
    let short = |stamp: &Stamp| stamp.hash.to_hex()[..16].to_string();
    let list: BTreeMap<&str, String> = kept.iter().map(|(path, stamp)| (*path, short(stamp))).collect();
    Ok(format!("const FILES = {};\n{WORKER}", serde_json::to_string(&list)?).into_bytes())
}

//! Offline use: the list of what is kept against the files, and the worker under Node with a network that goes away.

use std::collections::BTreeMap;
use std::fs;
use std::process::Command;

use tempfile::TempDir;

use crate::site::{DEMO, page};
use crate::support::repository;

/// The worker's list of files with hashes.
fn list() -> BTreeMap<String, String> {
    let text = page(&DEMO, "worker.js").strip_prefix("const FILES = ").unwrap();
    serde_json::from_str(text.split(";\n").next().unwrap()).unwrap()
}

#[test]
fn the_worker_lists_every_page_and_what_pages_load_with_their_hashes() {
    let list = list();
    for (path, content) in DEMO.iter() {
        let is_page = path.ends_with(".html") && path != "404.html";
        assert!(!is_page || list.contains_key(path), "{path} is not kept");
        if let Some(hash) = list.get(path) {
            assert!(blake3::hash(content).to_hex().starts_with(hash), "{path}");
        }
    }
    assert!(list.keys().all(|path| DEMO.contains_key(path)));
    assert!(["search.js", "rules/rules.js", "assets/site.css"].iter().all(|path| list.contains_key(*path)));
    assert!(!list.keys().any(|path| path.starts_with("data/")), "exports are not kept");
}

#[test]
fn the_button_tells_the_weight_and_is_shown_by_script_alone() {
    let html = page(&DEMO, "downloads.html");
    // The page itself is not weighed in its own sum.
    let others = list().into_keys().filter(|path| path != "downloads.html");
    let bytes: usize = others.map(|path| DEMO[&path].len()).sum();
    let weight = bartack::publish::output_log::weight(bytes as u64);
    assert!(
        html.contains(&format!("<p class=\"keep\" hidden><button type=\"button\">Keep for offline use ({weight})")),
        "{html}"
    );
    assert!(html.contains("worker-src &#39;self&#39;; manifest-src &#39;self&#39;"), "the policy lets the worker run");
    let manifest: serde_json::Value = serde_json::from_slice(&DEMO["site.webmanifest"]).unwrap();
    assert_eq!(manifest["start_url"], "index.html");
}

#[test]
fn the_worker_keeps_when_asked_renews_what_changed_and_answers_without_a_network() {
    if Command::new("node").arg("--version").output().is_err() {
        eprintln!("skipped: no node, so no worker is run");
        return;
    }
    let folder = TempDir::new().unwrap();
    let worker = folder.path().join("worker.js");
    fs::write(&worker, &DEMO["worker.js"]).unwrap();
    let run = Command::new("node").arg(repository("tests/site/offline.cjs")).arg(&worker).output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&run.stdout), String::from_utf8_lossy(&run.stderr));
    assert!(run.status.success() && out.contains("the worker holds"), "{out}{err}");
}

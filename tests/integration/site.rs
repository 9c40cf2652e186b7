//! Pages, exports, pictures and hostile contents.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::expect_used, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

#[path = "../exports.rs"]
mod exports;
#[path = "../figures.rs"]
mod figures;
#[path = "../fuzz.rs"]
mod fuzz;
#[path = "../payloads/judge.rs"]
mod judge;
#[path = "../layout.rs"]
mod layout;
#[path = "../pages.rs"]
mod pages;
#[path = "../payloads.rs"]
mod payloads;
#[path = "../photographs.rs"]
mod photographs;
#[path = "../recording.rs"]
mod recording;
#[path = "../site.rs"]
mod site;

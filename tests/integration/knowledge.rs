//! What the library concludes, reports and exports in memory, and what the tree promises about itself.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::expect_used, clippy::print_stderr)]

#[path = "../support/mod.rs"]
mod support;

#[path = "../architecture.rs"]
mod architecture;
#[path = "../arrows.rs"]
mod arrows;
#[path = "../signatures.rs"]
mod signatures;
#[path = "../compare.rs"]
mod compare;
#[path = "../dating.rs"]
mod dating;
#[path = "../demo.rs"]
mod demo;
#[path = "../difference.rs"]
mod difference;
#[path = "../eras.rs"]
mod eras;
#[path = "../explain.rs"]
mod explain;
#[path = "../judging.rs"]
mod judging;
#[path = "../knowledge_base.rs"]
mod knowledge_base;
#[path = "../keys.rs"]
mod keys;
#[path = "../lines.rs"]
mod lines;
#[path = "../lines_on_demo.rs"]
mod lines_on_demo;
#[path = "../lints.rs"]
mod lints;
#[path = "../misplaced.rs"]
mod misplaced;
#[path = "../published.rs"]
mod published;
#[path = "../removal.rs"]
mod removal;
#[path = "../rename.rs"]
mod rename;
#[path = "../reports.rs"]
mod reports;
#[path = "../repository.rs"]
mod repository;
#[path = "../schema.rs"]
mod schema;
#[path = "../shapes.rs"]
mod shapes;
#[path = "../situations.rs"]
mod situations;
#[path = "../sweep.rs"]
mod sweep;
#[path = "../temporal.rs"]
mod temporal;
#[path = "../vocabulary.rs"]
mod vocabulary;
#[path = "../wording.rs"]
mod wording;

//! The exports: what they hold, that programs can read them, and that no spreadsheet runs them.
#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

#[path = "exports/cells.rs"]
mod cells;
#[path = "exports/frictionless.rs"]
mod frictionless;
#[path = "exports/garments.rs"]
mod garments;
#[path = "exports/keys.rs"]
mod keys;
#[path = "exports/oracle.rs"]
mod oracle;
#[path = "exports/package.rs"]
mod package;
#[path = "exports/readers.rs"]
mod readers;
#[path = "exports/rules.rs"]
mod rules;
#[path = "exports/sql.rs"]
mod sql;
#[path = "exports/typed.rs"]
mod typed;
#[path = "exports/world.rs"]
pub mod world;

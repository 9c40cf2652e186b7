//! Dating a garment in hand: the tables, the answers of both implementations, and the page that works alone.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

#[path = "dating/alone.rs"]
mod alone;
#[path = "dating/brief.rs"]
mod brief;
#[path = "dating/marks.rs"]
mod marks;
#[path = "dating/packed.rs"]
mod packed;
#[path = "dating/reader.rs"]
mod reader;
#[path = "dating/simulation.rs"]
mod simulation;
#[path = "dating/tables.rs"]
mod tables;

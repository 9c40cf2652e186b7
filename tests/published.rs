//! Holds the program against published standards, worked examples and independent libraries.
//!
//! Each file in `published/` names the source of its values beside them.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "published/codes.rs"]
mod codes;
#[path = "published/dating.rs"]
mod dating;
#[path = "published/edtf.rs"]
mod edtf;
#[path = "published/lines.rs"]
mod lines;
#[path = "published/landmarks.rs"]
mod landmarks;
#[path = "published/scenarios.rs"]
mod scenarios;
#[path = "published/simulation.rs"]
mod simulation;
#[path = "published/statistics.rs"]
mod statistics;

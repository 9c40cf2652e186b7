//! Keys to codes: what the engine concludes from them, and the notation held to readers that were written without it.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stderr)]

#[path = "keys/engine.rs"]
mod engine;
#[path = "keys/narrowing.rs"]
mod narrowing;
#[path = "keys/world.rs"]
mod world;

//! Exports, one file each: what other programs read.
//!
//! No export calls a page or another export.

pub mod assets;
pub mod feed;
pub mod offline;
pub mod package;
pub mod rules;
pub mod search;
pub mod since;

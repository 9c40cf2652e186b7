//! bartack compiles a folder of observations about vintage garments into eras, comparisons, a site and exports.
//!
//! Text goes in at one end, a site and exports come out at the other, and nothing flows back:
//! read, parse, validate, resolve, reason, lint, publish, write. The modules below stand in that reading order;
//! a module imports only from modules above its own and from its own children.

pub mod date;
pub mod fault;
pub mod parse;
pub mod reason;
pub mod record;
pub mod resolve;
pub mod schema;
pub mod source;
pub mod validate;
pub mod vocabulary;

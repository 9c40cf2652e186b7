//! bartack compiles a folder of observations about vintage garments into eras, comparisons, a site and exports.
//!
//! Text goes in at one end, a site and exports come out at the other, and nothing flows back: read, parse, validate,
//! resolve, conclude, analyse, lint, publish, write. The modules below are in that order; a module imports only from
//! modules above its own and from its own children.

// What everything is about.
pub mod date;
pub mod code;
pub mod digest;
pub mod typography;
pub mod photograph;
pub mod source;
pub mod record;
pub mod vocabulary;
pub mod fault;
pub mod statistics;

// Text to records to knowledge.
pub mod schema;
pub mod parse;
pub mod validate;
pub mod resolve;
pub mod knowledge;
pub mod evidence;
pub mod chronology;
pub mod comparison;
pub mod changeover;
pub mod dating;
pub mod analysis;
pub mod difference;

// Knowledge to findings, pages and files.
pub mod explain;
pub mod diagnostic;
pub mod lints;
pub mod compile;
pub mod report;
pub mod sheet;
pub mod draft;
pub mod rename;
pub mod import;
pub mod markup;
pub mod figure;
pub mod page;
pub mod view;
pub mod publish;

// The world outside.
pub mod disk;
pub mod repository;
pub mod serve;
pub mod cli;

//! Parts that several pages show, and what all pages are made from.
//!
//! No part knows a page, an export or the list of them.

pub mod chart;
pub mod claims;
pub mod context;
pub mod source_trees;
pub mod dots;
pub mod figures;
pub mod model_overview;
pub mod guide;
pub mod index;
pub mod leaf;
pub mod letters;
pub mod named;
pub mod names;
pub mod unresolved;
pub mod pairs;
pub mod path;
pub mod photographs;
pub mod readings;
pub mod reasons;
pub mod rests;
pub mod tallies;
pub mod sightings;
pub mod states;
pub mod strata;
pub mod era_rows;
pub mod zone_order;
pub mod unplaced;
pub mod line_pairs;
pub mod multiples;
pub mod histories;

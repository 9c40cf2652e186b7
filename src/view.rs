//! Parts that several pages show, and what all of them work from.
//!
//! No part knows a page, an export or the list of them.

pub mod chart;
pub mod claims;
pub mod context;
pub mod descent;
pub mod dots;
pub mod figures;
pub mod glance;
pub mod guide;
pub mod index;
pub mod leaf;
pub mod letters;
pub mod named;
pub mod names;
pub mod open;
pub mod pairs;
pub mod path;
pub mod photographs;
pub mod readings;
pub mod reasons;
pub mod seen;
pub mod shown;
pub mod states;
pub mod strata;
pub mod strips;
pub mod turning;
pub mod uncounted;
pub mod unplaced;

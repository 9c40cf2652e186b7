//! Page kinds, one file each.
//!
//! No page calls another; what two of them show is in `view`.

pub mod a_z;
pub mod calibration;
pub mod comparison;
pub mod conflicts;
pub mod contribute;
pub mod downloads;
pub mod feature;
pub mod field_sheet;
pub mod guide;
pub mod home;
pub mod in_hand;
pub mod keys;
pub mod landmarks;
pub mod line;
pub mod line_comparison;
pub mod lints;
pub mod maker;
pub mod model;
pub mod observation;
pub mod questions;
pub mod side_by_side;
pub mod sources;
pub mod steps;
pub mod succession;
pub mod variant;
pub mod whereabouts;

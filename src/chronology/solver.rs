//! Days of unknowns under constraints: which constraints contradict one another, what to remove, and the tightest days
//! of the rest.
//!
//! Nothing here knows what an unknown is the day of, nor what a voice says.

pub mod bounds;
pub mod conflict;
pub mod constraint;
pub mod members;
pub mod network;
pub mod probe;
pub mod removal;
pub mod smallest;
pub mod solution;
pub mod sweep;
pub mod tangle;

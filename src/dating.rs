//! Evidence to tables of likelihoods, and a garment in hand to variants and years.
//!
//! What a pair of variants differs in is not found here.

pub mod answer;
pub mod likelihood;

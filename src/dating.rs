//! Turns evidence into tables of likelihoods, and a garment in hand into variants and years.
//!
//! How two variants differ is found in `comparison`.

pub mod answer;
pub mod likelihood;

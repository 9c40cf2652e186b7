//! The data of `garment.html`, packed: deflated JSON in base64, a third of its length.
//!
//! Only the page itself opens it (`site/assets/opening.js`).

use std::io::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use serde::Serialize;

use crate::publish::export::rules;
use crate::publish::page::in_hand::recording;
use crate::view::context::Context;

/// One thing that the page knows.
#[derive(Serialize)]
pub struct Block {
    /// The name by which its scripts ask for it.
    name: &'static str,
    /// Its JSON, packed.
    text: String,
}

/// Packs the rules, the drawings and what is needed for recording.
///
/// # Errors
///
/// Says what cannot be JSON.
pub fn blocks<'a>(context: &'a Context<'a>) -> Result<Vec<Block>, String> {
    Ok(vec![
        Block { name: "bartackRules", text: packed(&rules::compact(context)?)? },
        Block { name: "bartackDrawings", text: packed(&context.site.drawing_texts())? },
        Block { name: "bartackRecording", text: packed(&recording::without_names(context))? },
    ])
}

fn packed(known: &impl Serialize) -> Result<String, String> {
    let json = serde_json::to_vec(known).map_err(|error| error.to_string())?;
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(&json).map_err(|error| error.to_string())?;
    Ok(STANDARD.encode(encoder.finish().map_err(|error| error.to_string())?))
}

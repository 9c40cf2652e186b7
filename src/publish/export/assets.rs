//! The files that are copied as they are: the style sheet and whatever a knowledge base adds.

use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::view::context::Context;

/// Copies the assets.
pub const PUBLISHER: Publisher = Publisher {
    name: "assets",
    description: "the style sheet and other files that pages use",
    owns: &["assets/**"],
    publish,
};

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let assets = context.site.assets().iter();
    assets.map(|(path, content)| OutputFile::new(path, move || Ok::<_, String>(content.clone()))).collect()
}

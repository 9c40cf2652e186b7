//! The page for people who want to contribute: what helps, and where to begin a new entry.

use serde::Serialize;

use crate::page::{self, PageError};
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf, Link};

/// Writes the page.
pub const PUBLISHER: Publisher = Publisher {
    name: "contribute",
    description: "how to contribute: what to look at, what to write down, and where",
    owns: &["contribute.html"],
    publish,
};

#[derive(Serialize)]
struct View {
    frame: Frame,
    /// The address at which a new file is begun.
    begin: Option<String>,
    /// Where people without an account send what they saw.
    contact: Option<Link>,
}

/// The description of the page.
const ABOUT: &str = "How to record a garment here: one garment, one entry, of what you saw rather than what you think.";

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![OutputFile::new("contribute.html", move || page(context))]
}

fn page<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "contribute.html");
    let begin = leaf.catalog().about.edit_url.clone().filter(|url| page::is_web(url));
    let contact = leaf.catalog().about.contact.as_deref().map(contact);
    leaf.render("contribute.html", &View { frame: leaf.frame("How to contribute", ABOUT, Vec::new()), begin, contact })
}

/// A mail address or a web address as a link.
fn contact(written: &str) -> Link {
    let href = if page::is_web(written) { written.to_string() } else { format!("mailto:{written}") };
    Link { name: written.to_string(), href }
}

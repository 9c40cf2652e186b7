//! The pages of a garment in hand and of a garment to record, and both as one file that works alone: `garment.html`.
//!
//! What the pages conclude is worked out in the browser, by the scripts `site/assets/dating*.js`, from the rules.

mod packed;
mod recording;
mod steps;

use serde::Serialize;

use crate::markup;
use crate::page::PageError;
use crate::publish::export::rules;
use crate::publish::inline;
use crate::publish::output::OutputFile;
use crate::publish::output::Publisher;
use crate::publish::scripts::{self, Scripts};
use crate::view::context::Context;
use crate::view::leaf::{Frame, Leaf};

/// Writes the pages, and what they know as scripts that a page from a folder can read.
pub const PUBLISHER: Publisher = Publisher {
    name: "in-hand",
    description: "a garment in hand: bounds, variants and years from what is tapped; its entry; also as one file for a phone",
    owns: &["in-hand.html", "record.html", "garment.html", "rules/rules.js", "drawings.js", "recording.js"],
    publish,
};

/// The scripts that hold what is known.
const DATA: [&str; 3] = ["rules/rules.js", "drawings.js", "recording.js"];

/// The style sheets of all pages, in their order.
const STYLES: [&str; 3] = ["assets/site.css", "assets/figures.css", "assets/hand.css"];

#[derive(Serialize)]
struct View {
    frame: Frame,
    /// The scripts of the page, in their order.
    scripts: Vec<String>,
}

#[derive(Serialize)]
struct Alone<'a> {
    language: &'a str,
    title: &'a str,
    licence: &'a str,
    version: &'a str,
    policy: String,
    /// Where the site's pages stand, for links out of the file; `none` where that is not known.
    site: String,
    styles: Vec<String>,
    /// The packed data.
    packed: Vec<packed::Block>,
    /// The scripts that run at once: they open the packed data and start the others.
    scripts: Vec<String>,
    later: Vec<String>,
}

/// The descriptions of the pages.
const DATE: &str = "Say what you see on a garment, and learn when it was made and which variant it is.";
const RECORD: &str =
    "Record what you see on a garment, with photographs: at the end stands an entry to send or to add.";

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    let data = |path, script: for<'c> fn(&'c Context<'c>) -> Result<String, String>| {
        OutputFile::new(path, move || script(context).map(String::into_bytes))
    };
    vec![
        OutputFile::new("in-hand.html", move || {
            page(context, "in-hand.html", ["Garment in hand", DATE], &scripts::scripts().hand)
        }),
        OutputFile::new("record.html", move || {
            page(context, "record.html", ["Record a garment", RECORD], &scripts::scripts().record)
        }),
        OutputFile::new("garment.html", move || alone(context)),
        data(DATA[0], rules_script),
        data(DATA[1], drawings_script),
        data(DATA[2], recording_script),
    ]
}

fn page<'a>(
    context: &'a Context<'a>,
    path: &str,
    [title, about]: [&str; 2],
    own: &[String],
) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, path);
    let Scripts { data, dating, shared, .. } = scripts::scripts();
    let scripts = data.iter().chain(&dating).chain(&shared).chain(own).map(|path| leaf.href(path)).collect();
    leaf.render(path, &View { frame: leaf.frame(title, about, Vec::new()), scripts })
}

fn rules_script<'a>(context: &'a Context<'a>) -> Result<String, String> {
    let json = std::str::from_utf8(rules::whole(context)?).map_err(|error| error.to_string())?;
    Ok(script("bartackRules", json))
}

fn drawings_script<'a>(context: &'a Context<'a>) -> Result<String, String> {
    let json = serde_json::to_string(&context.site.drawing_texts()).map_err(|error| error.to_string())?;
    Ok(script("bartackDrawings", &json))
}

fn recording_script<'a>(context: &'a Context<'a>) -> Result<String, String> {
    let json = serde_json::to_string(&recording::of(context)).map_err(|error| error.to_string())?;
    Ok(script("bartackRecording", &json))
}

/// JSON as a classic script, with nothing in it that could end a script element.
fn script(name: &str, json: &str) -> String {
    let json = json.trim_end().replace('<', "\\u003c").replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    format!("window.{name} = {json};\n")
}

fn alone<'a>(context: &'a Context<'a>) -> Result<Vec<u8>, PageError> {
    let about = &context.knowledge.catalog.about;
    let styles = inlined(context, &STYLES)?;
    let Scripts { alone, dating, shared, hand, record, .. } = scripts::scripts();
    let scripts = inlined(context, &alone)?;
    let later = inlined(context, &[dating, shared, hand, record].concat())?;
    let site = match &about.address {
        Some(address) => format!("{}/", address.trim_end_matches('/')),
        None => "none".to_string(),
    };
    let view = Alone {
        language: &about.language,
        title: &about.title,
        licence: &about.licence,
        version: context.version,
        policy: policy(&[&scripts[..], &later[..]].concat(), &styles),
        site,
        styles,
        packed: packed::blocks(context).map_err(PageError::Words)?,
        scripts,
        later,
    };
    context.site.render("garment.html", &view)
}

fn inlined<'a>(context: &'a Context<'a>, paths: &[impl AsRef<str>]) -> Result<Vec<String>, PageError> {
    paths.iter().map(|path| inline::asset(context, path.as_ref())).collect()
}

fn policy(scripts: &[String], styles: &[String]) -> String {
    let scripts: Vec<&str> = scripts.iter().map(String::as_str).collect();
    let styles: Vec<&str> = styles.iter().map(String::as_str).collect();
    markup::policy_with_hashes(&scripts, &styles)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_known_is_written_where_the_pages_load_it() {
        assert_eq!(scripts::scripts().data, DATA);
    }
}

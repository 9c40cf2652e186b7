//! The page of a garment in hand, and the same as one file that works alone: `in-hand.html` and `garment.html`.
//!
//! What the pages conclude is worked out in the browser, by the scripts `site/assets/dating*.js`, from the rules.

use serde::Serialize;

use crate::markup;
use crate::page::PageError;
use crate::publish::leaf::{Frame, Leaf};
use crate::publish::{Context, OutputFile, Publisher, rules};

/// Writes both pages, and the rules as a script that a page from a folder can read.
pub const PUBLISHER: Publisher = Publisher {
    name: "in-hand",
    description: "a garment in hand: bounds, variants and years from what is tapped, also as one file for a phone",
    owns: &["in-hand.html", "garment.html", "rules/rules.js"],
    publish,
};

/// The style sheets and scripts of both pages, in their order; the rules come before the scripts.
const STYLES: [&str; 2] = ["assets/site.css", "assets/hand.css"];
const SCRIPTS: [&str; 6] = [
    "assets/dating-years.js",
    "assets/dating-landmarks.js",
    "assets/dating-tables.js",
    "assets/dating-words.js",
    "assets/dating.js",
    "assets/hand.js",
];

#[derive(Serialize)]
struct View {
    frame: Frame,
    /// Where the site's pages stand, for links out of the page.
    site: String,
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
    site: String,
    styles: Vec<String>,
    scripts: Vec<String>,
}

fn publish<'a>(context: &'a Context<'a>) -> Vec<OutputFile<'a>> {
    vec![
        OutputFile::new("in-hand.html", move || page(context)),
        OutputFile::new("garment.html", move || alone(context)),
        OutputFile::new("rules/rules.js", move || script(context).map(String::into_bytes)),
    ]
}

fn page(context: &Context<'_>) -> Result<Vec<u8>, PageError> {
    let leaf = Leaf::new(context, "in-hand.html");
    let scripts = std::iter::once("rules/rules.js").chain(SCRIPTS).map(|path| leaf.href(path)).collect();
    let view = View { frame: leaf.frame("Garment in hand", Vec::new()), site: String::new(), scripts };
    leaf.render("in-hand.html", &view)
}

/// The rules as a classic script, with nothing in it that could end a script element.
fn script(context: &Context<'_>) -> Result<String, String> {
    let json = std::str::from_utf8(rules::whole(context)?).map_err(|error| error.to_string())?;
    let json = json.trim_end().replace('<', "\\u003c").replace('\u{2028}', "\\u2028").replace('\u{2029}', "\\u2029");
    Ok(format!("window.bartackRules = {json};\n"))
}

fn alone(context: &Context<'_>) -> Result<Vec<u8>, PageError> {
    let about = &context.knowledge.catalog.about;
    let styles = STYLES.iter().map(|path| asset(context, path)).collect::<Result<Vec<String>, PageError>>()?;
    let mut scripts = vec![script(context).map_err(PageError)?];
    for path in SCRIPTS {
        scripts.push(asset(context, path)?);
    }
    let policy = policy(&scripts, &styles);
    let site = match &about.address {
        Some(address) => format!("{}/", address.trim_end_matches('/')),
        None => "none".to_string(),
    };
    let view = Alone {
        language: &about.language,
        title: &about.title,
        licence: &about.licence,
        version: context.version,
        policy,
        site,
        styles,
        scripts,
    };
    context.site.render("garment.html", &view)
}

fn policy(scripts: &[String], styles: &[String]) -> String {
    let scripts: Vec<&str> = scripts.iter().map(String::as_str).collect();
    let styles: Vec<&str> = styles.iter().map(String::as_str).collect();
    markup::policy_with_hashes(&scripts, &styles)
}

/// A built-in or own asset as text that can stand within an element of a page.
fn asset(context: &Context<'_>, path: &str) -> Result<String, PageError> {
    let content = context.site.assets().get(path).ok_or_else(|| PageError(format!("site/{path}: missing")))?;
    let text = String::from_utf8(content.clone()).map_err(|_| PageError(format!("site/{path}: not UTF-8")))?;
    let lower = text.to_ascii_lowercase();
    if ["</script", "</style", "<!--"].iter().any(|end| lower.contains(end)) {
        return Err(PageError(format!("site/{path}: holds the end of an element, so it cannot stand within a page")));
    }
    Ok(text)
}

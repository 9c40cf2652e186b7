//! Templates, links and escaping: turns a page's data into HTML.
//!
//! It knows nothing of makers or eras and opens no file: the templates are compiled in, and the caller passes those of
//! a knowledge base.

use std::collections::{BTreeMap, BTreeSet};

use include_dir::{Dir, DirEntry, include_dir};
use serde::Serialize;
use tera::Tera;

use crate::digest::Digest;
use crate::figure::Drawing;
use crate::page::flaws::Flaw;
use crate::source::{DrawnMark, Span};
use crate::typography::MINUS;

pub mod batches;
pub mod description;
pub mod drawings;
pub mod flaws;

static BUILT_IN: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/site");

/// Templates, assets and drawings of the site: the built-in ones, overridden by a knowledge base's own.
#[derive(Clone)]
pub struct Site {
    templates: Tera,
    assets: BTreeMap<String, Vec<u8>>,
    guide: BTreeMap<String, String>,
    drawings: BTreeMap<String, Drawing>,
    own: BTreeSet<String>,
    name: blake3::Hash,
}

/// Why a page could not be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PageError {
    /// In words.
    #[error("{0}")]
    Words(String),
    /// A file of the knowledge base's own `site/` cannot be used.
    #[error("{words}; correct it, or remove it so that the built-in one is used")]
    Own {
        /// Which file, where in it, and why.
        words: String,
        /// The same for a finding.
        flaw: Box<Flaw>,
    },
}

impl PageError {
    /// The flaw of a file of the knowledge base's own, if that is why.
    pub fn flaw(&self) -> Option<&Flaw> {
        match self {
            PageError::Own { flaw, .. } => Some(flaw),
            PageError::Words(_) => None,
        }
    }
}

impl From<String> for PageError {
    fn from(words: String) -> PageError {
        PageError::Words(words)
    }
}

impl From<serde_json::Error> for PageError {
    fn from(error: serde_json::Error) -> PageError {
        PageError::Words(error.to_string())
    }
}

impl From<std::io::Error> for PageError {
    fn from(error: std::io::Error) -> PageError {
        PageError::Words(error.to_string())
    }
}

impl Site {
    /// Builds the site from the built-in files and a knowledge base's `site/`, by path below that folder.
    ///
    /// A template there replaces the built-in one of the same name, which it can still extend as `built-in/<name>`.
    pub fn new(own: &BTreeMap<String, Vec<u8>>) -> Result<Site, PageError> {
        let built_in = built_in_files();
        let templates = templates(&built_in, own).map_err(page_error)?;
        let assets = built_in.iter().chain(own).filter(|(path, _)| path.starts_with("assets/"));
        let assets = assets.map(|(path, content)| (path.clone(), content.clone())).collect();
        let drawings = drawings::read(built_in.iter().chain(own))?;
        let guide = built_in
            .iter()
            .chain(own)
            .filter_map(|(path, content)| guide_page(path, content))
            .collect::<Result<_, PageError>>()?;
        Ok(Site { templates, assets, guide, drawings, own: unlike(&built_in, own), name: name(&built_in, own) })
    }

    /// Says whether the knowledge base has no file that differs from the built-in one.
    pub fn is_built_in(&self) -> bool {
        self.own.is_empty()
    }

    /// An error about an asset or a page of the guide: a flaw if it is the knowledge base's own.
    pub fn error_in(&self, path: &str, problem: &str) -> PageError {
        let words = format!("site/{path}: {problem}");
        if !self.own.contains(path) {
            return PageError::Words(words);
        }
        let flaw = Flaw { path: path.to_string(), span: Span::default(), problem: problem.to_string() };
        PageError::Own { words, flaw: Box::new(flaw) }
    }

    /// A hash of everything it was built from.
    pub fn name(&self) -> blake3::Hash {
        self.name
    }

    /// Fills a template with a page's data.
    pub fn render<T: Serialize>(&self, template: &str, data: &T) -> Result<Vec<u8>, PageError> {
        let context = tera::Context::from_serialize(data).map_err(page_error)?;
        self.templates.render(template, &context).map(String::into_bytes).map_err(|error| flaws::of_rendering(&error))
    }

    /// The files that are copied as they are, by path in the site.
    pub fn assets(&self) -> &BTreeMap<String, Vec<u8>> {
        &self.assets
    }

    /// The pages of the guide in Markdown, by name.
    pub fn guide(&self) -> &BTreeMap<String, String> {
        &self.guide
    }

    /// The drawings of a sort of garment with the side each shows: its own, then those of any garment.
    pub fn drawings(&self, garment: &str) -> Vec<(&str, &Drawing)> {
        drawings::of(&self.drawings, garment)
    }

    /// Every drawing, by `<garment>-<side>`.
    pub fn every_drawing(&self) -> impl Iterator<Item = (&str, &Drawing)> {
        self.drawings.iter().map(|(name, drawing)| (name.as_str(), drawing))
    }

    /// The texts of all drawings, made inert, by the sort of garment; `any` holds those of all garments.
    pub fn drawing_texts(&self) -> BTreeMap<&str, Vec<&str>> {
        drawings::texts(&self.drawings)
    }
}

/// The marks of a knowledge base's drawings, those built in included, for each sort of garment that it draws itself.
pub fn marks(own: &BTreeMap<String, Vec<u8>>) -> Vec<DrawnMark> {
    drawings::marks(&built_in_files(), own)
}

/// The paths of a knowledge base's own files that differ from the built-in ones.
fn unlike(built_in: &BTreeMap<String, Vec<u8>>, own: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    own.iter().filter(|(path, content)| built_in.get(*path) != Some(*content)).map(|(path, _)| path.clone()).collect()
}

fn name(built_in: &BTreeMap<String, Vec<u8>>, own: &BTreeMap<String, Vec<u8>>) -> blake3::Hash {
    let mut digest = Digest::default();
    for (prefix, files) in [("built-in", built_in), ("own", own)] {
        for (path, content) in files {
            digest.add(prefix).add(path).add(content);
        }
    }
    digest.name()
}

fn templates(built_in: &BTreeMap<String, Vec<u8>>, own: &BTreeMap<String, Vec<u8>>) -> tera::TeraResult<Tera> {
    let mut templates = Tera::new();
    templates.set_fallback_prefixes(vec!["own/".to_string(), "built-in/".to_string()])?;
    let mut texts = template_texts(built_in, "built-in")?;
    texts.extend(template_texts(own, "own")?);
    templates.add_raw_templates(texts)?;
    Ok(templates)
}

fn template_texts(files: &BTreeMap<String, Vec<u8>>, prefix: &str) -> tera::TeraResult<Vec<(String, String)>> {
    let named = files.iter().filter_map(|(path, content)| Some((path.strip_prefix("templates/")?, content)));
    named
        .map(|(name, content)| match String::from_utf8(content.clone()) {
            Ok(text) => Ok((format!("{prefix}/{name}"), text)),
            Err(_) => Err(tera::Error::message(format!("site/templates/{name}: not UTF-8"))),
        })
        .collect()
}

/// Reads a file of `guide/` that ends in `.md`, with its name.
fn guide_page(path: &str, content: &[u8]) -> Option<Result<(String, String), PageError>> {
    let name = path.strip_prefix("guide/")?.strip_suffix(".md")?;
    let text = String::from_utf8(content.to_vec()).map_err(|_| PageError::Words(format!("site/{path}: not UTF-8")));
    Some(text.map(|text| (name.to_string(), text)))
}

fn built_in_files() -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![&BUILT_IN];
    while let Some(folder) = folders.pop() {
        for entry in folder.entries() {
            match entry {
                DirEntry::Dir(inner) => folders.push(inner),
                DirEntry::File(file) => {
                    let path = file.path().to_string_lossy().replace('\\', "/");
                    files.insert(path, file.contents().to_vec());
                }
            }
        }
    }
    files
}

fn page_error(error: tera::Error) -> PageError {
    PageError::Words(error.to_string())
}

/// Gives the path from a page to the site's top folder: empty, or `../` for each folder it is in.
///
/// ```
/// assert_eq!(bartack::page::root("makers/dunmore/maker.html"), "../../");
/// ```
pub fn root(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// Gives the relative link from one page to another path of the site, with or without an anchor.
///
/// ```
/// use bartack::page;
/// assert_eq!(page::link("makers/dunmore.html", "sources.html#list"), "../sources.html#list");
/// assert_eq!(page::link("makers/dunmore.html", "makers/dunmore/no-7.html"), "dunmore/no-7.html");
/// ```
pub fn link(from: &str, to: &str) -> String {
    let shared = from.match_indices('/').map(|(slash, _)| slash + 1).take_while(|end| to.starts_with(&from[..*end]));
    let shared = shared.last().unwrap_or(0);
    root(&from[shared..]) + &to[shared..]
}

/// Turns any text into the name of an anchor, and different texts into different names.
///
/// Small letters, digits and hyphens stay, as ids have them; `/` becomes `.`, and any other character its number.
///
/// ```
/// use bartack::page::anchor;
/// assert_eq!(anchor("dunmore/no-7"), "dunmore.no-7");
/// assert_ne!(anchor("a--b"), anchor("a-b"));
/// assert_eq!(anchor("a#B"), "a_23__42_");
/// ```
pub fn anchor(text: &str) -> String {
    let mut anchor = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            'a'..='z' | '0'..='9' | '-' => anchor.push(character),
            '/' => anchor.push('.'),
            other => anchor.push_str(&format!("_{:x}_", u32::from(other))),
        }
    }
    anchor
}

/// The text of a sentence with a minus sign instead of a hyphen before each negative difference.
pub fn with_minus_signs(sentence: &str) -> String {
    sentence.replace(" -0", &format!(" {MINUS}0"))
}

/// Says whether a link may lead to an address: only to the web.
pub fn is_web(address: &str) -> bool {
    address.starts_with("https://") || address.starts_with("http://")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeMap;

    use super::Site;

    fn own(name: &str, text: &str) -> BTreeMap<String, Vec<u8>> {
        BTreeMap::from([(format!("templates/{name}"), text.as_bytes().to_vec())])
    }

    #[test]
    fn values_are_escaped() {
        let site = Site::new(&own("probe.html", "<p>{{ name }}</p>")).unwrap();
        let html = site.render("probe.html", &BTreeMap::from([("name", "<b onclick='x'>&\"")])).unwrap();
        assert_eq!(String::from_utf8(html).unwrap(), "<p>&lt;b onclick=&#39;x&#39;&gt;&amp;&quot;</p>");
    }

    #[test]
    fn own_assets_take_the_place_of_built_in_ones() {
        let own = BTreeMap::from([("assets/site.css".to_string(), b"body{}".to_vec())]);
        let site = Site::new(&own).unwrap();
        assert_eq!(site.assets()["assets/site.css"], b"body{}");
        assert!(!Site::new(&BTreeMap::new()).unwrap().assets()["assets/site.css"].is_empty());
    }

    #[test]
    fn a_broken_template_is_named() {
        let error = Site::new(&own("broken.html", "{% if %}")).err().unwrap();
        assert!(error.to_string().contains("broken.html"), "{error}");
    }
}

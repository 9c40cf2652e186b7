//! `bartack new`: starts an entry for a garment in hand, by questions or as a form to fill in; or
//! starts a key.
//!
//! `asking` asks the questions and reads the answers; `draft` writes the text of the entry.

mod asking;

use std::io::IsTerminal;

use anyhow::{bail, ensure};
use clap::Args;

use crate::cli::{Outcome, Session};
use crate::diagnostic::wording;
use crate::disk;
use crate::draft::{self, Draft, Unanswered};
use crate::record::Content;
use crate::record::id::{LONGEST_NAME, ModelId, VariantId, is_device};
use crate::resolve::Catalog;
use crate::vocabulary::{Feature, Kind};

/// The arguments of `new`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The variant, as `maker/model/variant`; or the model, as `maker/model`, if the variant is not known; or
    /// `keys/NAME`, for a key to a maker's codes.
    #[arg(value_name = "VARIANT|MODEL|keys/NAME")]
    of: String,
    /// The file's name without `.md`, in small letters, digits and hyphens.
    #[arg(long, value_name = "NAME", default_value = "garment")]
    name: String,
    /// Who looked at it.
    #[arg(long, value_name = "NAME")]
    observer: Option<String>,
    /// Asks even if the input is not a terminal; answers are read line by line.
    #[arg(long, conflicts_with = "explain")]
    ask: bool,
    /// Asks nothing and writes a file that explains every feature.
    #[arg(long)]
    explain: bool,
}

/// The entry's folder, and the kind of garment it describes.
struct Place {
    folder: String,
    garment: String,
    perhaps_of: Option<String>,
}

/// The folder of keys, as typed before a key's name.
const KEYS: &str = "keys/";

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    let compilation = session.compile(&session.terminal.progress())?;
    let catalog = &compilation.knowledge.catalog;
    if let Some(name) = options.of.strip_prefix(KEYS) {
        return key(session, catalog, name);
    }
    let place = place(catalog, &options.of)?;
    let features: Vec<&Feature> =
        catalog.vocabulary.current().filter(|feature| feature.is_of(&place.garment)).collect();
    let path = free_path(catalog, &place, &options.name)?;
    let draft = Draft {
        perhaps_of: place.perhaps_of,
        observed: Some(super::today()),
        observer: options.observer.clone(),
        ..Draft::default()
    };
    let is_asked =
        options.ask || (!options.explain && std::io::stdin().is_terminal() && std::io::stderr().is_terminal());
    let text = match is_asked {
        true => draft::entry(&asking::ask(&session.terminal, draft, &features)?, &features, Unanswered::LeftOut),
        false => draft::entry(&draft, &features, Unanswered::Explained),
    };
    disk::add(&session.root, &path, &text)?;
    session.terminal.answer([format!("{path}\n")])?;
    session.terminal.summarize(&format!("wrote the entry; `bartack check {path}` says what is wrong with it"));
    Ok(Outcome::Clean)
}

/// Starts a key file; its own lines explain what to write, so no questions are needed.
fn key(session: &Session, catalog: &Catalog, name: &str) -> anyhow::Result<Outcome> {
    let features: Vec<&Feature> = catalog.vocabulary.current().filter(|feature| feature.kind == Kind::Code).collect();
    ensure!(!features.is_empty(), "the vocabulary has no feature of kind `code`, so a key has nothing to read");
    let place = Place { folder: "entries/keys".to_string(), garment: String::new(), perhaps_of: None };
    let path = free_path(catalog, &place, name)?;
    let makers: Vec<_> = catalog.makers.keys().collect();
    disk::add(&session.root, &path, &draft::key::text(&features, &makers))?;
    session.terminal.answer([format!("{path}\n")])?;
    session.terminal.summarize(&format!("wrote the key, to be filled in; `bartack check {path}` says what is missing"));
    Ok(Outcome::Clean)
}

fn place(catalog: &Catalog, typed: &str) -> anyhow::Result<Place> {
    if let Some(entry) = catalog.variants.get(typed) {
        let model = VariantId::new(typed).model();
        let folder = catalog.record(entry.record).path.folder().to_string();
        return Ok(Place { folder, garment: garment(catalog, &model), perhaps_of: None });
    }
    if catalog.models.contains_key(typed) {
        let garment = garment(catalog, &ModelId::new(typed));
        return Ok(Place { folder: "entries/unplaced".to_string(), garment, perhaps_of: Some(typed.to_string()) });
    }
    let variants = catalog.variants.keys().map(VariantId::as_str);
    let known: Vec<&str> = variants.chain(catalog.models.keys().map(ModelId::as_str)).collect();
    match wording::nearest(typed, &known, 1).first() {
        Some(near) => bail!("there is no variant or model {}; {} is near", wording::quote(typed), wording::quote(near)),
        None => bail!("there is no variant or model {}; it is written `maker/model/variant`", wording::quote(typed)),
    }
}

fn garment(catalog: &Catalog, model: &ModelId) -> String {
    match catalog.models.get(model).map(|entry| &catalog.record(entry.record).content) {
        Some(Content::Model(model)) => model.garment.value.clone(),
        _ => String::new(),
    }
}

/// A free path for the new entry; an existing file keeps its name.
fn free_path(catalog: &Catalog, place: &Place, wish: &str) -> anyhow::Result<String> {
    let is_name = !wish.is_empty()
        && wish.bytes().all(|letter| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == b'-');
    ensure!(is_name, "a name is written in small letters, digits and hyphens, not {}", wording::quote(wish));
    let is_reserved = ["maker", "model", "variant"].contains(&wish);
    ensure!(
        !is_reserved,
        "{} cannot be the name of an entry: a file of that name has another purpose",
        wording::quote(wish)
    );
    ensure!(!is_device(wish), "{} is a device name on Windows, where no file can have it", wording::quote(wish));
    ensure!(wish.len() <= LONGEST_NAME, "a name has at most {LONGEST_NAME} letters, not {}", wish.len());
    let files = catalog.sources.iter().map(|(_, file)| file.path());
    let taken: Vec<&str> = files.filter(|path| path.folder() == place.folder).map(|path| path.stem()).collect();
    Ok(format!("{}/{}.md", place.folder, draft::free_name(wish, &taken)))
}

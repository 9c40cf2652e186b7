//! Finds the folder of an entry from its row's maker, model, variant, line and wearer.
//!
//! It accepts ids and the names people write. A row that contradicts its own variant gets a
//! complaint.

use std::collections::BTreeMap;

use crate::diagnostic::wording;
use crate::import::heading::plain;
use crate::import::name;
use crate::import::question::{Asked, Query};
use crate::import::toml_string::quoted;
use crate::record::Content;
use crate::record::id::{LineId, MakerId, ModelId, VariantId};
use crate::record::observation::Wearer;
use crate::resolve::{Catalog, RecordIndex};

/// A row's cells about the place of its garment; an empty cell is `None`.
#[derive(Clone, Debug, Default)]
pub struct Said<'a> {
    /// The path it had.
    pub path: Option<&'a str>,
    /// The cells.
    pub maker: Option<&'a str>,
    /// The model, with or without its maker.
    pub model: Option<&'a str>,
    /// The variant, with or without its model.
    pub variant: Option<&'a str>,
    /// The label line.
    pub line: Option<&'a str>,
    /// Whom it was cut for.
    pub wearer: Option<&'a str>,
}

/// Where a garment belongs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Placed {
    /// Its variant; `None` for a garment without a known variant.
    pub variant: Option<VariantId>,
    /// The file's name that the row asks for.
    pub name: Option<String>,
    /// The keys that say what no folder says.
    pub lines: Vec<String>,
}

/// A mistake in the place of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Complaint {
    /// The key it is wrong in.
    pub key: &'static str,
    /// The mistake, and the correct form.
    pub message: String,
    /// The question that a mapping could answer; `None` if no answer could settle it.
    pub query: Option<Box<Query>>,
}

impl Complaint {
    fn new(key: &'static str, message: String) -> Complaint {
        Complaint { key, message, query: None }
    }

    /// One that another spelling would settle.
    fn spelt(key: &'static str, words: &str, near: Vec<String>, message: String) -> Complaint {
        let asked = Asked::Value(key, words.to_string());
        Complaint { key, message, query: Some(Box::new(Query { asked, words: words.to_string(), near })) }
    }
}

/// The meaning of a row's words.
#[derive(Default)]
struct Known {
    maker: Option<MakerId>,
    model: Option<ModelId>,
    line: Option<LineId>,
    wearer: Option<Wearer>,
}

/// Whether a sheet places its garments itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Placing {
    /// It has a column for the variant or the path: an empty cell means that nobody has placed the garment.
    Said,
    /// It has none: model, line and wearer may name one variant.
    Told,
}

/// Finds the folder for a row, or says all that is wrong.
pub fn place(catalog: &Catalog, said: &Said<'_>, placing: Placing) -> Result<Placed, Vec<Complaint>> {
    let alone = |key, message| vec![Complaint::new(key, message)];
    let address = said.path.map(name::address).transpose().map_err(|problem| alone("path", problem))?;
    let by_path = address.as_ref().and_then(|address| address.variant.as_ref());
    let (known, mut complaints) = known(catalog, said);
    let found = match (said.variant, by_path) {
        (Some(cell), _) => variant(catalog, cell, &known).map(Some),
        (None, Some(id)) => {
            let today = name::today(catalog, id.as_str());
            today.map(Some).ok_or_else(|| Complaint::new("path", no_variant(catalog, id.as_str())))
        }
        (None, None) if placing == Placing::Told => Ok(told(catalog, &known)),
        (None, None) => Ok(None),
    };
    let found = found.unwrap_or_else(|complaint| {
        complaints.push(complaint);
        None
    });
    if !complaints.is_empty() {
        return Err(complaints);
    }
    let name = address.as_ref().map(|address| address.name.clone());
    if let (Some(path), Some(found)) = (by_path.and_then(|id| name::today(catalog, id.as_str())), &found)
        && path != *found
    {
        return Err(alone("path", format!("the path is in the folder of `{path}`, but the variant is `{found}`")));
    }
    match found {
        Some(variant) => {
            agree(catalog, &variant, &known).map_err(|complaint| vec![complaint])?;
            Ok(Placed { variant: Some(variant), name, lines: Vec::new() })
        }
        None => Ok(Placed { variant: None, name, lines: lines(&known) }),
    }
}

/// Says what is wrong with an answer for a key that names something.
pub fn accept(catalog: &Catalog, key: &str, answer: &str) -> Result<(), String> {
    let mut said = Said::default();
    match key {
        "maker" => said.maker = Some(answer),
        "model" => said.model = Some(answer),
        "line" => said.line = Some(answer),
        "wearer" => said.wearer = Some(answer),
        "variant" => said.variant = Some(answer),
        _ => return Ok(()),
    }
    let complaints = place(catalog, &said, Placing::Told).err().into_iter().flatten();
    // Which of several is meant, the row may say.
    let wrong = complaints.filter(|complaint| complaint.query.is_some()).map(|complaint| complaint.message).next();
    wrong.map_or(Ok(()), Err)
}

/// The meaning of a row's words, and complaints about words without a meaning.
fn known(catalog: &Catalog, said: &Said<'_>) -> (Known, Vec<Complaint>) {
    let (mut known, mut complaints) = (Known::default(), Vec::new());
    let mut take = |found: Result<String, Complaint>| found.map_err(|complaint| complaints.push(complaint)).ok();
    if let Some(cell) = said.maker {
        let makers = catalog.makers.iter().map(|(id, entry)| (id.as_str(), title(catalog, entry.record)));
        known.maker = take(named("maker", cell, makers, &catalog_moved(catalog, "maker"))).map(MakerId::new);
    }
    if let Some(cell) = said.model {
        let in_maker = |maker: MakerId| known.maker.as_ref().is_none_or(|own| *own == maker);
        let models = catalog.models.iter().filter(|(id, _)| in_maker(id.maker()));
        let models = models.map(|(id, entry)| (id.as_str(), title(catalog, entry.record)));
        known.model = take(named("model", cell, models, &catalog_moved(catalog, "model"))).map(ModelId::new);
    }
    let maker = known.maker.clone().or(known.model.as_ref().map(ModelId::maker));
    if let Some(cell) = said.line {
        let lines = catalog.lines.iter().filter(|(id, _)| maker.as_ref().is_none_or(|maker| *maker == id.maker()));
        let lines: Vec<(&str, &str)> =
            lines.map(|(id, _)| (id.as_str(), catalog.line(id).map_or("", |line| &line.name))).collect();
        known.line = take(named("line", cell, lines.into_iter(), &line_moved(catalog))).map(LineId::new);
    }
    match said.wearer.map(wearer).transpose() {
        Ok(wearer) => known.wearer = wearer,
        Err(complaint) => complaints.push(complaint),
    }
    (known, complaints)
}

/// Finds what records of one kind have under an earlier address.
fn catalog_moved<'a>(catalog: &'a Catalog, kind: &'a str) -> impl Fn(&str) -> Option<String> + 'a {
    move |id| {
        let now = catalog.moved.get(&format!("makers/{id}/{kind}"))?;
        Some(now.strip_prefix("makers/")?.strip_suffix(&format!("/{kind}"))?.to_string())
    }
}

/// Finds the line that an earlier id of its maker means.
fn line_moved(catalog: &Catalog) -> impl Fn(&str) -> Option<String> + '_ {
    move |id| {
        let (maker, own) = id.split_once('/')?;
        let now = format!("{}/{own}", catalog_moved(catalog, "maker")(maker)?);
        catalog.lines.contains_key(&LineId::new(now.as_str())).then_some(now)
    }
}

/// Finds one thing by its id, the end of its id, its name, or an earlier id.
fn named<'a>(
    kind: &'static str,
    cell: &str,
    things: impl Iterator<Item = (&'a str, &'a str)> + Clone,
    moved: &dyn Fn(&str) -> Option<String>,
) -> Result<String, Complaint> {
    let wanted = plain(cell);
    let end = |id: &str| id.rsplit(['/', ':']).next().map(plain);
    let is_it = |id: &str, title: &str| id == cell || plain(title) == wanted || end(id).as_ref() == Some(&wanted);
    if let Some((id, _)) = things.clone().find(|(id, _)| *id == cell || plain(id) == wanted) {
        return Ok(id.to_string());
    }
    let found: Vec<&str> = things.clone().filter(|(id, title)| is_it(id, title)).map(|(id, _)| id).collect();
    match found.as_slice() {
        [one] => Ok((*one).to_string()),
        [] => moved(cell).ok_or_else(|| {
            let near = nearest(cell, things);
            let says = match near.as_slice() {
                [] => String::new(),
                near => format!("; near it: {}", wording::join_quoted(near, "and")),
            };
            Complaint::spelt(kind, cell, near, format!("there is no {kind} {}{says}", wording::quote(cell)))
        }),
        several => {
            let message = format!("{} may be {}", wording::quote(cell), wording::join_quoted(several, "or"));
            Err(Complaint::new(kind, message))
        }
    }
}

/// The ids of what is spelt like a cell, by the whole id, its end, or the name.
fn nearest<'a>(cell: &str, things: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let mut spellings: BTreeMap<&str, &str> = BTreeMap::new();
    for (id, title) in things {
        for spelling in [id, title, id.rsplit(['/', ':']).next().unwrap_or(id)] {
            spellings.entry(spelling).or_insert(id);
        }
    }
    let known: Vec<&str> = spellings.keys().copied().collect();
    let mut near: Vec<String> = Vec::new();
    for spelling in wording::nearest(cell, &known, 4) {
        let id = spellings.get(spelling).copied().unwrap_or(spelling);
        if near.len() < 2 && !near.iter().any(|other| other == id) {
            near.push(id.to_string());
        }
    }
    near
}

fn title(catalog: &Catalog, index: RecordIndex) -> &str {
    match &catalog.record(index).content {
        Content::Maker(maker) => &maker.name,
        Content::Model(model) => &model.name,
        Content::Variant(variant) => &variant.name,
        _ => "",
    }
}

fn wearer(cell: &str) -> Result<Wearer, Complaint> {
    let word = match plain(cell).as_str() {
        "man" | "mens" | "male" | "gents" => "men",
        "woman" | "womens" | "female" | "ladies" => "women",
        "boys" | "girls" | "child" | "children" | "kids" | "youths" => "youth",
        _ => cell.trim(),
    };
    let words = Wearer::ALL.map(|(_, word)| word);
    Wearer::parse(&word.to_lowercase()).ok_or_else(|| {
        let near = wording::nearest(cell, &words, 1).into_iter().map(str::to_string).collect();
        let message =
            format!("the wearer must be {}, not {}", wording::join_quoted(&words, "or"), wording::quote(cell));
        Complaint::spelt("wearer", cell, near, message)
    })
}

fn variant(catalog: &Catalog, cell: &str, known: &Known) -> Result<VariantId, Complaint> {
    let path = cell.strip_prefix("entries/").unwrap_or(cell);
    let path = path.strip_prefix("makers/").unwrap_or(path).trim_end_matches('/');
    let path = path.strip_suffix("/variant.md").unwrap_or(path);
    if let Some(id) = name::today(catalog, path) {
        return Ok(id);
    }
    let is_within = |id: &VariantId| {
        known.maker.as_ref().is_none_or(|maker| *maker == id.maker())
            && known.model.as_ref().is_none_or(|model| *model == id.model())
    };
    let variants = catalog.variants.iter().filter(|(id, _)| is_within(id));
    let variants = variants.map(|(id, entry)| (id.as_str(), title(catalog, entry.record)));
    named("variant", path, variants, &|_| None).map(VariantId::new)
}

fn no_variant(catalog: &Catalog, id: &str) -> String {
    let known: Vec<&str> = catalog.variants.keys().map(VariantId::as_str).collect();
    match wording::nearest(id, &known, 2).as_slice() {
        [] => format!("the variant {} no longer exists, and no record gives its new name", wording::quote(id)),
        near => format!("there is no variant {}; near it: {}", wording::quote(id), wording::join_quoted(near, "and")),
    }
}

/// The one variant that model, line and wearer name together.
fn told(catalog: &Catalog, known: &Known) -> Option<VariantId> {
    let model = known.model.as_ref()?;
    let (line, wearer) = (known.line.as_ref()?, known.wearer?);
    let mut found = catalog.models.get(model)?.variants.iter().filter(|id| {
        let entry = catalog.variants.get(*id);
        entry.is_some_and(|entry| entry.line.as_ref() == Some(line) && is_for(catalog, entry.record, wearer))
    });
    let one = found.next()?;
    found.next().is_none().then(|| one.clone())
}

fn is_for(catalog: &Catalog, index: RecordIndex, wearer: Wearer) -> bool {
    matches!(&catalog.record(index).content, Content::Variant(variant) if variant.wearer == wearer)
}

/// Complains where a row says something else than the variant it names.
fn agree(catalog: &Catalog, id: &VariantId, known: &Known) -> Result<(), Complaint> {
    let entry = catalog.variants.get(id);
    let line = entry.and_then(|entry| entry.line.as_ref());
    let differs =
        |key: &'static str, says: &str| Err(Complaint::new(key, format!("the variant `{id}` is not of {says}")));
    match known {
        Known { maker: Some(maker), .. } if *maker != id.maker() => differs("maker", &format!("the maker `{maker}`")),
        Known { model: Some(model), .. } if *model != id.model() => differs("model", &format!("the model `{model}`")),
        Known { line: Some(own), .. } if line.is_some_and(|line| line != own) => {
            differs("line", &format!("the line `{}`", own.line()))
        }
        Known { wearer: Some(wearer), .. } if entry.is_some_and(|entry| !is_for(catalog, entry.record, *wearer)) => {
            Err(Complaint::new("wearer", format!("the variant `{id}` is not cut for {}", wearer.word())))
        }
        _ => Ok(()),
    }
}

/// The keys of an unplaced entry.
fn lines(known: &Known) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = |key: &str, value: &str| lines.push(format!("{key} = {}", quoted(value)));
    known.maker.iter().for_each(|maker| line("maker", maker.as_str()));
    known.model.iter().for_each(|model| line("model", model.as_str()));
    known.line.iter().for_each(|own| line("line", own.as_str()));
    known.wearer.iter().for_each(|wearer| line("wearer", wearer.word()));
    lines
}

//! A text that names something to the text that names it after a renaming, in the same form: short words stay short.

use crate::difference::moved::Moves;
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, SourceId, StateId, VariantId, Whole};
use crate::rename::references::{Mention, Names};
use crate::source::FilePath;
use crate::source::tree::Table;

/// The meaning of short words in a file.
#[derive(Clone, Debug)]
pub struct Scope {
    path: FilePath,
    maker: Option<MakerId>,
    model: Option<ModelId>,
}

impl Scope {
    /// Reads the maker and model of a file from its path, or else from its keys.
    pub fn of(path: &FilePath, front: &Table) -> Scope {
        let folders: Vec<&str> = path.folder().split('/').collect();
        let (maker, model) = match folders.as_slice() {
            ["entries", "makers", maker] => (Some(MakerId::new(*maker)), None),
            ["entries", "makers", maker, model, ..] => {
                let maker = MakerId::new(*maker);
                (Some(maker.clone()), Some(ModelId::of(&maker, model)))
            }
            _ => (written_maker(front), None),
        };
        Scope { path: path.clone(), maker, model }
    }
}

fn written_maker(front: &Table) -> Option<MakerId> {
    let model = || Some(front.words("model")?.split_once('/')?.0.to_string());
    front.words("maker").or_else(model).map(MakerId::new)
}

/// Gives the other text of a mention, where the renaming changes it.
pub fn renamed(moves: &Moves, scope: &Scope, mention: &Mention) -> Option<String> {
    let text = mention.text.as_str();
    let words = Words { moves, scope };
    let now = match &mention.names {
        Names::Source => words.source(text),
        Names::Thing => words.thing(text),
        Names::Line => words.line(text),
        Names::Revived => words.revived(text),
        Names::Variant => Some(moves.variant(&VariantId::new(text)).to_string()),
        Names::Maker => Some(words.maker(text)),
        Names::Model => words.model(text),
        Names::Entry => words.entry(text),
        Names::Folder => words.folder(text),
        Names::Voice => words.voice(text),
        Names::Says(feature) => words.says(text, feature.as_ref()),
        Names::Feature => Some(moves.feature(&FeatureId::new(text)).to_string()),
        Names::State(feature) => Some(moves.state(feature, &StateId::new(text)).to_string()),
    };
    now.filter(|now| now != text)
}

struct Words<'a> {
    moves: &'a Moves,
    scope: &'a Scope,
}

impl Words<'_> {
    fn source(&self, text: &str) -> Option<String> {
        let id = SourceId::new(text.split(char::is_whitespace).next()?);
        let now = self.moves.address(&format!("sources/{id}"))?;
        Some(format!("{}{}", now.strip_prefix("sources/")?, &text[id.as_str().len()..]))
    }

    fn maker(&self, text: &str) -> String {
        self.moves.whole(&Whole::Maker(MakerId::new(text))).as_str().to_string()
    }

    fn thing(&self, text: &str) -> Option<String> {
        if let Some(state) = text.strip_prefix("feature:") {
            return Some(format!("feature:{}", self.state(state)?));
        }
        match text.split_once("/feature:") {
            Some((whole, state)) => Some(format!("{}/feature:{}", self.whole(whole)?, self.state(state)?)),
            None => self.whole(text),
        }
    }

    fn state(&self, text: &str) -> Option<String> {
        let (feature, state) = text.split_once('=')?;
        let (feature, state) = (FeatureId::new(feature), StateId::new(state));
        Some(format!("{}={}", self.moves.feature(&feature), self.moves.state(&feature, &state)))
    }

    fn whole(&self, text: &str) -> Option<String> {
        if ["maker", "model", "variant"].contains(&text) {
            return Some(text.to_string());
        }
        if text.contains("line:") {
            return self.line(text);
        }
        let whole = match text.split('/').count() {
            1 => Whole::Maker(MakerId::new(text)),
            2 => Whole::Model(ModelId::new(text)),
            _ => Whole::Variant(VariantId::new(text)),
        };
        Some(self.moves.whole(&whole).as_str().to_string())
    }

    /// A line as `id`, `line:id`, `maker/id` or `maker/line:id`.
    fn line(&self, text: &str) -> Option<String> {
        let (maker, name) = match text.split_once('/') {
            Some((maker, name)) => (Some(MakerId::new(maker)), name),
            None => (None, text),
        };
        let (word, id) = name.split_at(name.rfind("line:").map_or(0, |at| at + "line:".len()));
        let now = self.moves.line(&LineId::of(maker.as_ref().or(self.scope.maker.as_ref())?, id));
        let maker = maker.map(|_| format!("{}/", now.maker())).unwrap_or_default();
        Some(format!("{maker}{word}{}", now.line()))
    }

    fn revived(&self, text: &str) -> Option<String> {
        if text.contains('/') {
            return Some(self.moves.variant(&VariantId::new(text)).to_string());
        }
        let variant = VariantId::of(self.scope.model.as_ref()?, text);
        Some(self.moves.variant(&variant).variant().to_string())
    }

    fn model(&self, text: &str) -> Option<String> {
        if text.contains('/') {
            return Some(self.moves.model(&ModelId::new(text)).to_string());
        }
        let model = ModelId::of(self.scope.maker.as_ref()?, text);
        Some(self.moves.model(&model).model().to_string())
    }

    fn entry(&self, text: &str) -> Option<String> {
        let (start, address, end) = parts(text);
        if address.contains('/') {
            return Some(format!("{start}{}{end}", self.moves.address(address)?));
        }
        let folder = self.scope.path.folder();
        let folder = folder.strip_prefix("entries/").unwrap_or(folder);
        let now = self.moves.address(&format!("{folder}/{address}"))?;
        Some(format!("{start}{}{end}", now.rsplit_once('/')?.1))
    }

    fn folder(&self, text: &str) -> Option<String> {
        let (start, address, end) = parts(text);
        let folder = || Some(self.moves.address(&format!("{address}/"))?.trim_end_matches('/').to_string());
        Some(format!("{start}{}{end}", self.moves.address(address).or_else(folder)?))
    }

    fn voice(&self, text: &str) -> Option<String> {
        let (path, part) = text.split_once('#')?;
        let (start, address, end) = parts(path);
        let address = self.moves.address(address).unwrap_or_else(|| address.to_string());
        let part = match part.strip_prefix("features.") {
            Some(feature) => format!("features.{}", self.moves.feature(&FeatureId::new(feature))),
            None => part.to_string(),
        };
        Some(format!("{start}{address}{end}#{part}"))
    }

    /// The text of a claim names things only after `before`; the text of a reading is its state
    /// alone.
    fn says(&self, text: &str, feature: Option<&FeatureId>) -> Option<String> {
        match (text.strip_prefix("before "), feature) {
            (Some(other), _) => Some(format!("before {}", self.thing(other)?)),
            (None, Some(feature)) => Some(self.moves.state(feature, &StateId::new(text)).to_string()),
            (None, None) => None,
        }
    }
}

/// A path as its beginning, the address, and its ending.
fn parts(path: &str) -> (&str, &str, &str) {
    let (start, rest) = path.split_at(if path.starts_with("entries/") { "entries/".len() } else { 0 });
    let (address, end) = rest.split_at(rest.strip_suffix(".md").map_or(rest.len(), str::len));
    (start, address, end)
}

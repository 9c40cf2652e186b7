//! Maps names of an earlier state to present ones: after renamings through `formerly`, or after one known renaming.
//!
//! A folder whose own record was renamed takes everything below it along.

use std::collections::BTreeMap;

use crate::record::id::{FeatureId, LineId, MakerId, ModelId, StateId, Thing, VariantId, VoiceName, Whole};
use crate::resolve::Catalog;
use crate::source::FilePath;

/// The records with another name now.
#[derive(Clone, Debug, Default)]
pub struct Moves {
    /// Earlier addresses, to those of now.
    records: BTreeMap<String, String>,
    /// Folders with a slash at their ends, the longest first.
    folders: Vec<(String, String)>,
    /// Label lines.
    lines: BTreeMap<LineId, LineId>,
    /// Features.
    features: BTreeMap<FeatureId, FeatureId>,
    /// States, each with its feature as that was called before.
    states: BTreeMap<(FeatureId, StateId), StateId>,
}

/// Names of every kind, each with what the thing is called now.
#[derive(Clone, Debug, Default)]
pub struct NewNames {
    /// Records by their addresses; a maker, model or variant takes along what lies below it.
    pub records: BTreeMap<String, String>,
    /// Label lines.
    pub lines: BTreeMap<LineId, LineId>,
    /// Features.
    pub features: BTreeMap<FeatureId, FeatureId>,
    /// States, each with its feature as that was called before.
    pub states: BTreeMap<(FeatureId, StateId), StateId>,
}

impl Moves {
    /// Finds what was renamed between two states: gone from its earlier address, and new at its present one.
    pub fn between(earlier: &Catalog, now: &Catalog) -> Moves {
        let has = |catalog: &Catalog, address: &str| catalog.sources.find(&format!("entries/{address}.md")).is_some();
        let is_news = |(old, new): &(&String, &String)| has(earlier, old) && !has(now, old) && !has(earlier, new);
        let records: BTreeMap<String, String> =
            now.moved.iter().filter(is_news).map(|(old, new)| (old.clone(), new.clone())).collect();
        Moves::of_records(records)
    }

    /// Takes records by their earlier addresses and those of now.
    pub fn of_records(records: BTreeMap<String, String>) -> Moves {
        let folder = |(old, new): (&String, &String)| {
            let ((old, old_name), (new, new_name)) = (old.rsplit_once('/')?, new.rsplit_once('/')?);
            let is_whole = old_name == new_name && ["variant", "model", "maker"].contains(&old_name);
            (is_whole && old != new).then(|| (format!("{old}/"), format!("{new}/")))
        };
        let mut folders: Vec<(String, String)> = records.iter().filter_map(folder).collect();
        folders.sort_by(|one, other| other.0.len().cmp(&one.0.len()).then_with(|| one.cmp(other)));
        Moves { records, folders, ..Moves::default() }
    }

    /// Takes a label line with what it is called now.
    pub fn of_line(old: LineId, new: LineId) -> Moves {
        Moves { lines: BTreeMap::from([(old, new)]), ..Moves::default() }
    }

    /// Takes a feature with what it is called now.
    pub fn of_feature(old: FeatureId, new: FeatureId) -> Moves {
        Moves { features: BTreeMap::from([(old, new)]), ..Moves::default() }
    }

    /// Takes a state of a feature with what it is called now.
    pub fn of_state(feature: FeatureId, old: StateId, new: StateId) -> Moves {
        Moves { states: BTreeMap::from([((feature, old), new)]), ..Moves::default() }
    }

    /// Takes names of every kind at once.
    pub fn of_all(names: NewNames) -> Moves {
        let NewNames { records, lines, features, states } = names;
        Moves { lines, features, states, ..Moves::of_records(records) }
    }

    /// Gives the features alone, unless one gets the name that another had: to change names twice would mix them up.
    pub fn features_alone(&self) -> Option<Moves> {
        let is_mixed = self.features.iter().any(|(old, new)| old != new && self.features.contains_key(new));
        (!is_mixed).then(|| Moves { features: self.features.clone(), ..Moves::default() })
    }

    /// The path that a file has now.
    pub fn path(&self, path: &FilePath) -> FilePath {
        let is_record = path.as_str().starts_with("entries/") && path.as_str().ends_with(".md");
        match self.address(path.address()) {
            Some(now) if is_record => FilePath::new(format!("entries/{now}.md")),
            _ => path.clone(),
        }
    }

    /// The name that a claim, date or placing has now.
    pub fn voice(&self, name: &VoiceName) -> VoiceName {
        match name.as_str().split_once('#') {
            Some((path, part)) => VoiceName::new(format!("{}#{part}", self.path(&FilePath::new(path)))),
            None => name.clone(),
        }
    }

    /// The present name of a thing.
    pub fn thing(&self, thing: &Thing) -> Thing {
        let state = thing.state.as_ref().map(|(feature, state)| (self.feature(feature), self.state(feature, state)));
        Thing { whole: self.whole(&thing.whole), state }
    }

    /// The present id of a feature.
    pub fn feature(&self, id: &FeatureId) -> FeatureId {
        self.features.get(id).unwrap_or(id).clone()
    }

    /// The present id of a feature's state.
    pub fn state(&self, feature: &FeatureId, id: &StateId) -> StateId {
        if self.states.is_empty() {
            return id.clone();
        }
        self.states.get(&(feature.clone(), id.clone())).unwrap_or(id).clone()
    }

    /// The present id of a maker, line, model or variant.
    pub fn whole(&self, whole: &Whole) -> Whole {
        match whole {
            Whole::Maker(id) => Whole::Maker(MakerId::new(self.folder(id.as_str(), "maker"))),
            Whole::Line(id) => Whole::Line(self.line(id)),
            Whole::Model(id) => Whole::Model(self.model(id)),
            Whole::Variant(id) => Whole::Variant(self.variant(id)),
        }
    }

    /// The present id of a label line.
    pub fn line(&self, id: &LineId) -> LineId {
        let of_maker = || LineId::of(&MakerId::new(self.folder(id.maker().as_str(), "maker")), id.line());
        self.lines.get(id).cloned().unwrap_or_else(of_maker)
    }

    /// The present id of a model.
    pub fn model(&self, id: &ModelId) -> ModelId {
        ModelId::new(self.folder(id.as_str(), "model"))
    }

    /// The present id of a variant.
    pub fn variant(&self, id: &VariantId) -> VariantId {
        VariantId::new(self.folder(id.as_str(), "variant"))
    }

    fn folder(&self, id: &str, record: &str) -> String {
        let now = self.address(&format!("makers/{id}/{record}"));
        let now = now.as_deref().and_then(|now| now.strip_prefix("makers/")?.strip_suffix(&format!("/{record}")));
        now.unwrap_or(id).to_string()
    }

    /// The address that a record has now, where it is another one.
    pub fn address(&self, address: &str) -> Option<String> {
        if let Some(now) = self.records.get(address) {
            return Some(now.clone());
        }
        let below = |(old, new): &(String, String)| Some(format!("{new}{}", address.strip_prefix(old.as_str())?));
        self.folders.iter().find_map(below)
    }
}

#[cfg(test)]
mod tests {
    use super::Moves;
    use crate::compile::example;
    use crate::record::id::{Thing, VariantId, VoiceName, Whole};
    use crate::source::FilePath;

    fn variant(folder: &str, formerly: &str) -> String {
        format!(
            "--- entries/makers/m/x/{folder}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n{formerly}+++\n\
             --- entries/makers/m/x/{folder}/find.md\n+++\nbasis = \"specimen\"\n+++\n"
        )
    }

    fn moves(earlier: &str, now: &str) -> Moves {
        let (earlier, now) = (example::compile(earlier).knowledge, example::compile(now).knowledge);
        Moves::between(&earlier.catalog, &now.catalog)
    }

    #[test]
    fn a_renamed_variant_takes_its_observations_along() {
        let moves = moves(&variant("a", ""), &variant("b", "formerly = [\"makers/m/x/a/variant\"]\n"));
        assert_eq!(moves.variant(&VariantId::new("m/x/a")).as_str(), "m/x/b");
        let made = VoiceName::new("entries/makers/m/x/a/find.md#made");
        assert_eq!(moves.voice(&made).as_str(), "entries/makers/m/x/b/find.md#made");
        assert_eq!(
            moves.path(&FilePath::new("entries/makers/m/x/ab/find.md")).as_str(),
            "entries/makers/m/x/ab/find.md"
        );
        let thing = Thing::of(Whole::Variant(VariantId::new("m/x/c")));
        assert_eq!(moves.thing(&thing), thing);
    }

    #[test]
    fn a_rename_of_long_ago_moves_nothing() {
        let now = variant("b", "formerly = [\"makers/m/x/a/variant\"]\n");
        let again = now.clone() + &variant("a", "");
        assert_eq!(moves(&now, &again).variant(&VariantId::new("m/x/a")).as_str(), "m/x/a");
    }
}

//! The things that can be renamed, and the ways in which people write their names.

use crate::record::id::{FeatureId, LineId, StateId};
use crate::source::FilePath;

/// Something that can be renamed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    /// A record, by its path; a maker, model or variant by the path of its own file.
    Record(FilePath),
    /// A label line.
    Line(LineId),
    Feature(FeatureId),
    /// A state of a feature.
    State(FeatureId, StateId),
}

/// The files that give a folder its meaning.
const OWN_FILES: [&str; 3] = ["/maker", "/model", "/variant"];

impl Thing {
    /// The record at a path, unless it is one that keeps its name.
    pub fn at(path: &FilePath) -> Option<Thing> {
        let parts: Vec<&str> = path.as_str().strip_prefix("entries/")?.strip_suffix(".md")?.split('/').collect();
        let is_record = match parts.as_slice() {
            ["sources" | "landmarks" | "disputes" | "keys" | "unplaced", _] => true,
            ["makers", _, name] => *name == "maker",
            ["makers", _, _, name] => *name == "model",
            ["makers", _, _, _, name] => !["maker", "model"].contains(name),
            _ => false,
        };
        is_record.then(|| Thing::Record(path.clone()))
    }

    /// The ways to write it that say what kind it is; the first is the usual one.
    pub fn written(&self) -> Vec<String> {
        match self {
            Thing::Record(path) => {
                let address = path.address();
                let full = self.folder().and_then(|folder| folder.strip_prefix("entries/")).unwrap_or(address);
                let short = full.strip_prefix("makers/").filter(|short| short.contains('/'));
                let mut written: Vec<String> = short.into_iter().chain([full, address]).map(str::to_string).collect();
                written.dedup();
                written
            }
            Thing::Line(line) => vec![line.to_string()],
            Thing::Feature(feature) => vec![format!("feature:{feature}")],
            Thing::State(feature, state) => vec![format!("feature:{feature}={state}"), format!("{feature}={state}")],
        }
    }

    /// Its own name, which several things may have.
    pub fn name(&self) -> &str {
        match self {
            Thing::Record(path) => self.folder().map_or(path.stem(), |folder| last(folder)),
            Thing::Line(line) => line.line(),
            Thing::Feature(feature) => feature.as_str(),
            Thing::State(_, state) => state.as_str(),
        }
    }

    /// The folder that is a maker's, model's or variant's own.
    pub fn folder(&self) -> Option<&str> {
        let Thing::Record(path) = self else { return None };
        let is_whole = OWN_FILES.iter().any(|file| path.address().ends_with(file));
        (is_whole && path.address().starts_with("makers/")).then(|| path.folder())
    }

    /// The same thing under another name.
    pub fn renamed(&self, name: &str) -> Thing {
        match self {
            Thing::Record(path) => match self.folder() {
                Some(folder) => {
                    let above = folder.strip_suffix(last(folder)).unwrap_or_default();
                    Thing::Record(FilePath::new(format!("{above}{name}/{}.md", path.stem())))
                }
                None => Thing::Record(FilePath::new(format!("{}/{name}.md", path.folder()))),
            },
            Thing::Line(line) => Thing::Line(LineId::of(&line.maker(), name)),
            Thing::Feature(_) => Thing::Feature(FeatureId::new(name)),
            Thing::State(feature, _) => Thing::State(feature.clone(), StateId::new(name)),
        }
    }

    /// Words that mean something else where it is named.
    pub fn reserved(&self) -> &'static [&'static str] {
        match self {
            Thing::Record(_) | Thing::Line(_) => &["maker", "model", "variant"],
            Thing::Feature(_) => &["maker", "model", "variant", "unsaid", "line", "wear"],
            Thing::State(..) => &["other", "lost", "absent"],
        }
    }
}

fn last(path: &str) -> &str {
    path.rsplit_once('/').map_or(path, |(_, last)| last)
}

#[cfg(test)]
mod tests {
    use super::Thing;
    use crate::record::id::{FeatureId, LineId, StateId};
    use crate::source::FilePath;

    #[test]
    fn things_are_written_with_and_without_their_folders() {
        let rows = [
            ("entries/sources/a.md", "a", "sources/a", "entries/sources/b.md"),
            ("entries/unplaced/a.md", "a", "unplaced/a", "entries/unplaced/b.md"),
            ("entries/keys/a.md", "a", "keys/a", "entries/keys/b.md"),
            ("entries/makers/m/maker.md", "m", "makers/m makers/m/maker", "entries/makers/b/maker.md"),
            ("entries/makers/m/x/model.md", "x", "m/x makers/m/x makers/m/x/model", "entries/makers/m/b/model.md"),
            (
                "entries/makers/m/m/m/variant.md",
                "m",
                "m/m/m makers/m/m/m makers/m/m/m/variant",
                "entries/makers/m/m/b/variant.md",
            ),
            ("entries/makers/m/x/v/o.md", "o", "m/x/v/o makers/m/x/v/o", "entries/makers/m/x/v/b.md"),
        ];
        for (path, name, written, renamed) in rows {
            let thing = Thing::at(&FilePath::new(path)).expect("a record stands there");
            assert_eq!((thing.name(), thing.written().join(" ").as_str()), (name, written));
            assert_eq!(thing.renamed("b"), Thing::Record(FilePath::new(renamed)));
        }
        for path in ["entries/about.md", "entries/makers/m/x.md", "entries/makers/m/x/v.md", "schema/vocabulary.toml"] {
            assert_eq!(Thing::at(&FilePath::new(path)), None, "{path}");
        }
    }

    #[test]
    fn lines_features_and_states_keep_what_they_belong_to() {
        let things = [
            Thing::Line(LineId::new("m/line:best")),
            Thing::Feature(FeatureId::new("hem")),
            Thing::State(FeatureId::new("hem"), StateId::new("raw")),
        ];
        let renamed = things.map(|thing| thing.renamed("b").written()[0].clone());
        assert_eq!(renamed, ["m/line:b", "feature:b", "feature:hem=b"]);
    }
}

//! Turns a path into the kind of its record, and finds folders without the record that gives them
//! meaning.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use crate::fault::{FaultKind, Misplaced, RuleBroken, SchemaFault};
use crate::record::id::{LONGEST_NAME, MakerId, ModelId, SourceId, VariantId, is_device};
use crate::schema::Subject;
use crate::source::{FileId, SourceFile, Sources};

/// Words that stand for the file's own maker, model or variant, and so name nothing else.
pub(super) const RESERVED: [&str; 3] = ["maker", "model", "variant"];

/// The kind of record at a path, with the ids that the path contains.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Address {
    About,
    Source(SourceId),
    Landmark,
    Key,
    Dispute,
    Unplaced,
    Maker(MakerId),
    Model(ModelId),
    Variant(VariantId),
    Observation(VariantId),
}

impl Address {
    /// The kind of record at the path.
    fn kind(&self) -> Kind {
        match self {
            Address::About => Kind::About,
            Address::Source(_) => Kind::Source,
            Address::Landmark => Kind::Landmark,
            Address::Key => Kind::Key,
            Address::Dispute => Kind::Dispute,
            Address::Unplaced | Address::Observation(_) => Kind::Observation,
            Address::Maker(_) => Kind::Maker,
            Address::Model(_) => Kind::Model,
            Address::Variant(_) => Kind::Variant,
        }
    }

    /// The schema that its keys are held to.
    pub(super) fn subject(&self) -> Subject {
        match self {
            Address::About => Subject::About,
            Address::Source(_) => Subject::Source,
            Address::Landmark => Subject::Landmark,
            Address::Key => Subject::Key,
            Address::Dispute => Subject::Dispute,
            Address::Maker(_) => Subject::Maker,
            Address::Model(_) => Subject::Model,
            Address::Variant(_) => Subject::Variant,
            Address::Unplaced | Address::Observation(_) => Subject::Observation,
        }
    }
}

/// Says whether a word can be a name.
pub(super) fn is_name(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
}

/// Reads a path below `entries/`, or says why it cannot be the path of a record.
pub(super) fn read(path: &str) -> Result<Address, FaultKind> {
    let nowhere = FaultKind::Misplaced(Misplaced::NoSuchPlace);
    let Some(rest) = path.strip_prefix("entries/").and_then(|path| path.strip_suffix(".md")) else {
        return Err(nowhere);
    };
    let segments: Vec<&str> = rest.split('/').collect();
    let address = match segments.as_slice() {
        ["about"] => Address::About,
        ["sources", name] => Address::Source(SourceId::new(*name)),
        ["landmarks", _] => Address::Landmark,
        ["keys", _] => Address::Key,
        ["disputes", _] => Address::Dispute,
        ["unplaced", _] => Address::Unplaced,
        ["makers", maker, "maker"] => Address::Maker(MakerId::new(*maker)),
        ["makers", maker, model, "model"] => Address::Model(ModelId::new(format!("{maker}/{model}"))),
        ["makers", maker, model, variant, "variant"] => {
            Address::Variant(VariantId::new(format!("{maker}/{model}/{variant}")))
        }
        ["makers", maker, model, variant, _] => {
            Address::Observation(VariantId::new(format!("{maker}/{model}/{variant}")))
        }
        _ => return Err(nowhere),
    };
    names(&address, &segments[1..]).map(|()| address)
}

/// Says what is wrong with an earlier address of a record, as what was found and what is expected instead.
///
/// The site forwards from the page that the record had there, so it must be an address of the same kind of record.
pub(super) fn wrong_earlier(now: &Address, own: &str, earlier: &str) -> Option<[String; 2]> {
    let kind = now.kind();
    let found = match read(&format!("entries/{earlier}.md")) {
        _ if earlier == own => format!("`{earlier}`, which is the address of this record now"),
        Ok(other) if other.kind() == kind => return None,
        Ok(other) => format!("`{earlier}`, which is an address of {}", other.kind()),
        Err(_) => format!("`{earlier}`, which cannot be the address of a record"),
    };
    Some([found, format!("an earlier address of this {}, such as `{}`", kind.noun(), kind.example())])
}

/// Kinds of record that can take each other's place: an observation keeps its kind when it is placed.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    About,
    Source,
    Landmark,
    Key,
    Dispute,
    Observation,
    Maker,
    Model,
    Variant,
}

impl Kind {
    fn noun(self) -> &'static str {
        match self {
            Kind::About => "file of settings",
            Kind::Source => "source",
            Kind::Landmark => "landmark",
            Kind::Key => "key",
            Kind::Dispute => "dispute",
            Kind::Observation => "observation",
            Kind::Maker => "maker",
            Kind::Model => "model",
            Kind::Variant => "variant",
        }
    }

    /// An address of this kind.
    fn example(self) -> &'static str {
        match self {
            Kind::About => "about",
            Kind::Source => "sources/old-name",
            Kind::Landmark => "landmarks/old-name",
            Kind::Key => "keys/old-name",
            Kind::Dispute => "disputes/old-name",
            Kind::Observation => "unplaced/old-name",
            Kind::Maker => "makers/old-name/maker",
            Kind::Model => "makers/maker-name/old-name/model",
            Kind::Variant => "makers/maker-name/model-name/old-name/variant",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let article = if matches!(self, Kind::Observation) { "an" } else { "a" };
        write!(formatter, "{article} {}", self.noun())
    }
}

/// Checks the names that the path gives; the last of a maker's, model's or variant's own file is no name.
fn names(address: &Address, segments: &[&str]) -> Result<(), FaultKind> {
    let given = match address {
        Address::Maker(_) | Address::Model(_) | Address::Variant(_) => &segments[..segments.len() - 1],
        _ => segments,
    };
    for name in given {
        if !is_name(name) {
            return Err(FaultKind::Misplaced(Misplaced::BadName { found: (*name).to_string() }));
        }
        if is_device(name) {
            return Err(FaultKind::Misplaced(Misplaced::Device { found: (*name).to_string() }));
        }
        if name.len() > LONGEST_NAME {
            return Err(FaultKind::Misplaced(Misplaced::LongName { letters: name.len() }));
        }
        if RESERVED.contains(name) {
            let found = (*name).to_string();
            return Err(FaultKind::Schema(SchemaFault::Rule(RuleBroken::ReservedId { found })));
        }
    }
    Ok(())
}

/// Folders that lack the record which gives them their meaning.
#[derive(Clone, Debug, Default)]
pub(super) struct Orphans {
    /// The first file below each such folder, with the path of what is missing.
    pub(super) blamed: BTreeMap<FileId, Vec<String>>,
    /// All files below such folders.
    pub(super) files: BTreeSet<FileId>,
}

/// Finds the folders of makers, models and variants that have no `maker.md`, `model.md` or `variant.md`.
pub(super) fn orphans(sources: &Sources) -> Orphans {
    let mut orphans = Orphans::default();
    let mut known = BTreeSet::new();
    // Files come folder by folder, and what must stand above them is the same for all of one.
    let mut whole = None;
    for (id, file) in sources.iter() {
        let folder = file.path().folder();
        if whole == Some(folder) || read(file.path().as_str()).is_err() {
            continue;
        }
        whole = Some(folder);
        for expected in parents(file) {
            if sources.find(&expected).is_some() {
                continue;
            }
            whole = None;
            orphans.files.insert(id);
            if known.insert(expected.clone()) {
                orphans.blamed.entry(id).or_default().push(expected);
            }
        }
    }
    orphans
}

/// The paths of the records that must stand above a file, or in its own folder.
fn parents(file: &SourceFile) -> Vec<String> {
    let path = file.path().as_str();
    let Some(rest) = path.strip_prefix("entries/makers/") else { return Vec::new() };
    let folders: Vec<&str> = rest.split('/').collect();
    let names = ["maker.md", "model.md", "variant.md"];
    let depth = folders.len() - 1;
    (1..=depth.min(3))
        .map(|depth| format!("entries/makers/{}/{}", folders[..depth].join("/"), names[depth - 1]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{orphans, read, wrong_earlier};
    use crate::source::{FilePath, SourceFile, Sources};

    #[test]
    fn the_path_decides_the_kind() {
        let rows = [
            ("entries/about.md", "Ok(About)"),
            ("entries/sources/list-1.md", "Ok(Source(SourceId(\"list-1\")))"),
            ("entries/keys/pocket-stamp.md", "Ok(Key)"),
            ("entries/unplaced/a.md", "Ok(Unplaced)"),
            ("entries/makers/a/maker.md", "Ok(Maker(MakerId(\"a\")))"),
            ("entries/makers/a/b/model.md", "Ok(Model(ModelId(\"a/b\")))"),
            ("entries/makers/a/b/c/variant.md", "Ok(Variant(VariantId(\"a/b/c\")))"),
            ("entries/makers/a/b/c/d.md", "Ok(Observation(VariantId(\"a/b/c\")))"),
            ("entries/makers/a/b/maker.md", "Err(Misplaced(NoSuchPlace))"),
            ("entries/makers/a/b/c/d/e.md", "Err(Misplaced(NoSuchPlace))"),
            ("entries/readme.md", "Err(Misplaced(NoSuchPlace))"),
            ("entries/about.txt", "Err(Misplaced(NoSuchPlace))"),
            ("entries/sources/List.md", "Err(Misplaced(BadName { found: \"List\" }))"),
            ("entries/makers/a_b/maker.md", "Err(Misplaced(BadName { found: \"a_b\" }))"),
            ("entries/makers/a/b/aux/d.md", "Err(Misplaced(Device { found: \"aux\" }))"),
            ("entries/unplaced/com1.md", "Err(Misplaced(Device { found: \"com1\" }))"),
            ("entries/unplaced/com10.md", "Ok(Unplaced)"),
            ("entries/makers/model/maker.md", "Err(Schema(Rule(ReservedId { found: \"model\" })))"),
            ("entries/makers/a/b/c/model.md", "Err(Schema(Rule(ReservedId { found: \"model\" })))"),
        ];
        for (path, expected) in rows {
            assert_eq!(format!("{:?}", read(path)), expected, "{path}");
        }
    }

    #[test]
    fn an_earlier_address_is_one_that_the_record_could_have_had() {
        let rows = [
            ("makers/a/b/c/d", "unplaced/x", true),
            ("unplaced/x", "makers/a/b/c/d", true),
            ("makers/a/b/c/d", "makers/z/y/x/w", true),
            ("makers/a/maker", "makers/b/maker", true),
            ("makers/a/maker", "makers/b", false),
            ("makers/a/maker", "makers/b/c/model", false),
            ("makers/a/b/c/variant", "old-name", false),
            ("makers/a/b/c/variant", "index", false),
            ("makers/a/b/c/variant", "404", false),
            ("makers/a/b/c/variant", "makers/a/b/c/variant", false),
            ("makers/a/b/c/variant", "makers/a/b/aux/variant", false),
            ("sources/list", "landmarks/list", false),
            ("sources/list", "sources/list-1", true),
        ];
        for (own, earlier, is_right) in rows {
            let now = read(&format!("entries/{own}.md")).expect("it is an address");
            assert_eq!(wrong_earlier(&now, own, earlier).is_none(), is_right, "{earlier} of {own}");
        }
    }

    #[test]
    fn a_missing_parent_is_blamed_once_and_takes_all_below_out() {
        let paths = ["entries/makers/a/maker.md", "entries/makers/a/b/c/d.md", "entries/makers/a/b/c/e.md"];
        let files = paths.map(|path| SourceFile::new(FilePath::new(path), String::new()));
        let found = orphans(&Sources::new(files.to_vec()));
        let blamed: Vec<_> = found.blamed.into_values().flatten().collect();
        assert_eq!(blamed, ["entries/makers/a/b/model.md", "entries/makers/a/b/c/variant.md"]);
        assert_eq!(found.files.len(), 2);
    }
}

//! Chooses the path of a new entry: a name that no file of its folder has, and the variant that a
//! folder represents today.
//!
//! It never returns the name of an existing file.

use std::collections::{BTreeMap, BTreeSet};

use crate::record::id::VariantId;
use crate::resolve::Catalog;
use crate::source::Sources;

/// The folder of garments whose variant is not known.
pub const UNPLACED: &str = "entries/unplaced";

/// The longest name that is made of a date or a person, in letters.
const LONGEST: usize = 40;

/// A photograph that lies beside entries, that none of them names, and that has the bytes of one that a draft brings.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Left {
    /// The file of the draft.
    pub draft: String,
    /// Where the photograph is.
    pub path: String,
}

/// The names that are taken, by folder.
#[derive(Clone, Debug, Default)]
pub struct Names {
    taken: BTreeMap<String, BTreeSet<String>>,
    /// For a folder and a wish, the number to try next: a thousand like wishes are a thousand steps.
    next: BTreeMap<(String, String), usize>,
    left: BTreeSet<Left>,
}

impl Names {
    /// Takes the names of all files of a knowledge base, photographs too.
    pub fn of(sources: &Sources) -> Names {
        let mut names = Names::default();
        let files = sources.iter().map(|(_, file)| file.path());
        for path in files.chain(sources.attachments().iter().map(|attachment| &attachment.path)) {
            names.taken.entry(path.folder().to_string()).or_default().insert(path.stem().to_string());
        }
        names
    }

    /// The same, with what an interrupted import left.
    pub fn with_left(mut self, left: &BTreeSet<Left>) -> Names {
        self.left = left.clone();
        self
    }

    /// Takes a photograph that an interrupted import left of a draft, and says whether there was one; only one draft gets it.
    pub fn take_left(&mut self, draft: &str, path: &str) -> bool {
        let is_left = self.left.contains(&Left { draft: draft.to_string(), path: path.to_string() });
        if is_left {
            self.left.retain(|left| left.path != path);
        }
        is_left
    }

    /// Gives a free name and takes it: the wish itself, else with a number before its ending.
    pub fn take(&mut self, folder: &str, wish: &str) -> String {
        let taken = self.taken.entry(folder.to_string()).or_default();
        let (stem, ending) =
            wish.rsplit_once('.').map_or((wish, String::new()), |(stem, end)| (stem, format!(".{end}")));
        let next = self.next.entry((folder.to_string(), wish.to_string())).or_insert(1);
        loop {
            let name = if *next == 1 { wish.to_string() } else { format!("{stem}-{next}{ending}") };
            *next += 1;
            if taken.insert(name.clone()) {
                return name;
            }
        }
    }
}

/// Letters, digits and single hyphens, as names of files and finds are written.
///
/// ```
/// assert_eq!(bartack::import::name::slug("Östra, barn 3!"), "ostra-barn-3");
/// ```
pub fn slug(text: &str) -> String {
    let mut slug = String::new();
    for letter in text.chars().flat_map(char::to_lowercase).map(without_accent) {
        if letter.is_ascii_alphanumeric() {
            slug.push(letter);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
        if slug.len() == LONGEST {
            break;
        }
    }
    slug.trim_end_matches('-').to_string()
}

/// Letters of western Europe without their marks; others count as none.
fn without_accent(letter: char) -> char {
    const MARKED: [(&str, char); 8] = [
        ("àáâãäåæ", 'a'),
        ("èéêë", 'e'),
        ("ìíîï", 'i'),
        ("òóôõöøœ", 'o'),
        ("ùúûü", 'u'),
        ("ýÿ", 'y'),
        ("ñ", 'n'),
        ("ç", 'c'),
    ];
    MARKED.iter().find(|(letters, _)| letters.contains(letter)).map_or(letter, |(_, plain)| *plain)
}

/// The name that a date and an observer make, as the site does.
pub fn wish(made: Option<&str>, observer: Option<&str>) -> String {
    let when = made.map(slug).filter(|when| !when.is_empty()).unwrap_or_else(|| "undated".to_string());
    let who: String = observer.map(slug).unwrap_or_default().chars().take(20).collect();
    format!("{when}-{}", who.trim_end_matches('-')).trim_end_matches('-').to_string()
}

/// A path of an observation, in parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address {
    /// The variant of its folder; `None` for a garment without a known variant.
    pub variant: Option<VariantId>,
    /// The file's name without `.md`.
    pub name: String,
}

/// Reads the path of an observation, or says why it is none.
pub fn address(path: &str) -> Result<Address, String> {
    let says = "an entry of a garment goes to `entries/makers/<maker>/<model>/<variant>/<name>.md` or `entries/unplaced/<name>.md`, in small letters, digits and hyphens";
    let parts: Vec<&str> = path.strip_suffix(".md").unwrap_or_default().split('/').collect();
    let is_name = |part: &&str| {
        let is_plain = part.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-');
        is_plain && !part.is_empty() && !["maker", "model", "variant"].contains(part)
    };
    let (variant, name) = match parts.as_slice() {
        ["entries", "unplaced", name] => (None, name),
        ["entries", "makers", maker, model, variant, name] if [maker, model, variant].into_iter().all(is_name) => {
            (Some(VariantId::new(format!("{maker}/{model}/{variant}"))), name)
        }
        _ => return Err(says.to_string()),
    };
    let name = Some(name).filter(|name| is_name(name)).ok_or(says)?;
    Ok(Address { variant, name: (*name).to_string() })
}

/// The variant that an id means today, also under an earlier address of its own, its model or its maker.
pub fn today(catalog: &Catalog, id: &str) -> Option<VariantId> {
    let known = |id: &str| catalog.variants.get_key_value(id).map(|(id, _)| id.clone());
    let [maker, model, variant] = id.split('/').collect::<Vec<_>>()[..] else { return None };
    let moved = |address: String, end: &str| {
        let now = catalog.moved.get(&address)?.strip_prefix("makers/")?;
        Some(now.strip_suffix(end)?.to_string())
    };
    known(id)
        .or_else(|| known(&moved(format!("makers/{id}/variant"), "/variant")?))
        .or_else(|| known(&format!("{}/{variant}", moved(format!("makers/{maker}/{model}/model"), "/model")?)))
        .or_else(|| known(&format!("{}/{model}/{variant}", moved(format!("makers/{maker}/maker"), "/maker")?)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Names, address, slug, today, wish};
    use crate::compile::example;
    use crate::source::{FilePath, SourceFile, Sources};

    #[test]
    fn names_are_never_taken_twice() {
        let file = SourceFile::new(FilePath::new("entries/unplaced/a.md"), String::new());
        let mut names = Names::of(&Sources::new(vec![file]));
        let taken: Vec<String> =
            ["a", "a", "a-2", "b", "p.jpg", "p.jpg"].map(|wish| names.take("entries/unplaced", wish)).into();
        assert_eq!(taken, ["a-2", "a-3", "a-2-2", "b", "p.jpg", "p-2.jpg"]);
    }

    #[test]
    fn names_are_made_of_a_date_and_a_person() {
        assert_eq!(wish(Some("1976/1979"), Some("Wren T.")), "1976-1979-wren-t");
        assert_eq!((wish(None, None), wish(Some("197X~"), None)), ("undated".to_string(), "197x".to_string()));
        assert_eq!(slug(&"long ".repeat(20)).len(), 39);
    }

    #[test]
    fn only_paths_of_observations_are_addresses() {
        assert_eq!(address("entries/unplaced/a.md").unwrap().variant, None);
        assert_eq!(address("entries/makers/a/b/c/d.md").unwrap().variant.unwrap().as_str(), "a/b/c");
        for bad in [
            "entries/../a.md",
            "/etc/a.md",
            "entries/makers/a/b/c/variant.md",
            "entries/makers/a/b/../d.md",
            "a.md",
            "",
        ] {
            assert!(address(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn earlier_addresses_of_variant_model_and_maker_are_followed() {
        let text = "--- entries/makers/a/b/c/d.md\n+++\nbasis = \"specimen\"\n+++\n\
            --- entries/makers/a/b/c/variant.md\n+++\nname = \"C\"\nline = \"best\"\nwearer = \"men\"\nformerly = [\"makers/a/b/old/variant\"]\n+++\n\
            --- entries/makers/a/b/model.md\n+++\nname = \"B\"\ngarment = \"trousers\"\nformerly = [\"makers/a/was/model\"]\n+++\n";
        let catalog = example::compile(text).knowledge.catalog;
        for id in ["a/b/c", "a/b/old", "a/was/c"] {
            assert_eq!(today(&catalog, id).unwrap().as_str(), "a/b/c", "{id}");
        }
        assert_eq!((today(&catalog, "a/b/x"), today(&catalog, "a/b")), (None, None));
    }
}

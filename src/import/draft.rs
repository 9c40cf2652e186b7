//! A draft, as the site's page for recording a garment writes it, to an entry with a free name.
//!
//! The draft says where it goes; where its variant has another address by now, it goes there. Photographs that would
//! take a name of others get a number, and the draft's line about them follows.

use crate::diagnostic::wording;
use crate::import::duplicate::Recorded;
use crate::import::name::{self, Address, Names, UNPLACED};
use crate::import::toml_string::quoted;
use crate::import::{Candidate, Gathered, LARGEST_ENTRY, Origin, Taken, Trouble};
use crate::parse;
use crate::record::id::VariantId;
use crate::resolve::Catalog;
use crate::source::{FileId, FilePath, SourceFile, Span};

/// How the line begins that says where a draft goes.
const GOES_TO: &str = "# goes to:";

/// A draft that was brought.
pub struct Draft<'d> {
    /// The name of its file.
    pub file: &'d str,
    /// Its content.
    pub text: &'d str,
}

/// Reads one draft into what was gathered.
pub fn read(catalog: &Catalog, draft: &Draft<'_>, names: &mut Names, recorded: &mut Recorded, gathered: &mut Gathered) {
    let Draft { file, text } = *draft;
    let origin = Origin::File(file.to_string());
    let found = addressed(text).and_then(|(address, text)| Ok((folder(catalog, &address)?, address, text)));
    let (folder, address, text) = match found {
        Ok(found) => found,
        Err(message) => return gathered.troubles.push(Trouble::new(origin, None, message)),
    };
    if let Some(path) = recorded.take(&folder, &text) {
        return gathered.recorded.push((origin, path));
    }
    let name = names.take(&folder, &address.name);
    let mut candidate = Candidate::new(origin, format!("{folder}/{name}.md"), text);
    if name != address.name {
        candidate.remarks.push(format!("the entry `{}` already exists, so this one gets a number", address.name));
    }
    let now = folder.strip_prefix("entries/makers/");
    if let (Some(then), Some(now)) =
        (&address.variant, now.filter(|now| address.variant.as_ref().is_none_or(|then| then.as_str() != *now)))
    {
        candidate.remarks.push(format!("the variant `{then}` is now `{now}`"));
    }
    photographs(&mut candidate, file, &folder, names);
    gathered.candidates.push(candidate);
}

/// Splits the address from a draft, whose other lines stay as they are.
fn addressed(text: &str) -> Result<(Address, String), String> {
    let text = text.trim_start_matches('\u{feff}').trim_start().replace("\r\n", "\n");
    if text.len() > LARGEST_ENTRY {
        return Err("is larger than 1 MiB, the limit for an entry".to_string());
    }
    let lost = || {
        format!(
            "does not say where it goes; the page writes `{GOES_TO} entries/…/<name>.md` right below the first `+++`"
        )
    };
    let (fence, rest) = text.split_once('\n').ok_or_else(lost)?;
    let (line, rest) = rest.split_once('\n').ok_or_else(lost)?;
    let path = line.trim().strip_prefix(GOES_TO).filter(|_| fence.trim_end() == "+++").ok_or_else(lost)?;
    let address = name::address(path.trim());
    let address = address.map_err(|says| format!("goes to {}, but {says}", wording::quote(path.trim())))?;
    Ok((address, format!("{fence}\n{rest}")))
}

fn folder(catalog: &Catalog, address: &Address) -> Result<String, String> {
    let Some(id) = &address.variant else { return Ok(UNPLACED.to_string()) };
    if let Some(now) = name::today(catalog, id.as_str()) {
        return Ok(format!("entries/makers/{now}"));
    }
    let known: Vec<&str> = catalog.variants.keys().map(VariantId::as_str).collect();
    let near = match wording::nearest(id.as_str(), &known, 2).as_slice() {
        [] => String::new(),
        near => format!(" Near it: {}.", wording::join_quoted(near, "and")),
    };
    Err(format!(
        "is of the variant `{id}`, which is not recorded, not even under an earlier name.{near} Write the right folder, \
         or `{UNPLACED}`, in its line `{GOES_TO}`"
    ))
}

/// Says that a photograph is there already.
pub fn left_there(name: &str) -> String {
    let shown = wording::quote(name);
    format!(
        "the photograph {shown} is there already, byte for byte, and no entry names it; an interrupted import left it, and it is used"
    )
}

/// Gives each photograph that the draft names a free name, unless an interrupted import has put it there already.
fn photographs(candidate: &mut Candidate, draft: &str, folder: &str, names: &mut Names) {
    let file = SourceFile::new(FilePath::new(candidate.path.as_str()), candidate.text.clone());
    let front = parse::record(FileId(0), &file).value.front;
    let mut renamed: Vec<(Span, String)> = Vec::new();
    for name in front.tables("photos").filter_map(|photograph| photograph.text("file")) {
        let is_plain = !name.value.starts_with('.') && !name.value.contains(['/', '\\', ':']) && !name.value.is_empty();
        if !is_plain || candidate.photographs.iter().any(|other| other.from == name.value) {
            continue;
        }
        let is_there = names.take_left(draft, &format!("{folder}/{}", name.value));
        let to = if is_there { name.value.clone() } else { names.take(folder, &name.value) };
        if is_there {
            candidate.remarks.push(left_there(&to));
        }
        if to != name.value {
            candidate.remarks.push(format!(
                "the photograph {} already exists, so this one becomes `{to}`",
                wording::quote(&name.value)
            ));
            renamed.push((name.span, quoted(&to)));
        }
        candidate.photographs.push(Taken { from: name.value, to, is_there });
    }
    // From the end, so that the places before stay where they are.
    renamed.sort_by_key(|(span, _)| std::cmp::Reverse(span.start()));
    for (span, name) in renamed {
        candidate.text.replace_range(span.start()..span.end(), &name);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Draft, read};
    use crate::compile::example;
    use crate::import::Gathered;
    use crate::import::duplicate::Recorded;
    use crate::import::name::Names;

    const WORLD: &str = "--- entries/makers/a/b/c/d.md\n+++\nbasis = \"specimen\"\n+++\n--- entries/makers/a/b/c/hem.jpg (3 x 2)\n\
        --- entries/makers/a/b/c/variant.md\n+++\nname = \"C\"\nline = \"best\"\nwearer = \"men\"\nformerly = [\"makers/a/b/old/variant\"]\n+++\n";

    fn gathered(drafts: &[&str]) -> Gathered {
        let catalog = example::compile(WORLD).knowledge.catalog;
        let (mut names, mut recorded) = (Names::of(&catalog.sources), Recorded::of(&catalog.sources));
        let mut gathered = Gathered::default();
        for draft in drafts {
            read(&catalog, &Draft { file: "x.md", text: draft }, &mut names, &mut recorded, &mut gathered);
        }
        gathered
    }

    #[test]
    fn a_draft_goes_where_it_says_and_takes_no_name_of_others() {
        let draft =
            "+++\r\n# goes to: entries/makers/a/b/old/d.md\r\nphotos = [{ file = \"hem.jpg\" }]\r\n+++\r\nSeen.\r\n";
        let found = gathered(&[draft]);
        let candidate = &found.candidates[0];
        assert_eq!(candidate.path, "entries/makers/a/b/c/d-2.md");
        assert_eq!(candidate.text, "+++\nphotos = [{ file = \"hem-2.jpg\" }]\n+++\nSeen.\n");
        assert_eq!(
            (candidate.photographs[0].from.as_str(), candidate.photographs[0].to.as_str()),
            ("hem.jpg", "hem-2.jpg")
        );
        assert_eq!(candidate.remarks.len(), 3, "{:?}", candidate.remarks);
    }

    #[test]
    fn what_is_recorded_word_for_word_is_not_written_again() {
        let found = gathered(&["+++\n# goes to: entries/makers/a/b/c/d.md\nbasis = \"specimen\"\n+++\n"]);
        assert_eq!((found.candidates.len(), found.recorded[0].1.as_str()), (0, "entries/makers/a/b/c/d.md"));
    }

    #[test]
    fn a_draft_that_leads_nowhere_is_told_so() {
        for (draft, said) in [
            ("+++\nbasis = \"specimen\"\n+++\n", "does not say where it goes"),
            ("+++\n# goes to: entries/../../x.md\n+++\n", "small letters, digits and hyphens"),
            ("+++\n# goes to: entries/makers/a/b/cc/x.md\n+++\n", "Near it: `a/b/c`"),
            ("", "does not say where it goes"),
        ] {
            let found = gathered(&[draft]);
            assert!(found.candidates.is_empty() && found.troubles[0].message.contains(said), "{:?}", found.troubles);
        }
    }
}

//! The outcome for every file, kept for the next run on almost the same files: unchanged files are
//! not read again.

use crate::source::{FileId, SourceFile, Sources};
use crate::validate::{ABOUT, Outcome};

/// The outcomes of one run.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    sources: Sources,
    outcomes: Vec<(FileId, Outcome)>,
}

impl Kept {
    /// Keeps what became of each entry, in the order of the sources.
    pub fn new(sources: &Sources, outcomes: Vec<(FileId, Outcome)>) -> Kept {
        Kept { sources: sources.clone(), outcomes }
    }

    /// Says whether other sources differ in nothing but the texts of entries, so that each can be looked up by itself.
    ///
    /// The settings and everything in `schema/` bear on all entries, and so do the names of all files.
    pub fn is_alike(&self, sources: &Sources) -> bool {
        let bears_on_all = |path: &str| path == ABOUT || !path.starts_with("entries/");
        let is_alike = |(one, other): (&SourceFile, &SourceFile)| {
            one.path() == other.path() && (one.text() == other.text() || !bears_on_all(one.path().as_str()))
        };
        let (own, others) = (self.sources.iter(), sources.iter());
        self.sources.len() == sources.len()
            && self.sources.attachments() == sources.attachments()
            && own.zip(others).all(|((_, one), (_, other))| is_alike((one, other)))
    }

    /// The outcome of a file, if its text has not changed.
    pub fn outcome(&self, id: FileId, file: &SourceFile) -> Option<Outcome> {
        let at = self.outcomes.binary_search_by_key(&id, |(known, _)| *known).ok()?;
        (self.sources.file(id).text() == file.text()).then(|| self.outcomes[at].1.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::Kept;
    use crate::source::{FilePath, SourceFile, Sources};
    use crate::validate;

    const ABOUT: &str = "+++\ntitle = \"A\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n+++\n";
    const SOURCE: &str = "+++\ncitation = \"A list\"\nkind = \"catalogue\"\ndate = \"1950~\"\n+++\n";

    fn sources(files: &[(&str, &str)]) -> Sources {
        let file = |(path, text): &(&str, &str)| SourceFile::new(FilePath::new(*path), text.to_string());
        Sources::new(files.iter().map(file).collect())
    }

    /// A run after a change gives the same result as a fresh run.
    fn hold(first: &[(&str, &str)], second: &[(&str, &str)]) {
        let (mut kept, second) = (Kept::default(), sources(second));
        validate::again(&sources(first), &mut kept, &|| {});
        let (found, expected) = (validate::again(&second, &mut kept, &|| {}), validate::all(&second, &|| {}));
        assert_eq!(format!("{found:?}"), format!("{expected:?}"));
    }

    #[test]
    fn what_is_taken_over_is_what_would_be_read() {
        let whole = [("entries/about.md", ABOUT), ("entries/sources/a.md", SOURCE), ("entries/sources/b.md", SOURCE)];
        let broken = SOURCE.replace("date", "dat");
        let circa = ABOUT.replace("language", "circa-years = 9\nlanguage");
        hold(&whole, &whole);
        hold(&whole, &[whole[0], ("entries/sources/a.md", &broken), whole[2]]);
        hold(&[whole[0], ("entries/sources/a.md", &broken), whole[2]], &whole);
        hold(&whole, &[("entries/about.md", &circa), whole[1], whole[2]]);
        hold(&whole, &whole[..2]);
        hold(&whole[..2], &whole);
        hold(&[whole[0], whole[2]], &whole);
    }
}

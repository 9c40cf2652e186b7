//! Photographs that cannot be published, and pictures that no entry names.
//!
//! It turns faults about pictures into diagnostics and finds missing and unused pictures; it opens none.

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::FaultKind;
use crate::fault::photograph::PhotographFault;
use crate::knowledge::Knowledge;
use crate::photograph::{self, Flaw};
use crate::resolve::Catalog;
use crate::source::{Attachment, Place, Span};

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "photo-problems",
    level: Level::Warning,
    title: "a photograph cannot be published",
    explanation: "\
Photographs are JPEG or PNG files of at most 32 MiB and 100 megapixels, in the same folder as the entry that names them. A file that is missing, too large, cut short or not a picture is left out, so readers of the site do not see what the entry describes. A picture that no entry names is not published, because nobody says what it shows or under which licence. A text whose name does not end in `.md` may look like an entry but is not read; it is reported here too.

Put the file in the folder of the entry, save it smaller, or name it in `photos`. The metadata of photographs is never published.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[[photos]]
file = \"hem.jpg\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
[[photos]]
file = \"hem.jpg\"
+++
--- entries/makers/hollin/no-4/no-4-best/hem.jpg (1200 x 800)
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    let catalog = &knowledge.catalog;
    let named = knowledge.faults.iter().filter_map(|fault| match &fault.kind {
        FaultKind::Photograph(kind) => Some((fault.place, kind.clone())),
        _ => None,
    });
    let lying: BTreeMap<&str, &Attachment> =
        catalog.sources.attachments().iter().map(|attachment| (attachment.path.as_str(), attachment)).collect();
    let small: BTreeMap<String, &str> = lying.keys().map(|path| (path.to_lowercase(), *path)).collect();
    let mut problems: Vec<(Place, PhotographFault)> = named.collect();
    let told: BTreeSet<Place> = problems.iter().map(|(place, _)| *place).collect();
    let mut used = BTreeSet::new();
    for record in &catalog.records {
        let photographs = record.content.observation().into_iter().flat_map(|observation| &observation.photographs);
        for photograph in photographs {
            let path = format!("{}/{}", record.path.folder(), photograph.file.value);
            let problem = match lying.get(path.as_str()) {
                Some(attachment) => problem(&photograph.file.value, attachment),
                None => Some(missing(&photograph.file.value, record.path.folder(), &small)),
            };
            if let Some(PhotographFault::Missing { near: Some(near), .. }) = &problem {
                used.insert(format!("{}/{near}", record.path.folder()));
            }
            used.insert(path);
            let place = Place { file: record.file, span: photograph.file.span };
            problems.extend(problem.filter(|_| !told.contains(&place)).map(|problem| (place, problem)));
        }
    }
    let unread = folders_with_faults(knowledge);
    let unused = lying
        .values()
        .filter(|attachment| !used.contains(attachment.path.as_str()) && !unread.contains(attachment.path.folder()));
    problems.extend(unused.filter_map(|attachment| unnamed(catalog, attachment)));
    problems.into_iter().map(|(place, kind)| word(place, &kind)).collect()
}

/// Folders with an entry that may name a photograph but could not be read.
fn folders_with_faults(knowledge: &Knowledge) -> BTreeSet<&str> {
    let files = knowledge.faults.iter().map(|fault| knowledge.catalog.sources.file(fault.place.file));
    files.map(|file| file.path().folder()).collect()
}

/// A photograph that is not there, and the one that is there by the same name in other capitals.
fn missing(file: &str, folder: &str, small: &BTreeMap<String, &str>) -> PhotographFault {
    let beside = format!("{folder}/");
    let near = small.get(&format!("{beside}{file}").to_lowercase()).and_then(|path| path.strip_prefix(&beside));
    PhotographFault::Missing { file: file.to_string(), near: near.map(str::to_string) }
}

fn problem(file: &str, attachment: &Attachment) -> Option<PhotographFault> {
    let file = file.to_string();
    if attachment.bytes > photograph::MOST_BYTES {
        return Some(PhotographFault::TooLarge { file, limit: "expected at most 32 MiB".to_string() });
    }
    match attachment.picture {
        Err(Flaw::NotAPicture) => Some(PhotographFault::NotAPicture { file }),
        Err(Flaw::CutShort) => Some(PhotographFault::CutShort { file }),
        Ok(facts) => facts.excess().map(|limit| PhotographFault::TooLarge { file, limit: limit.to_string() }),
    }
}

/// A file that no entry names, reported at a record of its folder: preferably the one that the folder belongs to.
fn unnamed(catalog: &Catalog, attachment: &Attachment) -> Option<(Place, PhotographFault)> {
    let (folder, path) = (attachment.path.folder(), attachment.path.as_str());
    let file = path.rsplit('/').next().unwrap_or(path).to_string();
    if !path.starts_with("entries/") || file.starts_with('.') {
        return None;
    }
    let beside = || catalog.records.iter().filter(|record| record.path.folder() == folder);
    let heads = ["variant", "model", "maker"];
    let head = beside().find(|record| heads.contains(&record.path.stem())).or_else(|| beside().next());
    let at = head.map(|record| record.file).or_else(|| catalog.sources.find("entries/about.md"))?;
    Some((Place { file: at, span: Span::default() }, PhotographFault::Unused { file }))
}

/// Words a fault about a photograph.
pub fn word(place: Place, kind: &PhotographFault) -> Diagnostic {
    let quote = wording::quote;
    let (message, help) = match kind {
        PhotographFault::Missing { file, near: Some(near) } => {
            let (file, near) = (quote(file), quote(near));
            let message = format!("there is no file {file} in the folder of this entry; there it is called {near}");
            return LINT.at(place, message).help(format!("write {near}"));
        }
        PhotographFault::Missing { file, near: None } => (
            format!("there is no file {} in the folder of this entry", quote(file)),
            "put the photograph in the folder of the entry, or correct the name",
        ),
        PhotographFault::BadName { file } => (
            format!("{} is not a file name that works on every system", quote(file)),
            "write only the name, such as `barn-find-front.jpg`",
        ),
        PhotographFault::TooLarge { file, limit } => {
            (format!("the photograph {} is too large, {limit}", quote(file)), "save a smaller copy")
        }
        PhotographFault::NotAPicture { file } => {
            (format!("{} is not a JPEG or PNG picture that can be read", quote(file)), "save it again as JPEG or PNG")
        }
        PhotographFault::CutShort { file } => {
            (format!("the picture {} is cut short: its end is missing", quote(file)), "copy the whole file again")
        }
        PhotographFault::Unmade { file, problem } => (
            format!(
                "the picture {} cannot be read, so its entry is published without it: {}",
                quote(file),
                quote(problem)
            ),
            "save it again as JPEG or PNG",
        ),
        PhotographFault::Unused { file } => return unused(place, file),
    };
    LINT.at(place, message).help(help)
}

fn unused(place: Place, file: &str) -> Diagnostic {
    let quoted = wording::quote(file);
    match entry_name(file) {
        Some(name) => LINT
            .at(place, format!("{quoted} looks like an entry, but is not read: its name does not end in `.md`"))
            .help(format!("rename it to {}", wording::quote(&name))),
        None => LINT
            .at(place, format!("no entry names the file {quoted} in this folder"))
            .help("name it in `photos` of an entry in its folder, or delete it"),
    }
}

/// The name that a text would have as an entry; nothing for a file of another kind.
fn entry_name(file: &str) -> Option<String> {
    let (stem, ending) = file.rsplit_once('.')?;
    let stem = stem.strip_suffix(".md").unwrap_or(stem);
    let is_text = ["txt", "text", "markdown", "mdown", "mkd", "mdx", "md"].contains(&ending.to_lowercase().as_str());
    is_text.then(|| format!("{stem}.md"))
}

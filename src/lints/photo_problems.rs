//! Photographs that cannot be published, and pictures that no entry names.
//!
//! Words the faults about pictures; opens none.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::fault::{Fault, FaultKind, PhotographFault};
use crate::reason::Knowledge;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "photo-problems",
    level: Level::Warning,
    title: "a photograph cannot be published",
    explanation: "\
Photographs lie beside the entry that names them and are JPEG or PNG files of at most 32 MiB and 100 megapixels. One that is missing, too large or no picture is left out, and the reader of the site does not see what the entry describes. A picture that no entry names is not published, because nobody says what it shows or under which licence.

Put the file beside the entry, save it smaller, or name it in `photos`. The metadata of photographs is never published.",
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
    knowledge.faults.iter().filter_map(word).collect()
}

fn word(fault: &Fault) -> Option<Diagnostic> {
    let FaultKind::Photograph(kind) = &fault.kind else { return None };
    let quote = wording::quote;
    let (message, help) = match kind {
        PhotographFault::Missing { file } => (
            format!("there is no file {} beside this entry", quote(file)),
            "put the photograph beside the entry, or correct the name",
        ),
        PhotographFault::BadName { file } => (
            format!("{} is not the name of a file beside this entry", quote(file)),
            "write the name alone, in small letters, digits and `-`, ending in `.jpg` or `.png`",
        ),
        PhotographFault::TooLarge { file, limit } => {
            (format!("the photograph {} is too large: {limit}", quote(file)), "save a smaller copy")
        }
        PhotographFault::NotAPicture { file } => {
            (format!("{} is not a JPEG or PNG picture that can be read", quote(file)), "save it again as JPEG or PNG")
        }
        PhotographFault::Unused { file } => (
            format!("no entry names the picture {}", quote(file)),
            "name it in `photos` of an entry in its folder, or delete it",
        ),
    };
    Some(LINT.at(fault.place, message).help(help))
}

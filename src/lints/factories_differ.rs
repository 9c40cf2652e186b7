//! Garments that several entries place in different factories.

use crate::diagnostic::{Check, Diagnostic, Level, Lint, wording};
use crate::knowledge::Knowledge;
use crate::record::Record;
use crate::record::observation::Observation;
use crate::resolve::{Catalog, Garment};
use crate::source::Place;

/// The descriptor.
pub static LINT: Lint = Lint {
    code: "factories-differ",
    level: Level::Warning,
    title: "two entries of one garment name different factories",
    explanation: "\
Entries joined by `same-as` describe one garment, which was sewn in one factory. The factory explains many differences between garments, so a wrong one misleads comparisons. If two entries differ, the factory of the garment counts as unknown.

Look again at the mark that names the factory, and correct or remove one of them.",
    wrong: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
factory = \"east-shed\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find-again.md
+++
basis = \"specimen\"
same-as = \"barn-find\"
factory = \"quay\"
+++
",
    right: "\
--- entries/makers/hollin/no-4/no-4-best/barn-find.md
+++
basis = \"specimen\"
factory = \"east-shed\"
+++
--- entries/makers/hollin/no-4/no-4-best/barn-find-again.md
+++
basis = \"specimen\"
same-as = \"barn-find\"
factory = \"east-shed\"
+++
",
    check: Check::Knowledge(check),
};

fn check(knowledge: &Knowledge) -> Vec<Diagnostic> {
    knowledge.catalog.garments.iter().filter_map(|garment| of_garment(&knowledge.catalog, garment)).collect()
}

fn of_garment(catalog: &Catalog, garment: &Garment) -> Option<Diagnostic> {
    let named: Vec<(Place, &str)> =
        garment.observations.iter().filter_map(|index| factory(catalog.record(*index))).collect();
    let (first, rest) = named.split_first()?;
    let other = rest.iter().find(|(_, factory)| *factory != first.1)?;
    let says = |factory: &str| format!("this entry says {}", wording::quote(factory));
    let message = format!("one garment has the factories {} and {}", wording::quote(first.1), wording::quote(other.1));
    let diagnostic = LINT.at(other.0, message).saying(says(other.1)).label(first.0, says(first.1));
    Some(diagnostic.help("look again at the mark and correct or remove one `factory`; until then it counts as unknown"))
}

fn factory(record: &Record) -> Option<(Place, &str)> {
    let observation: &Observation = record.content.observation()?;
    let place = Place { file: record.file, span: observation.basis.span };
    Some((place, observation.factory.as_deref()?))
}

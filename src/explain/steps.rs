//! The order of looks that tells a model's variants apart, in sentences: the same in print and on the page for a phone.

use crate::comparison::steps::{ModelSteps, Steps, Tried};
use crate::resolve::Catalog;

/// Says what the looks tell apart, or that nothing recorded does.
pub fn lead(steps: &Steps) -> String {
    if steps.steps.is_empty() {
        return "Nothing recorded tells these variants apart well enough to suggest where to look first.".to_string();
    }
    format!("Which of {} variants it is, in the fewest looks.", steps.variants.len())
}

/// The remarks on an order that apply: how often it is right, the features it does not ask for, and
/// the variants, by these names, with too few garments.
pub fn notes(catalog: &Catalog, steps: &ModelSteps, too_few: &[String]) -> Vec<String> {
    let ModelSteps { found, followed } = steps;
    let name = |id: &str| catalog.vocabulary.feature(id).map_or_else(|| id.to_string(), |found| found.name.clone());
    let followed: Vec<String> =
        followed.iter().map(|(feature, other)| format!("{} ({})", name(feature.as_str()), name(other))).collect();
    let notes = [
        (!found.steps.is_empty()).then(|| tried(found.tried)),
        (!followed.is_empty()).then(|| {
            let list = followed.join("; ");
            format!("Not asked, because the difference may come from something that any garment can have: {list}.")
        }),
        (!too_few.is_empty()).then(|| format!("Too few garments are recorded of {}.", too_few.join("; "))),
    ];
    notes.into_iter().flatten().collect()
}

fn tried(Tried { right, wrong, open }: Tried) -> String {
    format!(
        "“5 of 6” means that 6 recorded garments reach this end and 5 of them are of the variant named. Tested on \
         garments left out while the steps were made, {right} of {} reached their own variant, {wrong} another and \
         {open} none. An answer that leads nowhere was seen too seldom. The steps leave out signs that define a line \
         and parts that are often replaced: labels get moved, and parts get changed.",
        right + wrong + open
    )
}

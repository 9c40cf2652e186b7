//! The verdict on a feature of two groups: that of two variants, corrected by what the models say.

use crate::comparison::lines::group::Shared;
use crate::comparison::lines::models::{self, Models};
use crate::comparison::lines::{Compared, LineFeature};
use crate::comparison::{MODELS_FOR_A_TELL, Verdict};
use crate::resolve::Catalog;

/// Where another feature differs by model, a tell needs as many models that agree.
const MODELS_AMONG_CONTRADICTIONS: usize = 3;

/// Gives the verdict over the models, from the verdict that two variants with these numbers would get.
pub fn by_model(catalog: &Catalog, shared: &Shared<'_>, compared: Compared) -> LineFeature {
    let models = models::of(shared, &compared.crude);
    let verdict = ladder(catalog, shared, &compared, &models);
    let settings = shared.settings.iter().map(|shared| shared.setting.name()).collect();
    LineFeature { compared: Compared { verdict, ..compared }, settings, models, typical: shared.typical() }
}

/// The first verdict that fits, in the order of the contract.
fn ladder(catalog: &Catalog, shared: &Shared<'_>, compared: &Compared, models: &Models) -> Verdict {
    let crude = &compared.crude;
    match &compared.verdict {
        Verdict::ByDefinition | Verdict::TooFew => compared.verdict.clone(),
        _ if models::contradict(catalog, shared, crude, models) => Verdict::DiffersByModel,
        Verdict::Tell | Verdict::Leaning if models.against() > 0 && models.agreeing() > 0 => Verdict::DiffersByModel,
        Verdict::Tell => {
            let is_borne_out = models.agreeing() >= MODELS_FOR_A_TELL
                && models.against() == 0
                && models::holds_without_any(shared, crude, models);
            if is_borne_out { Verdict::Tell } else { Verdict::Leaning }
        }
        verdict => verdict.clone(),
    }
}

/// If models contradict one another in any feature, withdraws a tell that fewer than three models agree on.
pub fn soften(features: &mut [LineFeature]) {
    if !features.iter().any(|found| found.compared.verdict == Verdict::DiffersByModel) {
        return;
    }
    for found in features.iter_mut() {
        if found.compared.verdict == Verdict::Tell && found.models.agreeing() < MODELS_AMONG_CONTRADICTIONS {
            found.compared.verdict = Verdict::Leaning;
        }
    }
}

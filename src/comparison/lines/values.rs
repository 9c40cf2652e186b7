//! The covariates that could explain the difference of two groups, held equal within each setting.

use crate::comparison::crude::Crude;
use crate::comparison::lines::group::{Counted, SharedSetting};
use crate::comparison::strata::{self, Covariate, Placed, Sides};
use crate::resolve::Catalog;
use crate::vocabulary::Feature;

/// Works out every covariate of a feature over some of the shared settings; the strata are setting and value together.
pub fn of(catalog: &Catalog, feature: &Feature, settings: &[&SharedSetting<'_>], crude: &Crude) -> Vec<Covariate> {
    let names: Vec<String> = settings.iter().map(|shared| shared.setting.name()).collect();
    let (mut a, mut b) = (Vec::new(), Vec::new());
    for (shared, name) in settings.iter().zip(&names) {
        a.extend(placed(&shared.a, name));
        b.extend(placed(&shared.b, name));
    }
    strata::of_sides(catalog, &Sides { feature, a, b, crude })
}

fn placed<'a>(counted: &'a [Counted<'a>], setting: &'a str) -> impl Iterator<Item = Placed<'a>> {
    counted.iter().map(move |counted| Placed { evidence: counted.evidence, item: counted.item, setting })
}

//! How keys weigh the years: years that no reading of a code allows are less likely.
//!
//! Codes are read only if the maker is known; otherwise the answer asks the reader about the keys
//! that could read them.

use crate::dating::answer::CodeRead;
use crate::dating::answer::garment::Known;
use crate::dating::answer::prepared::Prepared;
use crate::dating::likelihood::years::{self, Years};
use crate::evidence::key::{self, CodeSeen};
use crate::evidence::landmark::Values;
use crate::record::observation::Value;

/// The codes of a garment, read.
pub struct Codes {
    /// The reading of each key, by feature and key.
    pub read: Vec<CodeRead>,
    /// The factor that the codes give each year; `None` if no code is used.
    pub factors: Option<Box<Years>>,
}

impl Codes {
    /// Reads every code among the features.
    pub fn of(prepared: &Prepared<'_>, known: &Known, features: &Values) -> Codes {
        let mut codes = Codes { read: Vec::new(), factors: None };
        if prepared.keys.is_empty() {
            return codes;
        }
        let maker = known.maker_of_all();
        for (feature, value) in features {
            if let Value::Code(code) = value {
                let seen = key::read(&prepared.keys, feature, code, maker.as_ref());
                codes.add(prepared, &seen, maker.is_some());
            }
        }
        codes
    }

    fn add(&mut self, prepared: &Prepared<'_>, seen: &CodeSeen<'_>, is_maker_known: bool) {
        let used = if is_maker_known { seen.used() } else { &[] };
        self.read.extend(seen.reads.iter().map(|read| CodeRead {
            feature: seen.feature.clone(),
            code: seen.code.to_string(),
            key: read.key.id.clone(),
            reading: read.reading.clone(),
            is_used: !used.is_empty(),
        }));
        let Some(first) = used.first() else { return };
        // Keys that read the same are not several reasons: the best source counts.
        let odds = used.iter().map(|read| key::odds(&prepared.knowledge.catalog, read.key)).fold(1.0, f64::max);
        let held = first.reading.years();
        let factors = self.factors.get_or_insert_with(|| Box::new([1.0; years::COUNT]));
        for (factor, year) in factors.iter_mut().zip(years::all()) {
            if !held.contains(&year) {
                *factor /= odds;
            }
        }
    }
}

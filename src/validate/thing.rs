//! The words of `about` and `other` to the thing they name.
//!
//! Whether the thing exists is asked in `resolve`; whether the vocabulary has its feature and state, here.

use crate::fault::{FaultKind, RuleBroken, TermFault};
use crate::record::id::{FeatureId, LineId, MakerId, ModelId, StateId, Thing, VariantId, Whole};
use crate::source::{Span, Spanned};
use crate::validate::address::{RESERVED, is_name};
use crate::validate::reader::{Named, Reader};
use crate::vocabulary::{Feature, Kind};

/// The meaning of short words in a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Scope {
    /// The meaning of `maker`.
    pub(super) maker: Option<MakerId>,
    /// The meaning of `model`.
    pub(super) model: Option<ModelId>,
    /// The meaning of `variant`.
    pub(super) variant: Option<VariantId>,
    /// The subject of claims without `about`, whose features they name.
    pub(super) own: Option<Whole>,
}

impl Scope {
    /// The scope of `maker.md`.
    pub(super) fn of_maker(maker: &MakerId) -> Scope {
        Scope { maker: Some(maker.clone()), own: Some(Whole::Maker(maker.clone())), ..Scope::default() }
    }

    /// The scope of `model.md`.
    pub(super) fn of_model(model: &ModelId) -> Scope {
        let own = Some(Whole::Model(model.clone()));
        Scope { maker: Some(model.maker()), model: Some(model.clone()), variant: None, own }
    }

    /// The scope of `variant.md` and of the files in its folder.
    pub(super) fn of_variant(variant: &VariantId) -> Scope {
        let own = Some(Whole::Variant(variant.clone()));
        Scope { maker: Some(variant.maker()), model: Some(variant.model()), variant: Some(variant.clone()), own }
    }

    fn whole(&self, words: &str) -> Option<Whole> {
        match words {
            "maker" => self.maker.clone().map(Whole::Maker),
            "model" => self.model.clone().map(Whole::Model),
            "variant" => self.variant.clone().map(Whole::Variant),
            _ => match words.strip_prefix("line:") {
                Some(line) if is_name(line) => self.maker.as_ref().map(|maker| Whole::Line(LineId::of(maker, line))),
                _ => far_whole(words),
            },
        }
    }
}

/// Reads a whole of another file: `m`, `m/line:l`, `m/x` or `m/x/v`.
fn far_whole(words: &str) -> Option<Whole> {
    let segments: Vec<&str> = words.split('/').collect();
    let is_free = |name: &&str| is_name(name) && !RESERVED.contains(name);
    match segments.as_slice() {
        [maker, line] if line.starts_with("line:") => {
            let line = line.strip_prefix("line:").filter(|line| is_name(line))?;
            is_free(maker).then(|| Whole::Line(LineId::of(&MakerId::new(*maker), line)))
        }
        segments if !segments.iter().all(is_free) => None,
        [_] => Some(Whole::Maker(MakerId::new(words))),
        [_, _] => Some(Whole::Model(ModelId::new(words))),
        [_, _, _] => Some(Whole::Variant(VariantId::new(words))),
        _ => None,
    }
}

/// Reads the words of `about` or `other`.
pub(super) fn read(reader: &mut Reader<'_>, words: &Spanned<String>, scope: &Scope) -> Option<Spanned<Thing>> {
    let (whole, state) = match (words.value.strip_prefix("feature:"), words.value.split_once("/feature:")) {
        (Some(state), _) => (scope.own.clone(), Some(state)),
        (None, Some((whole, state))) => (scope.whole(whole), Some(state)),
        (None, None) => (scope.whole(&words.value), None),
    };
    let thing = match (whole, state.map(|state| state.split_once('='))) {
        (Some(whole), None) => Thing::of(whole),
        (Some(whole), Some(Some((feature, state)))) if !matches!(whole, Whole::Line(_)) => {
            Thing { whole, state: Some(era_state(reader, feature, state, words.span)?) }
        }
        _ => {
            reader.rule(words.span, RuleBroken::NoSuchScope { found: words.value.clone() });
            return None;
        }
    };
    Some(Spanned::new(thing, words.span))
}

/// Reads a state that has an era: one of a state feature, a count, or `absent` of either.
fn era_state(reader: &mut Reader<'_>, feature: &str, state: &str, span: Span) -> Option<(FeatureId, StateId)> {
    let ids = (FeatureId::new(feature), StateId::new(state));
    let current = |known: &Feature| (known.id.clone(), known.current_state(state));
    match reader.feature(feature, span) {
        Named::Unclear => Some(ids),
        Named::Unknown => None,
        Named::Known(known) if !known.has_states() => {
            let expected = "a feature of kind `state` or `count`; only these have states with an era";
            reader.other(span, format!("`{feature}`"), expected);
            None
        }
        Named::Known(known) if is_state(known, state) => Some(current(known)),
        Named::Known(known) => {
            reader.report(span, FaultKind::Term(unknown_state(known, state)));
            None
        }
    }
}

/// Says whether a feature can be seen in a state, by its present name or an earlier one; `lost` and `other` are not
/// states.
pub(super) fn is_state(feature: &Feature, state: &str) -> bool {
    let current = feature.current_state(state);
    current.as_str() == "absent"
        || match &feature.kind {
            Kind::State { states } => states.contains(&current),
            Kind::Count => is_count(state),
            _ => false,
        }
}

/// Says whether a word is a count as it is written.
pub(super) fn is_count(word: &str) -> bool {
    word.parse::<u32>().is_ok_and(|count| count > 0 && count.to_string() == word)
}

/// The fault of a word that is no state of a feature.
pub(super) fn unknown_state(feature: &Feature, found: &str) -> TermFault {
    let mut allowed: Vec<String> = match &feature.kind {
        Kind::State { states } => states.iter().map(ToString::to_string).collect(),
        Kind::Count => vec!["a whole number from 1 on".to_string()],
        _ => Vec::new(),
    };
    if !allowed.iter().any(|state| state == "absent") {
        allowed.push("absent".to_string());
    }
    TermFault::UnknownState { feature: feature.id.to_string(), found: found.to_string(), allowed }
}

#[cfg(test)]
mod tests {
    use super::Scope;
    use crate::record::id::{MakerId, ModelId, VariantId};

    #[test]
    fn short_words_mean_what_the_file_is_about() {
        let scopes = [
            Scope::of_maker(&MakerId::new("m")),
            Scope::of_model(&ModelId::new("m/x")),
            Scope::of_variant(&VariantId::new("m/x/v")),
            Scope::default(),
        ];
        let rows = [
            ("maker", ["m", "m", "m", "-"]),
            ("model", ["-", "m/x", "m/x", "-"]),
            ("variant", ["-", "-", "m/x/v", "-"]),
            ("line:best", ["m/line:best", "m/line:best", "m/line:best", "-"]),
            ("n", ["n", "n", "n", "n"]),
            ("n/line:l", ["n/line:l", "n/line:l", "n/line:l", "n/line:l"]),
            ("n/y/w", ["n/y/w", "n/y/w", "n/y/w", "n/y/w"]),
            ("n/model", ["-", "-", "-", "-"]),
            ("n/y/w/u", ["-", "-", "-", "-"]),
            ("line:", ["-", "-", "-", "-"]),
            ("n//w", ["-", "-", "-", "-"]),
        ];
        for (words, expected) in rows {
            let found =
                scopes.clone().map(|scope| scope.whole(words).map_or("-".into(), |whole| whole.as_str().to_string()));
            assert_eq!(found, expected, "{words}");
        }
    }
}

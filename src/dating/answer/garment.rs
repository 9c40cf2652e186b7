//! The facts and features of a garment in hand.

use crate::date::Day;
use crate::evidence::landmark::Values;
use crate::record::id::{LineId, MakerId, ModelId, VariantId};
use crate::record::observation::Wearer;

/// A garment in hand.
#[derive(Clone, Debug, Default)]
pub struct Garment {
    /// The facts about it besides its features.
    pub known: Known,
    /// Where it was sold new, ISO 3166-1 alpha-2.
    pub market: Option<String>,
    /// The day on which it was in somebody's hand, after which it was not made; only marks to look for ask for it.
    pub in_hand: Option<Day>,
    /// Its features; only features of the vocabulary.
    pub features: Values,
}

/// Facts about a garment; the variants in question must fit all of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Its maker.
    pub maker: Option<MakerId>,
    /// Its model.
    pub model: Option<ModelId>,
    /// Its label line.
    pub line: Option<LineId>,
    /// Whom it was cut for.
    pub wearer: Option<Wearer>,
    /// Its variant.
    pub variant: Option<VariantId>,
}

impl Known {
    /// Says whether any fact is known.
    pub fn is_anything(&self) -> bool {
        *self != Known::default()
    }

    /// Says whether the maker is known, directly or through the model, line or variant.
    pub fn has_maker(&self) -> bool {
        self.maker_of_all().is_some()
    }

    /// The maker, by itself or through the model, line or variant.
    pub fn maker_of_all(&self) -> Option<MakerId> {
        let through = [
            self.model.as_ref().map(ModelId::maker),
            self.line.as_ref().map(LineId::maker),
            self.variant.as_ref().map(VariantId::maker),
        ];
        self.maker.clone().or_else(|| through.into_iter().flatten().next())
    }
}

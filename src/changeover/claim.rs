//! Claims about a change that the garments show, and where the two contradict each other.

use crate::changeover::{Change, History};
use crate::date::DaySpan;
use crate::knowledge::{Knowledge, Saying, Voice};
use crate::record::id::{StateId, Thing, Whole};

/// A claim about a state that begins or ends with a change.
#[derive(Clone, Debug)]
pub struct Beside<'a> {
    /// The voice.
    pub voice: &'a Voice,
    /// Which end of the state it speaks of.
    pub event: End,
    /// The state.
    pub state: StateId,
    /// The span it states.
    pub span: DaySpan,
    /// Whether it excludes every day of the change's span.
    pub contradicts: bool,
}

/// Which end of a state a claim speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Its beginning.
    Began,
    /// Its end.
    Ended,
}

/// The claims that the later state of a change began, or the earlier one ended, by name.
pub fn beside<'a>(knowledge: &'a Knowledge, history: &History, change: &Change) -> Vec<Beside<'a>> {
    let found = knowledge.voices.iter().filter_map(|voice| {
        let (thing, span, event) = match &voice.says {
            Saying::Began(thing, span) => (thing, *span, End::Began),
            Saying::Ended(thing, span) => (thing, *span, End::Ended),
            _ => return None,
        };
        let (feature, state) = thing.state.as_ref()?;
        let wanted = match event {
            End::Began => &change.after.state,
            End::Ended => &change.before.state,
        };
        let is_own = *feature == history.feature && wanted.as_deref() == Some(state.as_str());
        let contradicts = !span.overlaps(change.span);
        (is_own && speaks_of(knowledge, thing, &history.thing)).then(|| Beside {
            voice,
            event,
            state: state.clone(),
            span,
            contradicts,
        })
    });
    found.collect()
}

/// Says whether a claim about a state of one thing is about another: the same, or one that it contains.
fn speaks_of(knowledge: &Knowledge, claimed: &Thing, thing: &Whole) -> bool {
    let contains = |model: &crate::record::id::ModelId| match &claimed.whole {
        Whole::Maker(maker) => *maker == model.maker(),
        Whole::Model(claimed) => claimed == model,
        _ => false,
    };
    match (thing, &claimed.whole) {
        (Whole::Variant(variant), Whole::Variant(claimed)) => variant == claimed,
        (Whole::Variant(variant), _) => contains(&variant.model()),
        (Whole::Model(model), Whole::Variant(claimed)) => {
            // A model with one variant is that variant.
            let variants = knowledge.catalog.models.get(model).map_or(&[][..], |entry| &entry.variants);
            matches!(variants, [only] if only == claimed)
        }
        (Whole::Model(model), _) => contains(model),
        (Whole::Line(line), Whole::Maker(maker)) => *maker == line.maker(),
        _ => false,
    }
}

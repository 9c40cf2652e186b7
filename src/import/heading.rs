//! A heading of a sheet to what its column holds: a key of an entry, a feature, or a state to tick.
//!
//! Names are compared by their letters and digits alone. Nothing near is ever taken for the thing itself.

use crate::diagnostic::wording;
use crate::record::id::{FeatureId, StateId};
use crate::vocabulary::{Feature, Kind, Unit, Vocabulary};

/// The content of a column.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Target {
    /// Something that is not imported.
    LeftOut,
    /// A key of an entry, or what the folder says.
    Key(&'static str),
    /// Readings of a feature.
    Feature(FeatureId),
    /// Ticks: a garment shows the state where the cell says yes.
    State(FeatureId, StateId),
}

impl Target {
    /// The key of an entry that it is about; empty for what is left out.
    pub fn key(&self) -> &str {
        match self {
            Target::LeftOut => "",
            Target::Key(key) => key,
            Target::Feature(feature) | Target::State(feature, _) => feature.as_str(),
        }
    }
}

/// The keys that a sheet can have a column for, each with other headings people write for it.
const KEYS: [(&str, &[&str]); 27] = [
    ("path", &["file", "entry"]),
    ("basis", &[]),
    ("maker", &["brand", "manufacturer", "make"]),
    ("model", &["style", "pattern"]),
    ("variant", &[]),
    ("line", &["label line", "product line"]),
    ("wearer", &["cut for", "gender"]),
    ("perhaps", &["perhaps of"]),
    ("observed", &["observed on", "date observed", "date seen", "seen on", "date recorded", "recorded on"]),
    ("observer", &["observed by", "seen by", "recorded by", "recorder"]),
    ("same-as", &[]),
    ("find", &["found with"]),
    ("factory", &["made at"]),
    ("market", &["sold in", "country of sale"]),
    ("placed-by", &[]),
    ("placed-from", &[]),
    ("made", &["date made", "made in year", "year", "year made", "made when", "when made"]),
    ("made-by", &["date known by", "how dated"]),
    ("made-source", &[]),
    ("made-from", &["dated from", "judged from"]),
    ("made-as-written", &["date as written", "date in words"]),
    ("made-note", &["date note", "note on date"]),
    ("sources", &["source", "read in"]),
    ("own-sources", &[]),
    ("allow", &[]),
    ("formerly", &[]),
    ("text", &["notes", "note", "remarks", "comments", "comment", "description"]),
];

/// Letters and digits of a name, small.
pub fn plain(text: &str) -> String {
    text.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Finds what a heading names: a key, a feature by id or name, or a feature with one of its states.
pub fn target(vocabulary: &Vocabulary, heading: &str) -> Option<Target> {
    let (bare, _) = unit(heading);
    if let Some(feature) = bare.strip_prefix("feature:").and_then(|id| vocabulary.feature(id.trim())) {
        return Some(Target::Feature(feature.id.clone()));
    }
    let name = plain(bare);
    if name.is_empty() {
        return None;
    }
    key(&name).or_else(|| feature(vocabulary, &name)).or_else(|| state(vocabulary, &name))
}

/// Finds what an answer in a mapping names: `""`, a key, a feature's id, or `feature=state`.
pub fn answered(vocabulary: &Vocabulary, answer: &str) -> Result<Target, String> {
    if answer.is_empty() {
        return Ok(Target::LeftOut);
    }
    if let Some((feature, state)) = answer.split_once('=') {
        let known = vocabulary.feature(feature.trim()).filter(|feature| allows(feature, state.trim()));
        let target = known.map(|feature| Target::State(feature.id.clone(), StateId::new(state.trim())));
        return target.ok_or_else(|| format!("there is no feature with such a state: {}", wording::quote(answer)));
    }
    target(vocabulary, answer).ok_or_else(|| {
        let near = nearest(vocabulary, answer);
        format!("a column can hold no {}{near}", wording::quote(answer))
    })
}

/// Names what is spelt like a heading, as the end of a sentence; empty where nothing is.
pub fn nearest(vocabulary: &Vocabulary, heading: &str) -> String {
    let keys = KEYS.iter().map(|(key, _)| *key);
    let features = vocabulary.iter().flat_map(|feature| std::iter::once(feature.id.as_str()).chain(names(feature)));
    let known: Vec<&str> = keys.chain(features).collect();
    match wording::nearest(unit(heading).0, &known, 2).as_slice() {
        [] => String::new(),
        near => format!("; near it: {}", wording::join_quoted(near, "and")),
    }
}

/// Splits a unit in brackets from the end of a heading: `Leg opening (in)`.
pub fn unit(heading: &str) -> (&str, Option<Unit>) {
    let heading = heading.trim();
    let split = heading.strip_suffix([')', ']']).and_then(|rest| rest.rsplit_once(['(', '[']));
    match split.and_then(|(name, word)| Some((name, Unit::named(word)?))) {
        Some((name, unit)) => (name.trim_end(), Some(unit)),
        None => (heading, None),
    }
}

/// Says whether a feature has a state of this name; `absent` and `lost` are always allowed.
fn allows(feature: &Feature, name: &str) -> bool {
    let is_listed = match &feature.kind {
        Kind::State { states } => states.iter().any(|state| state.as_str() == name),
        _ => false,
    };
    is_listed || ["absent", "lost"].contains(&name)
}

fn key(name: &str) -> Option<Target> {
    let found = KEYS.iter().find(|(key, others)| plain(key) == name || others.iter().any(|other| plain(other) == name));
    found.map(|(key, _)| Target::Key(key))
}

/// The names of a feature: its name and its synonyms.
fn names(feature: &Feature) -> impl Iterator<Item = &str> {
    std::iter::once(feature.name.as_str()).chain(feature.synonyms.iter().map(String::as_str))
}

/// Finds a feature by id, name or synonym; where two features go by one name, none.
fn feature(vocabulary: &Vocabulary, name: &str) -> Option<Target> {
    if let Some(feature) = vocabulary.iter().find(|feature| plain(feature.id.as_str()) == name) {
        return Some(Target::Feature(feature.id.clone()));
    }
    let mut named = vocabulary.iter().filter(|feature| names(feature).any(|own| plain(own) == name));
    let found = named.next()?;
    named.next().is_none().then(|| Target::Feature(found.id.clone()))
}

/// Says whether letters and digits are those of a state or of one of its synonyms.
pub fn is_state(feature: &Feature, state: &StateId, letters: &str) -> bool {
    let others = feature.state_synonyms.get(state).into_iter().flatten();
    let earlier = feature.replaced.iter().filter(|(_, current)| *current == state).map(|(old, _)| old.as_str());
    let mut names = others.map(String::as_str).chain(earlier).chain([state.as_str()]);
    names.any(|name| plain(name) == letters)
}

/// Finds `hem chain stitch`: a feature's id or name with one of its states behind it.
fn state(vocabulary: &Vocabulary, name: &str) -> Option<Target> {
    let of = |feature: &Feature, title: &str| {
        let rest = name.strip_prefix(plain(title).as_str())?.to_string();
        let Kind::State { states } = &feature.kind else { return None };
        let state = states.iter().find(|state| is_state(feature, state, &rest))?;
        Some(Target::State(feature.id.clone(), state.clone()))
    };
    let found = |feature: &Feature| names(feature).find_map(|title| of(feature, title));
    vocabulary.iter().find_map(|feature| of(feature, feature.id.as_str()).or_else(|| found(feature)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Target, answered, plain, target, unit};
    use crate::compile::example;
    use crate::record::id::{FeatureId, StateId};
    use crate::vocabulary::{Unit, Vocabulary};

    /// The vocabulary of the examples: a hem, a zip, belt loops and two measures.
    fn vocabulary() -> Vocabulary {
        example::compile("").knowledge.catalog.vocabulary
    }

    #[test]
    fn headings_are_compared_by_letters_and_digits() {
        let vocabulary = vocabulary();
        let loops = Some(Target::Feature(FeatureId::new("belt-loops")));
        for heading in ["belt-loops", "Belt loops", " BELT_LOOPS ", "Beltloops:"] {
            assert_eq!(target(&vocabulary, heading), loops, "{heading}");
        }
        assert_eq!(target(&vocabulary, "Date made"), Some(Target::Key("made")));
        assert_eq!(target(&vocabulary, "Brand"), Some(Target::Key("maker")));
        let opening = Some(Target::Feature(FeatureId::new("leg-opening")));
        assert_eq!(target(&vocabulary, "Leg opening (in)"), opening);
        assert_eq!(target(&vocabulary, "belt loop"), None, "what is near is asked about");
        assert_eq!((target(&vocabulary, "Price"), target(&vocabulary, "?")), (None, None));
    }

    #[test]
    fn a_state_can_be_a_column_of_ticks() {
        let vocabulary = vocabulary();
        let folded = Target::State(FeatureId::new("hem"), StateId::new("folded"));
        assert_eq!(target(&vocabulary, "Hem: folded"), Some(folded.clone()));
        assert_eq!(answered(&vocabulary, "hem=folded").unwrap(), folded);
        assert_eq!(answered(&vocabulary, "").unwrap(), Target::LeftOut);
        assert!(answered(&vocabulary, "hem=fold").unwrap_err().contains("no feature with such a state"));
        assert!(answered(&vocabulary, "belt-loop").unwrap_err().contains("near it: `belt-loops`"));
    }

    #[test]
    fn units_may_stand_in_brackets() {
        assert_eq!(unit("Leg opening (inches)"), ("Leg opening", Some(Unit::Inch)));
        assert_eq!(unit("Leg opening [cm]"), ("Leg opening", Some(Unit::Centimetre)));
        assert_eq!(unit("Leg opening (worn)"), ("Leg opening (worn)", None));
        assert_eq!(plain("Pocket-Tacks no. 4"), "pockettacksno4");
    }
}

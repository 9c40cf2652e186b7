//! The features and states of another knowledge base in the words of this one.
//!
//! The same id and kind is the same; the same word is a proposal; anything else is asked.

use std::collections::BTreeSet;

use crate::diagnostic::wording::{self, quote};
use crate::import::base::answers::{self, Answers};
use crate::import::base::matching::{Matching, Subject, Waiting};
use crate::import::heading::plain;
use crate::import::question::Asked;
use crate::record::id::StateId;
use crate::vocabulary::{Feature, Kind, Vocabulary};

/// The words of both knowledge bases, and what somebody answered about them.
pub struct Words<'a> {
    /// The vocabulary here.
    pub ours: &'a Vocabulary,
    /// The vocabulary there.
    pub theirs: &'a Vocabulary,
    pub answers: &'a Answers,
}

impl Words<'_> {
    /// Notes what every feature and state there means here; an answer that cannot be meant is refused.
    pub fn match_all(&self, matching: &mut Matching) -> Result<(), String> {
        if let Some(unknown) = self.answers.values("feature").find(|id| self.theirs.feature(id).is_none()) {
            return Err(answers::unknown("feature", unknown, self.theirs.iter().map(|feature| feature.id.as_str())));
        }
        for [feature, state] in self.answers.states() {
            let known = self.theirs.feature(feature).is_some_and(|feature| has_state(feature, state));
            if !known {
                let (state, feature) = (quote(state), quote(feature));
                return Err(format!("`[states]`: the other knowledge base has no state {state} of {feature}"));
            }
        }
        self.theirs.iter().try_for_each(|feature| self.feature(feature, matching))
    }

    fn feature(&self, theirs: &Feature, matching: &mut Matching) -> Result<(), String> {
        let (id, subject) = (theirs.id.as_str(), Subject::Feature(theirs.id.clone()));
        let same = self.ours.feature(id).filter(|ours| fits(&ours.kind, &theirs.kind));
        let ours = match self.answers.value("feature", id) {
            Some("") => {
                matching.waits(subject, Waiting::left_out(&format!("the feature {}", quote(id))));
                return Ok(());
            }
            Some(answer) => Some(self.answered(theirs, answer)?),
            None => same,
        };
        if let Some(ours) = ours {
            if ours.id != theirs.id {
                matching.is(subject, ours.id.as_str());
            }
            return self.states(theirs, ours, matching);
        }
        let words = words_of_feature(theirs);
        let fitting: Vec<&Feature> = self.ours.iter().filter(|ours| fits(&ours.kind, &theirs.kind)).collect();
        let alike: Vec<&&Feature> = fitting.iter().filter(|ours| !words.is_disjoint(&words_of_feature(ours))).collect();
        let (asked, missing) = (Asked::Value("feature", id.to_string()), self.missing(theirs));
        if let [one] = alike.as_slice() {
            let message = format!("{missing}; by its words it may be {}", quote(one.id.as_str()));
            matching.waits(subject, Waiting::proposed(asked, id, one.id.to_string(), message));
            return self.states(theirs, one, matching);
        }
        let ids: Vec<String> = fitting.iter().map(|ours| ours.id.to_string()).collect();
        let near = match alike.as_slice() {
            [] => wording::nearest(id, &ids, 2).into_iter().map(str::to_string).collect(),
            several => several.iter().map(|ours| ours.id.to_string()).collect(),
        };
        let message = format!(
            "{missing}. Name the feature that says the same, or copy `[{id}]` from its `schema/vocabulary.toml` into \
             that of this knowledge base"
        );
        matching.waits(subject, Waiting::asked(asked, id, near, message));
        Ok(())
    }

    fn answered(&self, theirs: &Feature, answer: &str) -> Result<&Feature, String> {
        let Some(ours) = self.ours.feature(answer) else {
            let ids: Vec<String> = self.ours.iter().map(|feature| feature.id.to_string()).collect();
            let near = wording::write_nearest(answer, &ids).map(|near| format!("; {near}")).unwrap_or_default();
            return Err(format!("`[values.feature]`: there is no feature {}{near}", quote(answer)));
        };
        if fits(&ours.kind, &theirs.kind) {
            return Ok(ours);
        }
        let (own, other) = (kind_words(&ours.kind), kind_words(&theirs.kind));
        let (answer, id) = (quote(answer), quote(theirs.id.as_str()));
        Err(format!("`[values.feature]`: {answer} is {own} here, but {id} is {other} in the other knowledge base"))
    }

    /// The message for a feature that is not here, or is something else here.
    fn missing(&self, theirs: &Feature) -> String {
        let id = quote(theirs.id.as_str());
        match self.ours.feature(theirs.id.as_str()) {
            Some(ours) => {
                format!("the feature {id} is {} there and {} here", kind_words(&theirs.kind), kind_words(&ours.kind))
            }
            None => format!("there is no feature {id} ({}) here", theirs.name),
        }
    }

    fn states(&self, theirs: &Feature, ours: &Feature, matching: &mut Matching) -> Result<(), String> {
        let Kind::State { states } = &theirs.kind else { return Ok(()) };
        for state in states {
            self.state(theirs, ours, state, matching)?;
        }
        // A word of earlier entries means what its successor means.
        for (old, new) in &theirs.replaced {
            self.replaced(theirs, ours, [old, new], matching)?;
        }
        Ok(())
    }

    fn state(&self, theirs: &Feature, ours: &Feature, state: &StateId, matching: &mut Matching) -> Result<(), String> {
        let subject = Subject::State(theirs.id.clone(), state.clone());
        match self.answers.state(theirs.id.as_str(), state.as_str()) {
            Some("") => {
                let what = format!("the state {} of {}", quote(state.as_str()), quote(theirs.id.as_str()));
                matching.waits(subject, Waiting::left_out(&what));
            }
            Some(answer) if has_state(ours, answer) => matching.is(subject, answer),
            Some(answer) => return Err(no_state(theirs, ours, answer)),
            None if has_state(ours, state.as_str()) => {}
            None => matching.waits(subject, asked(theirs, ours, state)),
        }
        Ok(())
    }

    fn replaced(
        &self,
        theirs: &Feature,
        ours: &Feature,
        [old, new]: [&StateId; 2],
        matching: &mut Matching,
    ) -> Result<(), String> {
        let answer = self.answers.state(theirs.id.as_str(), old.as_str());
        if answer.is_some() {
            return self.state(theirs, ours, old, matching);
        }
        let subject = Subject::State(theirs.id.clone(), old.clone());
        let now = match self.answers.state(theirs.id.as_str(), new.as_str()) {
            Some("") => None,
            Some(answer) => Some(answer),
            None => Some(new.as_str()).filter(|new| has_state(ours, new)),
        };
        match now {
            Some(now)
                if has_state(ours, old.as_str()) && ours.current_state(old.as_str()) == ours.current_state(now) => {}
            Some(now) => matching.is(subject, now),
            None => matching.waits(subject, asked(theirs, ours, new)),
        }
        Ok(())
    }
}

/// Says whether a reading of one kind means the same as one of another.
fn fits(ours: &Kind, theirs: &Kind) -> bool {
    match (ours, theirs) {
        (Kind::Measure(ours), Kind::Measure(theirs)) => theirs.unit.convert(1.0, ours.unit).is_some(),
        (ours, theirs) => std::mem::discriminant(ours) == std::mem::discriminant(theirs),
    }
}

fn kind_words(kind: &Kind) -> String {
    match kind {
        Kind::State { .. } => "a list of states".to_string(),
        Kind::Count => "a count".to_string(),
        Kind::Measure(measure) => format!("a measure in `{}`", measure.unit.word()),
        Kind::Number => "a number".to_string(),
        Kind::Code => "a code".to_string(),
    }
}

/// Says whether a feature of states has a state, of today or of earlier entries.
fn has_state(feature: &Feature, state: &str) -> bool {
    let is_listed =
        |states: &[StateId]| states.iter().any(|one| one.as_str() == state) || feature.replaced.contains_key(state);
    matches!(&feature.kind, Kind::State { states } if is_listed(states)) || ["absent", "lost"].contains(&state)
}

fn words_of_feature(feature: &Feature) -> BTreeSet<String> {
    let words = [feature.id.as_str(), &feature.name].into_iter().chain(feature.synonyms.iter().map(String::as_str));
    words.map(plain).filter(|word| !word.is_empty()).collect()
}

fn words_of_state(feature: &Feature, state: &StateId) -> BTreeSet<String> {
    let label = feature.label(state.as_str());
    let synonyms = feature.state_synonyms.get(state).into_iter().flatten().map(String::as_str);
    let words = [state.as_str(), label.as_str()].into_iter().chain(synonyms);
    words.map(plain).filter(|word| !word.is_empty()).collect()
}

/// The question about a state that is missing here.
fn asked(theirs: &Feature, ours: &Feature, state: &StateId) -> Waiting {
    let asked = Asked::State(theirs.id.clone(), state.to_string());
    let Kind::State { states } = &ours.kind else {
        return Waiting::left_out(&quote(state.as_str()));
    };
    let words = words_of_state(theirs, state);
    let alike: Vec<&StateId> = states.iter().filter(|own| !words.is_disjoint(&words_of_state(ours, own))).collect();
    let missing = format!("{} has no state {} here", quote(ours.id.as_str()), quote(state.as_str()));
    if let [one] = alike.as_slice() {
        let message = format!("{missing}; by its words it may be {}", quote(one.as_str()));
        return Waiting::proposed(asked, state.as_str(), one.to_string(), message);
    }
    let ids: Vec<String> = states.iter().map(StateId::to_string).collect();
    let near = match alike.as_slice() {
        [] => wording::nearest(state.as_str(), &ids, 2).into_iter().map(str::to_string).collect(),
        several => several.iter().map(|state| state.to_string()).collect(),
    };
    let message = format!("{missing}. Name the state that says the same, or add it to `states` in the vocabulary here");
    Waiting::asked(asked, state.as_str(), near, message)
}

fn no_state(theirs: &Feature, ours: &Feature, answer: &str) -> String {
    let ids: Vec<String> = match &ours.kind {
        Kind::State { states } => states.iter().map(StateId::to_string).collect(),
        _ => Vec::new(),
    };
    let expected = wording::expected(answer, &ids, "the vocabulary");
    let (answer, own) = (quote(answer), quote(ours.id.as_str()));
    format!("`[states.{}]`: {own} has no state {answer} here; {expected}", theirs.id)
}

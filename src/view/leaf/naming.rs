//! Names claims, dates, placings and disputes by what they are about, since their ids are for contributors.
//!
//! It decides nothing about them.

use crate::explain::comparison as words;
use crate::record::id::{FeatureId, whole_claim};
use crate::record::{Content, Record};
use crate::resolve::RecordIndex;
use crate::typography::capital;
use crate::view::leaf::claimed::{self, Subject};
use crate::view::leaf::{Leaf, Link, thing_name, within};
use crate::view::path;

impl Leaf<'_> {
    /// Gives a link to a claim, date, placing or record by its name or path.
    ///
    /// A claim is called by its source, or else its entry, and what it is about.
    pub fn claim(&self, claim: &str) -> Option<Link> {
        let (file, part) = claim.split_once('#').unwrap_or((claim, ""));
        let index = self.context.index.record(file)?;
        if part.is_empty() {
            return Some(self.record(index));
        }
        Some(self.link(self.part(index, whole_claim(part)), &path::claim(self.context, claim)?))
    }

    /// Names a part of a record, such as `seen`.
    fn part(&self, index: RecordIndex, part: &str) -> String {
        let record = self.catalog().record(index);
        if let Some(Subject { words, .. }) = self.claimed(record, part) {
            return format!("{}, on {words}", self.authority(index, part));
        }
        let what = match part {
            "key" if matches!(record.content, Content::Key(_)) => return self.name(index),
            "made" => "date".to_string(),
            "seen" => "placing".to_string(),
            other => match other.strip_prefix("features.") {
                Some(feature) => self.feature(feature),
                None => other.to_string(),
            },
        };
        format!("{}: {what}", self.name(index))
    }

    /// Names the first source of a claim, or else the claim's entry.
    fn authority(&self, index: RecordIndex, part: &str) -> String {
        let record = self.catalog().record(index);
        let source = record.content.claim(part).and_then(|claim| claim.sources.first());
        match source.filter(|_| record.content.observation().is_none()) {
            Some(source) => self.cited(record.file, &source.value).words(),
            None => self.title(index),
        }
    }

    /// The subject of a dispute, as a heading; `None` for other records, and if all its claims are
    /// gone.
    pub(super) fn dispute(&self, index: RecordIndex) -> Option<String> {
        let Content::Dispute(dispute) = &self.catalog().record(index).content else { return None };
        let subjects = dispute.claims.iter().filter_map(|claim| self.subject(claim.claim.value.as_str()));
        let subjects: Vec<Subject> = subjects.collect();
        Some(capital(&claimed::against(subjects.first()?, &subjects)))
    }

    fn subject(&self, name: &str) -> Option<Subject> {
        let (file, part) = whole_claim(name).split_once('#')?;
        let index = self.context.index.record(file)?;
        let record = self.catalog().record(index);
        let of = || within(&self.name(index));
        match (part, &record.content) {
            ("key", Content::Key(_) | Content::Source(_)) => Some(Subject::key(self.name(index))),
            ("made", Content::Observation(_)) => Some(Subject::date(of())),
            ("seen", Content::Observation(_)) => Some(Subject::placing(of())),
            (part, Content::Observation(_)) if part.starts_with("features.") => {
                let feature = self.feature(part.trim_start_matches("features."));
                Some(Subject::reading(of(), format!("the {feature}")))
            }
            _ => self.claimed(record, part),
        }
    }

    /// The subject of a record's claim.
    fn claimed(&self, record: &Record, part: &str) -> Option<Subject> {
        let claim = record.content.claim(part)?;
        Some(claimed::subject(claim, |thing| thing_name(self.catalog(), thing)))
    }

    /// The name of a feature within a sentence.
    fn feature(&self, feature: &str) -> String {
        let named = words::the(self.catalog(), &FeatureId::new(feature));
        named.trim_start_matches("the ").to_string()
    }
}

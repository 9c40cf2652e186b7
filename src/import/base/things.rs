//! The makers, label lines, models and variants of another knowledge base: which of them are here, and what the others
//! are called here.
//!
//! The same id and the same name is the same thing. The same id with another name is asked about: it may be another
//! spelling, or another thing, which gets a number.

use crate::diagnostic::wording::quote;
use crate::import::base::answers::{self, Answers};
use crate::import::base::here::{self, Here};
use crate::import::base::lines::Lines;
use crate::import::base::matching::{Matching, Subject, Waiting};
use crate::import::heading::plain;
use crate::import::question::Asked;
use crate::record::Content;
use crate::record::id::{LineId, MakerId, ModelId, VariantId};
use crate::resolve::{Catalog, RecordIndex};

/// The things of both knowledge bases, and what somebody answered about them.
pub struct Things<'a> {
    /// The records here.
    pub ours: Here<'a>,
    /// The records there.
    pub theirs: &'a Catalog,
    pub answers: &'a Answers,
}

/// A maker, model or variant as it is compared.
struct Wanted<'a> {
    /// `maker`, `model` or `variant`.
    kind: &'static str,
    /// Its id there.
    id: &'a str,
    /// Its id here, if it keeps its own name.
    wish: String,
    name: &'a str,
}

impl Things<'_> {
    /// Notes what every thing there is here; an answer that cannot be meant is refused.
    pub fn match_all(&self, matching: &mut Matching) -> Result<(), String> {
        self.check_answers()?;
        let lines = Lines { ours: self.ours.0, theirs: self.theirs, answers: self.answers };
        for (id, entry) in &self.theirs.makers {
            let wanted = Wanted {
                kind: "maker",
                id: id.as_str(),
                wish: id.to_string(),
                name: here::name(self.theirs, entry.record),
            };
            let Some(ours) = self.thing(&wanted, &|_| true, matching)? else { continue };
            let ours = MakerId::new(ours);
            for line in &entry.lines {
                lines.match_one(line, &ours, matching)?;
            }
            for model in &entry.models {
                self.model(model, &ours, matching)?;
            }
        }
        Ok(())
    }

    fn check_answers(&self) -> Result<(), String> {
        let theirs = self.theirs;
        for kind in ["maker", "model", "line", "variant"] {
            let ids: Vec<&str> = match kind {
                "maker" => theirs.makers.keys().map(MakerId::as_str).collect(),
                "model" => theirs.models.keys().map(ModelId::as_str).collect(),
                "line" => theirs.lines.keys().map(LineId::as_str).collect(),
                _ => theirs.variants.keys().map(VariantId::as_str).collect(),
            };
            if let Some(unknown) = self.answers.values(kind).find(|id| !ids.contains(id)) {
                return Err(answers::unknown(kind, unknown, ids.into_iter()));
            }
        }
        Ok(())
    }

    fn model(&self, id: &ModelId, maker: &MakerId, matching: &mut Matching) -> Result<(), String> {
        let Some(entry) = self.theirs.models.get(id) else { return Ok(()) };
        let wish = ModelId::of(maker, id.model()).to_string();
        let wanted = Wanted { kind: "model", id: id.as_str(), wish, name: here::name(self.theirs, entry.record) };
        let garment = |catalog: &Catalog, record| match &catalog.record(record).content {
            Content::Model(model) => model.garment.value.clone(),
            _ => String::new(),
        };
        let own = garment(self.theirs, entry.record);
        let is_alike = |record| garment(self.ours.0, record) == own;
        let Some(ours) = self.thing(&wanted, &is_alike, matching)? else { return Ok(()) };
        for variant in &entry.variants {
            self.variant(variant, &ModelId::new(ours.as_str()), matching)?;
        }
        Ok(())
    }

    fn variant(&self, id: &VariantId, model: &ModelId, matching: &mut Matching) -> Result<(), String> {
        let Some(entry) = self.theirs.variants.get(id) else { return Ok(()) };
        let wish = VariantId::of(model, id.variant()).to_string();
        let wanted = Wanted { kind: "variant", id: id.as_str(), wish, name: here::name(self.theirs, entry.record) };
        if let Some(waiting) = entry.line.as_ref().and_then(|line| matching.waiting_line(line)) {
            matching.waits(Subject::Record(here::address("variant", id.as_str())), waiting);
            return Ok(());
        }
        let line = entry.line.as_ref().map(|line| matching.line(line, &model.maker()));
        let wearer = |catalog: &Catalog, record| match &catalog.record(record).content {
            Content::Variant(variant) => Some(variant.wearer),
            _ => None,
        };
        let own = wearer(self.theirs, entry.record);
        let is_alike = |record: RecordIndex| {
            let here = self.ours.0.variants.values().find(|here| here.record == record);
            here.is_some_and(|here| here.line == line) && wearer(self.ours.0, record) == own
        };
        self.thing(&wanted, &is_alike, matching).map(|_| ())
    }

    /// Notes what a maker, model or variant is here, and gives its id here; nothing while it waits.
    fn thing(
        &self,
        wanted: &Wanted<'_>,
        is_alike: &dyn Fn(RecordIndex) -> bool,
        matching: &mut Matching,
    ) -> Result<Option<String>, String> {
        let Wanted { kind, id, wish, name } = wanted;
        let address = here::address(kind, id);
        if let Some(answer) = self.answers.value(kind, id) {
            if answer.is_empty() {
                let what = format!("the {kind} {}", quote(id));
                matching.waits(Subject::Record(address), Waiting::left_out(&what));
                return Ok(None);
            }
            let ours = self.answered(kind, answer, wish)?;
            self.note(&address, kind, &ours, matching);
            return Ok(Some(ours));
        }
        let is_it = |record: RecordIndex| self.ours.is_named(record, name) && is_alike(record);
        if let Some(ours) = here::numbered(wish).find(|id| self.ours.record(kind, id).is_some_and(is_it)) {
            self.note(&address, kind, &ours, matching);
            return Ok(Some(ours));
        }
        if let Some(now) = self.ours.moved(kind, wish) {
            self.note(&address, kind, &now, matching);
            return Ok(Some(now));
        }
        if let Some(other) = self.ours.same_name(kind, wish, &is_it) {
            let message = same_name(wanted, other);
            let asked = Asked::Value(kind, (*id).to_string());
            let waiting = Waiting::proposed(asked, id, other.to_string(), message);
            matching.waits(Subject::Record(address), waiting);
            return Ok(None);
        }
        let free = here::numbered(wish).find(|id| id == wish && self.ours.is_free(kind, id) || self.is_new(kind, id));
        let free = free.unwrap_or_else(|| wish.clone());
        if let Some(own) = self.ours.record(kind, wish) {
            let message = format!(
                "{}. Name it if it is the same; another name brings the {kind} there as one of its own",
                self.doubt(wanted, here::name(self.ours.0, own))
            );
            let asked = Asked::Value(kind, (*id).to_string());
            let waiting = Waiting::asked(asked, id, vec![wish.clone(), free], message);
            matching.waits(Subject::Record(address), waiting);
            return Ok(None);
        }
        self.note(&address, kind, &free, matching);
        Ok(Some(free))
    }

    /// Says what makes it doubtful that the thing of this id here is the one there.
    fn doubt(&self, wanted: &Wanted<'_>, own: &str) -> String {
        let Wanted { kind, wish, name, .. } = wanted;
        let what = format!("the {kind} {}", quote(wish));
        if plain(own) != plain(name) {
            return format!("{what} is called {} here and {} there", quote(own), quote(name));
        }
        let other = if *kind == "model" { "garment" } else { "label line or wearer" };
        format!("{what} is of another {other} there")
    }

    /// Says whether nothing here or there has a name.
    fn is_new(&self, kind: &str, id: &str) -> bool {
        let is_there = match kind {
            "maker" => self.theirs.makers.contains_key(id),
            "model" => self.theirs.models.contains_key(id),
            _ => self.theirs.variants.contains_key(id),
        };
        !is_there && self.ours.is_free(kind, id)
    }

    fn note(&self, there: &str, kind: &str, ours: &str, matching: &mut Matching) {
        let here = here::address(kind, ours);
        if self.ours.record(kind, ours).is_some() {
            matching.here.insert(there.to_string(), here.clone());
        }
        if there != here {
            matching.is(Subject::Record(there.to_string()), &here);
        }
    }

    /// Reads an answer about a maker, model or variant: one that is here, or a free name in the same place.
    fn answered(&self, kind: &str, answer: &str, wish: &str) -> Result<String, String> {
        let above = wish.rsplit_once('/').map(|(above, _)| above);
        let whole = match (above, answer.contains('/')) {
            (Some(above), false) => format!("{above}/{answer}"),
            _ => answer.to_string(),
        };
        let last = whole.rsplit('/').next().unwrap_or_default();
        let is_name = !last.is_empty()
            && last.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
            && !["maker", "model", "variant"].contains(&last);
        let is_here = self.ours.record(kind, &whole).is_some();
        let is_beside = whole.rsplit_once('/').map(|(above, _)| above) == above;
        if is_here || is_name && is_beside && self.ours.is_free(kind, &whole) {
            return Ok(whole);
        }
        Err(format!(
            "`[values.{kind}]`: {} is neither a {kind} here nor a free name such as {}",
            quote(answer),
            quote(&format!("{wish}-2"))
        ))
    }
}

/// Asks whether a thing of the same name here is the one there.
fn same_name(wanted: &Wanted<'_>, other: &str) -> String {
    let Wanted { kind, id, name, .. } = wanted;
    format!(
        "{} is called {} here; is it the {kind} {}? Another name here brings it as a {kind} of its own",
        quote(other),
        quote(name),
        quote(id)
    )
}

//! Gathers variants into the groups that are compared, and finds what two groups show of a feature in each shared
//! setting.

use std::collections::BTreeMap;

use ecow::EcoString;

use crate::comparison::crude::Sides;
use crate::comparison::lines::Subject;
use crate::evidence::{CountedEvidence, Evidence, Item};
use crate::record::Content;
use crate::record::id::{MakerId, ModelId, VariantId};
use crate::record::observation::Wearer;
use crate::resolve::Catalog;
use crate::vocabulary::Feature;

/// The variants of one line, or of one wearer.
#[derive(Clone, Debug)]
pub struct Group<'a> {
    /// The line or wearer they share.
    pub subject: Subject,
    /// Each with its setting, in order of id.
    pub members: Vec<Member<'a>>,
}

/// A variant of a group.
#[derive(Clone, Debug)]
pub struct Member<'a> {
    /// The model, and the wearer or line within it.
    pub setting: Setting,
    /// The counted evidence of the group.
    pub evidence: Evidence<'a>,
}

/// The setting of a comparison of two groups: a model and a wearer, or a model and a line. `None`
/// is a value.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Setting {
    /// The model.
    pub model: ModelId,
    /// The word of the wearer, or the line's own id; empty where there is none.
    pub within: String,
}

impl Setting {
    /// The model and what it is compared within: `maker/model men`.
    pub fn name(&self) -> String {
        format!("{} {}", self.model, if self.within.is_empty() { "unknown" } else { &self.within })
    }
}

/// Gathers every line and every wearer of each maker that has variants.
pub fn all(counted: CountedEvidence<'_>) -> Vec<Group<'_>> {
    let catalog = &counted.knowledge.catalog;
    let mut groups: BTreeMap<(MakerId, bool, String), Group<'_>> = BTreeMap::new();
    for id in catalog.variants.keys() {
        let evidence = (counted.of)(id);
        for subject in subjects_of(catalog, id) {
            let member = Member { setting: setting(catalog, id, &subject), evidence: evidence.clone() };
            let is_wearer = matches!(subject, Subject::Wearer(..));
            let key = (subject.maker(), is_wearer, subject.own_name().to_string());
            let group = groups.entry(key).or_insert_with(|| Group { subject, members: Vec::new() });
            group.members.push(member);
        }
    }
    groups.into_values().collect()
}

/// Gathers the variants of one line or wearer.
pub fn of<'a>(catalog: &Catalog, evidence: impl Fn(&VariantId) -> Evidence<'a>, subject: &Subject) -> Group<'a> {
    let own = catalog.variants.keys().filter(|id| subjects_of(catalog, id).contains(subject));
    let members = own.map(|id| Member { setting: setting(catalog, id, subject), evidence: evidence(id) });
    Group { subject: subject.clone(), members: members.collect() }
}

/// Lists every line and every wearer that has variants, in order of id.
pub fn subjects(catalog: &Catalog) -> Vec<Subject> {
    let mut subjects: Vec<Subject> = catalog.variants.keys().flat_map(|id| subjects_of(catalog, id)).collect();
    subjects.sort_by_key(ToString::to_string);
    subjects.dedup();
    subjects
}

/// The line and the wearer of a variant, as far as it has them.
fn subjects_of(catalog: &Catalog, id: &VariantId) -> Vec<Subject> {
    let line = line(catalog, id).map(Subject::Line);
    let wearer = wearer(catalog, id).map(|wearer| Subject::Wearer(id.maker(), wearer));
    line.into_iter().chain(wearer).collect()
}

fn setting(catalog: &Catalog, id: &VariantId, subject: &Subject) -> Setting {
    let within = match subject {
        Subject::Line(_) => wearer(catalog, id).map(|wearer| wearer.word().to_string()),
        Subject::Wearer(..) => line(catalog, id).map(|line| line.line().to_string()),
    };
    Setting { model: id.model(), within: within.unwrap_or_default() }
}

fn line(catalog: &Catalog, id: &VariantId) -> Option<crate::record::id::LineId> {
    catalog.variants.get(id)?.line.clone()
}

/// The wearer a variant was cut for.
pub fn wearer(catalog: &Catalog, id: &VariantId) -> Option<Wearer> {
    match &catalog.record(catalog.variants.get(id)?.record).content {
        Content::Variant(variant) => Some(variant.wearer),
        _ => None,
    }
}

/// The readings of a feature in the settings that have both groups: one or more.
#[derive(Clone, Debug)]
pub struct Shared<'a> {
    /// The feature.
    pub feature: &'a Feature,
    /// The settings, in order.
    pub settings: Vec<SharedSetting<'a>>,
}

/// A setting in which both groups were counted.
#[derive(Clone, Debug)]
pub struct SharedSetting<'a> {
    /// The setting.
    pub setting: Setting,
    /// The readings of A in the setting.
    pub a: Vec<Counted<'a>>,
    /// The readings of B in the setting.
    pub b: Vec<Counted<'a>>,
    /// Both, ready to be compared.
    pub sides: Sides<'a>,
}

/// An item with the evidence it was counted in.
#[derive(Clone, Copy, Debug)]
pub struct Counted<'a> {
    /// The counted evidence of the variant.
    pub evidence: &'a Evidence<'a>,
    /// The item.
    pub item: &'a Item,
}

impl<'a> Shared<'a> {
    /// Finds the settings that both groups share in a feature, or nothing where there is none.
    pub fn of(feature: &'a Feature, a: &'a Group<'_>, b: &'a Group<'_>) -> Option<Shared<'a>> {
        let (mut of_a, of_b) = (counted(feature, a), counted(feature, b));
        let shared = of_b.into_iter().filter_map(|(setting, b)| {
            let a = of_a.remove(setting)?;
            let seen = |counted: &Counted<'a>| &counted.item.seen;
            let sides = Sides::of_seen(feature, a.iter().map(seen), b.iter().map(seen))?;
            Some(SharedSetting { setting: setting.clone(), a, b, sides })
        });
        let settings: Vec<SharedSetting<'a>> = shared.collect();
        (!settings.is_empty()).then_some(Shared { feature, settings })
    }

    /// All shared settings.
    pub fn all(&self) -> Vec<&SharedSetting<'a>> {
        self.settings.iter().collect()
    }

    /// The state seen most on each of the two; nothing where two were seen as often, or where it is a measure.
    pub fn typical(&self) -> [Option<EcoString>; 2] {
        let a = self.settings.iter().flat_map(|shared| &shared.a);
        let b = self.settings.iter().flat_map(|shared| &shared.b);
        [most_seen(a), most_seen(b)]
    }

    /// The models of the shared settings, in order.
    pub fn models(&self) -> Vec<&ModelId> {
        let mut models: Vec<&ModelId> = self.settings.iter().map(|shared| &shared.setting.model).collect();
        models.dedup();
        models
    }
}

fn most_seen<'c>(counted: impl Iterator<Item = &'c Counted<'c>>) -> Option<EcoString> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for state in counted.filter_map(|counted| counted.item.seen.state()) {
        *counts.entry(state).or_default() += 1;
    }
    let most = counts.values().copied().max()?;
    let mut found = counts.into_iter().filter(|(_, count)| *count == most);
    let (state, _) = found.next()?;
    found.next().is_none().then(|| state.into())
}

/// The items of a feature by setting; variants of one setting together.
fn counted<'a>(feature: &Feature, group: &'a Group<'_>) -> BTreeMap<&'a Setting, Vec<Counted<'a>>> {
    let mut counted: BTreeMap<&Setting, Vec<Counted<'a>>> = BTreeMap::new();
    for Member { setting, evidence } in &group.members {
        let items = evidence.items(&feature.id).iter().map(|item| Counted { evidence, item });
        let mut items = items.peekable();
        if items.peek().is_some() {
            counted.entry(setting).or_default().extend(items);
        }
    }
    counted
}

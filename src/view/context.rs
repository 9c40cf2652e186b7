//! What every page and export works from: the knowledge, the site's templates, and what is worked out once for all of them.
//!
//! It plans no file.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use crate::chronology::without::Without;
use crate::comparison::question::Question;
use crate::dating::likelihood::{self, Tables};
use crate::evidence::{self, Evidence};
use crate::knowledge::Knowledge;
use crate::page::Site;
use crate::record::id::VariantId;
use crate::view::index::Index;
use crate::view::names::Named;
use crate::view::photographs::Photographs;
use crate::view::{leaf, names, open};

/// What a publisher works from.
pub struct Context<'a> {
    /// Everything that is known and concluded.
    pub knowledge: &'a Knowledge,
    /// Templates and assets.
    pub site: &'a Site,
    /// The content id of the knowledge base.
    pub version: &'a str,
    /// The photographs that are to be shown.
    pub photographs: Photographs,
    /// Whether an archive of the whole site will lie beside it.
    pub has_bundle: bool,
    /// Ways from one record or conclusion to others.
    pub index: Index<'a>,
    /// What was seen of each variant, counted once: half the pages tell of it.
    evidence: BTreeMap<&'a VariantId, Evidence<'a>>,
    /// What garments are dated by, made when first asked for.
    tables: OnceLock<Tables>,
    /// `rules.json`, made when first asked for: three files hold it.
    pub rules: OnceLock<Result<Vec<u8>, String>>,
    /// What is open of each variant, ranked when first asked for: two pages name it.
    questions: OnceLock<Vec<Question>>,
    /// Everything with a name, listed when first asked for: the search and each page of the A–Z read it.
    names: OnceLock<Vec<Named>>,
}

impl<'a> Context<'a> {
    /// Joins what publishers work from; `version` is the content id of the knowledge base.
    pub fn new(knowledge: &'a Knowledge, site: &'a Site, version: &'a str) -> Context<'a> {
        let variants: Vec<&VariantId> = knowledge.catalog.variants.keys().collect();
        Context {
            knowledge,
            site,
            version,
            photographs: Photographs::planned(knowledge),
            has_bundle: false,
            index: Index::new(knowledge),
            evidence: variants.par_iter().map(|variant| (*variant, evidence::of(knowledge, variant))).collect(),
            tables: OnceLock::new(),
            rules: OnceLock::new(),
            questions: OnceLock::new(),
            names: OnceLock::new(),
        }
    }

    /// Says that an archive of the whole site will lie beside it.
    pub fn with_bundle(self) -> Context<'a> {
        Context { has_bundle: true, ..self }
    }

    /// Where the site will stand, with a slash at its end, if that is an address on the web.
    pub fn address(&self) -> Option<String> {
        let address = self.knowledge.catalog.about.address.as_deref().filter(|address| leaf::is_web(address))?;
        Some(format!("{}/", address.trim_end_matches('/')))
    }

    /// What is open of each variant, first what an observation would settle most of.
    pub fn questions(&self) -> &[Question] {
        self.questions.get_or_init(|| open::ranked(self))
    }

    /// What would be concluded with pieces left out.
    pub fn without(&self) -> Without<'_> {
        Without::new(self.knowledge)
    }

    /// Everything in the site that has a name.
    pub fn names(&self) -> &[Named] {
        self.names.get_or_init(|| names::all(self))
    }

    /// What was seen of a variant.
    pub fn evidence(&self, variant: &VariantId) -> Evidence<'a> {
        self.evidence.get(variant).cloned().unwrap_or_else(|| evidence::of(self.knowledge, variant))
    }

    /// What garments are dated by.
    pub fn tables(&self) -> &Tables {
        let seen = likelihood::Seen { knowledge: self.knowledge, counted: Some(&self.evidence) };
        self.tables.get_or_init(|| likelihood::judged(seen))
    }
}

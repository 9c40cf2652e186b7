//! What every page and export is made from: the knowledge, the site's templates, and answers computed once for all.
//!
//! It plans no file.

use std::sync::OnceLock;

use crate::analysis::Analysis;
use crate::knowledge::Knowledge;
use crate::page::{self, Site};
use crate::resolve::title::Titles;
use crate::view::index::Index;
use crate::view::named::Named;
use crate::view::photographs::Photographs;

/// What a publisher gets.
pub struct Context<'a> {
    /// Every further answer.
    pub analysis: &'a Analysis<'a>,
    /// The knowledge.
    pub knowledge: &'a Knowledge,
    /// Templates and assets.
    pub site: &'a Site,
    /// The content id of the knowledge base.
    pub version: &'a str,
    /// The photographs that are to be shown.
    pub photographs: Photographs,
    /// Whether an archive of the whole site will lie beside it.
    pub has_bundle: bool,
    /// What changed since an earlier version, as JSON, if asked for.
    pub since: Option<String>,
    /// Ways from one record or conclusion to others.
    pub index: Index<'a>,
    /// `rules.json`, made when first asked for: three files hold it.
    pub rules: OnceLock<Result<Vec<u8>, String>>,
    /// What each observation is called, made when first asked for.
    titles: OnceLock<Titles>,
    /// Everything with a name, listed when first asked for: the search and each page of the A–Z read it.
    pub names: OnceLock<Vec<Named>>,
}

impl<'a> Context<'a> {
    /// Joins what publishers get; `version` is the content id of the knowledge base.
    pub fn new(analysis: &'a Analysis<'a>, site: &'a Site, version: &'a str) -> Context<'a> {
        let knowledge = analysis.knowledge;
        Context {
            analysis,
            knowledge,
            site,
            version,
            photographs: Photographs::planned(knowledge),
            has_bundle: false,
            since: None,
            index: Index::new(knowledge),
            titles: OnceLock::new(),
            rules: OnceLock::new(),
            names: OnceLock::new(),
        }
    }

    /// Says that an archive of the whole site will lie beside it.
    pub fn with_bundle(self) -> Context<'a> {
        Context { has_bundle: true, ..self }
    }

    /// Publishes what changed since an earlier version, as JSON.
    pub fn with_changes(self, since: Option<String>) -> Context<'a> {
        Context { since, ..self }
    }

    /// What each observation is called.
    pub fn titles(&self) -> &Titles {
        self.titles.get_or_init(|| Titles::of(&self.knowledge.catalog))
    }

    /// Where the site will stand, with a slash at its end, if that is an address on the web.
    pub fn address(&self) -> Option<String> {
        let address = self.knowledge.catalog.about.address.as_deref().filter(|address| page::is_web(address))?;
        Some(format!("{}/", address.trim_end_matches('/')))
    }
}

//! The data behind every page and export: the knowledge, the site's templates, and answers computed
//! once for all.
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

/// The input of a publisher.
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
    /// Whether the site includes an archive of itself.
    pub has_bundle: bool,
    /// The changes since an earlier version, as JSON, if requested.
    pub since: Option<String>,
    /// Ways from one record or conclusion to others.
    pub index: Index<'a>,
    /// `rules.json`, made when first asked for: three files hold it.
    pub rules: OnceLock<Result<Vec<u8>, String>>,
    /// The titles of observations, made on first use.
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

    /// Sets that the site includes an archive of itself.
    pub fn with_bundle(self) -> Context<'a> {
        Context { has_bundle: true, ..self }
    }

    /// Publishes what changed since an earlier version, as JSON.
    pub fn with_changes(self, since: Option<String>) -> Context<'a> {
        Context { since, ..self }
    }

    /// The title of each observation.
    pub fn titles(&self) -> &Titles {
        self.titles.get_or_init(|| Titles::of(&self.knowledge.catalog))
    }

    /// Where the site will stand, with a slash at its end, if that is an address on the web.
    pub fn address(&self) -> Option<String> {
        let address = self.knowledge.catalog.about.address.as_deref().filter(|address| page::is_web(address))?;
        Some(format!("{}/", address.trim_end_matches('/')))
    }
}

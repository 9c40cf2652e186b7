//! A field of an entry that a correction changes.

use crate::source::tree::Node;

/// A field that is to change.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// Its key, such as `made`, `features.hem` or `claims.run`.
    pub key: String,
    /// What the page showed; nothing where the entry did not say.
    pub was: Option<Node>,
    /// What is right; nothing where the entry is not to say.
    pub now: Option<Node>,
}

impl Wanted {
    /// The feature, if it is a reading.
    pub fn feature(&self) -> Option<&str> {
        self.key.strip_prefix("features.")
    }

    /// The name of what it changes: the feature of a reading, or else the key.
    pub fn name(&self) -> &str {
        self.feature().unwrap_or(&self.key)
    }
}

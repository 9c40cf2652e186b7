//! A field of an entry that a correction changes.

use crate::source::tree::Node;

/// A field that is to change.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// Its key, such as `made`, `features.hem` or `claims.run`.
    pub key: String,
    /// The value on the page; `None` if the entry had none.
    pub was: Option<Node>,
    /// The correct value; `None` if the entry should have none.
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

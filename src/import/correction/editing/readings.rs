//! Edits that add readings to an entry: below those that are there, in their braces, or under a header of their own.

use crate::import::correction::editing::Editor;
use crate::import::correction::value;
use crate::import::correction::wanted::Wanted;
use crate::source::Span;
use crate::source::edit::Edit;

impl Editor<'_> {
    /// Adds the readings that the entry does not have, in the order of the correction.
    pub(super) fn added_readings(&self, changes: &[Wanted]) -> Option<Vec<Edit>> {
        let is_new = |wanted: &&Wanted| wanted.feature().is_some() && self.entry(wanted).is_none();
        let new: Vec<&Wanted> = changes.iter().filter(is_new).filter(|wanted| wanted.was.is_none()).collect();
        let pairs = new.iter().filter_map(|wanted| value::pair(wanted.name(), wanted.now.as_ref()?));
        let pairs: Vec<String> = pairs.collect();
        if pairs.is_empty() {
            return Some(Vec::new());
        }
        let lines: String = pairs.iter().map(|pair| format!("{pair}{}", self.end)).collect();
        let Some(node) = self.record.front.get("features") else {
            let at = self.closing()?;
            let text = format!("{0}[features]{0}{lines}", self.end);
            return Some(vec![Edit { span: Span::new(at, at), text }]);
        };
        let table = node.table()?;
        if self.slice(node.span).starts_with('{') {
            let last = table.entries().last()?.value.last_byte();
            return Some(vec![Edit { span: Span::new(last, last), text: format!(", {}", pairs.join(", ")) }]);
        }
        if !self.slice(node.span).starts_with('[') {
            return None;
        }
        let plain = table.entries().iter().filter(|entry| self.is_plain(&entry.value));
        let at = self.line_end(plain.map(|entry| entry.value.last_byte()).max().unwrap_or(node.span.end()));
        Some(vec![Edit { span: Span::new(at, at), text: lines }])
    }
}

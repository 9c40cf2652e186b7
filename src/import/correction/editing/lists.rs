//! Edits to lists of an entry: claims and sources under headers of their own, photographs in brackets, lists of words.
//!
//! Items that stay keep every byte, and so do comments; a list in which that cannot be made sure is left to a person.

use crate::import::correction::editing::Editor;
use crate::import::correction::item::Planned;
use crate::import::correction::value;
use crate::source::Span;
use crate::source::edit::Edit;
use crate::source::tree::{Node, Table};

impl Editor<'_> {
    /// The edits that make of a list what is planned; nothing where that cannot be done safely.
    pub(super) fn list(&self, list: &str, planned: &Planned<'_>) -> Option<Vec<Edit>> {
        if planned.is_empty() {
            return Some(Vec::new());
        }
        let nodes = self.record.front.list(list);
        let Some(node) = self.record.front.get(list) else { return self.list_begun(list, planned) };
        if nodes.iter().all(|node| self.slice(node.span).starts_with("[[")) && !nodes.is_empty() {
            return self.blocks(list, nodes, planned);
        }
        if !self.slice(node.span).starts_with('[') {
            return None;
        }
        if !self.is_commented(node) && planned.expected(nodes).is_empty() {
            return self.removed(self.record.front.entry(list)?).map(|edit| vec![edit]);
        }
        self.in_brackets(node, nodes, planned)
    }

    /// The first items of a list.
    fn list_begun(&self, list: &str, planned: &Planned<'_>) -> Option<Vec<Edit>> {
        if list == "photos" {
            let items: Vec<String> = planned.added.iter().map(|node| value::written(node)).collect::<Option<_>>()?;
            return self.added(list, &format!("[{}]", items.join(", "))).map(|edit| vec![edit]);
        }
        let at = self.closing()?;
        let text: Option<String> = planned.added.iter().map(|node| self.block(list, node)).collect();
        Some(vec![Edit { span: Span::new(at, at), text: text? }])
    }

    /// An item under a header of its own, with an empty line before.
    fn block(&self, list: &str, node: &Node) -> Option<String> {
        let pairs = node.table()?.entries().iter().map(|entry| value::pair(&entry.key.value, &entry.value));
        let lines: String = pairs.map(|pair| Some(format!("{}{}", pair?, self.end))).collect::<Option<_>>()?;
        Some(format!("{0}[[{list}]]{0}{lines}", self.end))
    }

    fn blocks(&self, list: &str, nodes: &[Node], planned: &Planned<'_>) -> Option<Vec<Edit>> {
        let mut edits = Vec::new();
        for (place, now) in &planned.changed {
            let node = &nodes[*place];
            match now {
                Some(now) => edits.extend(self.block_replaced(node.table()?, now.table()?)?),
                None => edits.extend(self.block_removed(node)?),
            }
        }
        if !planned.added.is_empty() {
            let at = self.line_end(nodes.last()?.last_byte());
            let text: Option<String> = planned.added.iter().map(|node| self.block(list, node)).collect();
            edits.push(Edit { span: Span::new(at, at), text: text? });
        }
        Some(edits)
    }

    /// Line by line: what differs, what goes, and what comes below the last line that is plain.
    fn block_replaced(&self, old: &Table, new: &Table) -> Option<Vec<Edit>> {
        let mut edits = Vec::new();
        for entry in old.entries() {
            match new.get(&entry.key.value) {
                Some(now) if value::is_same(&entry.value, now) => {}
                Some(now) => edits.extend(self.replaced(&entry.value, now)?),
                None => edits.push(self.removed(entry)?),
            }
        }
        let added = new.entries().iter().filter(|entry| !old.has(&entry.key.value));
        let lines = added.map(|entry| Some(value::pair(&entry.key.value, &entry.value)? + self.end));
        let lines: String = lines.collect::<Option<_>>()?;
        if !lines.is_empty() {
            let plain = old.entries().iter().filter(|entry| self.is_plain(&entry.value));
            let after = plain.map(|entry| entry.value.last_byte()).max().unwrap_or(old.span().end());
            let at = self.line_end(after);
            edits.push(Edit { span: Span::new(at, at), text: lines });
        }
        Some(edits)
    }

    /// Takes out a header and its lines, and one empty line before them; comments stay.
    fn block_removed(&self, node: &Node) -> Option<Vec<Edit>> {
        let header = self.line_removed(node.span)?;
        let is_whole = self.text[..header.span.end()].ends_with('\n');
        let mut start = header.span.start();
        if is_whole && self.text[..start].ends_with(&self.end.repeat(2)) {
            start -= self.end.len();
        }
        let mut edits = vec![Edit { span: Span::new(start, header.span.end()), text: String::new() }];
        for entry in node.table()?.entries() {
            edits.push(self.removed(entry)?);
        }
        Some(edits)
    }

    fn in_brackets(&self, list: &Node, nodes: &[Node], planned: &Planned<'_>) -> Option<Vec<Edit>> {
        let is_removing = planned.changed.values().any(Option::is_none);
        if nodes.is_empty() || (is_removing && !self.slice(list.span).contains('\n')) {
            return self.rebuilt(list, nodes, planned);
        }
        let mut edits = Vec::new();
        for (place, now) in &planned.changed {
            let node = &nodes[*place];
            match now {
                Some(now) => edits.extend(self.table_replaced(node, node.table()?, now.table()?)?),
                None => edits.push(self.row_removed(node)?),
            }
        }
        let added: Vec<String> = planned.added.iter().map(|node| value::written(node)).collect::<Option<_>>()?;
        if !added.is_empty() {
            edits.extend(self.appended(nodes.last()?, &added));
        }
        Some(edits)
    }

    /// A list on one line: what stays in it is copied as it is written.
    fn rebuilt(&self, list: &Node, nodes: &[Node], planned: &Planned<'_>) -> Option<Vec<Edit>> {
        if self.is_commented(list) {
            return None;
        }
        let items = planned.expected(nodes).into_iter().map(|node| {
            let own = nodes.iter().any(|own| std::ptr::eq(own, node));
            if own { Some(self.slice(node.span).to_string()) } else { value::written(node) }
        });
        let items: Vec<String> = items.collect::<Option<_>>()?;
        Some(vec![Edit { span: list.span, text: format!("[{}]", items.join(", ")) }])
    }

    /// Takes an item out that has its lines for itself; a comment behind it stays.
    fn row_removed(&self, node: &Node) -> Option<Edit> {
        let end = node.last_byte();
        let comma = self.text[end..].starts_with(',');
        self.line_removed(Span::new(node.span.start(), end + usize::from(comma)))
    }

    /// Adds items behind the last one: on lines of their own if that one has its line for itself.
    fn appended(&self, last: &Node, added: &[String]) -> Vec<Edit> {
        let (end, line) = (last.last_byte(), self.line_end(last.last_byte()));
        let has_comma = self.text[end..line].starts_with(',');
        let rest = self.text[end + usize::from(has_comma)..line].trim();
        let start = self.text[..last.span.start()].rfind('\n').map_or(0, |newline| newline + 1);
        let indent = &self.text[start..last.span.start()];
        if !indent.trim().is_empty() || !(rest.is_empty() || rest.starts_with('#')) {
            return vec![Edit { span: Span::new(end, end), text: format!(", {}", added.join(", ")) }];
        }
        let lines = added.iter().map(|item| format!("{indent}{item},{}", self.end)).collect();
        let comma = Edit { span: Span::new(end, end), text: ",".to_string() };
        let lines = Edit { span: Span::new(line, line), text: lines };
        if has_comma { vec![lines] } else { vec![comma, lines] }
    }

    /// A list of words: items that differ one for one, items that come at its end, else the list anew if nothing in it
    /// could be a comment.
    pub(super) fn words_replaced(&self, list: &Node, old: &[Node], new: &[Node]) -> Option<Vec<Edit>> {
        let is_begun = old.iter().zip(new).all(|(old, new)| value::is_same(old, new));
        match old.last() {
            Some(last) if is_begun && new.len() > old.len() => {
                let added: Vec<String> = new[old.len()..].iter().map(value::written).collect::<Option<_>>()?;
                Some(self.appended(last, &added))
            }
            _ if old.len() == new.len() => {
                let differing = old.iter().zip(new).filter(|(old, new)| !value::is_same(old, new));
                let edits: Option<Vec<Vec<Edit>>> = differing.map(|(old, new)| self.replaced(old, new)).collect();
                Some(edits?.concat())
            }
            _ if self.is_commented(list) => None,
            _ => {
                let items: Vec<String> = new.iter().map(value::written).collect::<Option<_>>()?;
                Some(vec![Edit { span: list.span, text: format!("[{}]", items.join(", ")) }])
            }
        }
    }

    /// Says whether a list may hold a comment: it has several lines and a number sign.
    fn is_commented(&self, list: &Node) -> bool {
        let text = self.slice(list.span);
        text.contains('\n') && text.contains('#')
    }
}

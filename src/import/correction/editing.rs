//! Edits an entry as a correction asks: it changes the bytes of the values that differ, and no
//! others.
//!
//! Comments, order and fields unknown to the page remain. Changes that are not safe are left to a
//! person.

mod lists;
mod readings;

use crate::diagnostic::wording;
use crate::import::correction::item::{Item as ListItem, LISTS, Planned};
use crate::import::correction::wanted::Wanted;
use crate::import::correction::{KEYS, prose_seen, value};
use crate::parse::{self, RawRecord};
use crate::source::edit::{self, Edit};
use crate::source::tree::{Entry, Item, Node, Table};
use crate::source::{FileId, SourceFile, Span};

/// Another text below the front matter.
#[derive(Clone, Debug)]
pub struct Prose {
    /// The name of the prose that the page showed.
    pub seen: String,
    /// The prose that is right, with plain line ends.
    pub text: String,
}

/// A text with plain line ends and nothing blank around it.
pub fn plain(text: &str) -> String {
    text.replace("\r\n", "\n").trim().to_string()
}

/// The edits that make the changes; none where the entry says all of it already, else what is in the way.
pub fn edits(file: &SourceFile, changes: &[Wanted], prose: Option<&Prose>) -> Result<Vec<Edit>, Vec<String>> {
    let read = parse::record(FileId(0), file);
    if !read.faults.is_empty() {
        let says = format!("corrects {}, which cannot be read; `check` says why", path(file));
        return Err(vec![says]);
    }
    let editor = Editor::new(file.text(), &read.value);
    let (mut edits, mut problems) = (Vec::new(), Vec::new());
    for wanted in changes {
        let entry = editor.entry(wanted);
        let found = editor.found(wanted);
        if value::are_same(found, wanted.now.as_ref()) {
            continue;
        }
        if !value::are_same(found, wanted.was.as_ref()) {
            problems.push(differs(file, wanted, found));
            continue;
        }
        match editor.change(wanted, entry) {
            Some(made) => edits.extend(made),
            None => problems.push(by_hand(file, wanted)),
        }
    }
    for (list, _) in LISTS {
        match editor.list(list, &Planned::of(list, &read.value.front, changes)) {
            Some(made) => edits.extend(made),
            None => problems.push(list_by_hand(file, list)),
        }
    }
    match editor.added_readings(changes) {
        Some(added) => edits.extend(added),
        None => problems.push(format!("adds readings, and {} has no plain `[features]` to add them to", path(file))),
    }
    if let Some(prose) = prose {
        match editor.prose(prose) {
            Ok(edit) => edits.extend(edit),
            Err(found) => problems.push(format!(
                "gives {} another text, but the text there is not the one that the page showed: it is {}, and would be \
                 {}. Nothing of the correction is taken",
                path(file),
                wording::quote(&found),
                wording::quote(&prose.text)
            )),
        }
    }
    if problems.is_empty() { Ok(edits) } else { Err(problems) }
}

/// Makes the edits, and makes sure that the entry says what it should and otherwise the same as before.
pub fn proved(file: &SourceFile, edits: Vec<Edit>, changes: &[Wanted]) -> Result<String, String> {
    let after = SourceFile::new(file.path().clone(), edit::apply(file.text(), edits));
    let [old, new] = [file, &after].map(|file| parse::record(FileId(0), file));
    let is_as_wanted = |wanted: &Wanted| {
        let is_item = ListItem::of(&wanted.key).is_some();
        is_item || value::are_same(Editor::new(after.text(), &new.value).found(wanted), wanted.now.as_ref())
    };
    let are_items_as_planned = LISTS.into_iter().all(|(list, _)| {
        let expected = Planned::of(list, &old.value.front, changes).expected(old.value.front.list(list));
        let found = new.value.front.list(list);
        found.len() == expected.len() && found.iter().zip(expected).all(|(found, node)| value::is_same(found, node))
    });
    let is_changed = |key: &str| {
        let is_list = LISTS.iter().any(|(list, _)| *list == key);
        is_list || changes.iter().any(|wanted| wanted.key == key)
    };
    let others = |table: &Table, before: &str| -> Vec<(String, Node)> {
        let entries = table.entries().iter().map(|entry| (entry.key.value.to_string(), entry.value.clone()));
        entries.filter(|(key, _)| key != "features" && !is_changed(&format!("{before}{key}"))).collect()
    };
    let rest =
        |front: &Table| [others(front, ""), front.table("features").map_or(Vec::new(), |all| others(all, "features."))];
    let is_kept = rest(&old.value.front).iter().zip(&rest(&new.value.front)).all(|(old, new)| {
        let is_there =
            |(key, node): &(String, Node)| new.iter().any(|(other, new)| other == key && value::is_same(node, new));
        old.len() == new.len() && old.iter().all(is_there)
    });
    if new.faults.is_empty() && is_kept && are_items_as_planned && changes.iter().all(is_as_wanted) {
        return Ok(after.text().to_string());
    }
    Err(format!(
        "cannot be worked into {} without touching more than it corrects; change the entry by hand",
        path(file)
    ))
}

fn path(file: &SourceFile) -> String {
    format!("`{}`", file.path())
}

fn differs(file: &SourceFile, wanted: &Wanted, found: Option<&Node>) -> String {
    format!(
        "`{}` of {} is {} by now; the page showed {}, and the correction says {}. Nothing of the correction is taken: \
         look which is right, then put today's value into its `was`, or change the entry by hand",
        wanted.key,
        path(file),
        value::said(found),
        value::said(wanted.was.as_ref()),
        value::said(wanted.now.as_ref())
    )
}

fn by_hand(file: &SourceFile, wanted: &Wanted) -> String {
    format!(
        "`{}` of {} is written in a way that is not changed safely; the page showed {}, and the correction says {}: \
         change the entry by hand",
        wanted.key,
        path(file),
        value::said(wanted.was.as_ref()),
        value::said(wanted.now.as_ref())
    )
}

fn list_by_hand(file: &SourceFile, list: &str) -> String {
    format!(
        "changes `{list}` of {}, which are written in a way that is not changed safely; change them by hand",
        path(file)
    )
}

struct Editor<'a> {
    text: &'a str,
    record: &'a RawRecord,
    end: &'static str,
}

impl<'a> Editor<'a> {
    fn new(text: &'a str, record: &'a RawRecord) -> Editor<'a> {
        let is_windows = text.find('\n').is_some_and(|newline| text[..newline].ends_with('\r'));
        Editor { text, record, end: if is_windows { "\r\n" } else { "\n" } }
    }

    fn entry(&self, wanted: &Wanted) -> Option<&'a Entry> {
        match wanted.feature() {
            Some(feature) => self.record.front.table("features")?.entry(feature),
            None => self.record.front.entry(&wanted.key),
        }
    }

    /// The present value at the place of a change.
    fn found(&self, wanted: &Wanted) -> Option<&'a Node> {
        let front = &self.record.front;
        match ListItem::of(&wanted.key) {
            Some(item) => item.place(front, wanted).and_then(|place| front.list(item.list).get(place)),
            None => self.entry(wanted).map(|entry| &entry.value),
        }
    }

    /// The edits of one change; new readings are added together, and so are changes of lists. Nothing where it cannot
    /// be done safely.
    fn change(&self, wanted: &Wanted, entry: Option<&Entry>) -> Option<Vec<Edit>> {
        match (entry, &wanted.now) {
            _ if ListItem::of(&wanted.key).is_some() => Some(Vec::new()),
            (Some(entry), Some(now)) => self.replaced(&entry.value, now),
            (Some(entry), None) => self.removed(entry).map(|edit| vec![edit]),
            (None, Some(_)) if wanted.feature().is_some() => Some(Vec::new()),
            (None, Some(now)) => self.added(&wanted.key, &value::written(now)?).map(|edit| vec![edit]),
            (None, None) => Some(Vec::new()),
        }
    }

    fn slice(&self, span: Span) -> &'a str {
        self.text.get(span.start()..span.end()).unwrap_or_default()
    }

    /// Says whether a value follows its key directly; a table can also span lines of its own.
    fn is_plain(&self, node: &Node) -> bool {
        !matches!(node.item, Item::Table(_)) || self.slice(node.span).starts_with('{')
    }

    fn replaced(&self, node: &Node, now: &Node) -> Option<Vec<Edit>> {
        if !self.is_plain(node) {
            return None;
        }
        if let (Some(old), Some(new)) = (node.table(), now.table()) {
            return self.table_replaced(node, old, new);
        }
        if let (Item::List(old), Item::List(new)) = (&node.item, &now.item) {
            return self.words_replaced(node, old, new);
        }
        let anew = |text: String| vec![Edit { span: node.span, text }];
        match (node.text(), now.text()) {
            (Some(old), Some(new)) if is_simple(new) => Some(vec![edit::requoted(self.text, node.span, old, new)]),
            _ => value::written(now).map(anew),
        }
    }

    /// A reading in braces: what stays in it stays as it was written.
    fn table_replaced(&self, node: &Node, old: &Table, new: &Table) -> Option<Vec<Edit>> {
        if old.entries().iter().any(|entry| !new.has(&entry.key.value)) {
            // The keys that stay keep their order.
            let kept = old.entries().iter().filter_map(|entry| new.entry(&entry.key.value));
            let added = new.entries().iter().filter(|entry| !old.has(&entry.key.value));
            let pairs = kept.chain(added).map(|entry| value::pair(&entry.key.value, &entry.value));
            let text = format!("{{ {} }}", pairs.collect::<Option<Vec<String>>>()?.join(", "));
            return Some(vec![Edit { span: node.span, text }]);
        }
        let mut edits = Vec::new();
        let mut added = String::new();
        for entry in new.entries() {
            match old.get(&entry.key.value) {
                Some(before) if value::is_same(before, &entry.value) => {}
                Some(before) => edits.extend(self.replaced(before, &entry.value)?),
                None => added.push_str(&format!(", {}", value::pair(&entry.key.value, &entry.value)?)),
            }
        }
        let last = old.entries().last()?.value.last_byte();
        if !added.is_empty() {
            edits.push(Edit { span: Span::new(last, last), text: added });
        }
        Some(edits)
    }

    /// Takes a key and its value out; a comment at the end of its line stays.
    fn removed(&self, entry: &Entry) -> Option<Edit> {
        let whole = Span::new(entry.key.span.start(), entry.value.last_byte());
        self.is_plain(&entry.value).then(|| self.line_removed(whole)).flatten()
    }

    /// Takes out what has its lines for itself; a comment at the end stays.
    fn line_removed(&self, whole: Span) -> Option<Edit> {
        let (first, end) = (whole.start(), whole.end());
        let start = self.text[..first].rfind('\n').map_or(0, |newline| newline + 1);
        if !self.text[start..first].trim().is_empty() {
            return None;
        }
        let rest = &self.text[end..self.line_end(end)];
        let span = match rest.trim() {
            "" => Span::new(start, self.line_end(end)),
            comment if comment.starts_with('#') => Span::new(first, end + (rest.len() - rest.trim_start().len())),
            _ => return None,
        };
        Some(Edit { span, text: String::new() })
    }

    /// The byte after the line end that comes next.
    fn line_end(&self, from: usize) -> usize {
        self.text[from..].find('\n').map_or(self.text.len(), |newline| from + newline + 1)
    }

    /// Adds a key after the one that comes before it in entries.
    fn added(&self, key: &str, value: &str) -> Option<Edit> {
        let place = KEYS.iter().position(|other| *other == key).unwrap_or(KEYS.len());
        let before = KEYS[..place].iter().rev().chain(&["basis"]);
        let before = before.filter_map(|key| self.record.front.get(key)).find(|node| self.is_plain(node));
        let after = before.map_or(self.record.front.span().end(), Node::last_byte);
        let at = self.line_end(after);
        Some(Edit { span: Span::new(at, at), text: format!("{key} = {value}{}", self.end) })
    }

    /// The first byte of the fence that closes the front matter.
    fn closing(&self) -> Option<usize> {
        self.text[..self.record.body.start()].rfind("+++")
    }

    /// Another text below the front matter; if it is not the one that was seen, it comes back.
    fn prose(&self, prose: &Prose) -> Result<Option<Edit>, String> {
        let (Prose { seen, text }, body) = (prose, self.record.body);
        let (written, found) = (self.slice(body), plain(self.slice(body)));
        if found == *text {
            return Ok(None);
        }
        if prose_seen(written) != *seen {
            return Err(found);
        }
        let text = text.replace('\n', self.end);
        if found.is_empty() {
            let before = if self.text[..body.start()].ends_with('\n') { "" } else { self.end };
            let span = Span::new(body.start(), body.start());
            return Ok(Some(Edit { span, text: format!("{before}{text}{}", self.end) }));
        }
        let start = body.start() + (written.len() - written.trim_start().len());
        let end = body.end() - (written.len() - written.trim_end().len());
        Ok(Some(Edit { span: Span::new(start, end), text }))
    }
}

/// Says whether a text needs no escapes in any kind of quotation marks.
fn is_simple(text: &str) -> bool {
    !text.chars().any(|character| matches!(character, '"' | '\'' | '\\') || wording::is_hidden(character))
}

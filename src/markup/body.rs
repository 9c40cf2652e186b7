//! The sanitiser: filters parsed Markdown events down to those that may reach a page.
//!
//! Only HTML written here leaves as HTML; a stranger's becomes text. `address` decides which addresses are harmless;
//! `source` bounds the work of parsing.

use std::collections::{BTreeMap, BTreeSet};
use std::mem;

use pulldown_cmark::{Alignment, CodeBlockKind, CowStr, Event, HeadingLevel, LinkType, Parser, Tag, TagEnd};

use super::address::Address;
use super::{Above, dialect, escape, outline, source};

/// Elements that may be open at once; what is nested deeper is shown as text.
const DEPTH: usize = 64;

/// Gives the events of a bounded source that may reach a page, with ids that begin with `scope`.
pub fn safe_events<'a>(source: &'a str, scope: &'a str, above: Above) -> Vec<Event<'a>> {
    let mut body = Body { scope, ..Body::default() };
    for event in Parser::new_ext(source, dialect()) {
        body.take(event);
    }
    body.place_fragments();
    outline::settle(&mut body.events, above);
    body.events
}

#[derive(Default)]
struct Body<'a> {
    scope: &'a str,
    events: Vec<Event<'a>>,
    /// For each open tag, its closing tag; `None` if the tag was dropped.
    closers: Vec<Option<Event<'a>>>,
    depth: usize,
    is_in_link: bool,
    heading: Option<Heading>,
    sections: BTreeSet<String>,
    /// How often each heading's words have been met.
    repeats: BTreeMap<String, usize>,
    fragments: Vec<Fragment>,
    notes: Notes,
    table: Columns,
}

struct Heading {
    start: usize,
    level: HeadingLevel,
    words: String,
}

struct Fragment {
    start: usize,
    target: String,
    title: String,
}

#[derive(Default)]
struct Notes {
    numbers: BTreeMap<String, usize>,
    defined: BTreeSet<usize>,
    count: usize,
}

#[derive(Default)]
struct Columns {
    alignments: Vec<Alignment>,
    next: usize,
    cell: &'static str,
}

impl<'a> Body<'a> {
    fn take(&mut self, event: Event<'a>) {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(end) => self.end(end),
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => self.text(text),
            Event::Code(text) => {
                self.note_words(&text);
                self.events.push(Event::Code(shown(text)));
            }
            Event::InlineMath(text) | Event::DisplayMath(text) => self.text(text),
            Event::FootnoteReference(label) => self.refer(&label),
            // Written here as HTML writes it, since the library writes it as XHTML does.
            Event::HardBreak => self.push_html("<br>\n".to_owned()),
            Event::Rule => self.push_html("<hr>\n".to_owned()),
            Event::SoftBreak => {
                self.note_words(" ");
                self.events.push(Event::SoftBreak);
            }
            Event::TaskListMarker(_) => {}
        }
    }

    fn push_html(&mut self, html: String) {
        self.events.push(Event::InlineHtml(html.into()));
    }

    fn text(&mut self, text: CowStr<'a>) {
        self.note_words(&text);
        self.events.push(Event::Text(shown(text)));
    }

    fn note_words(&mut self, text: &str) {
        if let Some(heading) = &mut self.heading {
            heading.words.push_str(text);
        }
    }

    fn start(&mut self, tag: Tag<'a>) {
        let closer = if self.is_dropped(&tag) { None } else { self.open(tag) };
        self.depth += usize::from(closer.is_some());
        self.closers.push(closer);
    }

    fn is_dropped(&self, tag: &Tag<'_>) -> bool {
        // A part is kept only with its whole: the browser would move a row without its table.
        match tag {
            Tag::Item | Tag::TableHead | Tag::TableRow | Tag::TableCell => matches!(self.closers.last(), Some(None)),
            _ => self.depth >= DEPTH,
        }
    }

    fn open(&mut self, tag: Tag<'a>) -> Option<Event<'a>> {
        match tag {
            Tag::Paragraph | Tag::List(_) | Tag::Item | Tag::Emphasis | Tag::Strong | Tag::Strikethrough => {
                self.keep(tag)
            }
            Tag::HtmlBlock => self.keep(Tag::Paragraph),
            Tag::BlockQuote(_) => self.keep(Tag::BlockQuote(None)),
            // A fence's language is a class name that a stranger could choose.
            Tag::CodeBlock(_) => self.keep(Tag::CodeBlock(CodeBlockKind::Indented)),
            Tag::Heading { level, .. } => self.open_heading(level),
            Tag::Link { link_type, dest_url, title, .. } => self.open_link(link_type, &dest_url, &title),
            Tag::Image { .. } => {
                self.events.push(Event::Text("[picture: ".into()));
                Some(Event::Text("]".into()))
            }
            Tag::FootnoteDefinition(label) => Some(self.open_note(&label)),
            Tag::Table(_) | Tag::TableHead | Tag::TableRow | Tag::TableCell => self.open_table(tag),
            _ => None,
        }
    }

    fn keep(&mut self, tag: Tag<'a>) -> Option<Event<'a>> {
        let end = tag.to_end();
        self.events.push(Event::Start(tag));
        Some(Event::End(end))
    }

    fn end(&mut self, end: TagEnd) {
        let Some(closer) = self.closers.pop().flatten() else {
            if !matches!(end, TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link) {
                self.events.push(Event::SoftBreak);
            }
            return;
        };
        self.depth -= 1;
        match end {
            TagEnd::Link => self.is_in_link = false,
            TagEnd::Heading(_) => self.name_heading(),
            TagEnd::Image => self.close_picture(),
            _ => {}
        }
        self.events.push(closer);
    }

    fn close_picture(&mut self) {
        if let Some(Event::Text(last)) = self.events.last_mut()
            && last.as_ref() == "[picture: "
        {
            *last = "[picture".into();
        }
    }

    fn open_heading(&mut self, level: HeadingLevel) -> Option<Event<'a>> {
        self.heading = Some(Heading { start: self.events.len(), level, words: String::new() });
        self.keep(Tag::Heading { level, id: None, classes: Vec::new(), attrs: Vec::new() })
    }

    fn name_heading(&mut self) {
        let Some(Heading { start, level, words }) = self.heading.take() else { return };
        let name = self.section_name(&slug(&words));
        let id = Some(format!("{}-section-{name}", self.scope).into());
        self.sections.insert(name);
        self.events[start] = Event::Start(Tag::Heading { level, id, classes: Vec::new(), attrs: Vec::new() });
    }

    fn section_name(&mut self, slug: &str) -> String {
        let count = self.repeats.entry(slug.to_owned()).or_default();
        loop {
            *count += 1;
            let name = if *count == 1 { slug.to_owned() } else { format!("{slug}-{count}") };
            if !self.sections.contains(&name) {
                return name;
            }
        }
    }

    fn open_link(&mut self, link_type: LinkType, destination: &str, title: &str) -> Option<Event<'a>> {
        let is_letter = link_type == LinkType::Email && !destination.starts_with("mailto:");
        let destination = if is_letter { format!("mailto:{destination}") } else { destination.to_owned() };
        let address = Address::read(&destination).filter(|_| !self.is_in_link)?;
        let title =
            if title.is_empty() { String::new() } else { format!(" title=\"{}\"", escape(&source::shown(title))) };
        match address {
            Address::Fragment(target) => {
                self.fragments.push(Fragment { start: self.events.len(), target, title });
                self.push_html(String::new());
            }
            Address::Local(address) => self.push_html(format!("<a href=\"{}\"{title}>", escape(&address))),
            Address::External(address) => {
                self.push_html(format!("<a href=\"{}\"{title} rel=\"nofollow noopener ugc\">", escape(&address)));
            }
        }
        self.is_in_link = true;
        Some(Event::InlineHtml("</a>".into()))
    }

    /// Writes the links to places on the page: to a heading of this body by its words, else to an anchor of the page.
    fn place_fragments(&mut self) {
        for Fragment { start, target, title } in mem::take(&mut self.fragments) {
            let is_own = self.sections.contains(&target);
            let target = if is_own { format!("{}-section-{target}", self.scope) } else { target };
            self.events[start] = Event::InlineHtml(format!("<a href=\"#{}\"{title}>", escape(&target)).into());
        }
    }

    fn refer(&mut self, label: &str) {
        let number = self.notes.number(label);
        if self.is_in_link {
            self.events.push(Event::Text(format!("[{number}]").into()));
            return;
        }
        let scope = escape(self.scope);
        self.push_html(format!(
            "<sup class=\"footnote-reference\"><a href=\"#{scope}-note-{number}\">{number}</a></sup>"
        ));
    }

    fn open_note(&mut self, label: &str) -> Event<'a> {
        let number = self.notes.define(label);
        let (scope, label) = (escape(self.scope), "<sup class=\"footnote-definition-label\">");
        self.push_html(format!(
            "<div class=\"footnote-definition\" id=\"{scope}-note-{number}\">{label}{number}</sup>\n"
        ));
        Event::InlineHtml("</div>\n".into())
    }

    fn open_table(&mut self, tag: Tag<'a>) -> Option<Event<'a>> {
        match tag {
            Tag::Table(alignments) => {
                self.table = Columns { alignments, next: 0, cell: "td" };
                self.keep(Tag::Table(Vec::new()))
            }
            Tag::TableCell => {
                let (start, end) = self.table.next_cell();
                self.push_html(start);
                Some(Event::InlineHtml(end.into()))
            }
            row => {
                self.table.next = 0;
                self.table.cell = if row == Tag::TableHead { "th" } else { "td" };
                self.keep(row)
            }
        }
    }
}

impl Notes {
    fn number(&mut self, label: &str) -> usize {
        *self.numbers.entry(label.to_lowercase()).or_insert_with(|| {
            self.count += 1;
            self.count
        })
    }

    /// Gives the number of a note; a second note with the same label gets a number of its own.
    fn define(&mut self, label: &str) -> usize {
        let number = self.number(label);
        if self.defined.insert(number) {
            return number;
        }
        self.count += 1;
        self.count
    }
}

impl Columns {
    // The library would write alignments as `style` attributes, which the policy of our pages forbids.
    fn next_cell(&mut self) -> (String, String) {
        let class = match self.alignments.get(self.next) {
            Some(Alignment::Left) => " class=\"align-left\"",
            Some(Alignment::Center) => " class=\"align-center\"",
            Some(Alignment::Right) => " class=\"align-right\"",
            _ => "",
        };
        self.next += 1;
        (format!("<{}{class}>", self.cell), format!("</{}>", self.cell))
    }
}

fn shown(text: CowStr<'_>) -> CowStr<'_> {
    if text.chars().all(source::is_shown) { text } else { source::shown(&text).into() }
}

/// The anchor of a heading: its letters and digits in lower case, joined by hyphens.
pub fn slug(words: &str) -> String {
    let mut slug = String::new();
    for character in words.chars().flat_map(char::to_lowercase).take(80) {
        if character.is_alphanumeric() {
            slug.push(character);
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "untitled".to_owned() } else { slug.to_owned() }
}

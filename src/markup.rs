//! Turns strangers' Markdown and SVG into HTML and SVG that only show something, and writes the policy that pages carry
//! as a second wall.
//!
//! It reads no file, follows no link and lets no stranger make a page load anything. It does not check that links lead
//! somewhere, and has no texts of faults.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use pulldown_cmark::Options;
use sha2::{Digest, Sha256};

mod address;
mod attribute;
mod body;
mod copies;
mod drawing;
mod outline;
mod plain;
mod source;

/// The policy of a page whose scripts, styles and pictures are files beside it.
///
/// Tried in Chromium 156 from `file://`: `'self'` matches scripts, style sheets and pictures in the page's folder,
/// below it and above it. It stops inline scripts, `style` attributes and elements, `javascript:` links, frames,
/// foreign workers and `data:`. `file:` itself is left out, since it would also match other machines' shares.
pub const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; worker-src 'self'; manifest-src 'self'; \
     base-uri 'none'; form-action 'none'";

/// Why a text is not shown as a drawing; offsets are bytes of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SvgFault {
    /// The text is longer than 1 MiB.
    TooLong,
    /// XML or HTML does not allow the character at this offset.
    ForbiddenCharacter { offset: usize },
    /// The text stops being well-formed XML near this offset.
    NotWellFormed {
        /// Where reading stopped.
        offset: usize,
    },
    /// An entity other than XML's own five and character numbers is used near this offset.
    UnknownEntity {
        /// Where reading stopped.
        offset: usize,
    },
    /// Something not on the allow-list of drawings.
    NotAllowed {
        /// A name for it in words.
        what: String,
        offset: usize,
    },
    /// The text is not one `svg` element of the SVG namespace.
    NotOneDrawing,
    /// Elements are nested more than 64 deep.
    TooDeep,
    /// The `use` elements would draw more than 100,000 elements, or copy themselves.
    TooManyCopies,
}

/// The heading above a body, which sets the level of its headings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Above {
    /// The heading of the page.
    Page,
    /// The heading of a section.
    Section,
}

/// Turns a stranger's Markdown into HTML in which nothing runs and nothing loads.
///
/// Every id begins with `scope`, so that two bodies can stand on one page; `scope` has no spaces.
///
/// ```
/// use bartack::markup::{Above, html};
/// assert_eq!(html("*see* <b>[x](javascript:y)</b>", "a", Above::Page), "<p><em>see</em> &lt;b&gt;x&lt;/b&gt;</p>\n");
/// ```
pub fn html(markdown: &str, scope: &str, above: Above) -> String {
    let source = source::bounded(markdown);
    let mut html = String::with_capacity(source.len() * 3 / 2);
    pulldown_cmark::html::push_html(&mut html, body::safe_events(&source, scope, above).into_iter());
    html
}

/// Gives the id that a body's heading gets in `html`, if no other heading of the body has the same words.
///
/// ```
/// assert_eq!(bartack::markup::heading_id("guide", "Label line"), "guide-section-label-line");
/// ```
pub fn heading_id(scope: &str, words: &str) -> String {
    format!("{scope}-section-{}", body::slug(words))
}

/// Gives the words of a Markdown text, one line a block, for searching and feeds.
pub fn plain(markdown: &str) -> String {
    plain::words(&source::bounded(markdown))
}

/// Gives the first sentence of a Markdown text's first paragraph.
pub fn first_sentence(markdown: &str) -> String {
    let paragraph = plain::first_paragraph(&source::bounded(markdown));
    let end = plain::sentence_ends(&paragraph).next().unwrap_or(paragraph.len());
    paragraph[..end].to_owned()
}

/// Gives the beginning of a Markdown text's first paragraph in at most `limit` characters: whole sentences, or else words and "…".
pub fn summary(markdown: &str, limit: usize) -> String {
    plain::shortened(&plain::first_paragraph(&source::bounded(markdown)), limit)
}

/// Escapes a text for HTML and XML text and quoted attributes.
///
/// ```
/// assert_eq!(bartack::markup::escape("<a b='&'>"), "&lt;a b=&#39;&amp;&#39;&gt;");
/// ```
pub fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len() + text.len() / 8);
    for character in text.chars() {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            other => escaped.push(other),
        }
    }
    escaped
}

/// Turns a sentence with names in backticks into HTML in which each stands as code.
///
/// ```
/// assert_eq!(bartack::markup::with_code("`<` has to stand there"), "<code>&lt;</code> has to stand there");
/// ```
pub fn with_code(sentence: &str) -> String {
    let parts = sentence.split('`').map(escape).enumerate();
    parts.map(|(number, part)| if number % 2 == 0 { part } else { format!("<code>{part}</code>") }).collect()
}

/// Gives a stranger's SVG in one spelling, for HTML or alone, if nothing in it runs, loads or moves.
///
/// A drawing that holds anything else is refused. Its output reads as itself.
pub fn svg(text: &str) -> Result<String, SvgFault> {
    drawing::inert(text)
}

/// Gives the policy of a page without other files: it runs only these inline scripts and uses only these `style`
/// elements.
///
/// Each text is the whole content of its element.
pub fn policy_with_hashes(scripts: &[&str], styles: &[&str]) -> String {
    format!(
        "default-src 'none'; script-src {}; style-src {}; base-uri 'none'; form-action 'none'",
        hashes(scripts),
        hashes(styles)
    )
}

/// Returns the policy of a page that runs one inline script and uses one `style` element besides
/// the files of its own site.
pub fn policy_with_own_and(script: &str, style: &str) -> String {
    let allowed = |directive: &str, text: &str| format!("{directive} 'self' {}", hash_source(text));
    CONTENT_SECURITY_POLICY
        .replace("script-src 'self'", &allowed("script-src", script))
        .replace("style-src 'self'", &allowed("style-src", style))
}

fn hashes(texts: &[&str]) -> String {
    if texts.is_empty() {
        return "'none'".to_owned();
    }
    let sources: Vec<String> = texts.iter().map(|text| hash_source(text)).collect();
    sources.join(" ")
}

fn hash_source(text: &str) -> String {
    // A browser hashes what its parser gives, and the parser turns every line end into LF.
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

fn dialect() -> Options {
    Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_STRIKETHROUGH
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Above, first_sentence, html, plain, policy_with_hashes, summary};

    #[test]
    fn policy_names_the_hash_of_each_inline_text() {
        // The script and its hash are the worked example of W3C Content Security Policy Level 2, on hashes for script elements.
        let script = "alert('Hello, world.');";
        let expected = "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='";
        let policy = policy_with_hashes(&[script], &[]);
        assert_eq!(
            policy,
            format!("default-src 'none'; script-src {expected}; style-src 'none'; base-uri 'none'; form-action 'none'")
        );
        assert_eq!(policy_with_hashes(&["a\r\nb"], &[]), policy_with_hashes(&["a\nb"], &[]));
    }

    #[test]
    fn words_leave_out_marks_and_keep_blocks_apart() {
        let rows = [
            ("# Bar *tack*\n\nTwo\nlines", "Bar tack\nTwo lines"),
            ("- one\n- two [x](y) ![alt](z)", "one\ntwo x alt"),
            ("a|b\n-|-\n`c`|d", "a b\nc d"),
            ("a &amp; b[^1]\n\n[^1]: note", "a & b\nnote"),
            ("x<br>y\u{0}&#x202E;", "x<br>y"),
            ("", ""),
        ];
        for (markdown, expected) in rows {
            assert_eq!(plain(markdown), expected, "{markdown}");
        }
    }

    #[test]
    fn first_sentence_ends_where_a_reader_would_stop() {
        let rows = [
            ("# Head\n\nOne here. Two here.", "One here."),
            ("Made c. 1970 by J. Orla. Then not.", "Made c. 1970 by J. Orla."),
            ("Is it? \"Yes.\" More", "Is it?"),
            ("Width 2.5 cm, approx. right. End", "Width 2.5 cm, approx. right."),
            ("no stop", "no stop"),
            ("- only a list", "only a list"),
        ];
        for (markdown, expected) in rows {
            assert_eq!(first_sentence(markdown), expected, "{markdown}");
        }
    }

    #[test]
    fn summary_keeps_whole_sentences_or_whole_words() {
        let text = "One is here. Two is here. Three";
        let rows =
            [(100, text), (25, "One is here. Two is here."), (24, "One is here."), (8, "One is…"), (2, "O…"), (0, "")];
        for (limit, expected) in rows {
            assert_eq!(summary(text, limit), expected, "{limit}");
        }
    }

    #[test]
    fn nothing_gives_nothing() {
        assert_eq!(html("", "a", Above::Page), "");
        assert_eq!(summary("", 5), "");
    }
}

//! Known attacks, and any text at all, against the Markdown sanitiser and the reader of drawings.
//!
//! The judge is `ammonia` (html5ever underneath), which shares no code with them: allowed exactly what we mean to emit,
//! it must find nothing to change.

#![allow(clippy::unwrap_used)]

use std::time::Duration;

use bartack::markup::{Above, SvgFault, html, plain, summary, svg};
use proptest::prelude::{Strategy, any, proptest};

use self::vectors::{DRAWINGS, MARKDOWN};
use crate::judge::{assert_inert, html_judge, svg_judge};
use crate::support;

#[path = "payloads/vectors.rs"]
mod vectors;

#[test]
fn the_judge_sees_what_it_should() {
    for bad in
        ["<p onclick=\"x\">a</p>", "<script>x</script>", "<a href=\"javascript:x\">a</a>", "<p>a<table>b</table></p>"]
    {
        assert_ne!(html_judge().clean(bad).to_string(), bad);
    }
    for bad in ["<svg onload=\"x\"></svg>", "<svg><script>x</script></svg>", "<svg><title><p>x</p></title></svg>"] {
        assert_ne!(svg_judge().clean(bad).to_string(), bad);
    }
}

#[test]
fn known_attacks_in_markdown_are_inert() {
    let judge = html_judge();
    for payload in MARKDOWN {
        let wrapped = [
            payload.to_owned(),
            format!("> - {payload}"),
            format!("# {payload}"),
            format!("*a {payload} b*"),
            format!("a|b\n-|-\n{payload}|c"),
        ];
        for markdown in wrapped {
            assert_inert(&judge, &html(&markdown, "s", Above::Section), &markdown);
        }
    }
}

#[test]
fn what_is_known_is_counted() {
    support::tried("known attacks on Markdown, each in five places", MARKDOWN.len());
    support::tried("known attacks on drawings", DRAWINGS.len());
}

#[test]
fn known_attacks_lose_their_links() {
    for payload in MARKDOWN.iter().filter(|payload| payload.starts_with("[x]") || payload.starts_with("![")) {
        let output = html(payload, "s", Above::Section);
        let is_link = output.contains("<a ");
        assert_eq!(is_link, payload.contains("http://a "), "{payload}: {output}");
        assert!(!output.contains("<img"), "{output}");
    }
}

#[test]
fn known_attacks_in_drawings_are_refused_or_inert() {
    let judge = svg_judge();
    assert!(svg("<svg viewBox='0 0 9 9' onload='alert(1)'/>").is_err());
    for payload in DRAWINGS {
        let text = format!("<svg viewBox='0 0 9 9'>{payload}</svg>");
        match svg(&text) {
            Ok(output) => {
                // Only what is text, and stays text.
                let is_text = ["<title>&lt;", "<desc><![CDATA[", "<text>"].iter().any(|head| payload.starts_with(head));
                assert!(is_text, "{payload}");
                assert_inert(&judge, &output, &text);
                assert_eq!(svg(&output).as_deref(), Ok(output.as_str()));
            }
            Err(fault) => {
                let is_named = matches!(fault, SvgFault::NotAllowed { .. } | SvgFault::NotWellFormed { .. });
                assert!(is_named, "{text}: {fault:?}");
            }
        }
    }
}

#[test]
fn entity_bombs_and_external_entities_are_refused() {
    let external = "<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]><svg><text>&x;</text></svg>";
    let bomb = "<!DOCTYPE svg [<!ENTITY a 'b'><!ENTITY c '&a;&a;'>]><svg><text>&c;&c;</text></svg>";
    for text in [external, bomb] {
        assert!(matches!(svg(text), Err(SvgFault::NotAllowed { .. })), "{text}");
    }
}

#[test]
fn deep_and_repeated_texts_take_linear_time() {
    let half = 1 << 19;
    let fill = |text: &str| text.repeat(half / text.len());
    let lines = fill("b\n");
    let texts = [
        "- ".repeat(10_000) + "a",
        "> ".repeat(10_000) + "a",
        "[".repeat(50_000),
        "[".repeat(50_000) + &"]".repeat(50_000),
        fill("- ") + "a\n" + &lines,
        fill("> ") + "a\n" + &lines,
        fill("1. ") + "a\n" + &lines,
        fill("> - ") + "a\n" + &lines,
        fill("[^a]: ") + "a\n" + &lines,
        fill("> ") + "a|b\n-|-\n" + &fill("c|d\n"),
        staircase(half) + &lines,
        fill("# a\n"),
        fill("![[]("),
        fill("<a x='"),
        fill("*a **b "),
        fill("[a]: b '\n"),
        fill("`a [b]("),
        fill("|a") + "\n" + &"|-".repeat(half / 3) + "\n" + &fill("|\n"),
    ];
    for text in texts {
        let begun = support::processor_time();
        html(&text, "s", Above::Section);
        // Linear work takes under 0.3 s here; the quadratic work that this guards against took minutes.
        let took = support::processor_time() - begun;
        assert!(took < Duration::from_secs(5), "{:?} {took:?}", &text[..20]);
        plain(&text);
    }
}

fn staircase(length: usize) -> String {
    let mut text = String::new();
    for level in 0.. {
        text.push_str(&format!("{}- a\n", "  ".repeat(level)));
        if text.len() > length {
            break;
        }
    }
    text
}

#[test]
fn deep_nesting_ends_as_text() {
    let output = html(&("> ".repeat(100) + "end"), "s", Above::Section);
    assert_eq!(output.matches("<blockquote>").count(), 64);
    assert!(output.contains("end"));
    assert_inert(&html_judge(), &output, "100 quotes");
}

#[test]
fn a_body_reads_as_it_was_meant() {
    let rows = [
        (
            "# One\n\n## One\n\n# One",
            "<h3 id=\"s-section-one\">One</h3>\n<h4 id=\"s-section-one-2\">One</h4>\n<h3 id=\"s-section-one-3\">One</h3>\n",
        ),
        (
            "## Two\n\n#### Four\n\n## Two",
            "<h3 id=\"s-section-two\">Two</h3>\n<h4 id=\"s-section-four\">Four</h4>\n<h3 id=\"s-section-two-2\">Two</h3>\n",
        ),
        (
            "[go](#late) [top](#page)\n\n### Late",
            "<p><a href=\"#s-section-late\">go</a> <a href=\"#page\">top</a></p>\n<h3 id=\"s-section-late\">Late</h3>\n",
        ),
        (
            "[x](https://example.org 't')",
            "<p><a href=\"https://example.org\" title=\"t\" rel=\"nofollow noopener ugc\">x</a></p>\n",
        ),
        (
            "<ida@example.org>",
            "<p><a href=\"mailto:ida@example.org\" rel=\"nofollow noopener ugc\">ida@example.org</a></p>\n",
        ),
        ("![back *label*](x.png) ![](y)", "<p>[picture: back <em>label</em>] [picture]</p>\n"),
        (
            "a|b\n-|-:\nc|d",
            "<table><thead><tr><th>a</th><th class=\"align-right\">b</th></tr></thead><tbody>\n<tr><td>c</td><td class=\"align-right\">d</td></tr>\n</tbody></table>\n",
        ),
        (
            "a[^n]\n\n[^n]: b",
            "<p>a<sup class=\"footnote-reference\"><a href=\"#s-note-1\">1</a></sup></p>\n<div class=\"footnote-definition\" id=\"s-note-1\"><sup class=\"footnote-definition-label\">1</sup>\n<p>b</p>\n</div>\n",
        ),
        ("~~a~~ `<b>`  \nc", "<p><del>a</del> <code>&lt;b&gt;</code><br>\nc</p>\n"),
        ("```rust\na\n```", "<pre><code>a\n</code></pre>\n"),
        ("<div>\n*a*\n</div>", "<p>&lt;div&gt;\n*a*\n&lt;/div&gt;</p>\n"),
    ];
    for (markdown, expected) in rows {
        assert_eq!(html(markdown, "s", Above::Section), expected, "{markdown}");
    }
}

/// Texts made of the pieces that attacks are made of, and of anything.
fn pieces() -> impl Strategy<Value = String> {
    const PIECES: [&str; 44] = [
        "<",
        ">",
        "\"",
        "'",
        "&",
        ";",
        "[",
        "]",
        "(",
        ")",
        "!",
        "*",
        "_",
        "`",
        "~~",
        "|",
        "\n",
        "\n\n",
        "- ",
        "> ",
        "# ",
        "[^a]",
        "[^a]: ",
        "    ",
        "1. ",
        "javascript:",
        "http://a",
        "//",
        "&#x0A;",
        "&colon;",
        "<script>",
        "</p>",
        "<svg onload=x>",
        "-->",
        "<!--",
        "<![CDATA[",
        "]]>",
        "\u{0}",
        "\u{A0}",
        "a|b\n-|-\n",
        "<http://b>",
        "\r",
        "\\",
        "x",
    ];
    let piece = (0..PIECES.len() * 2, any::<char>());
    proptest::collection::vec(piece, 0..60).prop_map(|picks| {
        picks
            .into_iter()
            .map(|(at, other)| PIECES.get(at).map_or(other.to_string(), |piece| (*piece).to_owned()))
            .collect()
    })
}

/// Drawings made of the pieces that attacks are made of; many are not well-formed.
fn drawings() -> impl Strategy<Value = String> {
    const PIECES: [&str; 30] = [
        "<g>",
        "</g>",
        "<g id='a' fill='url(#b)'>",
        "</g>",
        "<title>",
        "</title>",
        "<desc>",
        "</desc>",
        "<text>",
        "</text>",
        "<script>",
        "</script>",
        "<use href='#a'/>",
        "<use href='x'/>",
        "<rect style='fill:red;stroke:url(x)' onload='x'/>",
        "<![CDATA[<p>]]>",
        "&lt;",
        "&#13;",
        "&amp;",
        "\r\n",
        "\n",
        "x",
        "\u{A0}",
        "<!-- -->",
        "<?a b?>",
        "<svg>",
        "</svg>",
        "<rect class='a&#10;\tb' aria-label='&lt;&quot;'/>",
        "<b/>",
        "<style/>",
    ];
    proptest::collection::vec(0..PIECES.len(), 0..12)
        .prop_map(|picks| format!("<svg>{}</svg>", picks.into_iter().map(|at| PIECES[at]).collect::<String>()))
}

proptest! {
    #[test]
    fn any_markdown_is_inert(markdown in pieces()) {
        assert_inert(&html_judge(), &html(&markdown, "s", Above::Section), &markdown);
        assert!(summary(&markdown, 20).chars().count() <= 20);
    }

    #[test]
    fn any_drawing_is_inert_and_stays_as_it_is(text in drawings()) {
        if let Ok(once) = svg(&text) {
            assert_inert(&svg_judge(), &once, &text);
            assert_eq!(svg(&once), Ok(once));
        }
    }

    #[test]
    fn any_text_is_a_drawing_or_a_fault(text in any::<String>()) {
        let _ = svg(&text);
        let _ = svg(&format!("<svg>{text}</svg>"));
    }
}

//! Decides whether and how a stranger's link may be kept.
//!
//! It does not ask whether the address exists.

/// An address that a link may lead to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// Another site, or a letter to somebody.
    External(String),
    /// A page of the same site.
    Local(String),
    /// A place on the same page, without its `#`.
    Fragment(String),
}

impl Address {
    /// Reads a decoded address: http, https, mailto, or relative without anything a browser could take for a scheme or host.
    pub fn read(text: &str) -> Option<Address> {
        let text = text.trim_matches(' ');
        let is_odd =
            |character: char| character.is_control() || "\\\"<>`".contains(character) || is_invisible(character);
        if text.is_empty() || text.contains(is_odd) {
            return None;
        }
        let text = text.replace(' ', "%20");
        match text.split_once(':') {
            Some((scheme, rest)) if !scheme.contains(['/', '?', '#']) => external(scheme, rest),
            _ => local(text),
        }
    }
}

fn external(scheme: &str, rest: &str) -> Option<Address> {
    let scheme = scheme.to_ascii_lowercase();
    let is_kept = match scheme.as_str() {
        "http" | "https" => rest.strip_prefix("//").is_some_and(has_host),
        "mailto" => !rest.is_empty() && !rest.starts_with('/'),
        _ => false,
    };
    is_kept.then(|| Address::External(format!("{scheme}:{rest}")))
}

/// Says whether a host follows, in ASCII, with at most a port: a name and password before it could imitate another
/// host.
fn has_host(rest: &str) -> bool {
    let authority = rest.split(['/', '?', '#']).next().unwrap_or_default();
    let bracketed = authority.strip_prefix('[').and_then(|rest| rest.split_once(']'));
    let (is_host, port) = match bracketed {
        Some((numbers, port)) => (numbers.chars().all(|digit| digit.is_ascii_hexdigit() || digit == ':'), port),
        None => {
            let (host, port) = authority.split_at(authority.find(':').unwrap_or(authority.len()));
            let is_part = |character: char| character.is_ascii_alphanumeric() || matches!(character, '-' | '.' | '_');
            (host.starts_with(|first: char| first.is_ascii_alphanumeric()) && host.chars().all(is_part), port)
        }
    };
    is_host && (port.is_empty() || port.strip_prefix(':').is_some_and(|port| port.parse::<u16>().is_ok()))
}

fn local(text: String) -> Option<Address> {
    if let Some(fragment) = text.strip_prefix('#') {
        return Some(Address::Fragment(fragment.to_owned()));
    }
    // An entity that survived decoding would turn into a scheme if some later reader decoded once more.
    let has_entity = text.split('&').skip(1).any(|part| part.contains(';'));
    (!text.starts_with("//") && !has_entity).then_some(Address::Local(text))
}

fn is_invisible(character: char) -> bool {
    matches!(character, '\u{AD}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202F}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}')
        || (character.is_whitespace() && character != ' ')
}

#[cfg(test)]
mod tests {
    use super::Address;

    #[test]
    fn known_schemes_and_relative_addresses_are_kept() {
        let rows = [
            ("HTTPS://example.org/a?b=c&d=e#f", Address::External("https://example.org/a?b=c&d=e#f".to_owned())),
            ("http://[2001:db8::1]/", Address::External("http://[2001:db8::1]/".to_owned())),
            ("http://example.org:80", Address::External("http://example.org:80".to_owned())),
            ("mailto:ida@example.org", Address::External("mailto:ida@example.org".to_owned())),
            ("../a b.html", Address::Local("../a%20b.html".to_owned())),
            ("/root?x=javascript:1", Address::Local("/root?x=javascript:1".to_owned())),
            ("a?b=1&c=2", Address::Local("a?b=1&c=2".to_owned())),
            ("#top", Address::Fragment("top".to_owned())),
        ];
        for (text, expected) in rows {
            assert_eq!(Address::read(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn everything_else_is_dropped() {
        let rows = [
            "",
            " ",
            "javascript:alert(1)",
            "JaVaScRiPt:alert(1)",
            " javascript:alert(1)",
            "java\tscript:alert(1)",
            "java\nscript:alert(1)",
            "\u{1}javascript:alert(1)",
            "\u{FEFF}javascript:alert(1)",
            "vbscript:x",
            "data:text/html,x",
            "file:///etc/passwd",
            "blob:x",
            "view-source:x",
            "x:y",
            "//evil.example",
            "\\\\evil.example",
            "/\\evil.example",
            "http:evil",
            "http:/evil",
            "http:///evil",
            "http://\\evil",
            "mailto:",
            "mailto://x",
            "http://a\" onclick=",
            "http://example.org@evil.example/",
            "http://a:b/",
            "http://a|b/",
            "http://[x]/",
            "javascript&colon;alert(1)",
            "javascript&#58;alert(1)",
            ":x",
            "java\u{200B}script:alert(1)",
            "ht\u{A0}tp://x",
        ];
        for text in rows {
            assert_eq!(Address::read(text), None, "{text:?}");
        }
    }
}

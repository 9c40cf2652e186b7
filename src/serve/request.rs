//! The head of an HTTP request to what is asked for, or to why it is refused.
//!
//! Answers only to this machine's own names, so that no foreign page can read the preview through a name that it
//! lets point here. Reads no body.

use std::io::Read;

/// The longest head that is read, in bytes.
const LONGEST: usize = 16 * 1024;

/// The most pieces in which a head may come, so that a trickle ends.
const MOST_PIECES: usize = 64;

/// How the file is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// With its content.
    Get,
    /// Without.
    Head,
}

/// The target of a request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Request {
    /// How.
    pub method: Method,
    /// The path without its first slash and without percent signs; no part of it is empty, `.` or `..`.
    pub path: String,
}

/// Why a request is not answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Not what HTTP/1 looks like, or a path that no file of the site can have.
    Bad,
    /// Another method than GET and HEAD.
    Method,
    /// A name that is not this machine's own.
    Host,
    /// A head that is too long.
    TooLong,
    /// The other side went away.
    Gone,
}

/// Reads a request that came in at a port.
pub fn read(stream: &mut impl Read, port: u16) -> Result<Request, Refusal> {
    parse(&head(stream)?, port)
}

fn head(stream: &mut impl Read) -> Result<String, Refusal> {
    let (mut head, mut piece) = (Vec::new(), [0; 4096]);
    for _ in 0..MOST_PIECES {
        let length = stream.read(&mut piece).map_err(|_| Refusal::Gone)?;
        if length == 0 {
            return Err(Refusal::Gone);
        }
        head.extend_from_slice(&piece[..length]);
        if let Some(end) = head.windows(4).position(|window| window == b"\r\n\r\n") {
            head.truncate(end);
            return String::from_utf8(head).map_err(|_| Refusal::Bad);
        }
        if head.len() > LONGEST {
            return Err(Refusal::TooLong);
        }
    }
    Err(Refusal::TooLong)
}

fn parse(head: &str, port: u16) -> Result<Request, Refusal> {
    let mut lines = head.split("\r\n");
    let words: Vec<&str> = lines.next().unwrap_or_default().split(' ').collect();
    let [method, target, version] = words.as_slice() else { return Err(Refusal::Bad) };
    if !["HTTP/1.1", "HTTP/1.0"].contains(version) {
        return Err(Refusal::Bad);
    }
    check_host(lines, port)?;
    let method = match *method {
        "GET" => Method::Get,
        "HEAD" => Method::Head,
        _ => return Err(Refusal::Method),
    };
    Ok(Request { method, path: path(target).ok_or(Refusal::Bad)? })
}

/// Takes exactly one `Host` (RFC 9112, 3.2), and only this machine's own names with the port.
fn check_host<'a>(lines: impl Iterator<Item = &'a str>, port: u16) -> Result<(), Refusal> {
    let mut hosts = Vec::new();
    for line in lines {
        let (name, value) = line.split_once(':').ok_or(Refusal::Bad)?;
        if name.is_empty() || name.contains(|letter: char| letter.is_whitespace()) {
            return Err(Refusal::Bad);
        }
        if name.eq_ignore_ascii_case("host") {
            hosts.push(value.trim_matches([' ', '\t']));
        }
    }
    let [host] = hosts.as_slice() else { return Err(Refusal::Bad) };
    let own = ["127.0.0.1", "localhost", "[::1]"];
    let is_own = |name: &str| host.eq_ignore_ascii_case(&format!("{name}:{port}")) || (port == 80 && *host == name);
    if own.into_iter().any(is_own) { Ok(()) } else { Err(Refusal::Host) }
}

/// The path of a target without its query; `None` if a part could lead out of a folder on any system.
fn path(target: &str) -> Option<String> {
    let target = target.split('?').next().unwrap_or_default();
    let path = decoded(target.strip_prefix('/')?)?;
    let is_plain = |name: &str| {
        !name.is_empty() && name != "." && name != ".." && !name.contains(|letter: char| letter.is_control())
    };
    let (folders, last) = path.rsplit_once('/').map_or((None, path.as_str()), |(folders, last)| (Some(folders), last));
    let is_good = folders.is_none_or(|folders| folders.split('/').all(is_plain))
        && (last.is_empty() || is_plain(last))
        && !path.contains(['\\', ':', '#']);
    is_good.then_some(path)
}

/// Takes percent signs out, once.
fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        let byte = match byte {
            b'%' => digit(rest.next()?)? * 16 + digit(rest.next()?)?,
            other => other,
        };
        bytes.push(byte);
    }
    String::from_utf8(bytes).ok()
}

fn digit(byte: u8) -> Option<u8> {
    u8::try_from(char::from(byte).to_digit(16)?).ok()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::{Method, Refusal, Request, parse, path, read};

    fn asked(line: &str, rest: &str) -> Result<Request, Refusal> {
        parse(&format!("{line}\r\n{rest}"), 4310)
    }

    #[test]
    fn only_own_names_are_answered() {
        for host in ["127.0.0.1:4310", "localhost:4310", "LOCALHOST:4310", "[::1]:4310"] {
            assert!(asked("GET / HTTP/1.1", &format!("Host: {host}")).is_ok(), "{host}");
        }
        for host in
            ["example.org", "127.0.0.1", "127.0.0.1:80", "localhost.example.org:4310", "127.0.0.1:4310.example.org", ""]
        {
            assert_eq!(asked("GET / HTTP/1.1", &format!("Host: {host}")), Err(Refusal::Host), "{host}");
        }
        assert!(parse("GET / HTTP/1.1\r\nHost: localhost", 80).is_ok());
        let twice = "Host: localhost:4310\r\nhost: example.org";
        for rest in ["Accept: */*", twice, "Host : localhost:4310", " Host: localhost:4310", "no header"] {
            assert_eq!(asked("GET / HTTP/1.1", rest), Err(Refusal::Bad), "{rest}");
        }
    }

    #[test]
    fn only_files_are_asked_for() {
        let host = "Host: localhost:4310";
        let head = asked("HEAD /makers/a.html?x=../.. HTTP/1.0", host).unwrap();
        assert_eq!(head, Request { method: Method::Head, path: "makers/a.html".into() });
        for method in ["POST", "PUT", "DELETE", "OPTIONS", "CONNECT", "get"] {
            assert_eq!(asked(&format!("{method} / HTTP/1.1"), host), Err(Refusal::Method));
        }
        for line in
            ["GET /", "GET / HTTP/2", "GET  / HTTP/1.1", "", "GET http://localhost:4310/ HTTP/1.1", "GET * HTTP/1.1"]
        {
            assert_eq!(asked(line, host), Err(Refusal::Bad), "{line}");
        }
    }

    #[test]
    fn no_path_leads_out() {
        for good in ["", "index.html", "makers/", "a%20b.html", "%c3%bc.html", "..a/b..html"] {
            assert!(path(&format!("/{good}")).is_some(), "{good}");
        }
        let bad = [
            "..",
            "../a",
            "a/..",
            "a/../b",
            "%2e%2e/a",
            "%2E%2e%2fa",
            "a/%2e./b",
            ".",
            "a//b",
            "/etc/passwd",
            "a%00.html",
            "a%0d%0ab",
            "..%5ca",
            "..\\a",
            "c:/a",
            "c%3a/a",
            "%",
            "%2",
            "%zz",
            "%ff",
            "a#b",
        ];
        for bad in bad {
            assert_eq!(path(&format!("/{bad}")), None, "{bad}");
        }
        assert_eq!(path("/%252e%252e/a").unwrap(), "%2e%2e/a", "decoded once");
    }

    #[test]
    fn a_head_without_end_is_not_read_for_ever() {
        let endless = vec![b'a'; 100_000];
        assert_eq!(read(&mut endless.as_slice(), 4310), Err(Refusal::TooLong));
        assert_eq!(read(&mut &b"GET / HTTP/1.1\r\n"[..], 4310), Err(Refusal::Gone));
    }
}

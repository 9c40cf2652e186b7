//! Turns a request and the state of the preview into an answer: a file of the build, one of the
//! preview's own, or a refusal.
//!
//! It knows no socket; the holder of the connection answers requests for events.

use crate::publish::output::PublishError;
use crate::serve::News;
use crate::serve::dressing::{self, FOLDER};
use crate::serve::exhibit::Exhibit;
use crate::serve::request::{Refusal, Request};

/// An answer, ready to be written.
#[derive(Debug, PartialEq, Eq)]
pub struct Answer {
    /// Status and reason, such as `200 OK`.
    pub status: &'static str,
    /// The media type of the body.
    pub kind: &'static str,
    pub body: Vec<u8>,
}

impl Answer {
    /// The head of the answer, with the empty line that ends it.
    ///
    /// Nothing is kept by the browser, so that a reload shows the newest build; nothing is shown in or read by
    /// foreign pages; and a file that is no page runs nothing when it is opened by itself.
    pub fn head(&self) -> String {
        let policy = match self.kind {
            kind if kind.starts_with("text/html") => "",
            // The worker that keeps the site for offline use fetches its pages, under the policy it came with.
            kind if kind.starts_with("text/javascript") => "default-src 'none'; connect-src 'self'; ",
            _ => "default-src 'none'; ",
        };
        let allow = if self.status.starts_with("405") { "Allow: GET, HEAD\r\n" } else { "" };
        format!(
            "HTTP/1.1 {}\r\nContent-Type: {}\r\nContent-Length: {}\r\n{allow}Cache-Control: no-store\r\n\
             Content-Security-Policy: {policy}frame-ancestors 'none'\r\nCross-Origin-Resource-Policy: same-origin\r\n\
             Referrer-Policy: no-referrer\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n",
            self.status,
            self.kind,
            self.body.len()
        )
    }
}

/// Answers a request for a file of what is on show.
pub fn file(exhibit: Option<&Exhibit>, news: &News, request: &Request) -> Answer {
    let path = if request.path.is_empty() { "index.html" } else { request.path.as_str() };
    if let Some(name) = path.strip_prefix(FOLDER) {
        return own(name).unwrap_or_else(|| missing(path, news));
    }
    match exhibit.and_then(|exhibit| exhibit.file(path)) {
        Some(Ok(content)) => Answer { status: "200 OK", kind: kind(path), body: dressed(path, content, news) },
        Some(Err(error)) => unmade(&error, news),
        None => missing(path, news),
    }
}

fn dressed(path: &str, content: Vec<u8>, news: &News) -> Vec<u8> {
    if !kind(path).starts_with("text/html") {
        return content;
    }
    match String::from_utf8(content) {
        Ok(html) => dressing::page(&html, news).into_bytes(),
        Err(error) => error.into_bytes(),
    }
}

fn missing(path: &str, news: &News) -> Answer {
    let text = format!("The site has no file {path}.");
    let body = dressing::missing("Not found", &text, news).into_bytes();
    Answer { status: "404 Not Found", kind: kind(".html"), body }
}

/// A file that the knowledge base's own template, or anything else, keeps from being made.
fn unmade(error: &PublishError, news: &News) -> Answer {
    let body = dressing::missing("Not made", &error.to_string(), news).into_bytes();
    Answer { status: "500 Internal Server Error", kind: kind(".html"), body }
}

/// The preview's own files.
fn own(name: &str) -> Option<Answer> {
    let body = match name {
        "preview.js" => include_str!("../../site/preview/preview.js"),
        "preview.css" => include_str!("../../site/preview/preview.css"),
        _ => return None,
    };
    Some(Answer { status: "200 OK", kind: kind(name), body: body.into() })
}

/// Answers what is refused, in one line of text.
pub fn refusal(refusal: Refusal) -> Option<Answer> {
    let (status, text) = match refusal {
        Refusal::Bad => ("400 Bad Request", "This is not a request for a file of the site."),
        Refusal::Method => ("405 Method Not Allowed", "Only GET and HEAD are answered."),
        Refusal::Host => ("421 Misdirected Request", "The preview answers only to 127.0.0.1, localhost and [::1]."),
        Refusal::TooLong => ("431 Request Header Fields Too Large", "The head of the request is too long."),
        Refusal::Gone => return None,
    };
    Some(plain(status, text))
}

/// Answers one connection too many.
pub fn busy() -> Answer {
    plain("503 Service Unavailable", "Too many connections are open; close some pages.")
}

fn plain(status: &'static str, text: &str) -> Answer {
    Answer { status, kind: kind(".txt"), body: format!("{text}\n").into_bytes() }
}

/// The media type of a file, by its extension (IANA media types).
fn kind(path: &str) -> &'static str {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "csv" => "text/csv; charset=utf-8",
        "md" => "text/markdown; charset=utf-8",
        "txt" => "text/plain; charset=utf-8",
        "sql" => "application/sql",
        "webmanifest" => "application/manifest+json",
        "xml" => "application/xml",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        _ => "application/octet-stream",
    }
}

//! The open pages that wait to be told of a new build, over server-sent events (HTML Standard, 9.2).
//!
//! They take no thread: nothing here waits for the other side. A page that was closed is dropped when it is looked at.

use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// How many streams of events are open at once; pages of one browser share one.
const MOST: usize = 64;

/// How an answer of events begins.
const HEAD: &str = "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nCache-Control: no-store\r\n\
    Cross-Origin-Resource-Policy: same-origin\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n\
    retry: 1000\n\n";

/// The pages that listen.
#[derive(Default)]
pub struct Pages(Mutex<Vec<Page>>);

struct Page {
    stream: Arc<TcpStream>,
    /// The build that it was told of last.
    told: String,
}

impl Pages {
    /// Lets a page listen, and tells it of the newest build; says no where too many listen already.
    pub fn add(&self, stream: &Arc<TcpStream>, build: &str) -> io::Result<bool> {
        let mut pages = self.pages();
        pages.retain(Page::is_open);
        if pages.len() >= MOST {
            return Ok(false);
        }
        stream.set_nonblocking(true)?;
        let mut page = Page { stream: Arc::clone(stream), told: String::new() };
        page.write(HEAD)?;
        page.tell(build)?;
        pages.push(page);
        Ok(true)
    }

    /// Tells every page of a build that it does not know, and forgets those that were closed.
    pub fn tell(&self, build: &str) {
        self.pages().retain_mut(|page| page.is_open() && page.tell(build).is_ok());
    }

    /// Writes to every page that nothing has changed, so that one that vanished without a word is noticed.
    pub fn pulse(&self) {
        self.pages().retain_mut(|page| page.write(": as before\n\n").is_ok());
    }

    fn pages(&self) -> MutexGuard<'_, Vec<Page>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Page {
    fn tell(&mut self, build: &str) -> io::Result<()> {
        if self.told != build {
            self.write(&format!("data: {build}\n\n"))?;
            self.told = build.to_string();
        }
        Ok(())
    }

    /// Writes a line; a page that takes none has stopped reading, and counts as closed.
    fn write(&mut self, line: &str) -> io::Result<()> {
        (&*self.stream).write_all(line.as_bytes())
    }

    /// Looks whether the other side has closed; what it may send is dropped.
    fn is_open(&self) -> bool {
        let mut unread = [0; 1024];
        for _ in 0..16 {
            match (&*self.stream).read(&mut unread) {
                Ok(0) => return false,
                Ok(_) => (),
                Err(error) => return error.kind() == io::ErrorKind::WouldBlock,
            }
        }
        // A client that sends this much without being asked is no browser.
        false
    }
}

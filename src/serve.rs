//! The local preview: compiles a knowledge base, shows its site on this machine alone, and does so again on each save.
//!
//! The only place that touches the network, and only its loopback. Writes nothing: each page is made when it is asked
//! for. What was last without errors is shown until something better is there.

mod answer;
mod connections;
mod dressing;
mod exhibit;
mod pages;
mod request;

use std::fmt;
use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, Ipv6Addr, Shutdown, TcpListener, TcpStream};
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use crate::disk;
use crate::disk::preview::Stamp;
use crate::serve::answer::Answer;
use crate::serve::connections::{Connection, Connections};
use crate::serve::exhibit::Exhibit;
use crate::serve::pages::Pages;
use crate::serve::request::{Method, Request};
use crate::validate::kept::Kept;

/// How long the files are left alone between two looks, whatever their number.
const TICK: Duration = Duration::from_millis(300);
/// How much longer for each of them: a few times what a look at it takes.
const TICK_EACH: Duration = Duration::from_micros(20);
/// How many looks a change may go on for before it is built all the same.
const MOST_TICKS: usize = 20;
/// How long the files must have rested when the system says that they changed: an editor's save is several changes.
const REST: Duration = Duration::from_millis(30);
/// How many changes are waited for to come to rest.
const MOST_CHANGES: usize = 10_000;
/// How long the other side of a connection may be silent.
const PATIENCE: Duration = Duration::from_secs(10);
/// How often connections are looked at: a tick of their time.
const BEAT: Duration = Duration::from_millis(250);
/// After how many looks a page gets a sign of life although nothing has changed.
const PULSE: u32 = 60;
/// How many ticks the other side has for the head of its request, from when it connects.
const FOR_HEAD: u32 = 40;
/// How many ticks it has to take the answer.
const FOR_ANSWER: u32 = 240;
/// The path of the events.
const EVENTS: &str = ".bartack/events";

/// Why there is no preview.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The port is taken, or not for everybody.
    #[error("port {0} of 127.0.0.1 cannot be used ({1}); choose another with --port")]
    Port(u16, io::Error),
}

/// The messages of the running preview.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event<'a> {
    /// Pages are answered at this port.
    Serving(u16),
    /// A build of so many records is shown now.
    Built(usize),
    /// A build failed: how, and what was found.
    Failed(&'a str, &'a str),
}

/// A function that is called at each event.
pub type Observer<'a> = &'a dyn Fn(Event<'_>);

/// The events that the preview waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wake {
    /// Something may have changed.
    Changed,
    /// It shall end.
    Stop,
}

/// The reason why a build failed.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Problem {
    title: String,
    text: String,
}

impl Problem {
    fn of(error: impl fmt::Display) -> Problem {
        Problem { title: "Not built".to_string(), text: error.to_string() }
    }
}

/// The state for open pages: the number of the build, and the problem with the newest save.
#[derive(Clone, Debug, Default)]
struct News {
    /// Another one after each build and each failure, on every run of the server.
    tag: String,
    problem: Option<Problem>,
}

/// The state that the threads share.
struct State {
    port: u16,
    news: Mutex<News>,
    /// The present site, once there is one.
    exhibit: Mutex<Option<Exhibit>>,
    changed: Condvar,
    connections: Arc<Connections>,
    pages: Pages,
}

impl State {
    fn at(port: u16) -> State {
        let (news, exhibit, changed) = (Mutex::default(), Mutex::default(), Condvar::new());
        State { port, news, exhibit, changed, connections: Arc::default(), pages: Pages::default() }
    }

    fn news(&self) -> MutexGuard<'_, News> {
        // News is replaced whole, so that a thread that failed cannot have left half of it.
        self.news.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn exhibit(&self) -> MutexGuard<'_, Option<Exhibit>> {
        self.exhibit.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A listening socket on the loopback that does not answer yet.
pub struct Server {
    port: u16,
    listeners: Vec<TcpListener>,
}

impl Server {
    /// Takes a port on 127.0.0.1, and the same one on `[::1]` where that can be had; 0 takes any that is free.
    pub fn bind(port: u16) -> Result<Server, ServeError> {
        let refused = |error| ServeError::Port(port, error);
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).map_err(refused)?;
        let port = listener.local_addr().map_err(refused)?.port();
        let second = TcpListener::bind((Ipv6Addr::LOCALHOST, port)).ok();
        Ok(Server { port, listeners: std::iter::once(listener).chain(second).collect() })
    }

    /// The port that was taken.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Builds, answers and builds again until it is told to stop.
    ///
    /// `wakes` is the receiver of wake-ups; to stop the preview, keep a copy of the sender.
    pub fn run(
        self,
        root: &Path,
        waker: Sender<Wake>,
        wakes: &Receiver<Wake>,
        tell: Observer<'_>,
    ) -> Result<(), ServeError> {
        let state = Arc::new(State::at(self.port));
        // Where the system does not tell of changes, looking now and then must do.
        let _watching = disk::watch(root, move || {
            // If no receiver is left, the program is already ending.
            let _ = waker.send(Wake::Changed);
        });
        let stamp = disk::stamp(root);
        let mut kept = Kept::default();
        let building = Building { state: &state, root, tell };
        building.build(&stamp, 1, &mut kept);
        let refused = |error| ServeError::Port(self.port, error);
        let attending = Arc::clone(&state);
        thread::Builder::new().spawn(move || attend(&attending)).map_err(refused)?;
        for listener in self.listeners {
            let state = Arc::clone(&state);
            let thread = thread::Builder::new().spawn(move || listen(&listener, &state));
            thread.map_err(refused)?;
        }
        tell(Event::Serving(self.port));
        building.watch(stamp, wakes, kept);
        Ok(())
    }
}

/// Who builds what, and tells whom.
struct Building<'b> {
    state: &'b State,
    root: &'b Path,
    tell: Observer<'b>,
}

impl Building<'_> {
    /// Builds again when the system says that something changed and it then rested, and looks now and then besides.
    fn watch(&self, mut built: Stamp, wakes: &Receiver<Wake>, mut kept: Kept) {
        let (mut seen, mut waited, mut number) = (built.clone(), 0, 1);
        while let Some(is_at_rest) = rested(wakes, TICK + TICK_EACH * seen.count) {
            let stamp = disk::stamp(self.root);
            if stamp == built {
                waited = 0;
            } else if is_at_rest || stamp == seen || waited == MOST_TICKS {
                number += 1;
                self.build(&stamp, number, &mut kept);
                (built, waited) = (stamp.clone(), 0);
            } else {
                waited += 1;
            }
            seen = stamp;
        }
    }

    /// Builds, and tells the terminal and all open pages what came of it.
    fn build(&self, stamp: &Stamp, number: usize, kept: &mut Kept) {
        let Building { state, root, tell } = *self;
        let problem = match Exhibit::whole(root, kept) {
            Ok((exhibit, count)) => {
                *state.exhibit() = Some(exhibit);
                tell(Event::Built(count));
                None
            }
            Err(problem) => {
                let is_empty = state.exhibit().is_none();
                if is_empty {
                    // The first problem says more than the one that leaving out would meet.
                    *state.exhibit() = Exhibit::rest(root).ok().map(|(exhibit, _)| exhibit);
                }
                tell(Event::Failed(&problem.title, &problem.text));
                Some(problem)
            }
        };
        *state.news() = News { tag: format!("{number}-{}", stamp.name), problem };
        state.changed.notify_all();
    }
}

/// Waits for a change and for rest after it, or for the time of a look; says which it was, and nothing at the end.
fn rested(wakes: &Receiver<Wake>, tick: Duration) -> Option<bool> {
    let mut wait = tick;
    for changes in 0..MOST_CHANGES {
        match wakes.recv_timeout(wait) {
            Ok(Wake::Changed) => wait = REST,
            Ok(Wake::Stop) | Err(RecvTimeoutError::Disconnected) => return None,
            Err(RecvTimeoutError::Timeout) => return Some(changes > 0),
        }
    }
    Some(true)
}

/// Tells pages of each build as soon as there is one, and lets the time of connections pass.
fn attend(state: &State) {
    let mut told = String::new();
    for ticks in 1_u32.. {
        let waited = state.changed.wait_timeout_while(state.news(), BEAT, |news| news.tag == told);
        let (news, waited) = waited.unwrap_or_else(PoisonError::into_inner);
        told.clone_from(&news.tag);
        // The lock is not held while pages are written to.
        drop(news);
        if waited.timed_out() {
            state.connections.tick();
        }
        state.pages.tell(&told);
        if ticks % PULSE == 0 {
            state.pages.pulse();
        }
    }
}

fn listen(listener: &TcpListener, state: &Arc<State>) {
    for stream in listener.incoming() {
        let Ok(stream) = stream else {
            // The system has no room for another connection; asking at once would keep it busy with saying so.
            thread::sleep(REST);
            continue;
        };
        let connection = match state.connections.admit(stream, FOR_HEAD) {
            Ok(connection) => connection,
            Err(stream) => {
                // The client may disconnect at any time; no reader is then left.
                let _ = turn_away(&stream);
                continue;
            }
        };
        let state = Arc::clone(state);
        // Where the system has no thread left, the connection is dropped and the browser asks again.
        let _ = thread::Builder::new().spawn(move || {
            let _ = serve(&connection, &state);
        });
    }
}

/// Says that too many connections are open, without waiting for the other side.
fn turn_away(mut stream: &TcpStream) -> io::Result<()> {
    stream.set_nonblocking(true)?;
    // A connection that is closed with something unread would take the answer with it.
    let _ = stream.read(&mut [0; 16 * 1024]);
    let answer = answer::busy();
    stream.write_all(answer.head().as_bytes())?;
    stream.write_all(&answer.body)
}

fn serve(connection: &Connection, state: &State) -> io::Result<()> {
    let mut stream = &*connection.stream;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let request = request::read(&mut stream, state.port);
    connection.stop_clock();
    let (answer, method) = match request {
        Ok(Request { method: Method::Get, path }) if path == EVENTS => {
            let build = state.news().tag.clone();
            if state.pages.add(&connection.stream, &build)? {
                return Ok(());
            }
            (answer::busy(), Method::Get)
        }
        Ok(request) => {
            let (news, exhibit) = (state.news().clone(), state.exhibit().clone());
            (answer::file(exhibit.as_ref(), &news, &request), request.method)
        }
        Err(refusal) => match answer::refusal(refusal) {
            Some(answer) => (answer, Method::Get),
            None => return Ok(()),
        },
    };
    connection.allow(FOR_ANSWER);
    send(stream, &answer, method)
}

fn send(mut stream: &TcpStream, answer: &Answer, method: Method) -> io::Result<()> {
    stream.write_all(answer.head().as_bytes())?;
    if method == Method::Get {
        stream.write_all(&answer.body)?;
    }
    stream.shutdown(Shutdown::Write)?;
    // A connection that is closed with something unread would take the answer with it.
    let mut unread = [0; 4096];
    for _ in 0..64 {
        if stream.read(&mut unread)? == 0 {
            break;
        }
    }
    Ok(())
}

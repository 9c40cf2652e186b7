//! The connections that are open: how many there may be, and how long the other side may take.
//!
//! A connection is counted before a thread is started for it. Time is counted in ticks that somebody else gives, so
//! that a trickle of bytes, each in time, still ends.

use std::collections::BTreeMap;
use std::net::{Shutdown, TcpStream};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// How many connections are open at once.
const MOST: usize = 64;

/// The connections that are open, by number.
#[derive(Default)]
pub struct Connections(Mutex<Open>);

#[derive(Default)]
struct Open {
    last: u64,
    by_number: BTreeMap<u64, Timed>,
}

/// A connection, with the ticks until it is shut; none while its time is this machine's own.
struct Timed {
    stream: Arc<TcpStream>,
    left: Option<u32>,
}

/// A connection that counts as open until this is dropped.
pub struct Connection {
    /// Where bytes come and go.
    pub stream: Arc<TcpStream>,
    number: u64,
    connections: Arc<Connections>,
}

impl Connections {
    /// Takes a connection in for so many ticks; gives it back where too many are open.
    pub fn admit(self: &Arc<Connections>, stream: TcpStream, ticks: u32) -> Result<Connection, TcpStream> {
        let mut open = self.open();
        if open.by_number.len() >= MOST {
            return Err(stream);
        }
        open.last += 1;
        let (number, stream) = (open.last, Arc::new(stream));
        open.by_number.insert(number, Timed { stream: Arc::clone(&stream), left: Some(ticks) });
        Ok(Connection { stream, number, connections: Arc::clone(self) })
    }

    /// Lets a tick pass; a connection whose time is over is shut, which ends what its thread waits for.
    pub fn tick(&self) {
        for timed in self.open().by_number.values_mut() {
            match timed.left {
                // The other side may be gone already.
                Some(0) => drop(timed.stream.shutdown(Shutdown::Both)),
                Some(left) => timed.left = Some(left - 1),
                None => (),
            }
        }
    }

    fn open(&self) -> MutexGuard<'_, Open> {
        // Each change is a single step, so that a thread that failed cannot have left half of one.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Connection {
    /// Lets no time count while the answer is made.
    pub fn stop_clock(&self) {
        self.set(None);
    }

    /// Gives the other side so many ticks from now on.
    pub fn allow(&self, ticks: u32) {
        self.set(Some(ticks));
    }

    fn set(&self, left: Option<u32>) {
        if let Some(timed) = self.connections.open().by_number.get_mut(&self.number) {
            timed.left = left;
        }
    }
}

impl Drop for Connection {
    fn drop(&mut self) {
        self.connections.open().by_number.remove(&self.number);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::Read;
    use std::net::{TcpListener, TcpStream};
    use std::sync::Arc;

    use super::{Connections, MOST};

    #[test]
    fn connections_are_counted_before_a_thread_is_started_and_no_longer_when_they_are_dropped() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let connect = || TcpStream::connect(listener.local_addr().unwrap()).unwrap();
        let connections = Arc::new(Connections::default());
        let mut admitted: Vec<_> = (0..MOST).map(|_| connections.admit(connect(), 1).ok().unwrap()).collect();
        assert!(connections.admit(connect(), 1).is_err());
        admitted.pop();
        assert!(connections.admit(connect(), 1).is_ok());
    }

    #[test]
    fn a_connection_is_shut_when_its_ticks_are_over_and_not_while_the_clock_stands() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let mut client = TcpStream::connect(listener.local_addr().unwrap()).unwrap();
        let connections = Arc::new(Connections::default());
        let connection = connections.admit(listener.accept().unwrap().0, 1).ok().unwrap();
        connection.stop_clock();
        (0..100).for_each(|_| connections.tick());
        client.set_nonblocking(true).unwrap();
        assert_eq!(client.read(&mut [0]).unwrap_err().kind(), std::io::ErrorKind::WouldBlock);
        client.set_nonblocking(false).unwrap();
        connection.allow(2);
        (0..3).for_each(|_| connections.tick());
        assert_eq!(client.read(&mut [0]).unwrap(), 0, "shut");
    }
}

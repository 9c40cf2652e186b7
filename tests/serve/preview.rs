//! A `bartack serve` at a free port, and what is asked of it over a plain socket.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, ChildStderr, Command, Stdio};
use std::time::Duration;

use tempfile::TempDir;

/// How long nothing may come before a test takes it for a hang; nothing here takes a hundredth of it.
const PATIENCE: Duration = Duration::from_secs(600);

/// A running preview of a knowledge base just begun.
pub struct Preview {
    pub base: TempDir,
    pub process: Child,
    pub port: u16,
    /// What it says, line by line; kept open so that it can go on saying.
    pub words: BufReader<ChildStderr>,
}

impl Preview {
    pub fn begin() -> Preview {
        Preview::of(|_| {})
    }

    /// Begins a knowledge base, changes it, and serves it at a free port.
    pub fn of(change: impl Fn(&Path)) -> Preview {
        let base = tempfile::tempdir().unwrap();
        let root = base.path().to_str().unwrap();
        assert!(bartack().args(["init", root]).output().unwrap().status.success());
        change(base.path());
        let mut command = bartack();
        command.args(["--root", root, "serve", "--port", "0"]).stdout(Stdio::null()).stderr(Stdio::piped());
        let mut process = command.spawn().unwrap();
        let mut words = BufReader::new(process.stderr.take().unwrap());
        let port = loop {
            let mut line = String::new();
            assert!(words.read_line(&mut line).unwrap() > 0, "it ended before it served");
            if let Some(rest) = line.strip_prefix("serving http://127.0.0.1:") {
                break rest.split('/').next().unwrap().parse().unwrap();
            }
        };
        Preview { base, process, port, words }
    }

    pub fn path(&self, path: &str) -> std::path::PathBuf {
        self.base.path().join(path)
    }

    pub fn replace(&self, path: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.path(path)).unwrap();
        assert!(text.contains(from), "{path} has no {from}");
        fs::write(self.path(path), text.replace(from, to)).unwrap();
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// Sends bytes as they are, and gives the whole answer.
    pub fn raw(&self, request: &[u8]) -> Vec<u8> {
        let mut stream = self.connect();
        stream.write_all(request).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        answer
    }

    /// Asks for a target with the right host.
    pub fn ask(&self, method: &str, target: &str) -> String {
        let request = format!("{method} {target} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", self.port);
        String::from_utf8_lossy(&self.raw(request.as_bytes())).into_owned()
    }

    pub fn get(&self, target: &str) -> String {
        self.ask("GET", target)
    }

    pub fn events(&self) -> Events {
        let mut stream = self.connect();
        write!(stream, "GET /.bartack/events HTTP/1.1\r\nHost: localhost:{}\r\n\r\n", self.port).unwrap();
        Events(BufReader::new(stream))
    }
}

impl Drop for Preview {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

pub struct Events(BufReader<TcpStream>);

impl Events {
    /// Waits for the next event and gives what it says.
    pub fn next(&mut self) -> String {
        loop {
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the events ended");
            if let Some(said) = line.strip_prefix("data: ") {
                return said.trim_end().to_string();
            }
        }
    }
}

pub fn bartack() -> Command {
    Command::new(env!("CARGO_BIN_EXE_bartack"))
}

pub fn status(answer: &str) -> &str {
    answer.split("\r\n").next().unwrap().strip_prefix("HTTP/1.1 ").unwrap()
}

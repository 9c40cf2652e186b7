//! More pages and connections than a preview or a browser has room for: pages still load, and threads do not pile up.

use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use super::preview::{Events, Preview, status};

/// How many streams of events, and how many connections besides, the preview keeps open at once.
const MOST: usize = 64;

#[test]
fn pages_load_while_many_listen_and_one_that_was_closed_no_longer_counts() {
    let preview = Preview::begin();
    for _ in 0..3 {
        let mut listening: Vec<Events> = (0..MOST).map(|_| preview.events()).collect();
        // Each was let in where the one before was closed, though nobody waited for it to be noticed.
        listening.iter_mut().for_each(|events| drop(events.next()));
        assert_eq!(status(&preview.get("/")), "200 OK", "listening pages take no connection from others");
        assert_eq!(status(&preview.get("/.bartack/events")), "503 Service Unavailable");
        preview.replace("entries/about.md", "+++\n", "+++\n\n");
        let told: Vec<String> = listening.iter_mut().map(Events::next).collect();
        assert!(told.iter().all(|build| *build == told[0]));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn silent_connections_take_few_threads_and_are_shut_in_time() {
    let preview = Preview::begin();
    let threads = || fs::read_dir(format!("/proc/{}/task", preview.process.id())).unwrap().count();
    let before = threads();
    let mut silent: Vec<TcpStream> = (0..MOST * 4).map(|_| preview.connect()).collect();
    // Those that are too many are turned away at once.
    let mut answers: Vec<String> = silent
        .drain(MOST..)
        .map(|mut stream| {
            let mut answer = Vec::new();
            stream.read_to_end(&mut answer).unwrap();
            String::from_utf8(answer).unwrap()
        })
        .collect();
    // On a slow machine some are let in after all, where the first were shut, and are shut in their turn.
    answers.retain(|answer| !answer.is_empty());
    assert!(answers.iter().all(|answer| status(answer) == "503 Service Unavailable"), "{answers:?}");
    // Threads that are about to end are still counted by the system.
    assert!(threads() <= before + 2 * MOST, "{before} before, {} now", threads());
    // A trickle, each byte in time, is shut like silence.
    let trickling = silent.pop().unwrap();
    let end = std::sync::atomic::AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while (&trickling).write_all(b"G").is_ok() && !end.load(std::sync::atomic::Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(100));
            }
        });
        for mut stream in silent.iter().chain([&trickling]) {
            // Shut in order, or reset because something that was sent stayed unread.
            let ended = stream.read_to_end(&mut Vec::new());
            let waited = |error: std::io::Error| error.kind() == std::io::ErrorKind::WouldBlock;
            assert!(!ended.is_err_and(waited), "still open");
        }
        end.store(true, std::sync::atomic::Ordering::Relaxed);
    });
    assert_eq!(status(&preview.get("/")), "200 OK");
}

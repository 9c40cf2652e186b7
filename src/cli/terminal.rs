//! What is written where: answers to stdout, progress and summaries to stderr.
//!
//! Asks the environment whether colours and progress are wanted; decides nothing else.

use std::env;
use std::io::{self, BufWriter, ErrorKind, IsTerminal, Write};
use std::sync::Mutex;
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::compile::Stage;
use crate::report::text::Style;

/// How long a command runs before its progress is shown.
const PATIENCE: Duration = Duration::from_secs(1);

/// The two streams, and what they can do.
pub(super) struct Terminal {
    style: Style,
    shows_progress: bool,
    tells_times: bool,
}

impl Terminal {
    /// Looks at the streams and at `NO_COLOR` (<https://no-color.org>: any value that is not empty).
    ///
    /// `tells_times` asks that every stage is told with the time it took.
    pub(super) fn new(tells_times: bool) -> Terminal {
        let is_plain = env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let style = if io::stdout().is_terminal() && !is_plain { Style::Coloured } else { Style::Plain };
        Terminal { style, shows_progress: io::stderr().is_terminal(), tells_times }
    }

    /// How findings are drawn.
    pub(super) fn style(&self) -> Style {
        self.style
    }

    /// Writes answers.
    pub(super) fn answer(&self, texts: impl IntoIterator<Item = String>) -> io::Result<()> {
        let mut stdout = BufWriter::new(io::stdout().lock());
        for text in texts {
            stdout.write_all(text.as_bytes())?;
        }
        stdout.flush()
    }

    /// Writes a line of summary.
    pub(super) fn summarize(&self, line: &str) {
        // A summary that cannot be written is no reason to fail.
        let _ = writeln!(io::stderr(), "{line}");
    }

    /// Writes why a command could not run.
    pub(super) fn complain(&self, line: &str) {
        self.summarize(&format!("bartack: {line}"));
    }

    /// Begins to show progress, if the command takes long enough and somebody can see it.
    pub(super) fn progress(&self) -> Progress {
        Progress::begin(self.shows_progress, self.tells_times)
    }
}

/// Says whether an error is that nobody reads the output any more.
pub(super) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == ErrorKind::BrokenPipe)
}

/// A moving line on stderr, gone when it is dropped.
pub(super) struct Progress {
    bar: ProgressBar,
    /// What was begun when, where that is to be told.
    begun: Option<Mutex<Vec<(&'static str, Instant)>>>,
    waiting: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Progress {
    fn begin(is_seen: bool, is_timed: bool) -> Progress {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
            bar.set_style(style);
        }
        let waiting = is_seen.then(|| show_later(bar.clone()));
        Progress { bar, begun: is_timed.then(Mutex::default), waiting }
    }

    /// Tells which stage begins.
    pub(super) fn stage(&self, stage: Stage) {
        self.tell(stage.words());
    }

    /// Tells what is done now.
    pub(super) fn tell(&self, words: &'static str) {
        self.bar.set_message(words);
        if let Some(mut begun) = self.begun.as_ref().and_then(|begun| begun.lock().ok()) {
            begun.push((words, Instant::now()));
        }
    }

    /// A line for each stage with the seconds until the next began, the last until now, and their sum.
    fn times(&self) -> Vec<String> {
        let Some(begun) = self.begun.as_ref().and_then(|begun| begun.lock().ok()) else { return Vec::new() };
        let Some((_, first)) = begun.first() else { return Vec::new() };
        let ends = begun.iter().skip(1).map(|(_, start)| *start).chain([Instant::now()]);
        let line = |words: &str, time: Duration| format!("{:>9.3} s  {words}", time.as_secs_f64());
        let each = begun.iter().zip(ends).map(|((words, start), end)| line(words, end - *start));
        each.chain([line("in all", first.elapsed())]).collect()
    }
}

fn show_later(bar: ProgressBar) -> (Sender<()>, JoinHandle<()>) {
    let (sender, receiver) = mpsc::channel::<()>();
    let waiting = thread::spawn(move || {
        if receiver.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout) {
            bar.set_draw_target(ProgressDrawTarget::stderr());
            bar.enable_steady_tick(Duration::from_millis(100));
        }
    });
    (sender, waiting)
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some((sender, waiting)) = self.waiting.take() {
            drop(sender);
            // The thread only waits and draws; were it to fail, there would be no line to take away.
            let _ = waiting.join();
        }
        self.bar.finish_and_clear();
        for line in self.times() {
            // As for summaries: nobody is left to tell.
            let _ = writeln!(io::stderr(), "{line}");
        }
    }
}

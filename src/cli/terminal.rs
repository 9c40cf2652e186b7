//! Writes answers to stdout, progress and summaries to stderr.
//!
//! It asks the environment whether colours and progress are wanted, and decides nothing else. All output passes through
//! it, so that no text of a stranger moves the cursor, sets a title or hides a line.

mod bars;
mod harmless;

use std::env;
use std::io::{self, BufWriter, ErrorKind, IsTerminal, Write};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use crate::cli::terminal::bars::Bars;
use crate::compile::progress::Step;
use crate::report::text::Style;

/// The two streams, and what they can do.
pub(super) struct Terminal {
    style: Style,
    shows_progress: bool,
    tells_times: bool,
}

impl Terminal {
    /// Looks at the streams and at `NO_COLOR` (<https://no-color.org>: any value that is not empty).
    ///
    /// With `tells_times`, each stage is reported with its time.
    pub(super) fn new(tells_times: bool) -> Terminal {
        let is_plain = env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let style = if io::stdout().is_terminal() && !is_plain { Style::Coloured } else { Style::Plain };
        // A terminal of that name cannot go back to a line it has written (terminfo(5), `dumb`).
        let is_dumb = env::var_os("TERM").is_some_and(|name| name == "dumb");
        Terminal { style, shows_progress: io::stderr().is_terminal() && !is_dumb, tells_times }
    }

    /// How findings are drawn.
    pub(super) fn style(&self) -> Style {
        self.style
    }

    /// Writes answers.
    pub(super) fn answer(&self, texts: impl IntoIterator<Item = String>) -> io::Result<()> {
        let mut stdout = BufWriter::new(io::stdout().lock());
        for text in texts {
            stdout.write_all(harmless::text(&text, self.style).as_bytes())?;
        }
        stdout.flush()
    }

    /// Writes a line of summary.
    pub(super) fn summarize(&self, line: &str) {
        // A summary that cannot be written is no reason to fail.
        let _ = writeln!(io::stderr(), "{}", harmless::text(line, Style::Plain));
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

/// Writes what the parser of arguments has to say, which may repeat them: a shell puts names of files there.
pub(super) fn refuse(error: &clap::Error) {
    let plain = error.render().to_string();
    let shown = harmless::text(&plain, Style::Plain);
    // If even the terminal is gone, nobody is left to read it.
    let _ = if shown == plain { error.print() } else { write!(io::stderr(), "{shown}") };
}

/// Says whether an error is that nobody reads the output any more.
pub(super) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == ErrorKind::BrokenPipe)
}

/// Bars on stderr if somebody sees them, and the times of the stages if asked for, written when it is dropped.
pub(super) struct Progress {
    bars: Option<Bars>,
    /// The stages with the times they began, if asked for.
    begun: Option<Mutex<Vec<(&'static str, Instant)>>>,
}

impl Progress {
    fn begin(is_seen: bool, is_timed: bool) -> Progress {
        Progress { bars: is_seen.then(Bars::begin), begun: is_timed.then(Mutex::default) }
    }

    /// Shows which stage begins, or how far it is.
    pub(super) fn stage(&self, step: Step) {
        if step.done == 0 {
            self.tell(step.stage.words());
        }
        self.share(step);
    }

    /// Shows what is done now.
    pub(super) fn tell(&self, words: &'static str) {
        if let Some(bars) = &self.bars {
            bars.tell(words);
        }
        if let Some(mut begun) = self.begun.as_ref().and_then(|begun| begun.lock().ok()) {
            begun.push((words, Instant::now()));
        }
    }

    /// Shows the progress of a part of the present stage, which has no time of its own.
    pub(super) fn share(&self, step: Step) {
        if let Some(bars) = &self.bars {
            bars.share(step.stage.words(), step.done, step.total);
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

impl Drop for Progress {
    fn drop(&mut self) {
        self.bars = None;
        for line in self.times() {
            // As for summaries, nobody is left to read it.
            let _ = writeln!(io::stderr(), "{line}");
        }
    }
}

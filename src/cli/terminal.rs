//! Writes answers to stdout, progress and summaries to stderr.
//!
//! It asks the environment whether colours and progress are wanted, and decides nothing else. All
//! output passes through it, so that text from strangers cannot move the cursor, set a title or
//! hide a line.

mod bars;
mod harmless;

use std::env;
use std::io::{self, BufWriter, ErrorKind, IsTerminal, Write};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use crate::cli::terminal::bars::Bars;
use crate::compile::progress::Step;
use crate::report::text::Style;

/// The two output streams and their abilities.
pub(super) struct Terminal {
    style: Style,
    shows_progress: bool,
    tells_times: bool,
}

impl Terminal {
    /// Reads the abilities of the streams and `NO_COLOR` (<https://no-color.org>: any value that is
    /// not empty).
    ///
    /// With `tells_times`, it also reports how long each stage took.
    pub(super) fn new(tells_times: bool) -> Terminal {
        let is_plain = env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let style = if io::stdout().is_terminal() && !is_plain { Style::Coloured } else { Style::Plain };
        // A terminal called `dumb` cannot rewrite a line (terminfo(5)).
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
        // A failure to write a summary does not fail the command.
        let _ = writeln!(io::stderr(), "{}", harmless::text(line, Style::Plain));
    }

    /// Writes why a command could not run.
    pub(super) fn complain(&self, line: &str) {
        self.summarize(&format!("bartack: {line}"));
    }

    /// Starts showing progress, if stderr is a terminal and the command takes long enough.
    pub(super) fn progress(&self) -> Progress {
        Progress::begin(self.shows_progress, self.tells_times)
    }
}

/// Writes a message of the argument parser, which may quote arguments: a shell puts file names
/// there.
pub(super) fn refuse(error: &clap::Error) {
    let plain = error.render().to_string();
    let shown = harmless::text(&plain, Style::Plain);
    // If stderr is closed too, no reader is left.
    let _ = if shown == plain { error.print() } else { write!(io::stderr(), "{shown}") };
}

/// Says whether an error means that the reader closed the output.
pub(super) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == ErrorKind::BrokenPipe)
}

/// Progress bars on stderr if it is a terminal; on drop, the times of the stages if requested.
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

    /// Shows the current task.
    pub(super) fn tell(&self, words: &'static str) {
        if let Some(bars) = &self.bars {
            bars.tell(words);
        }
        if let Some(mut begun) = self.begun.as_ref().and_then(|begun| begun.lock().ok()) {
            begun.push((words, Instant::now()));
        }
    }

    /// Shows the progress of part of the present stage; it is not timed separately.
    pub(super) fn share(&self, step: Step) {
        if let Some(bars) = &self.bars {
            bars.share(step.stage.words(), step.done, step.total);
        }
    }

    /// A line for each stage with its duration, and a last line with the total.
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
            // As with summaries, a failure to write is ignored.
            let _ = writeln!(io::stderr(), "{line}");
        }
    }
}

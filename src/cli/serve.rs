//! `bartack serve`: shows the site on this machine, and builds it again on each save, until ctrl-C.

use std::sync::mpsc;

use clap::Args;

use crate::cli::{Outcome, Session};
use crate::diagnostic::wording;
use crate::serve::{Event, Server, Wake};

/// The arguments of `serve`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// The port on 127.0.0.1; 0 takes any free one.
    #[arg(long, value_name = "N", default_value_t = 4310)]
    port: u16,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    // Report a folder without a knowledge base at once; the pages show later errors.
    session.read()?;
    let server = Server::bind(options.port)?;
    let (waker, wakes) = mpsc::channel();
    let stopper = waker.clone();
    ctrlc::set_handler(move || {
        // If the receiver is gone, the program is already ending.
        let _ = stopper.send(Wake::Stop);
    })?;
    server.run(&session.root, waker, &wakes, &|event| tell(session, event))?;
    Ok(Outcome::Clean)
}

fn tell(session: &Session, event: Event<'_>) {
    let terminal = &session.terminal;
    match event {
        Event::Serving(port) => terminal.summarize(&format!("serving http://127.0.0.1:{port}/ until ctrl-C")),
        Event::Built(count) => terminal.summarize(&format!("read {}", wording::count(count, "record"))),
        Event::Failed(title, text) => {
            // The reader of stderr may have gone; the pages still show the findings.
            let _ = terminal.answer([format!("{}\n", text.trim_end())]);
            terminal.summarize(title);
        }
    }
}

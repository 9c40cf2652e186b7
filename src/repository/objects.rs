//! The objects behind names, all from one run of `git cat-file --batch`, within the limits of the disk.

use std::io::{BufRead, BufReader, BufWriter, Read, Write};
use std::process::{ChildStdin, Stdio};
use std::thread;

use crate::disk::found::{self, Found};
use crate::repository::Problem;
use crate::repository::program::{self, Git};
use crate::repository::tree::{Entry, Judged};
use crate::source::FilePath;

/// The most bytes of texts; one object under many names could otherwise fill any memory.
const MOST_TEXT: u64 = 2 << 30;

/// Reads texts whole, and of pictures what their headers say.
pub(super) fn read(git: &Git<'_>, wanted: Vec<(FilePath, Entry, Judged)>) -> Result<Vec<(FilePath, Found)>, Problem> {
    let texts = wanted.iter().filter(|(_, _, judged)| matches!(judged, Judged::Text));
    if texts.map(|(_, entry, _)| entry.size).sum::<u64>() > MOST_TEXT {
        return Err(Problem::TooMuch("2 GiB of texts"));
    }
    let mut child = git.start(&["cat-file", "--batch"], Stdio::piped())?;
    let (input, output) = (child.stdin.take(), child.stdout.take());
    let ids: Vec<String> = wanted.iter().map(|(_, entry, _)| entry.id.clone()).collect();
    // Both pipes are short: a process that only writes, or only reads, waits forever.
    let asking = thread::spawn(move || input.map_or(Ok(()), |input| ask(input, &ids)));
    let mut output = BufReader::new(output.expect("the answer comes through a pipe"));
    let found: Result<Vec<_>, Problem> =
        wanted.into_iter().map(|(path, entry, judged)| Ok((path, one(&mut output, &entry, &judged)?))).collect();
    match found {
        Ok(found) => {
            drop(output);
            // A question that could not be sent got no answer either.
            let _ = asking.join();
            program::finish(child).map(|()| found)
        }
        Err(problem) => {
            program::stop(child);
            let _ = asking.join();
            Err(problem)
        }
    }
}

fn ask(input: ChildStdin, ids: &[String]) -> std::io::Result<()> {
    let mut input = BufWriter::new(input);
    ids.iter().try_for_each(|id| writeln!(input, "{id}"))?;
    input.flush()
}

/// Reads one answer: `<id> blob <size>`, the object, and a newline.
fn one(output: &mut impl BufRead, entry: &Entry, judged: &Judged) -> Result<Found, Problem> {
    let mut head = String::new();
    output.by_ref().take(256).read_line(&mut head)?;
    let expected = format!("{} blob {}", entry.id, entry.size);
    if head.trim_end() != expected {
        return Err(Problem::Incomplete);
    }
    let mut bytes = Vec::new();
    output.by_ref().take(entry.size).read_to_end(&mut bytes)?;
    let mut end = [0];
    output.read_exact(&mut end)?;
    if bytes.len() as u64 != entry.size {
        return Err(Problem::Incomplete);
    }
    Ok(match judged {
        Judged::Text => found::text(bytes).unwrap_or_else(Found::Refused),
        _ => Found::Beside { bytes: entry.size, picture: found::picture(&bytes) },
    })
}

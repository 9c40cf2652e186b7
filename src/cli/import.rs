//! `bartack import`: a sheet of garments, drafts from the site, or another knowledge base, to entries; a dry run unless
//! told to write.
//!
//! `import` decides how to read; `text` lays out the answer.

mod base;
mod base_text;
mod handed;
mod leftover;
mod text;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use clap::Args;

use crate::cli::import::base::Request;
use crate::cli::import::handed::Handed;
use crate::cli::import::text::{Answer, Mode};
use crate::cli::{Outcome, Session};
use crate::disk::{self, bring};
use crate::import::mapping::Mapping;
use crate::import::proof::{self, Present};
use crate::import::row::Column;
use crate::import::sheet::{self, Sheet};
use crate::import::{self, Candidate, Corrects, ImportInput, Origin, Trouble, shape};
use crate::resolve::{self, Catalog};
use crate::sheet::{encoding, workbook};
use crate::source::edit::Change;
use crate::validate;

/// The arguments of `import`.
#[derive(Debug, Args)]
pub(super) struct Options {
    /// A sheet with one garment a row (`.xlsx`, `.ods`, or CSV with commas, semicolons or tabs), or what the site's page
    /// for recording a garment produces: drafts and corrections (`.md`) and bundles of drafts and photographs (`.zip`); or
    /// the folder of another knowledge base, alone.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// Answers about the sheet or the other knowledge base, as the dry run prints them: what columns, words and names mean.
    #[arg(long, value_name = "FILE.toml")]
    map: Option<PathBuf>,
    /// Which sheet of a workbook to read, if several have content.
    #[arg(long, value_name = "NAME")]
    sheet: Option<String>,
    /// Writes the entries; without it, only lists what would be written and what is wrong.
    #[arg(long)]
    write: bool,
    /// Writes the rows with mistakes into a new sheet, to correct and import again.
    #[arg(long, value_name = "FILE.csv")]
    rest: Option<PathBuf>,
}

/// A sheet and the meaning of its columns.
struct Opened {
    sheet: Sheet,
    columns: Vec<Column>,
}

/// The sheet's name and mapping from the command line.
struct SheetOptions<'a> {
    mapping: &'a Mapping,
    /// Its name on the command line.
    sheet: Option<&'a str>,
}

/// The files named on the command line: at most one sheet, and drafts.
struct Files<'a> {
    sheet: Option<&'a Path>,
    drafts: Vec<&'a PathBuf>,
}

/// Runs the command.
pub(super) fn run(session: &Session, options: &Options) -> anyhow::Result<Outcome> {
    if let Some(folder) = options.files.iter().find(|path| path.is_dir()) {
        return another_base(session, options, folder);
    }
    let files = sorted(&options.files)?;
    if let Some(rest) = &options.rest {
        ensure!(files.sheet.is_some(), "--rest is for the rows of a sheet, but none of the files is a sheet");
        disk::refuse_taken(rest)?;
    }
    let progress = session.terminal.progress();
    let reading = session.read_watched(&progress)?;
    let (catalog, _) = resolve::catalog(reading.sources.clone(), validate::all(&reading.sources, &|| {}));
    let mapping = mapping(&catalog, options.map.as_deref())?;
    ensure!(
        options.sheet.is_none() || files.sheet.is_some(),
        "--sheet names a sheet of a workbook, but none of the files is a workbook"
    );
    let sheet_options = SheetOptions { mapping: &mapping, sheet: options.sheet.as_deref() };
    let opened = files.sheet.map(|path| open(&catalog, path, &sheet_options)).transpose()?;
    let handed = Handed::read(&files.drafts)?;
    let sheet = opened.as_ref().map(|opened| (&opened.sheet, opened.columns.as_slice()));
    let left = handed.left(&session.root, &reading.sources);
    let brought = ImportInput { mapping: &mapping, sheet, drafts: &handed.drafts, left: &left };
    let proved = proof::prove(
        &Present { sources: &reading.sources, unread: &reading.faults },
        |wrong| import::gather(&catalog, &brought, wrong),
        |candidates| handed.photographs(candidates),
        &|step| progress.stage(step),
    );
    drop(progress);
    let gathered = import::under_headings(proved.gathered, brought.sheet.map_or(&[], |(_, columns)| columns));
    let name = files.sheet.map(|path| path.display().to_string());
    let answer = Answer { catalog: &catalog, brought: &brought, gathered: &gathered, mode: mode(options) };
    session.terminal.answer(answer.lines(name.as_deref()))?;
    leftover::report(session, &reading.sources, &gathered.candidates);
    if options.write {
        write(session, &handed, &gathered.candidates)?;
    }
    let rest = options.rest.as_deref().zip(opened.as_ref());
    let rest = rest.map(|(path, opened)| write_rest(path, opened, &gathered.troubles)).transpose()?;
    session.terminal.summarize(&format!("{}{}", answer.summary(), rest.unwrap_or_default()));
    Ok(if gathered.troubles.is_empty() { Outcome::Clean } else { Outcome::Denied })
}

/// Imports the entries of another knowledge base, which must be the only argument.
fn another_base(session: &Session, options: &Options, folder: &Path) -> anyhow::Result<Outcome> {
    ensure!(options.files.len() == 1, "{} is a folder; import another knowledge base alone", folder.display());
    ensure!(
        options.rest.is_none() && options.sheet.is_none(),
        "--rest and --sheet are for a sheet, but {} is a folder",
        folder.display()
    );
    let request = Request { folder, map: options.map.as_deref(), mode: mode(options) };
    base::run(session, &request)
}

fn mode(options: &Options) -> Mode {
    if options.write { Mode::Write } else { Mode::DryRun }
}

fn sorted(files: &[PathBuf]) -> anyhow::Result<Files<'_>> {
    let (drafts, sheets): (Vec<&PathBuf>, Vec<&PathBuf>) = files.iter().partition(|path| handed::is_one(path));
    match sheets.as_slice() {
        [] | [_] => Ok(Files { sheet: sheets.first().map(|path| path.as_path()), drafts }),
        _ => bail!("import one sheet at a time: each has its own columns and so needs its own mapping"),
    }
}

fn read_text(path: &Path) -> anyhow::Result<String> {
    let text = encoding::strict(&bring::whole(path)?);
    text.map_err(|problem| anyhow::anyhow!("{}: {problem}", path.display()))
}

fn mapping(catalog: &Catalog, path: Option<&Path>) -> anyhow::Result<Mapping> {
    let Some(path) = path else { return Ok(Mapping::default()) };
    let mapping = Mapping::parse(&read_text(path)?, catalog);
    mapping.map_err(|problem| anyhow::anyhow!("{}: {problem}", path.display()))
}

fn open(catalog: &Catalog, path: &Path, sheet_options: &SheetOptions<'_>) -> anyhow::Result<Opened> {
    let sheet = sheet(bring::whole(path)?, sheet_options);
    let opened = sheet.and_then(|sheet| {
        let sheet = shape::headed(catalog, sheet, sheet_options.mapping);
        let columns = import::columns(catalog, &sheet, sheet_options.mapping)?;
        Ok(Opened { sheet: shape::garments(sheet, &columns), columns })
    });
    opened.map_err(|problem| anyhow::anyhow!("{}: {problem}", path.display()))
}

/// The rows of a file. For a workbook, the command line chooses the sheet, or else the mapping
/// does.
fn sheet(bytes: Vec<u8>, sheet_options: &SheetOptions<'_>) -> Result<Sheet, String> {
    if workbook::is_one(&bytes)? {
        let worksheet = workbook::read(&bytes, sheet_options.sheet.or(sheet_options.mapping.sheet.as_deref()))?;
        return sheet::of_workbook(&worksheet);
    }
    match sheet_options.sheet {
        Some(_) => Err("is text, which has no sheets to choose from; remove --sheet".to_string()),
        None => {
            let decoded = encoding::decode(&bytes, sheet_options.mapping.encoding.as_deref())?;
            sheet::of_text(decoded, sheet_options.mapping.separator)
        }
    }
}

/// Writes the photographs of each entry before the entry itself, so that every reference leads to a
/// file. A correction replaces its entry in one step, if the entry has not changed since it was
/// read.
fn write(session: &Session, handed: &Handed, candidates: &[Candidate]) -> anyhow::Result<()> {
    for (number, candidate) in candidates.iter().enumerate() {
        let written = match &candidate.corrects {
            Some(Corrects { before, .. }) => {
                let change = Change { before: before.clone(), after: candidate.text.clone() };
                handed
                    .write(&session.root, candidate)
                    .and_then(|()| Ok(disk::mend(&session.root, &candidate.path, &change)?))
            }
            None => handed
                .write(&session.root, candidate)
                .and_then(|()| Ok(bring::entry(&session.root, &candidate.path, &candidate.text)?)),
        };
        written.with_context(|| format!("stopped after {number} of {} entries", candidates.len()))?;
    }
    Ok(())
}

/// Writes the rows with mistakes unchanged into a sheet; returns the end of the summary.
fn write_rest(path: &Path, opened: &Opened, troubles: &[Trouble]) -> anyhow::Result<String> {
    let wrong: BTreeSet<&Origin> = troubles.iter().map(|trouble| &trouble.origin).collect();
    let rows: Vec<_> = opened.sheet.rows.iter().filter(|row| wrong.contains(&Origin::Row(row.number))).collect();
    if rows.is_empty() {
        return Ok(String::new());
    }
    disk::keep(path, &opened.sheet.only(rows.iter().copied()))?;
    Ok(format!("; the rows that are wrong are in {}", path.display()))
}

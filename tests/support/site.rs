//! A knowledge base's folder to the files of its output, in memory.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use bartack::analysis::Analysis;
use bartack::compile::{self, Compilation};
use bartack::disk::{self, Reading};
use bartack::page::Site;
use bartack::publish;
use bartack::publish::output_log::{OutputLog, Stamp, Turn};
use bartack::source::Sources;
use bartack::view::context::Context;
use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

/// Everything that is written, by path.
pub type Output = BTreeMap<String, Vec<u8>>;

/// Reads and compiles a knowledge base.
pub fn compiled(root: &Path) -> (Compilation, Site) {
    let Reading { sources, faults, site } = disk::read(root, &|_| {}).unwrap();
    (compile::compile(sources, faults, compile::Options::default()), Site::new(&site).unwrap())
}

/// Makes the whole output of a knowledge base.
pub fn output(root: &Path) -> Output {
    let (compilation, site) = compiled(root);
    published(root, &compilation, &site)
}

/// Makes the whole output from the same files, handed over in the opposite order.
pub fn output_of_reversed(root: &Path) -> Output {
    let Reading { sources, faults, site } = disk::read(root, &|_| {}).unwrap();
    let files = sources.iter().map(|(_, file)| file.clone()).collect::<Vec<_>>().into_iter().rev().collect();
    let attachments = sources.attachments().iter().rev().cloned().collect();
    let sources = Sources::new(files).with_attachments(attachments);
    published(root, &compile::compile(sources, faults, compile::Options::default()), &Site::new(&site).unwrap())
}

fn published(root: &Path, compilation: &Compilation, site: &Site) -> Output {
    let version = compile::content_id(&compilation.knowledge.catalog.sources);
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, site, &version);
    let photographs = context.photographs.all().par_iter();
    let mut output: Output =
        photographs.flat_map_iter(|one| one.make(&fs::read(root.join(one.source())).unwrap())).collect();
    let files = publish::files(&context).unwrap();
    let stamped = |(path, content): (&String, &Vec<u8>)| (path.clone(), Stamp::of(content));
    let mut written: OutputLog = output.iter().map(stamped).collect();
    for turn in Turn::ALL {
        let own = files.par_iter().filter(|file| file.turn() == turn);
        let more: Output = own.map(|file| (file.path().to_string(), file.content(&written).unwrap())).collect();
        written.extend(more.iter().map(stamped));
        output.extend(more);
    }
    output
}

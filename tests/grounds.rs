//! Grounds: pages made of a ground's files alone are those made of all files, and a page whose ground kept its name is
//! the same as before, whatever else was changed.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::path::Path;

use bartack::analysis::Analysis;
use bartack::compile::{self, Compilation};
use bartack::diagnostic::Level;
use bartack::disk;
use bartack::page::Site;
use bartack::publish;
use bartack::publish::grounds::Grounds;
use bartack::publish::written::Written;
use bartack::record::id::MakerId;
use bartack::resolve::grounds;
use bartack::source::Sources;
use bartack::view::context::Context;
use rayon::prelude::{IntoParallelRefIterator, ParallelIterator};

use self::world::{MAKERS, World};
use crate::support::numbers::Numbers;

#[path = "grounds/world.rs"]
mod world;

/// Pages by path, with the maker of whose ground they are made.
type Pages = BTreeMap<String, (MakerId, Vec<u8>)>;

fn site() -> Site {
    Site::new(&BTreeMap::new()).unwrap()
}

fn compiled(sources: Sources) -> Compilation {
    compile::compile(sources, Vec::new(), &|_| {})
}

fn pages(compilation: &Compilation, site: &Site, of: impl Fn(&MakerId) -> bool + Sync) -> Pages {
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, site, "any");
    let files = publish::files(&context).unwrap();
    let own = files.par_iter().filter_map(|file| Some((file, file.maker().filter(|maker| of(maker))?)));
    own.map(|(file, maker)| (file.path().to_string(), (maker.clone(), file.content(&Written::new()).unwrap())))
        .collect()
}

/// Holds the pages of each ground to those that are made where no other files are; counts grounds, and pages.
fn alone(sources: &Sources, site: &Site) -> (usize, usize) {
    let whole = compiled(sources.clone());
    let expected = pages(&whole, site, |_| true);
    let grounds = grounds::of(&whole.knowledge.catalog);
    for ground in &grounds {
        let files = ground.files.iter().map(|file| sources.file(*file).clone()).collect();
        let beside = sources.attachments().iter().filter(|beside| ground.shows(beside.path.as_str())).cloned();
        let own = Sources::new(files).with_attachments(beside.collect());
        let is_own = |maker: &MakerId| ground.makers.contains(&maker);
        let expected = expected.iter().filter(|(_, (maker, _))| is_own(maker));
        let made = pages(&compiled(own), site, |_| true);
        for (path, page) in expected.clone() {
            assert!(made.get(path) == Some(page), "{path} is another page where only its ground is");
        }
        assert_eq!(made.len(), expected.count());
    }
    (grounds.len(), expected.len())
}

#[test]
fn pages_are_made_of_their_grounds_alone() {
    let (mut random, mut counts) = (Numbers(11), BTreeMap::<usize, usize>::new());
    for _ in 0..60 {
        let world = World::new(&mut random);
        let sources = world.sources();
        assert!(!compiled(sources.clone()).reaches(Level::Error));
        let (grounds, pages) = alone(&sources, &site());
        assert!(pages > 60);
        *counts.entry(grounds).or_default() += 1;
    }
    assert_eq!(
        counts.keys().copied().collect::<Vec<_>>(),
        [1, 2, 3, 4],
        "worlds by their number of grounds: {counts:?}"
    );
}

#[test]
fn pages_of_the_demo_are_made_of_their_grounds_alone() {
    let reading = disk::read(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap();
    let (grounds, pages) = alone(&reading.sources, &Site::new(&reading.site).unwrap());
    assert!(grounds > 1 && pages > 200, "{grounds} grounds, {pages} pages");
}

/// Changes one file: a word more, another year, one more garment, one less, or something else that joins two makers.
fn edit(world: &mut World, random: &mut Numbers) {
    let paths: Vec<String> = world.0.keys().cloned().collect();
    let path = &paths[random.below(paths.len() as u64) as usize];
    let text = world.0[path].clone();
    match random.below(5) {
        0 if path.ends_with(".md") => world.0.insert(path.clone(), format!("{text}\nOne more word.\n")),
        1 => world.0.insert(path.clone(), text.replace("195", "196")),
        2 if path.contains("/seen-") => world.0.insert(path.replace("/seen-", "/more-"), text),
        3 if path.contains("/seen-") => world.0.remove(path),
        _ => {
            world.join(random);
            None
        }
    };
}

#[test]
fn a_page_whose_ground_kept_its_name_is_the_same_whatever_was_changed() {
    let (site, mut random) = (site(), Numbers(5));
    let (mut kept, mut changed) = (0, 0);
    for _ in 0..12 {
        let mut world = World::new(&mut random);
        let mut before = compiled(world.sources());
        for _ in 0..8 {
            let mut edited = world.clone();
            edit(&mut edited, &mut random);
            let after = compiled(edited.sources());
            // What refers to nothing any more is not built.
            if after.reaches(Level::Error) {
                continue;
            }
            let names = [&before, &after].map(|one| Grounds::new(&one.knowledge.catalog, &site));
            let is_kept = |maker: &MakerId| names[0].of(maker) == names[1].of(maker);
            assert!(pages(&before, &site, is_kept) == pages(&after, &site, is_kept));
            let count = MAKERS.iter().filter(|maker| is_kept(&MakerId::new(**maker))).count();
            kept += count;
            changed += MAKERS.len() - count;
            (world, before) = (edited, after);
        }
    }
    assert!(kept > 100 && changed > 60, "{kept} grounds kept their names, {changed} changed them");
}

#[test]
fn a_ground_has_another_name_where_the_site_has_another_template() {
    let catalog = compiled(World::new(&mut Numbers(3)).sources()).knowledge.catalog;
    let own = BTreeMap::from([("templates/variant.html".to_string(), b"{{ name }}".to_vec())]);
    let names = [site(), Site::new(&own).unwrap()].map(|site| Grounds::new(&catalog, &site));
    let differ = |maker| names[0].of(&maker) != names[1].of(&maker);
    assert!(MAKERS.iter().all(|maker| differ(MakerId::new(*maker))));
}

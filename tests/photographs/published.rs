//! Photographs on their way through the whole program: the demonstration's, and broken ones beside whole ones.

use std::collections::BTreeMap;
use std::fs;
use std::io::Cursor;
use std::path::Path;

use bartack::analysis::Analysis;
use bartack::compile::{self, example};
use bartack::publish;
use bartack::publish::output::Planned;
use bartack::view::context::Context;
use bartack::{disk, page};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ImageEncoder, ImageFormat, RgbImage};
use regex::Regex;
use tempfile::TempDir;

use crate::photographs::{drawn, quartered, wrapped};
use crate::support;
use crate::support::history;

const FOLDER: &str = "entries/makers/hollin/no-4/best";
const PAGE: &str = "makers/hollin/no-4/best/barn-find.html";

/// A knowledge base with one garment and the photographs named, which lie beside its entry.
fn knowledge_base(photographs: &[(&str, Vec<u8>)]) -> TempDir {
    let root = TempDir::new().unwrap();
    let named: Vec<String> = photographs
        .iter()
        .map(|(name, _)| {
            format!("{{ file = \"{name}\", shows = [\"hem\"], credit = \"Ida <b>\", licence = \"CC0-1.0\" }}")
        })
        .collect();
    let head = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"";
    let text =
        format!("--- {FOLDER}/barn-find.md\n{head}\nphotos = [{}]\n[features]\nhem = \"raw\"\n+++\n", named.join(", "));
    for (_, file) in example::read(&text).sources.iter() {
        write(root.path(), file.path().as_str(), file.text().as_bytes());
    }
    for (name, bytes) in photographs {
        write(root.path(), &format!("{FOLDER}/{name}"), bytes);
    }
    root
}

pub(super) fn write(root: &Path, path: &str, bytes: &[u8]) {
    fs::create_dir_all(root.join(path).parent().unwrap()).unwrap();
    fs::write(root.join(path), bytes).unwrap();
}

/// Runs a command and gives what it said, and whether it succeeded.
pub(super) fn said(root: &Path, arguments: &[&str]) -> (String, bool) {
    let output = history::bartack(root, arguments);
    (String::from_utf8(output.stdout).unwrap(), output.status.success())
}

/// Every file of the output, by path.
pub(super) fn written(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let folder = root.join("out");
    let files =
        walkdir::WalkDir::new(&folder).into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    let named = |path: &Path| path.strip_prefix(&folder).unwrap().to_string_lossy().replace('\\', "/");
    files.map(|file| (named(file.path()), fs::read(file.path()).unwrap())).collect()
}

pub(super) fn text<'w>(written: &'w BTreeMap<String, Vec<u8>>, path: &str) -> &'w str {
    std::str::from_utf8(&written[path]).unwrap()
}

type Draw = fn() -> RgbImage;

/// The demonstration's pictures, each beside an entry of another model.
const DRAWN: [(&str, Draw); 4] = [
    ("brackwold-tharn/culmer-31/standing-gate-men/oct-59-pocket-cloth.png", drawn::cloth),
    ("brackwold-tharn/sluice-118/standing-gate-men/march-64-inside-leg.png", drawn::seam),
    ("quillander/stackyard/long-furrow-men/code-d-1957-rivet.png", drawn::rivet),
    ("thessop-yarrick/weirkeeper/yarricks-own-men/ticket-54-label.png", drawn::label),
];

/// The smallest of the PNGs that the picture can be.
fn encoded(image: &RgbImage) -> Vec<u8> {
    let filtered = [FilterType::NoFilter, FilterType::Sub, FilterType::Up, FilterType::Adaptive].map(|filter| {
        let mut bytes = Cursor::new(Vec::new());
        let encoder = PngEncoder::new_with_quality(&mut bytes, CompressionType::Best, filter);
        encoder.write_image(image, image.width(), image.height(), image::ExtendedColorType::Rgb8).unwrap();
        bytes.into_inner()
    });
    filtered.into_iter().min_by_key(Vec::len).unwrap()
}

/// `BLESS=1` draws them anew.
#[test]
fn the_pictures_of_the_demonstration_are_drawings_made_here() {
    for (path, draw) in DRAWN {
        let (path, image) = (support::repository("entries/makers").join(path), draw());
        if std::env::var_os("BLESS").is_some() {
            fs::write(&path, encoded(&image)).unwrap();
        }
        let bytes = fs::read(&path).unwrap();
        assert!(bytes.len() < 60_000, "{}: {} bytes", path.display(), bytes.len());
        assert!(image::load_from_memory(&bytes).unwrap().to_rgb8() == image, "{}", path.display());
    }
}

#[test]
fn a_photograph_is_published_in_three_widths_and_says_what_it_shows_and_whose_it_is() {
    let photograph = wrapped::jpeg(&quartered(900, 1700), 6);
    let root = knowledge_base(&[("IMG 1 (2).JPG", photograph)]);
    assert_eq!(said(root.path(), &["check", "--deny", "warning"]), (String::new(), true));
    assert!(said(root.path(), &["build"]).1);
    let written = written(root.path());
    let html = text(&written, PAGE);
    let tag = Regex::new(
        "<a itemprop=\"contentUrl\" href=\"([^\"]*)\"[^>]*><img ([^>]*)> <span>Wide view, 1600 × 847</span></a>",
    )
    .unwrap();
    let found = tag.captures(html).unwrap_or_else(|| panic!("{html}"));
    for said in
        ["loading=\"lazy\"", "decoding=\"async\"", "width=\"1600\"", "height=\"847\"", "sizes=\"", "alt=\"Hem: raw\""]
    {
        assert!(found[2].contains(said), "{said}: {}", &found[2]);
    }
    let caption = &html[html.find("<figcaption>").unwrap()..html.find("</figcaption>").unwrap()];
    let words = Regex::new("<[^>]*>").unwrap().replace_all(caption, "");
    assert_eq!(words.trim(), "Hem: raw. Credit: Ida &lt;b&gt;; licence: CC0-1.0.");
    let choice = Regex::new("srcset=\"([^\"]*)\"").unwrap().captures(&found[2]).unwrap()[1].to_string();
    let widths: Vec<u32> = choice
        .split(", ")
        .map(|one| {
            let (link, width) = one.split_once(' ').unwrap();
            let picture = image::load_from_memory(&written[&link.replace("../", "")]).unwrap();
            assert_eq!(width, format!("{}w", picture.width()));
            picture.width()
        })
        .collect();
    assert_eq!(widths, [480, 960, 1600]);
    assert!(found[1].ends_with("barn-find/1-1600.jpg"), "{}", &found[1]);
    for (path, content) in &written {
        assert!(!crate::photographs::holds(content, wrapped::SECRET) && !path.contains("IMG"), "{path}");
    }
}

#[test]
fn what_is_broken_is_named_and_stops_neither_check_nor_build() {
    let whole = wrapped::jpeg(&quartered(300, 200), 1);
    let root = knowledge_base(&[
        ("whole.png", whole.clone()),
        ("short.jpg", whole[..whole.len() / 2].to_vec()),
        ("pixels.png", wrapped::promising(300, 200, 400)),
        ("bomb.png", wrapped::promising(20_000, 20_000, 2 << 20)),
        ("nothing.jpg", Vec::new()),
        ("heavy.jpg", vec![0xFF; (32 << 20) + 1]),
    ]);
    let named = [
        "`short.jpg` is cut short",
        "`bomb.png` is too large, expected at most 100 megapixels",
        "`nothing.jpg` is not a JPEG or PNG",
        "`heavy.jpg` is too large, expected at most 32 MiB",
    ];
    let pixels = "`pixels.png` cannot be read, so its entry is published without it";
    let (checked, clean) = said(root.path(), &["check"]);
    assert!(clean && named.iter().all(|named| checked.contains(named)), "{checked}");
    assert!(!checked.contains("pixels.png`"), "check decodes nothing: {checked}");
    let (built, clean) = said(root.path(), &["build"]);
    assert!(clean && built.contains(pixels), "{built}");
    let written = written(root.path());
    let html = text(&written, PAGE);
    assert_eq!((html.matches("<img ").count(), html.matches("is not published").count()), (1, 5), "{html}");
    let pictures: Vec<&String> = written.keys().filter(|path| path.starts_with("photographs/")).collect();
    assert_eq!(pictures, ["photographs/makers/hollin/no-4/best/barn-find/1-300.jpg"]);
}

#[test]
fn the_same_bytes_are_written_on_one_thread_and_on_two() {
    let photographs: Vec<(String, Vec<u8>)> = (1..=8_u16)
        .map(|number| (format!("{number}.jpg"), wrapped::jpeg(&quartered(500 + u32::from(number), 400), number)))
        .collect();
    let named: Vec<(&str, Vec<u8>)> = photographs.iter().map(|(name, bytes)| (name.as_str(), bytes.clone())).collect();
    let root = knowledge_base(&named);
    let outputs = ["1", "2"].map(|threads| {
        let run = history::command(root.path(), &["build"]).env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        written(root.path())
    });
    assert!(outputs[0] == outputs[1]);
    assert_eq!(outputs[0].keys().filter(|path| path.starts_with("photographs/")).count(), 12);
}

#[test]
fn a_forged_picture_that_the_list_vouches_for_is_made_anew() {
    let root = knowledge_base(&[("one.jpg", wrapped::plain(&quartered(90, 60), ImageFormat::Jpeg))]);
    let picture = "photographs/makers/hollin/no-4/best/barn-find/1-90.jpg";
    let build = || {
        assert!(said(root.path(), &["build"]).1);
        written(root.path())
    };
    let honest = build();
    assert!(build() == honest, "a second build writes the same");
    let list = String::from_utf8(honest[".bartack"].clone()).unwrap();
    let vouched = list.replace(&blake3::hash(&honest[picture]).to_hex().to_string(), &blake3::hash(b"forged").to_hex());
    write(root.path(), &format!("out/{picture}"), b"forged");
    write(root.path(), "out/.bartack", vouched.as_bytes());
    assert!(build() == honest);
}

#[test]
fn a_page_is_made_again_where_a_photograph_of_the_same_size_can_be_read_or_no_longer() {
    let whole = wrapped::jpeg(&quartered(300, 200), 1);
    // Only decoding shows the damage: the size and all that the header says stay as they are.
    let mut damaged = wrapped::promising(300, 200, 400);
    let mut intact = wrapped::plain(&quartered(300, 200), ImageFormat::Png);
    let longest = damaged.len().max(intact.len());
    damaged.resize(longest, 0);
    intact.resize(longest, 0);
    let root = knowledge_base(&[("one.png", intact.clone()), ("two.jpg", whole)]);
    let shown = |bytes: &[u8]| {
        write(root.path(), &format!("{FOLDER}/one.png"), bytes);
        assert!(said(root.path(), &["build"]).1);
        text(&written(root.path()), PAGE).matches("<img ").count()
    };
    let counts: Vec<usize> = [&intact, &damaged, &damaged, &intact, &intact].map(|bytes| shown(bytes)).to_vec();
    assert_eq!(counts, [2, 1, 1, 2, 2]);
}

#[cfg(unix)]
#[test]
fn links_and_pipes_are_refused_by_name() {
    let secret = TempDir::new().unwrap();
    write(secret.path(), "secret.jpg", &wrapped::plain(&quartered(90, 60), ImageFormat::Jpeg));
    let root = knowledge_base(&[("whole.jpg", wrapped::plain(&quartered(90, 60), ImageFormat::Jpeg))]);
    let folder = root.path().join(FOLDER);
    std::os::unix::fs::symlink(secret.path().join("secret.jpg"), folder.join("link.jpg")).unwrap();
    assert!(std::process::Command::new("mkfifo").arg(folder.join("pipe.jpg")).status().unwrap().success());
    let entry = fs::read_to_string(folder.join("barn-find.md")).unwrap();
    let entry = entry
        .replace("photos = [", "photos = [{ file = \"link.jpg\" }, { file = \"pipe.jpg\" }, { file = \"../x.jpg\" }, ");
    fs::write(folder.join("barn-find.md"), entry).unwrap();
    let (checked, clean) = said(root.path(), &["check"]);
    assert!(!clean && checked.contains("link.jpg:1:1") && checked.contains("pipe.jpg:1:1"), "{checked}");
    assert!(checked.contains("`../x.jpg` is not a file name that works on every system"), "{checked}");
    assert!(!said(root.path(), &["build", "--keep-going"]).1);
    let written = written(root.path());
    assert_eq!(written.keys().filter(|path| path.starts_with("photographs/")).count(), 1);
}

#[cfg(unix)]
#[test]
fn a_photograph_that_turns_into_a_link_while_the_site_is_built_is_left_out() {
    let secret = TempDir::new().unwrap();
    let photograph = wrapped::plain(&quartered(90, 60), ImageFormat::Jpeg);
    write(secret.path(), "secret.jpg", &photograph);
    let root = knowledge_base(&[("whole.jpg", photograph)]);
    let reading = disk::read(root.path(), &|_| {}).unwrap();
    let compilation = compile::compile(reading.sources, reading.faults, compile::Options::default());
    let site = page::Site::new(&reading.site).unwrap();
    let analysis = Analysis::new(&compilation.knowledge);
    let context = Context::new(&analysis, &site, "0");
    let place = root.path().join(FOLDER).join("whole.jpg");
    fs::remove_file(&place).unwrap();
    std::os::unix::fs::symlink(secret.path().join("secret.jpg"), &place).unwrap();
    let files = publish::files(&context).unwrap();
    let planned = Planned { photographs: context.photographs.all(), files: &files, bundle: None };
    disk::write(root.path(), &root.path().join("out"), &planned, &|_| {}).unwrap();
    let written = written(root.path());
    assert!(context.photographs.all()[0].fault().is_some() && text(&written, PAGE).contains("is not published"));
    assert!(written.keys().all(|path| !path.starts_with("photographs/")));
}

/// Pictures by the thousand, of one small file, would be a small commit that takes hours.
#[test]
fn a_photograph_that_many_entries_name_is_decoded_and_published_once() {
    let root = knowledge_base(&[("hem.png", encoded(&drawn::cloth()))]);
    assert!(said(root.path(), &["build"]).1);
    let pictures = |written: &BTreeMap<String, Vec<u8>>| {
        written.keys().filter(|path| path.starts_with("photographs/")).cloned().collect::<Vec<String>>()
    };
    let alone = pictures(&written(root.path()));
    let entry = fs::read(root.path().join(format!("{FOLDER}/barn-find.md"))).unwrap();
    let others: Vec<String> = (0..5).map(|number| format!("shop-find-{number}")).collect();
    for other in &others {
        write(root.path(), &format!("{FOLDER}/{other}.md"), &entry);
    }
    assert!(said(root.path(), &["build"]).1);
    let after = written(root.path());
    assert!(!alone.is_empty());
    assert_eq!(pictures(&after), alone);
    for other in &others {
        let page = format!("makers/hollin/no-4/best/{other}.html");
        assert!(text(&after, &page).contains("photographs/makers/hollin/no-4/best/barn-find/1-"), "{page}");
    }
    // All who name a broken one are told.
    write(root.path(), &format!("{FOLDER}/hem.png"), &wrapped::promising(40, 40, 10));
    let (told, _) = said(root.path(), &["build"]);
    assert!(told.matches("-find").count() > others.len(), "{told}");
}

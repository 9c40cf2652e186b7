//! The bytes of a bundle, as the site's page for recording a garment packs it, to drafts and their photographs.
//!
//! Folders within it mean nothing: what matters is the name of a file. A small bundle can unpack to more than any machine
//! holds, so it is unpacked only as far as there is room.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::read::ZipFile;
use zip::result::ZipError;

use crate::diagnostic::wording;
use crate::import::LARGEST_ENTRY;
use crate::photograph;

/// The most files of one bundle.
pub const MOST_FILES: usize = 200;

/// The most that a bundle may unpack to, in bytes.
pub const MOST_UNPACKED: u64 = 256 << 20;

/// The content of a bundle.
#[derive(Clone, Debug, Default)]
pub struct Bundle {
    /// The bytes of each draft, by name.
    pub drafts: BTreeMap<String, Vec<u8>>,
    /// The bytes of each photograph, by name.
    pub photographs: BTreeMap<String, Vec<u8>>,
}

/// Unpacks a bundle: one draft or more, and photographs.
pub fn read(bytes: &[u8]) -> Result<Bundle, String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| damaged("its list of files cannot be read"))?;
    if archive.len() > MOST_FILES {
        return Err(format!("holds {} files; the most for one import is {MOST_FILES}", archive.len()));
    }
    let (mut bundle, mut left) = (Bundle::default(), MOST_UNPACKED);
    for place in 0..archive.len() {
        let file = archive.by_index(place).map_err(|error| match error {
            ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => {
                "has a password; pack it without one".to_string()
            }
            _ => damaged("one of its files cannot be read"),
        })?;
        let Some(name) = own_name(&file)? else { continue };
        let packed = Packed::of(&name)?;
        let bytes = unpacked(file, &name, packed.limit().min(left))?;
        left -= bytes.len() as u64;
        let before = match packed {
            Packed::Draft => bundle.drafts.insert(name.clone(), bytes),
            Packed::Photograph => bundle.photographs.insert(name.clone(), bytes),
        };
        if before.is_some() {
            return Err(format!("holds two files called {}; give one of them another name", wording::quote(&name)));
        }
    }
    if bundle.drafts.is_empty() {
        return Err("holds no entry (`.md`), so it is not a bundle from the page *Record a garment*".to_string());
    }
    Ok(bundle)
}

/// The kind of a file in a bundle.
enum Packed {
    Draft,
    Photograph,
}

impl Packed {
    fn of(name: &str) -> Result<Packed, String> {
        let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending).to_ascii_lowercase();
        match ending.as_str() {
            "md" => Ok(Packed::Draft),
            "jpg" | "jpeg" | "png" => Ok(Packed::Photograph),
            _ => Err(format!(
                "holds {}, which is neither an entry (`.md`) nor a photograph (`.jpg`, `.png`); remove it",
                wording::quote(name)
            )),
        }
    }

    fn limit(&self) -> u64 {
        match self {
            Packed::Draft => LARGEST_ENTRY as u64,
            Packed::Photograph => photograph::MOST_BYTES,
        }
    }
}

/// The name of a file without its folders; nothing for folders and for what a system adds of its own.
fn own_name(file: &ZipFile<'_, Cursor<&[u8]>>) -> Result<Option<String>, String> {
    let path = file.name().map_err(|_| damaged("the name of one of its files cannot be read"))?.replace('\\', "/");
    let name = path.rsplit('/').next().unwrap_or_default();
    let is_added = path.starts_with("__MACOSX/") || name.starts_with('.');
    Ok((!file.is_dir() && !name.is_empty() && !is_added).then(|| name.to_string()))
}

fn unpacked(file: ZipFile<'_, Cursor<&[u8]>>, name: &str, limit: u64) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let read = file.take(limit + 1).read_to_end(&mut bytes);
    let shown = wording::quote(name);
    if bytes.len() as u64 > limit {
        return Err(format!("holds {shown}, which unpacks to more than the remaining {} MiB", limit >> 20));
    }
    read.map_err(|_| damaged(&format!("its file {shown} cannot be unpacked")))?;
    Ok(bytes)
}

fn damaged(what: &str) -> String {
    format!("is damaged: {what}; ask for it again")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::io::{Cursor, Write};

    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    use super::{MOST_FILES, read};

    fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in files {
            archive.start_file(*name, SimpleFileOptions::default()).unwrap();
            archive.write_all(bytes).unwrap();
        }
        archive.finish().unwrap().into_inner()
    }

    #[test]
    fn folders_and_what_systems_add_mean_nothing() {
        let bytes =
            packed(&[("a/1977.md", b"+++"), ("a\\hem.JPG", b"x"), ("__MACOSX/._1977.md", b"y"), (".DS_Store", b"z")]);
        let bundle = read(&bytes).unwrap();
        assert_eq!(bundle.drafts.keys().collect::<Vec<_>>(), ["1977.md"]);
        assert_eq!(bundle.photographs.keys().collect::<Vec<_>>(), ["hem.JPG"]);
    }

    #[test]
    fn what_is_no_bundle_is_refused_with_what_to_do() {
        let many: Vec<(String, &[u8])> = (0..=MOST_FILES).map(|number| (format!("{number}.md"), &b"x"[..])).collect();
        let many: Vec<(&str, &[u8])> = many.iter().map(|(name, bytes)| (name.as_str(), *bytes)).collect();
        let large = vec![0; (1 << 20) + 1];
        for (bytes, said) in [
            (packed(&[]), "holds no entry"),
            (packed(&[("hem.jpg", b"x")]), "holds no entry"),
            (packed(&[("a.md", b"x"), ("run.exe", b"x")]), "holds `run.exe`, which is neither an entry"),
            (packed(&[("a.md", b"x"), ("b/a.md", b"x")]), "two files called `a.md`"),
            (packed(&[("a.md", &large)]), "unpacks to more than the remaining 1 MiB"),
            (packed(&many), "holds 201 files"),
            (b"PK\x03\x04 and then nothing".to_vec(), "is damaged"),
        ] {
            let told = read(&bytes).unwrap_err();
            assert!(told.contains(said), "{told}");
        }
    }
}

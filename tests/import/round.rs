//! `garments.csv` is what import reads: taken into a knowledge base without garments, it comes out as it went in.

use std::fs;

use crate::import::Desk;

#[test]
fn the_sheet_of_garments_comes_back_byte_for_byte() {
    let desk = Desk::new();
    let sheet = |out: &str| {
        let out = desk.0.path().join(out);
        let built = desk.run(&["build", "--keep-going", "--out", out.to_str().unwrap()]);
        assert!(built.code < 2, "{}", built.summary);
        out.join("data/garments.csv")
    };
    let before = sheet("before");
    let is_observation = |path: &&String| {
        let is_placed = path.starts_with("entries/makers/") && path.matches('/').count() == 5;
        path.starts_with("entries/unplaced/") || (is_placed && !path.ends_with("/variant.md"))
    };
    let files = desk.files();
    let taken: Vec<&String> = files.iter().filter(is_observation).collect();
    let rows = taken.iter().filter(|path| path.ends_with(".md")).count();
    assert!(rows > 150);
    taken.iter().for_each(|path| fs::remove_file(desk.root().join(path)).unwrap());
    let ran = desk.import(&[before.to_str().unwrap(), "--write"]);
    assert_eq!((ran.code, ran.summary), (0, format!("{rows} entries written, 0 wrong\n")), "{}", ran.told);
    let after = sheet("after");
    assert!(fs::read(&before).unwrap() == fs::read(&after).unwrap(), "garments.csv is not the same");
    let again = desk.import(&[after.to_str().unwrap()]);
    assert_eq!(again.summary, format!("0 entries to write, 0 wrong, {rows} recorded already\n"));
}

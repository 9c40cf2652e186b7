//! The situations that the demo knowledge base is built to show, each found by the engine where `situations.toml` says.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;
use std::sync::LazyLock;

use crate::support::{self, site};
use bartack::chronology;
use bartack::comparison::{self, Verdict};
use bartack::evidence;
use bartack::knowledge::{Knowledge, Standing, VoiceIndex};
use bartack::record::id::VariantId;
use bartack::{disk, resolve, validate};

static DEMO: LazyLock<Knowledge> = LazyLock::new(|| {
    let reading = disk::read(&support::repository(""), &|_| {}).unwrap();
    let validated = validate::all(&reading.sources, &|| {});
    assert!(validated.faults.is_empty(), "{:?}", validated.faults);
    let (catalog, faults) = resolve::catalog(reading.sources, validated);
    assert!(faults.is_empty(), "{faults:?}");
    chronology::knowledge(catalog, faults)
});

fn situations() -> Vec<(String, Vec<String>)> {
    let text = std::fs::read_to_string(support::repository("tests/demo/situations.toml")).unwrap();
    let table: toml::Table = text.parse().unwrap();
    let word = |value: &toml::Value| value.as_str().unwrap().to_string();
    let all = table["situation"].as_array().unwrap().iter();
    all.map(|one| (word(&one["name"]), one["paths"].as_array().unwrap().iter().map(word).collect())).collect()
}

#[test]
fn every_situation_names_entries_that_exist() {
    let situations = situations();
    assert!(situations.len() >= 30, "only {}", situations.len());
    for (name, paths) in situations {
        assert!(!paths.is_empty(), "{name} names no entry");
        for path in paths {
            assert!(support::repository(&path).exists(), "{name}: {path} is missing");
        }
    }
}

fn voices(standing: Standing) -> BTreeSet<&'static str> {
    DEMO.voices.iter().filter(|voice| voice.standing == standing).map(|voice| voice.name.as_str()).collect()
}

#[test]
fn what_stands_alone_is_set_aside_and_nothing_else() {
    let makers = "entries/makers";
    let expected = [
        format!("{makers}/brackwold-tharn/culmer-31/standing-gate-men/may-74-no-label.md#seen"),
        format!("{makers}/brackwold-tharn/sluice-118/underlode-men/variant.md#book-end"),
        format!("{makers}/quillander/pontoon-bib/long-furrow-men/barrowful-page.md#1"),
    ];
    assert_eq!(voices(Standing::SetAside), expected.iter().map(String::as_str).collect());
}

#[test]
fn equal_weights_leave_both_sides_contested() {
    let makers = "entries/makers";
    let later_label = format!("{makers}/quillander/stackyard/long-furrow-men/receipt-59-later-label.md");
    let expected = [
        format!("{later_label}#made"),
        format!("{later_label}#seen"),
        format!("{makers}/quillander/stackyard/tin-lantern-men/variant.md#advertised"),
        format!("{makers}/quillander/stackyard/tin-lantern-men/variant.md#listed-as-new"),
        format!("{makers}/thessop-yarrick/weirkeeper/yarricks-own-men/variant.md#end-in-book"),
        format!("{makers}/thessop-yarrick/weirkeeper/yarricks-own-men/variant.md#end-in-magazine"),
    ];
    assert_eq!(voices(Standing::Contested), expected.iter().map(String::as_str).collect());
}

/// A receipt of 1959 and a postal code that was announced in 1962 are about one garment: the landmark is named.
#[test]
fn a_paper_older_than_a_mark_is_a_conflict_that_names_the_landmark() {
    let about = |index: &VoiceIndex| DEMO.voice(*index).name.as_str().contains("receipt-59-later-label");
    let conflicts = DEMO.conflicts.iter().filter(|conflict| conflict.members.iter().all(about));
    assert_eq!(conflicts.count(), 1);
    let landmark = "entries/landmarks/us-five-digit-code.md";
    let compiled = site::compiled(&support::repository("")).0;
    let places = compiled.diagnostics.iter().flat_map(|finding| finding.labels()).map(|label| label.place.file);
    assert!(places.map(|file| DEMO.catalog.sources.file(file).path().as_str()).any(|path| path == landmark));
}

#[test]
fn the_demo_shows_how_a_vocabulary_grows() {
    let vocabulary = &DEMO.catalog.vocabulary;
    let retired: Vec<&str> =
        vocabulary.iter().filter(|feature| feature.retired.is_some()).map(|feature| feature.id.as_str()).collect();
    assert_eq!(retired, ["stitch-length"]);
    let text = |path: &str| std::fs::read_to_string(support::repository(path)).unwrap();
    let paths = situations().into_iter().find(|(name, _)| name == "a word that was replaced").unwrap().1;
    for path in paths {
        assert!(text(&path).contains("\"riveted-metal\"") || text(&path).contains("\"five-digit\""), "{path}");
    }
    let paths = situations().into_iter().find(|(name, _)| name == "a feature that was retired").unwrap().1;
    for path in paths {
        assert!(text(&path).contains("stitch-length"), "{path}");
    }
}

#[test]
fn five_copies_of_one_letter_weigh_what_the_letter_weighs() {
    let name = "entries/makers/quillander/pontoon-bib/long-furrow-men/barrowful-page.md#1";
    let voice = DEMO.voice_of(name).unwrap();
    assert_eq!((voice.claims.len(), voice.roots.len(), voice.weight.quarters), (5, 1, 4));
}

#[test]
fn a_settled_dispute_leaves_no_conflict_and_an_open_one_does() {
    let members = |part: &str| {
        let all = DEMO.conflicts.iter().flat_map(|conflict| &conflict.members);
        all.filter(|index| DEMO.voice(**index).name.as_str().contains(part)).count()
    };
    assert_eq!(members("harrowcoat-204"), 0);
    assert_eq!(members("weirkeeper/yarricks-own-men"), 2);
}

#[test]
fn one_strain_and_one_estimate_that_does_not_fit() {
    let strained: Vec<&str> = DEMO.strains[0].members.iter().map(|index| DEMO.voice(*index).name.as_str()).collect();
    assert_eq!(DEMO.strains.len(), 1);
    assert!(
        strained.iter().any(|name| name.ends_with("ropestaithe/yarricks-own-men/variant.md#start")),
        "{strained:?}"
    );
    let unfit = DEMO.estimates.iter().filter(|estimate| !estimate.fits);
    let paths: Vec<&str> = unfit.map(|estimate| DEMO.catalog.record(estimate.record).path.stem()).collect();
    assert_eq!(paths, ["forties-they-said"]);
}

#[test]
fn an_estimate_bounds_a_side_that_was_open() {
    let youth = VariantId::new("quillander/pontoon-bib/tin-lantern-youth");
    let thing = bartack::record::id::Thing::of(bartack::record::id::Whole::Variant(youth));
    assert!(chronology::estimated_sides(&DEMO.eras[&thing]).contains(&"begin_latest"));
}

fn verdict(model: &str, a: &str, b: &str, feature: &str) -> Verdict {
    let of = |name: &str| evidence::of(&DEMO, &VariantId::new(format!("{model}/{name}")));
    let comparison = comparison::of(&DEMO.catalog, &of(a), &of(b));
    let found = comparison.features.iter().find(|compared| compared.feature.as_str() == feature);
    found.unwrap_or_else(|| panic!("{feature} was not compared")).verdict.clone()
}

#[test]
fn a_true_sign_is_told_from_a_bigger_size_and_a_later_year() {
    let sluice = |feature| verdict("brackwold-tharn/sluice-118", "standing-gate-men", "underlode-men", feature);
    assert_eq!(sluice("leg-seam"), Verdict::Tell);
    assert_eq!(sluice("label-make"), Verdict::ByDefinition);
    let loops = verdict("quillander/stackyard", "long-furrow-men", "long-furrow-youth", "belt-loops");
    assert_eq!(loops, Verdict::Explained("waist-printed".into()));
    let thread = verdict("brackwold-tharn/harrowcoat-204", "standing-gate-men", "underlode-men", "main-thread");
    assert_eq!(thread, Verdict::Explained("decade".into()));
    let strap = verdict("quillander/pontoon-bib", "long-furrow-men", "tin-lantern-men", "strap-hardware");
    assert_eq!(strap, Verdict::CannotSeparate("decade".into()));
    let thin = verdict("quillander/pontoon-bib", "long-furrow-men", "tin-lantern-youth", "strap-hardware");
    assert_eq!(thin, Verdict::TooFew);
}

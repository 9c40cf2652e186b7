//! What would change a conclusion, held to what is concluded once it is gone: the demo compiled again without a file.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)]

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use crate::support;
use bartack::analysis::Analysis;
use bartack::chronology::without::Piece;
use bartack::comparison::crude::{Crude, Sides};
use bartack::comparison::verdict::{Changed, Others};
use bartack::comparison::without as without_verdict;
use bartack::comparison::{self, PairEvidence, strata};
use bartack::compile;
use bartack::date::Day;
use bartack::disk;
use bartack::evidence;
use bartack::explain;
use bartack::knowledge::{Knowledge, Side};
use bartack::record::id::{Thing, VariantId};
use bartack::source::{SourceFile, Sources};

fn files() -> Vec<SourceFile> {
    let reading = disk::read(Path::new(env!("CARGO_MANIFEST_DIR")), &|_| {}).unwrap();
    reading.sources.iter().map(|(_, file)| SourceFile::new(file.path().clone(), file.text().to_string())).collect()
}

fn compiled(without: &BTreeSet<String>) -> Knowledge {
    let files = files().into_iter().filter(|file| !without.contains(file.path().as_str())).collect();
    compile::compile(Sources::new(files), Vec::new(), compile::Options::default()).knowledge
}

fn demo() -> Knowledge {
    compiled(&BTreeSet::new())
}

/// The day of a bound that voices give; an estimate's is none.
fn day(knowledge: &Knowledge, thing: &Thing, side: Side) -> Option<Day> {
    knowledge.eras.get(thing)?.bound(side).filter(|bound| bound.estimate.is_none()).map(|bound| bound.day)
}

/// The sides that stand on a piece, of things that are there without it too.
fn sides<'k>(knowledge: &'k Knowledge, piece: &'k Piece) -> impl Iterator<Item = (&'k Thing, Side)> {
    let stands = |thing: &Thing, side: Side| {
        let bound = knowledge.eras[thing].bound(side);
        bound.is_some_and(|bound| bound.because.iter().any(|voice| piece.voices.contains(voice)))
    };
    let wholes = knowledge.eras.keys().filter(|thing| !thing.to_string().contains("feature:"));
    wholes.flat_map(|thing| Side::ALL.map(|(side, _)| (thing, side))).filter(move |(thing, side)| stands(thing, *side))
}

#[test]
fn a_bound_without_a_garment_is_what_the_rest_concludes() {
    let knowledge = demo();
    let analysis = Analysis::new(&knowledge);
    let without = analysis.without();
    let bounds = knowledge.eras.values().flat_map(|era| Side::ALL.map(|(side, _)| era.bound(side))).flatten();
    let chains: Vec<_> = bounds.flat_map(|bound| bound.because.clone()).collect();
    let (mut garments, mut compared) = (0, 0);
    for piece in without.pieces(&chains).iter().filter(|piece| sides(&knowledge, piece).next().is_some()) {
        let Some(garment) = piece.garment else { continue };
        let records = &knowledge.catalog.garment(garment).observations;
        let gone = records.iter().map(|index| knowledge.catalog.record(*index).path.to_string()).collect();
        let rest = compiled(&gone);
        for (thing, side) in sides(&knowledge, piece) {
            let asked = without.side(thing, side).unwrap();
            assert_eq!(without.day(asked, piece), day(&rest, thing, side), "{thing} {side:?} without {gone:?}");
            compared += 1;
        }
        garments += 1;
    }
    support::tried("bounds held to the demo compiled without a garment", compared);
    assert!(garments > 15 && compared > 20, "{garments} {compared}");
}

#[test]
fn what_a_garment_contradicted_counts_again_without_it() {
    let text = bartack::lints::find("era-conflict").unwrap().wrong;
    let knowledge = support::compile(text).knowledge;
    let analysis = Analysis::new(&knowledge);
    let without = analysis.without();
    let pieces = without.pieces(&knowledge.conflicts[0].members);
    let garment = pieces.iter().find(|piece| piece.garment.is_some()).unwrap();
    let (rest, _) = text.rsplit_once("--- ").unwrap();
    let rest = support::compile(rest).knowledge;
    let claim = "entries/makers/hollin/no-4/no-4-best/variant.md#1";
    assert!(!knowledge.voice_of(claim).unwrap().is_kept() && rest.voice_of(claim).unwrap().is_kept());
    let names: Vec<&str> =
        without.returning(garment).iter().map(|voice| knowledge.voice(*voice).name.as_str()).collect();
    assert_eq!(names, [claim]);
    let thing = knowledge.eras.keys().find(|thing| thing.to_string() == "hollin/no-4/no-4-best").unwrap();
    for (side, _) in Side::ALL {
        let asked = without.side(thing, side).unwrap();
        assert_eq!(without.day(asked, garment), day(&rest, thing, side), "{side:?}");
    }
    assert_eq!(day(&rest, thing, Side::BeginEarliest), Day::from_ymd(1975, 1, 1));
}

#[test]
fn a_verdict_falls_without_just_the_garments_that_are_named() {
    let pair =
        ["standing-gate-men", "underlode-men"].map(|id| VariantId::new(format!("brackwold-tharn/sluice-118/{id}")));
    let knowledge = demo();
    let seen = [0, 1].map(|side| evidence::of(&knowledge, &pair[side]));
    let before = comparison::of(&knowledge.catalog, &seen[0], &seen[1]);
    let feature = knowledge.catalog.vocabulary.feature("waist-button").unwrap();
    let compared = before.features.iter().find(|compared| compared.feature == feature.id).unwrap();
    let falls =
        without_verdict::falls(&knowledge.catalog, &before, compared, PairEvidence { a: &seen[0], b: &seen[1] });
    let mut fallen = 0;
    for evidence in &seen {
        for item in evidence.items(&feature.id) {
            let records: Vec<_> = item.bearers.iter().flat_map(|bearer| &evidence.bearers[*bearer].records).collect();
            let gone = records.iter().map(|index| knowledge.catalog.record(**index).path.to_string()).collect();
            let rest = compiled(&gone);
            let [a, b] = [0, 1].map(|side| evidence::of(&rest, &pair[side]));
            // The other features of the garment go with its file, so the family's adjustment is left as it was.
            let others = Others { catalog: &rest.catalog, features: &before.features, feature };
            let now = Sides::of(feature, &a, &b).map(|sides| {
                let hold = |crude: &Crude| strata::equal(&rest.catalog, feature, PairEvidence { a: &a, b: &b }, crude);
                Changed::new(&others, sides).verdict(hold)
            });
            let named = falls.iter().find(|fall| fall.garments.iter().any(|garment| garment.contains(records[0])));
            let claimed = named.map_or(Some(&compared.verdict), |fall| fall.verdict.as_ref());
            assert_eq!(now.as_ref(), claimed, "without {gone:?}");
            fallen += usize::from(named.is_some());
        }
    }
    assert_eq!(fallen, falls.iter().map(|fall| fall.garments.len()).sum::<usize>());
    assert!(fallen > 0, "the demo's verdict on the waist button hangs on single garments");
}

fn explained(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_bartack"))
        .args(["--root", env!("CARGO_MANIFEST_DIR"), "explain"])
        .args(arguments)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

const SLUICE: &str = "brackwold-tharn/sluice-118";

#[test]
fn an_era_says_where_each_reason_is_written_and_what_would_change_it() {
    let (code, text, _) = explained(&[&format!("{SLUICE}/standing-gate-men")]);
    assert_eq!(code, 0);
    assert!(text.contains(&format!("entries/makers/{SLUICE}/standing-gate-men/big-feb-74.md:6\n")), "{text}");
    assert!(text.contains("big-feb-74.md`, it would be the beginning of 1974."), "{text}");
    assert!(text.contains("not an authentication"), "{text}");
}

#[test]
fn a_conflict_is_explained_by_its_id_or_by_any_of_its_statements() {
    let placing = "entries/makers/brackwold-tharn/culmer-31/standing-gate-men/may-74-no-label.md#seen";
    let (code, text, _) = explained(&[placing]);
    assert_eq!(code, 0);
    assert!(text.contains("These 3 statements cannot all be true"), "{text}");
    assert!(text.contains(&format!("the conflict would be gone, and `{placing}` would count again.")), "{text}");
    let knowledge = demo();
    let is_of = |voice: &bartack::knowledge::VoiceIndex| knowledge.voice(*voice).name.as_str() == placing;
    let conflict = knowledge.conflicts.iter().find(|conflict| conflict.members.iter().any(is_of)).unwrap();
    let (code, by_id, _) = explained(&[&conflict.id]);
    assert!(code == 0 && text.contains(&by_id), "{by_id}");
}

#[test]
fn a_verdict_is_explained_step_by_step_with_the_lines_that_were_counted() {
    let pair = [format!("{SLUICE}/underlode-men"), format!("{SLUICE}/standing-gate-men")];
    let (code, text, _) = explained(&[&pair[0], &pair[1], "waist button"]);
    assert_eq!(code, 0);
    for words in [
        "May be chance",
        "tack button 7 of 8",
        "may-1970-tarn.md:15\n",
        "match in the decade",
        "the verdict would be a tell",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

#[test]
fn the_date_of_a_garment_is_explained_with_what_became_of_its_placing() {
    let path = "entries/makers/brackwold-tharn/culmer-31/standing-gate-men/may-74-no-label.md";
    let (code, text, _) = explained(&[path]);
    assert_eq!(code, 0);
    assert!(text.contains("was made in May 1974."), "{text}");
    assert!(text.contains("Its placing is set aside"), "{text}");
}

#[test]
fn what_cannot_be_explained_is_answered_with_what_is_near() {
    let gate = format!("{SLUICE}/standing-gate-men");
    let cases: [(&[&str], &str); 4] = [
        (
            &[&gate, &format!("{SLUICE}/underlode-man"), "hem"],
            "there is no variant `brackwold-tharn/sluice-118/underlode-man`; near it",
        ),
        (&[&gate, "quillander/stackyard/tin-lantern-men", "hem"], "not two variants of one model"),
        (&[&gate, &format!("{SLUICE}/underlode-men"), "hemm"], "there is no feature `hemm`; near it: `hem`"),
        (&["entries/makers/nobody.md"], "there is nothing to explain under"),
    ];
    for (arguments, words) in cases {
        let (code, _, error) = explained(arguments);
        assert!(code == 2 && error.contains(words), "{arguments:?}: {error}");
    }
}

#[test]
fn what_too_much_contradicts_is_not_asked_again_for_each_piece() {
    // Each of so many claims contradicts all others: 780 sets of two, or 8,385. Of those on one variant a single pass
    // through time says what would be; others that were all made before it are too many for that.
    let variant = |id: &str, claims: String| {
        let head = format!("--- entries/makers/hollin/no-4/{id}/variant.md\n+++\nname = \"V\"\nline = \"best\"\n");
        head + "wearer = \"men\"\n" + &claims + "+++\n"
    };
    let begun = |year: u32| format!("[[claims]]\nevent = \"introduced\"\nwhen = \"{year}\"\n");
    let before = "[[claims]]\nevent = \"before\"\nother = \"hollin/no-4/best\"\n";
    let changes = |count: u32, others: u32| {
        let best = variant("best", (0..count).map(|number| begun(1880 + number)).collect());
        let earlier = (0..others).map(|number| variant(&format!("v-{number}"), begun(1990) + before));
        let knowledge = compile::example::compile(&(best + &earlier.collect::<String>())).knowledge;
        let sentences = explain::conflict::changes(&Analysis::new(&knowledge).without(), &knowledge.conflicts[0]);
        sentences.into_iter().map(|sentence| sentence.words).collect::<Vec<String>>()
    };
    for count in [40, 130] {
        let said = changes(count, 0);
        assert!(said.iter().all(|said| said.contains("nothing more would count than counts now")), "{said:?}");
    }
    let said = changes(130, 16);
    assert!(said.iter().any(|said| said.contains("was not computed: too many claims contradict it")), "{said:?}");
}

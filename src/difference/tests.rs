//! Small changes of small knowledge bases, each with what it does.

#![allow(clippy::panic)]

use super::{Difference, Open, When, of};
use crate::analysis::Analysis;
use crate::comparison::Verdict;
use crate::compile::example;
use crate::difference::moved::Moves;
use crate::difference::state::Change;
use crate::difference::verdicts;
use crate::knowledge::{Side, Standing};
use crate::source::FilePath;

const VARIANT: &str = "entries/makers/m/x/a";

fn changed(earlier: &str, now: &str) -> Difference {
    let states = [earlier, now].map(|text| example::compile(text).knowledge);
    of(&Analysis::new(&states[0]), &Analysis::new(&states[1]))
}

fn variant(folder: &str, claims: &str) -> String {
    format!("--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n{claims}+++\nProse.\n")
}

fn garment(name: &str, observer: &str, year: &str, features: &str) -> String {
    format!(
        "--- {VARIANT}/{name}.md\n+++\nbasis = \"specimen\"\nobserver = \"{observer}\"\nplaced-by = \"mark\"\n\
         made = \"{year}\"\nmade-by = \"mark\"\n[features]\n{features}\n+++\n"
    )
}

fn ended(year: &str, source: &str) -> String {
    format!("[[claims]]\nevent = \"discontinued\"\nwhen = \"{year}\"\nsources = [\"{source}\"]\n")
}

const SOURCES: &str = "[[source]]\nid = \"one\"\ncitation = \"One\"\nkind = \"book\"\n\
     [[source]]\nid = \"two\"\ncitation = \"Two\"\nkind = \"book\"\n";

#[test]
fn prose_and_line_ends_change_files_and_no_conclusion() {
    let now = garment("g", "rowan", "1970", "hem = \"raw\"");
    let prose = changed(&now, &(now.clone() + "More words.\n"));
    assert!(prose.is_empty() && prose.files.changed.len() == 1, "{prose:?}");
    let ends = changed(&now, &now.replace("rowan\"\n", "rowan\"\r\n"));
    assert!(ends.is_empty() && ends.files.all().is_empty(), "{ends:?}");
}

#[test]
fn a_bound_that_ones_own_garments_gave_rests_on_nobody_else() {
    let first = garment("a", "rowan", "1970", "");
    for (observer, is_others) in [("rowan", false), ("hazel", true)] {
        let difference = changed(&first, &(first.clone() + &garment("b", observer, "1973", "")));
        let bounds = &difference.eras[0].bounds;
        assert_eq!((bounds[0].side, bounds.len()), (Side::EndEarliest, 1));
        assert_eq!(bounds[0].cause.because, [FilePath::new(format!("{VARIANT}/b.md"))]);
        assert_eq!((bounds[0].cause.is_others, difference.others.bounds > 0), (is_others, is_others), "{observer}");
    }
}

#[test]
fn a_state_that_moves_with_its_variant_is_counted_with_it() {
    let garments = garment("a", "rowan", "1970", "hem = \"raw\"");
    let before = variant(VARIANT, "") + &garments;
    let now = variant(VARIANT, &(ended("1975", "one") + SOURCES)) + &garments;
    let difference = changed(&before, &now);
    assert!(difference.eras.iter().all(|era| era.thing.state.is_none()), "{:?}", difference.eras);
    assert_eq!((difference.eras[0].thing.to_string().as_str(), difference.eras[0].following), ("m/x/a", 1));
}

#[test]
fn claims_that_are_counted_anew_are_still_the_same_voices() {
    let began = "[[claims]]\nevent = \"attested\"\nwhen = \"1950\"\nsources = [\"one\"]\n";
    let both = ended("1960", "one") + &ended("1970", "two") + SOURCES;
    let before = variant(VARIANT, &format!("{began}{both}"));
    let difference = changed(&before, &variant(VARIANT, &both));
    assert!(difference.conflicts.is_empty() && difference.voices.is_empty(), "{difference:?}");
    let opened = changed(&variant(VARIANT, &(ended("1960", "one") + SOURCES)), &variant(VARIANT, &both));
    assert_eq!((opened.conflicts.len(), opened.conflicts[0].when), (1, When::Now));
    let standings: Vec<_> = opened.voices.iter().map(|voice| (voice.from, voice.to)).collect();
    let contested = Some(Standing::Contested);
    assert_eq!(standings, [(Some(Standing::Kept), contested), (None, contested)]);
}

#[test]
fn what_now_stands_against_an_untouched_claim_is_blamed_for_what_it_gave() {
    let began = "[[claims]]\nevent = \"introduced\"\nwhen = \"1971\"\nsources = [\"one\"]\n";
    let base = variant(VARIANT, &(began.to_string() + &SOURCES.replace("book", "catalogue")));
    let difference = changed(&base, &(base.clone() + &garment("g", "rowan", "1953", "")));
    let bounds = difference.eras.iter().flat_map(|era| &era.bounds);
    let lost: Vec<_> = bounds.filter(|bound| bound.side == Side::BeginEarliest && bound.to.is_none()).collect();
    assert!(!lost.is_empty(), "{:?}", difference.eras);
    lost.iter().for_each(|bound| assert_eq!(bound.cause.because, [FilePath::new(format!("{VARIANT}/g.md"))]));
}

#[test]
fn settings_are_blamed_where_no_entry_did_it() {
    let about = |weight: u32| {
        let head = "title = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n";
        format!("--- entries/about.md\n+++\n{head}[weight]\nin-hand = {weight}\n+++\n")
    };
    let base = variant(VARIANT, &(ended("1960", "one") + SOURCES)) + &garment("g", "rowan", "1965", "");
    let difference = changed(&(about(1) + &base), &(about(4) + &base));
    assert!(!difference.eras.is_empty());
    let causes = difference.eras.iter().flat_map(|era| &era.bounds).map(|bound| &bound.cause);
    causes.for_each(|cause| assert_eq!(cause.because, [FilePath::new("entries/about.md")]));
}

#[test]
fn what_is_gone_is_said_once_and_not_bound_by_bound() {
    let kept = garment("g", "rowan", "1970", "hem = \"raw\"");
    let other = variant("entries/makers/m/x/b", "") + &kept.replace("x/a/", "x/b/");
    let gone = changed(&(kept.clone() + &other), &kept);
    assert_eq!(gone.wholes.len(), 1);
    assert_eq!((gone.wholes[0].when, gone.wholes[0].whole.as_str()), (When::Earlier, "m/x/b"));
    assert!(gone.eras.iter().all(|era| !era.thing.to_string().starts_with("m/x/b")), "{:?}", gone.eras);
    assert!(gone.questions.iter().all(|question| !matches!(&question.question, Open::NeverSure(_))));
}

/// Garments of both variants, the hem of the first as given.
fn hems(count: usize, hem: &str) -> String {
    let one = |number: usize| {
        let of_a = garment(&format!("g{number}"), "rowan", "1970", &format!("hem = \"{hem}\""));
        of_a + &garment(&format!("h{number}"), "rowan", "1970", "hem = \"raw\"").replace("x/a/", "x/b/")
    };
    variant(VARIANT, "") + &variant("entries/makers/m/x/b", "") + &(0..count).map(one).collect::<String>()
}

#[test]
fn verdicts_come_flip_and_go_but_too_few_is_none() {
    let verdicts = |earlier: &str, now: &str| -> Vec<(Option<Verdict>, Option<Verdict>)> {
        let pairs = changed(earlier, now).verdicts;
        pairs.into_iter().flat_map(|pair| pair.verdicts).map(|found| (found.from, found.to)).collect()
    };
    let (same, apart) = (hems(8, "raw"), hems(8, "folded"));
    assert_eq!(verdicts(&same, &apart), [(Some(Verdict::Same), Some(Verdict::Tell))]);
    assert_eq!(verdicts(&hems(1, "raw"), &hems(2, "raw")), []);
    assert_eq!(verdicts(&hems(2, "raw"), &apart), [(None, Some(Verdict::Tell))]);
    assert_eq!(verdicts(&apart, &hems(0, "raw")), [(Some(Verdict::Tell), None)]);
}

#[test]
fn only_models_that_the_change_can_reach_are_compared() {
    let other = variant("entries/makers/m/y/c", "");
    let reached = |earlier: &str, now: &str| -> Vec<String> {
        let (earlier, now) = (example::compile(earlier).knowledge, example::compile(now).knowledge);
        let models =
            verdicts::models(&Change::new(&Analysis::new(&earlier), &Analysis::new(&now), Moves::default()), &[]);
        models.iter().map(ToString::to_string).collect()
    };
    let (before, now) = (hems(1, "raw") + &other, hems(2, "raw") + &other);
    assert_eq!(reached(&before, &now), ["m/x"]);
    assert_eq!(reached(&now, &now), Vec::<String>::new());
    let words =
        "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"raw\"]\nlook = \"L.\"\n";
    assert_eq!(reached(&now, &(now.clone() + words)), ["m/x", "m/y"]);
}

#[test]
fn a_side_that_got_its_first_voice_is_answered_and_not_asked_again() {
    let difference = changed(&variant(VARIANT, ""), &variant(VARIANT, &(ended("1975", "one") + SOURCES)));
    let side = |wanted: Side| {
        let questions = difference.questions.iter();
        questions
            .filter(move |found| matches!(found.question, Open::Bound(_, side, _) if side == wanted))
            .collect::<Vec<_>>()
    };
    let ended = side(Side::EndLatest);
    assert_eq!((ended.len(), ended[0].when), (1, When::Earlier), "{ended:?}");
}

/// Garments of one a year from 1960 on, the first with one hem and the rest with another.
fn years(first: i32, changed: i32, last: i32) -> String {
    let one = |year: i32| {
        let hem = if year < changed { "raw" } else { "folded" };
        garment(&format!("g{year}"), "rowan", &year.to_string(), &format!("hem = \"{hem}\""))
    };
    variant(VARIANT, "") + &(first..=last).map(one).collect::<String>()
}

#[test]
fn a_changeover_that_comes_moves_or_stays_is_told_so() {
    let told = |earlier: &str, now: &str| -> Vec<(String, bool, bool)> {
        let moved = changed(earlier, now).changeovers.into_iter();
        moved.map(|found| (found.thing.as_str().to_string(), found.from.is_some(), found.to.is_some())).collect()
    };
    let things = ["m/line:best", "m/x", "m/x/a"].map(str::to_string);
    let each = |from: bool, to: bool| things.clone().map(|thing| (thing, from, to));
    let before = years(1960, 1970, 1979);
    assert_eq!(told(&years(1960, 1990, 1979), &before), each(false, true), "it came");
    assert_eq!(told(&before, &years(1960, 1973, 1979)), each(true, true), "it moved");
    assert_eq!(told(&before, &years(1960, 1970, 1980)), [], "more garments on either side move nothing");
    let difference = changed(&before, &years(1960, 1973, 1979));
    let because: Vec<&str> = difference.changeovers[0].cause.because.iter().map(FilePath::as_str).collect();
    assert_eq!(because.len(), 3, "the three garments that show another hem now: {because:?}");
}

/// Two lines over two models, eight garments of each in each model, with the hems of the first line.
fn lines(hem: &str) -> String {
    let maker = "--- entries/makers/m/maker.md\n+++\nname = \"M\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n\
                 [[lines]]\nid = \"plain\"\nname = \"Plain\"\n+++\n";
    let mut text = maker.to_string();
    for model in ["x", "y"] {
        for (folder, line, shown) in [("a", "best", hem), ("b", "plain", "raw")] {
            text += &variant("entries/makers/m/x/a", "")
                .replace("x/a/", &format!("{model}/{folder}/"))
                .replace("best", line);
            for number in 0..8 {
                let one = garment(&format!("g{number}"), "rowan", "1970", &format!("hem = \"{shown}\""));
                text += &one.replace("x/a/", &format!("{model}/{folder}/"));
            }
        }
    }
    text
}

#[test]
fn a_verdict_on_two_lines_that_flips_is_told_with_its_entries() {
    let difference = changed(&lines("raw"), &lines("folded"));
    let [pair] = difference.lines.as_slice() else { panic!("{:?}", difference.lines) };
    assert_eq!((pair.a.as_str(), pair.b.as_str()), ("m/line:best", "m/line:plain"));
    let [found] = pair.verdicts.as_slice() else { panic!("{:?}", pair.verdicts) };
    assert_eq!((&found.from, &found.to), (&Some(Verdict::Same), &Some(Verdict::Tell)));
    assert_eq!(found.cause.because.len(), 16);
    assert!(changed(&lines("raw"), &lines("raw")).lines.is_empty());
}

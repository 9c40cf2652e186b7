//! Label lines and wearers over all models, and what changed when: through the engine, the exports and the commands.

#![allow(clippy::unwrap_used, clippy::panic)]

use std::fmt::Write;

use bartack::analysis::Analysis;
use bartack::changeover::{self, History, Word};
use bartack::comparison::lines::LineComparison;
use bartack::comparison::{self, Compared, Verdict};
use bartack::compile::example;
use bartack::evidence;
use bartack::knowledge::Knowledge;
use bartack::record::id::{VariantId, Whole};

const VOCABULARY: &str = "--- schema/vocabulary.toml
[label-make]
name = \"Label\"
kind = \"state\"
states = [\"woven\", \"printed\"]
look = \"Look.\"
defining = true
[hem]
name = \"Hem\"
kind = \"state\"
states = [\"folded\", \"chain\", \"raw\"]
look = \"Look.\"
[loops]
name = \"Loops\"
kind = \"count\"
look = \"Count.\"
varies-with = [\"hem\"]
[opening]
name = \"Opening\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.25
range = [4, 16]
look = \"Measure.\"
";

const MAKER: &str = "--- entries/makers/m/maker.md
+++
name = \"M\"
[[lines]]
id = \"best\"
name = \"Best\"
sign = \"woven\"
[[lines]]
id = \"plain\"
name = \"Plain\"
sign = \"printed\"
+++
";

/// A variant of a model in a line, with garments: what is said of each, and its features.
fn variant(model: &str, line: &str, garments: &[(String, String)]) -> String {
    let mut text = format!("--- entries/makers/m/{model}/model.md\n+++\nname = \"X\"\ngarment = \"trousers\"\n+++\n");
    let folder = format!("entries/makers/m/{model}/{line}");
    write!(text, "--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"{line}\"\nwearer = \"men\"\n+++\n").unwrap();
    for (number, (said, features)) in garments.iter().enumerate() {
        write!(text, "--- {folder}/g{number:03}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n").unwrap();
        write!(text, "{said}\n[features]\n{features}\n+++\n").unwrap();
    }
    text
}

fn compile(variants: &[String]) -> Knowledge {
    // Two variants of one model each bring its record.
    let mut text = format!("{VOCABULARY}{MAKER}");
    for part in variants.concat().split_inclusive("--- ").filter(|part| *part != "--- ") {
        let part = part.trim_end_matches("--- ");
        let path = part.lines().next().unwrap();
        if !text.contains(&format!("--- {path}\n")) {
            text.push_str(&format!("--- {part}"));
        }
    }
    let knowledge = example::compile(&text).knowledge;
    assert!(knowledge.faults.is_empty(), "{:?}", knowledge.faults);
    knowledge
}

/// Garments of one year, so many with one hem and so many with another.
fn hems(counts: &[(usize, &str)]) -> Vec<(String, String)> {
    let of = |(count, hem): &(usize, &str)| {
        vec![("made = \"1974\"\nmade-by = \"mark\"".to_string(), format!("hem = \"{hem}\"")); *count]
    };
    counts.iter().flat_map(of).collect()
}

fn compared(knowledge: &Knowledge) -> LineComparison {
    let analysis = Analysis::new(knowledge);
    let [only] = analysis.lines() else { panic!("two lines, and one wearer") };
    only.clone()
}

fn verdict(knowledge: &Knowledge, feature: &str) -> Verdict {
    compared(knowledge).feature(feature).unwrap().compared.verdict.clone()
}

/// Two lines over several models, by the hems of each.
type Hems<'h> = &'h [(usize, &'h str)];

fn models(models: &[(Hems<'_>, Hems<'_>)]) -> Knowledge {
    let of = |(number, (best, plain)): (usize, &(Hems<'_>, Hems<'_>))| {
        let model = format!("x{number}");
        variant(&model, "best", &hems(best)) + &variant(&model, "plain", &hems(plain))
    };
    compile(&models.iter().enumerate().map(of).collect::<Vec<_>>())
}

const CHAIN: Hems<'_> = &[(7, "chain"), (1, "raw")];
const RAW: Hems<'_> = &[(1, "chain"), (7, "raw")];

#[test]
fn tell_needs_two_models_that_agree() {
    assert_eq!(verdict(&models(&[(CHAIN, RAW), (CHAIN, RAW), (CHAIN, RAW)]), "hem"), Verdict::Tell);
    assert_eq!(verdict(&models(&[(CHAIN, RAW)]), "hem"), Verdict::Leaning, "one model alone");
    let thin: Hems<'_> = &[(2, "chain")];
    let knowledge = models(&[(CHAIN, RAW), (thin, &[(2, "raw")])]);
    let found = compared(&knowledge);
    let hem = found.feature("hem").unwrap();
    assert_eq!((hem.models.speaking(), hem.settings.len()), (1, 2), "a model with two garments says nothing by itself");
    assert_eq!(hem.compared.verdict, Verdict::Leaning);
}

#[test]
fn model_that_goes_the_other_way_makes_it_differ_by_model() {
    let knowledge = models(&[(CHAIN, RAW), (CHAIN, RAW), (RAW, CHAIN)]);
    let found = compared(&knowledge);
    let hem = found.feature("hem").unwrap();
    assert_eq!(hem.compared.verdict, Verdict::DiffersByModel);
    assert_eq!((hem.models.agreeing(), hem.models.against()), (2, 1));
}

#[test]
fn difference_that_only_one_of_three_models_carries_is_no_tell() {
    let even: Hems<'_> = &[(4, "chain"), (4, "raw")];
    let strong: (Hems<'_>, Hems<'_>) = (&[(20, "chain")], &[(20, "raw")]);
    assert_ne!(verdict(&models(&[strong, (even, even), (even, even)]), "hem"), Verdict::Tell);
}

#[test]
fn larger_share_of_one_model_is_no_difference_of_the_lines() {
    // Each model alike in both lines; the best line was recorded in one model more, the plain one in the other.
    let (chain, raw): (Hems<'_>, Hems<'_>) = (&[(12, "chain")], &[(12, "raw")]);
    let knowledge = models(&[(chain, &[(3, "chain")]), (&[(3, "raw")], raw)]);
    let hem = compared(&knowledge).feature("hem").unwrap().compared.clone();
    assert_eq!((hem.crude.difference, hem.crude.p), (0.0, 1.0));
}

#[test]
fn model_in_one_line_alone_counts_for_nothing() {
    let shared = [(CHAIN, RAW), (CHAIN, RAW)];
    let both = compared(&models(&shared));
    let alone = variant("y", "best", &hems(&[(30, "raw")]));
    let of = |number: usize| {
        variant(&format!("x{number}"), "best", &hems(CHAIN)) + &variant(&format!("x{number}"), "plain", &hems(RAW))
    };
    let with = compared(&compile(&[of(0), of(1), alone]));
    assert_eq!(numbers(&with.features[0].compared), numbers(&both.features[0].compared));
}

/// Every number of a comparison of one feature.
fn numbers(compared: &Compared) -> String {
    let covariates = compared.covariates.iter().map(|covariate| {
        format!(
            "{} {} {:?} {:?} {}",
            covariate.name, covariate.is_matched, covariate.difference, covariate.p, covariate.matched
        )
    });
    format!("{:?} {:?} {:?}", compared.crude, compared.p_holm, covariates.collect::<Vec<_>>())
}

/// Garments by numbers that look random: a linear congruence of modulus 2^32 (Knuth, The Art of Computer Programming 2,
/// 3.3.4, table 1, line 16).
fn random(seed: &mut u32, end: u32) -> u32 {
    *seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
    (*seed >> 16) % end
}

fn garments(seed: &mut u32, lean: u32) -> Vec<(String, String)> {
    let count = 4 + random(seed, 8);
    let one = |seed: &mut u32| {
        let year = 1966 + random(seed, 9) + 2 * lean;
        let dated = random(seed, 4) > 0;
        let said = if dated { format!("made = \"{year}\"\nmade-by = \"mark\"") } else { String::new() };
        let factory = ["north", "south"][random(seed, 2) as usize];
        let hem = ["folded", "chain", "raw"][(random(seed, 3 + lean) as usize).min(2)];
        let (loops, opening) = (4 + random(seed, 3) + lean, 64 + random(seed, 7) + 2 * lean);
        let features = format!("hem = \"{hem}\"\nloops = {loops}\nopening = {}", f64::from(opening) / 8.0);
        (format!("{said}\nfactory = \"{factory}\""), features)
    };
    (0..count).map(|_| one(seed)).collect()
}

#[test]
fn one_shared_setting_gives_the_numbers_of_two_variants() {
    for mut seed in 0..40 {
        let (best, plain) = (garments(&mut seed, 0), garments(&mut seed, 1));
        let knowledge = compile(&[variant("x", "best", &best), variant("x", "plain", &plain)]);
        let of = |id: &str| evidence::of(&knowledge, &VariantId::new(id));
        let pair = comparison::of(&knowledge.catalog, &of("m/x/best"), &of("m/x/plain"));
        let found = compared(&knowledge);
        assert_eq!(found.features.len(), pair.features.len());
        for (found, pair) in found.compared().zip(&pair.features) {
            assert_eq!(numbers(found), numbers(pair));
        }
    }
}

/// Garments made in these years, by what they show.
fn dated(states: &[(u32, &str)], factory: &str) -> Vec<(String, String)> {
    let of = |(year, hem): &(u32, &str)| {
        (format!("made = \"{year}\"\nmade-by = \"mark\"\n{factory}"), format!("hem = \"{hem}\""))
    };
    states.iter().map(of).collect()
}

fn years(from: u32, to: u32, state: &str) -> Vec<(u32, &str)> {
    (from..=to).map(|year| (year, state)).collect()
}

fn history(garments: &[(String, String)]) -> History {
    let knowledge = compile(&[variant("x", "best", garments)]);
    let all = Analysis::new(&knowledge).histories_of(&Whole::Variant(VariantId::new("m/x/best")));
    all.into_iter().find(|history| history.feature.as_str() == "hem").unwrap()
}

#[test]
fn sharp_change_is_called_and_its_span_holds_it() {
    let found = history(&dated(&[years(1960, 1969, "folded"), years(1970, 1979, "chain")].concat(), ""));
    assert_eq!((found.word.clone(), found.changes.len()), (Word::Changed, 1));
    let change = &found.changes[0];
    assert_eq!((change.before.state.as_deref(), change.after.state.as_deref()), (Some("folded"), Some("chain")));
    assert_eq!((change.before.n, change.before.against, change.after.n), (10, Some(0), 10));
    let ends = (change.span.first().unwrap().year(), change.span.last().unwrap().year());
    assert!(ends.0 <= 1969 && ends.1 >= 1970 && ends.1 - ends.0 <= 6, "{ends:?}");
    assert!(found.is_factory_unknown() && !found.came_back());
}

#[test]
fn state_that_comes_back_is_said_to() {
    let states = [years(1950, 1961, "folded"), years(1962, 1973, "chain"), years(1974, 1985, "folded")].concat();
    let found = history(&dated(&states, ""));
    assert_eq!((found.word.clone(), found.changes.len(), found.came_back()), (Word::Changed, 2, true));
}

#[test]
fn few_or_like_garments_show_no_change() {
    assert_eq!(history(&dated(&years(1960, 1964, "raw"), "")).word, Word::TooFew);
    assert_eq!(history(&dated(&years(1960, 1966, "raw"), "")).word, Word::TooFew, "seven of one state");
    assert_eq!(history(&dated(&years(1960, 1967, "raw"), "")).word, Word::NoChangeSeen);
    let wide = vec![("made = \"1960/1964\"\nmade-by = \"mark\"".to_string(), "hem = \"raw\"".to_string()); 9];
    assert_eq!(history(&wide).items.len(), 0, "a date of four years and more is none");
}

#[test]
fn another_factory_does_not_make_a_change() {
    // The north made folded hems, the south chain ones; both worked for five years, or one after the other.
    let (both, one_by_one) = ((1972, 1968), (1969, 1970));
    for ((last, first), word) in
        [(both, Word::Explained("factory".into())), (one_by_one, Word::CannotSeparate("factory".into()))]
    {
        let north = dated(&years(1960, last, "folded"), "factory = \"north\"");
        let south = dated(&years(first, 1980, "chain"), "factory = \"south\"");
        let found = history(&[north, south].concat());
        assert_eq!(found.word, word, "{:?}", found.covariates);
    }
}

#[test]
fn another_variant_of_the_line_does_not_make_a_change() {
    let early = variant("x", "best", &dated(&years(1960, 1972, "folded"), ""));
    let late = variant("y", "best", &dated(&years(1968, 1980, "chain"), ""));
    let knowledge = compile(&[early, late]);
    let line = Analysis::new(&knowledge)
        .histories()
        .iter()
        .find(|history| matches!(history.thing, Whole::Line(_)))
        .cloned()
        .unwrap();
    assert_eq!((line.word, line.settings), (Word::Explained("variant".into()), 2));
}

#[test]
fn claims_about_the_change_stand_beside_it() {
    let garments = dated(&[years(1960, 1969, "folded"), years(1970, 1979, "chain")].concat(), "");
    let claim =
        "[[claims]]\nid = \"chains\"\nabout = \"feature:hem=chain\"\nevent = \"introduced\"\nwhen = \"1950/1955\"\n";
    let text = variant("x", "best", &garments).replace("wearer = \"men\"\n", &format!("wearer = \"men\"\n{claim}"));
    let knowledge = compile(&[text]);
    let all = Analysis::new(&knowledge).histories_of(&Whole::Variant(VariantId::new("m/x/best")));
    let hem = all.iter().find(|history| history.feature.as_str() == "hem").unwrap();
    let beside = changeover::claim::beside(&knowledge, hem, &hem.changes[0]);
    assert!(beside.len() == 1 && beside[0].contradicts, "{beside:?}");
}

//! Eras of small knowledge bases, worked out by hand from the rules: what bounds what, and what stands on one voice.
//!
//! The worlds are invented; they hold the engine to the contract, not to any fact.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic)]

use crate::support;
use bartack::chronology;
use bartack::knowledge::{Knowledge, Side, Standing};

const VARIANT: &str = "hollin/no-4/no-4-best";
const FOLDER: &str = "entries/makers/hollin/no-4/no-4-best";

/// An observation of the variant.
fn seen(name: &str, fields: &str) -> String {
    format!("--- {FOLDER}/{name}.md\n+++\n{fields}\n+++\n")
}

/// A variant with claims, in a file with the sources `list` (contemporary), `book` (secondary), `word` (statement).
fn claimed(claims: &str) -> String {
    let source = |id: &str, kind: &str| format!("[[source]]\nid = \"{id}\"\ncitation = \"{id}\"\nkind = \"{kind}\"\n");
    let sources = source("list", "price-list") + &source("book", "book") + &source("word", "recollection");
    format!("--- {FOLDER}/variant.md\n+++\nname = \"Best\"\nline = \"best\"\nwearer = \"men\"\n{claims}{sources}+++\n")
}

fn claim(event: &str, when: &str, source: &str) -> String {
    format!("[[claims]]\nevent = \"{event}\"\nwhen = \"{when}\"\nsources = [\"{source}\"]\n")
}

fn known(text: &str) -> Knowledge {
    support::compile(text).knowledge
}

/// The four bounds of a thing, `-` where open.
fn era(knowledge: &Knowledge, thing: &str) -> String {
    let found = knowledge.eras.iter().find(|(name, _)| name.to_string() == thing);
    let (_, era) = found.unwrap_or_else(|| panic!("{thing} has no era"));
    let days = Side::ALL.map(|(side, _)| era.day(side).map_or("-".to_string(), |day| day.to_string()));
    days.join(" ")
}

fn has_row(knowledge: &Knowledge, thing: &str) -> bool {
    knowledge.eras.keys().any(|name| name.to_string() == thing)
}

#[test]
fn a_dated_garment_bounds_its_variant_from_within() {
    let knowledge =
        known(&seen("a", "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1975\"\nmade-by = \"mark\""));
    assert_eq!(era(&knowledge, VARIANT), "- 1975-12-31 1975-01-01 -");
    assert_eq!(era(&knowledge, "hollin"), "- 1975-12-31 1975-01-01 -", "wholes hold their parts");
    assert_eq!(era(&knowledge, "hollin/line:best"), "- 1975-12-31 1975-01-01 -");
}

#[test]
fn produced_bounds_both_ends_and_a_tilde_widens_the_end_it_stands_on() {
    let knowledge = known(&claimed(&claim("produced", "1971~/1975", "list")));
    assert_eq!(era(&knowledge, VARIANT), "1969-01-01 1973-12-31 1975-01-01 1975-12-31");
}

#[test]
fn an_offer_shows_the_year_before_and_the_year_after_too() {
    let text = claimed("")
        + &seen(
            "page",
            "basis = \"document\"\nmade = \"1972\"\nsources = [\"own\"]\n[[source]]\nid = \"own\"\ncitation = \"Own\"\nkind = \"catalogue\"",
        );
    assert_eq!(era(&known(&text), VARIANT), "- 1973-12-31 1971-01-01 -");
    let article = text.replace("kind = \"catalogue\"", "kind = \"article\"");
    assert_eq!(era(&known(&article), VARIANT), "- 1972-12-31 1972-01-01 -");
}

#[test]
fn an_estimate_bounds_only_what_is_open_and_not_the_feature_it_was_judged_by() {
    let fields = "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"197X\"\nmade-from = [\"hem\"]\n[features]\nhem = \"folded\"\nzip = \"brass\"";
    let knowledge = known(&seen("a", fields));
    assert_eq!(era(&knowledge, VARIANT), "- 1979-12-31 1970-01-01 -");
    assert_eq!(era(&knowledge, &format!("{VARIANT}/feature:hem=folded")), "- - - -");
    assert_eq!(era(&knowledge, &format!("{VARIANT}/feature:zip=brass")), "- 1979-12-31 1970-01-01 -");
    let of_variant = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap().1;
    assert_eq!(chronology::estimated_sides(of_variant), ["begin_latest", "end_earliest"]);
    let bounded = known(&(claimed(&claim("discontinued", "1985", "list")) + &seen("a", fields)));
    assert_eq!(era(&bounded, VARIANT), "- 1985-12-31 1985-01-01 1985-12-31", "it moves no bound that exists");
}

#[test]
fn only_states_and_counts_have_eras() {
    let fields = "basis = \"specimen\"\nplaced-by = \"mark\"\n[features]\nhem = \"absent\"\nbelt-loops = 5\npockets = \"absent\"\nleg-opening = \"absent\"\nzip = { state = \"brass\", altered = true }";
    let knowledge = known(&seen("a", fields));
    for (state, expected) in [("hem=absent", true), ("belt-loops=5", true), ("pockets=absent", true)] {
        assert_eq!(has_row(&knowledge, &format!("{VARIANT}/feature:{state}")), expected, "{state}");
    }
    assert!(!has_row(&knowledge, &format!("{VARIANT}/feature:leg-opening=absent")), "a measure");
    assert!(!has_row(&knowledge, &format!("{VARIANT}/feature:zip=brass")), "altered");
}

#[test]
fn a_claimed_state_of_a_model_holds_those_of_its_variants_and_makes_none() {
    let model = "--- entries/makers/hollin/no-4/model.md\n+++\nname = \"No. 4\"\ngarment = \"trousers\"\n[[claims]]\nabout = \"feature:hem=folded\"\nevent = \"introduced\"\nwhen = \"1970\"\nsources = [\"s\"]\n[[source]]\nid = \"s\"\ncitation = \"S\"\nkind = \"catalogue\"\n+++\n";
    let alone = known(&(model.to_string() + &claimed("")));
    assert!(has_row(&alone, "hollin/no-4/feature:hem=folded"));
    assert!(!has_row(&alone, &format!("{VARIANT}/feature:hem=folded")));
    let shown = seen("a", "basis = \"specimen\"\nplaced-by = \"mark\"\n[features]\nhem = \"folded\"");
    let knowledge = known(&(model.to_string() + &claimed("") + &shown));
    assert_eq!(era(&knowledge, &format!("{VARIANT}/feature:hem=folded")), "1970-01-01 - 1970-01-01 -");
}

#[test]
fn what_two_entries_of_a_garment_read_differently_is_linked_to_neither() {
    let fields =
        "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1975\"\nmade-by = \"mark\"\n[features]\nhem = \"folded\"";
    let other = "basis = \"specimen\"\nplaced-by = \"mark\"\nsame-as = \"a\"\n[features]\nhem = \"raw\"";
    let knowledge = known(&(seen("a", fields) + &seen("b", other)));
    assert_eq!(era(&knowledge, &format!("{VARIANT}/feature:hem=folded")), "- - - -");
    assert_eq!(era(&knowledge, &format!("{VARIANT}/feature:hem=raw")), "- - - -");
    let placing = knowledge.voice_of(&format!("{FOLDER}/b.md#seen")).unwrap();
    assert_eq!(placing.claims.len(), 2, "one placing for one garment, named by both entries");
}

#[test]
fn a_date_read_through_a_key_falls_with_the_key() {
    let key = "--- entries/sources/key.md\n+++\ncitation = \"Somebody's key\"\nkind = \"recollection\"\n+++\n";
    let fields = |year: &str| {
        format!(
            "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"{year}\"\nmade-by = \"key\"\nmade-source = \"key\""
        )
    };
    let text = key.to_string()
        + &claimed(&claim("discontinued", "1970", "list"))
        + &seen("a", &fields("1975"))
        + &seen("b", &fields("1976"));
    let knowledge = known(&text);
    let key = knowledge.voice_of("entries/sources/key.md#key").unwrap();
    assert_eq!((key.weight.quarters, key.standing), (4, Standing::SetAside));
    assert_eq!(era(&knowledge, VARIANT), "- 1970-12-31 1970-01-01 1970-12-31");
}

#[test]
fn statements_together_weigh_at_most_two_and_secondary_sources_three() {
    let many = |count: usize, kind: &str| {
        let ids: Vec<String> = (0..count).map(|number| format!("s{number}")).collect();
        let sources: String = ids
            .iter()
            .map(|id| format!("[[source]]\nid = \"{id}\"\ncitation = \"{id}\"\nkind = \"{kind}\"\n"))
            .collect();
        let claim = format!("[[claims]]\nevent = \"introduced\"\nwhen = \"1970\"\nsources = {ids:?}\n");
        let knowledge = known(&seen("said", &format!("basis = \"statement\"\n{claim}{sources}")));
        knowledge.voice_of(&format!("{FOLDER}/said.md#1")).unwrap().weight.as_f64()
    };
    let weights = [(1, "interview", 1.0), (3, "interview", 2.0), (1, "book", 2.0), (3, "book", 3.0), (2, "law", 8.0)];
    for (count, kind, weight) in weights {
        assert_eq!(many(count, kind), weight, "{count} of kind {kind}");
    }
}

#[test]
fn doubt_halves_a_voice_only_if_all_its_claims_are_doubtful() {
    let weight = |first: &str, second: &str| {
        let claims = claim("introduced", first, "list") + &claim("introduced", second, "book");
        known(&claimed(&claims)).voice_of(&format!("{FOLDER}/variant.md#1")).unwrap().weight.as_f64()
    };
    assert_eq!(weight("1970?", "1970?"), 3.0);
    assert_eq!(weight("1970?", "1970"), 6.0);
}

#[test]
fn sides_that_one_claim_bounds_rest_on_it() {
    let knowledge = known(&claimed(&(claim("introduced", "1970", "list") + &claim("attested", "1972", "book"))));
    let era = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap().1;
    assert_eq!(chronology::sides_on_one(era), ["begin_earliest", "begin_latest", "end_earliest"]);
    let backed = claim("introduced", "1970", "list") + &claim("introduced", "1970-03/1971", "book");
    let knowledge = known(&claimed(&backed));
    let era = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap().1;
    assert_eq!(chronology::sides_on_one(era), Vec::<&str>::new(), "without either, no side moves by more than a year");
}

#[test]
fn before_orders_an_end_and_a_beginning_by_a_day() {
    let other = "--- entries/makers/hollin/no-4/no-4-later/variant.md\n+++\nname = \"Later\"\nline = \"best\"\nwearer = \"men\"\n+++\n";
    let claims =
        "[[claims]]\nevent = \"before\"\nother = \"hollin/no-4/no-4-later\"\nsources = [\"list\"]\n".to_string();
    let knowledge = known(&(claimed(&(claims + &claim("attested", "1975-06-01", "list"))) + other));
    assert_eq!(era(&knowledge, "hollin/no-4/no-4-later"), "1975-06-02 - 1975-06-02 -");
}

#[test]
fn what_is_withheld_counts_nowhere() {
    let about = "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\nwithheld = [{ observer = \"moth\", reason = \"asked to\" }]\n+++\n";
    let fields = "basis = \"specimen\"\nobserver = \"moth\"\nplaced-by = \"mark\"\nmade = \"1975\"\nmade-by = \"mark\"\n[features]\nhem = \"raw\"";
    let knowledge = known(&(about.to_string() + &claimed("") + &seen("a", fields)));
    assert_eq!(era(&knowledge, VARIANT), "- - - -");
    assert!(!has_row(&knowledge, &format!("{VARIANT}/feature:hem=raw")));
}

/// About with a list of what is withheld, and the sources `plan` and `other`, catalogues of 1970.
fn withholding(what: &str) -> String {
    let about = format!(
        "--- entries/about.md\n+++\ntitle = \"T\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\nwithheld = [{what}]\n+++\n"
    );
    let source = |id: &str| {
        format!("--- entries/sources/{id}.md\n+++\ncitation = \"{id}\"\nkind = \"catalogue\"\ndate = \"1970\"\n+++\n")
    };
    about + &source("plan") + &source("other")
}

const NO_PLAN: &str = "{ source = \"plan\", reason = \"forged\" }";

#[test]
fn a_withheld_document_and_one_of_a_withheld_source_alone_date_nothing() {
    let document = |sources: &str| seen("d", &format!("basis = \"document\"\nsources = [{sources}]"));
    let told = |what: &str, sources: &str| {
        let text = withholding(what) + &claimed("") + &document(sources);
        (era(&known(&text), VARIANT), support::codes(&text).contains(&"dangling-reference"))
    };
    let offered = ("- 1971-12-31 1969-01-01 -".to_string(), false);
    let open = ("- - - -".to_string(), false);
    assert_eq!(told("", "\"plan\""), offered);
    let path = "{ path = \"makers/hollin/no-4/no-4-best/d\", reason = \"forged\" }";
    assert_eq!(told(path, "\"plan\""), open);
    assert_eq!(told(NO_PLAN, "\"plan\""), open);
    assert_eq!(told(NO_PLAN, "\"plan\", \"other\""), offered, "the other source holds it");
    let (_, is_named) = told("{ source = \"plam\", reason = \"forged\" }", "\"plan\"");
    assert!(is_named, "what names nothing is an error");
}

#[test]
fn a_claim_and_a_date_by_a_key_that_rest_on_a_withheld_source_alone_bound_nothing() {
    let claim = |sources: &str| {
        claimed(&format!("[[claims]]\nevent = \"introduced\"\nwhen = \"1971\"\nsources = [{sources}]\n"))
    };
    let told = |what: &str, world: &str| era(&known(&(withholding(what) + world)), VARIANT);
    assert_eq!(told("", &claim("\"plan\"")), "1971-01-01 1971-12-31 1971-01-01 -");
    assert_eq!(told(NO_PLAN, &claim("\"plan\"")), "- - - -");
    assert_eq!(told(NO_PLAN, &claim("\"plan\", \"other\"")), "1971-01-01 1971-12-31 1971-01-01 -");
    let by_key =
        "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1972\"\nmade-by = \"key\"\nmade-source = \"plan\"";
    let dated = claimed("") + &seen("k", by_key);
    assert_eq!(told("", &dated), "- 1972-12-31 1972-01-01 -");
    assert_eq!(told(NO_PLAN, &dated), "- - - -");
}

/// The key stayed in force although a settled dispute had set it aside.
#[test]
fn a_key_that_a_settled_dispute_sets_aside_dates_nothing() {
    let codes = "--- entries/sources/codes.md\n+++\ncitation = \"Code list\"\nkind = \"book\"\n+++\n";
    let by_key =
        "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1971\"\nmade-by = \"key\"\nmade-source = \"codes\"";
    let world = codes.to_string() + &claimed(&claim("introduced", "1975", "word")) + &seen("a", by_key);
    assert_eq!(era(&known(&world), VARIANT), "- 1971-12-31 1971-01-01 -", "the word is outweighed");
    let dispute = format!(
        "--- entries/disputes/d.md\n+++\nstatus = \"settled\"\nclaims = [{{ claim = \"{FOLDER}/a.md#made\", says = \"made 1971\" }}]\nset-aside = [\"entries/sources/codes.md#key\"]\n+++\n"
    );
    let settled = world + &dispute;
    let knowledge = known(&settled);
    assert_eq!(era(&knowledge, VARIANT), "1975-01-01 1975-12-31 1975-01-01 -");
    assert!(knowledge.conflicts.is_empty() && knowledge.dates.is_empty());
    assert!(knowledge.voice_of("entries/sources/codes.md#key").is_none(), "it is removed before voices are formed");
    assert_eq!(support::codes(&settled), [""; 0], "{}", support::findings(&settled));
}

/// Of copies of one local source, the dispute takes out the key of the file that it names.
#[test]
fn a_local_key_is_set_aside_for_the_file_that_is_named() {
    let by_key = "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1971\"\nmade-by = \"key\"\nmade-source = \"list\"\n[[source]]\nid = \"list\"\ncitation = \"Code list\"\nkind = \"book\"";
    let later = by_key.replace("1971", "1979");
    let dispute = format!(
        "--- entries/disputes/d.md\n+++\nstatus = \"settled\"\nclaims = [{{ claim = \"{FOLDER}/a.md#made\", says = \"made 1971\" }}]\nset-aside = [\"{FOLDER}/a.md#key\"]\n+++\n"
    );
    let both = seen("a", by_key) + &seen("b", &later);
    assert_eq!(era(&known(&both), VARIANT), "- 1971-12-31 1979-01-01 -");
    let knowledge = known(&(both + &dispute));
    assert_eq!(era(&knowledge, VARIANT), "- 1979-12-31 1979-01-01 -");
    let key = knowledge.voice_of(&format!("{FOLDER}/b.md#key")).unwrap();
    assert_eq!(key.claims.len(), 1, "the name that was set aside is none of the key's");
}

/// A state claimed of a maker bounded those of its variants and not the one claimed of a model between them.
#[test]
fn a_claimed_state_of_a_maker_holds_the_one_claimed_of_its_model() {
    let claims = |event: &str, when: &str| {
        format!(
            "[[claims]]\nabout = \"feature:hem=folded\"\nevent = \"{event}\"\nwhen = \"{when}\"\nsources = [\"s\"]\n[[source]]\nid = \"s\"\ncitation = \"{event}\"\nkind = \"catalogue\"\n"
        )
    };
    let maker = format!(
        "--- entries/makers/hollin/maker.md\n+++\nname = \"Hollin\"\nlines = [{{ id = \"best\", name = \"Best\" }}]\n{}+++\n",
        claims("introduced", "1970")
    );
    let model = format!(
        "--- entries/makers/hollin/no-4/model.md\n+++\nname = \"No. 4\"\ngarment = \"trousers\"\n{}+++\n",
        claims("attested", "1975")
    );
    let knowledge = known(&(maker + &model + &claimed("")));
    assert_eq!(era(&knowledge, "hollin/no-4/feature:hem=folded"), "1970-01-01 1975-12-31 1975-01-01 -");
    assert_eq!(era(&knowledge, "hollin/feature:hem=folded"), "1970-01-01 1970-12-31 1975-01-01 -");
}

/// Estimates that exclude each other both bounded, and the end of the first variant lay before its own earliest day.
#[test]
fn estimates_that_exclude_each_other_bound_nothing() {
    let before = "[[claims]]\nevent = \"before\"\nother = \"hollin/no-4/no-4-plain\"\nsources = [\"list\"]\n";
    let judged = |when: &str| {
        seen(&format!("e{}", &when[..3]), &format!("basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"{when}\""))
    };
    let later = |when: &str| judged(when).replace("no-4-best", "no-4-plain");
    let excluding = claimed(before) + &judged("198X") + &later("196X");
    let knowledge = known(&excluding);
    assert_eq!(era(&knowledge, VARIANT), "- - - -");
    assert_eq!(era(&knowledge, "hollin/no-4/no-4-plain"), "- - - -");
    assert!(knowledge.estimates.iter().all(|estimate| estimate.fits && !estimate.counts()), "each fits by itself");
    assert_eq!(support::codes(&excluding), ["estimate-does-not-fit"; 2]);
    let knowledge = known(&(excluding + &judged("195X") + &later("199X")));
    assert_eq!(era(&knowledge, VARIANT), "- 1959-12-31 1950-01-01 1999-12-30", "the others bound as if alone");
    assert_eq!(era(&knowledge, "hollin/no-4/no-4-plain"), "1950-01-02 1999-12-31 1990-01-01 -");
    let again = "basis = \"specimen\"\nplaced-by = \"mark\"\nsame-as = \"e198\"\nmade = \"196X\"";
    assert_eq!(era(&known(&(judged("198X") + &seen("again", again))), VARIANT), "- - - -", "two of one garment");
}

/// `explain` said of an estimated bound that it would stay as it is without the placing that ties the estimate to it.
#[test]
fn an_estimated_bound_is_not_said_to_stay_as_it_is_without_its_garment() {
    let knowledge = known(&seen("a", "basis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"197X\""));
    let (thing, era) = knowledge.eras.iter().find(|(thing, _)| thing.to_string() == VARIANT).unwrap();
    let analysis = bartack::analysis::Analysis::new(&knowledge);
    let sentences = bartack::explain::era::sentences(&analysis.without(), thing, era);
    let words: Vec<&str> = sentences.iter().map(|sentence| sentence.words.as_str()).collect();
    let text = words.join("\n");
    assert!(text.contains("estimated:") && !text.contains("stay as it is"), "{text}");
    assert!(text.contains("the estimate would lose this link to the bound"), "{text}");
}

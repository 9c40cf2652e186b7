//! The data package: what it says of itself is true, and the tables hold what is known.

use std::collections::{BTreeMap, BTreeSet};

use bartack::knowledge::Knowledge;
use bartack::publish::downloads;
use serde_json::Value;
use sha2::Digest;
use yaml_rust2::YamlLoader;

use crate::exports::world::{self, Table, demo, files, json, knowledge, read, table};

fn resources(knowledge: &Knowledge) -> Vec<(Value, Table)> {
    let files = files(knowledge, "data/");
    let package = json(&files, "data/datapackage.json");
    let resources = package["resources"].as_array().unwrap().iter();
    resources
        .map(|resource| {
            let path = format!("data/{}", resource["path"].as_str().unwrap());
            (resource.clone(), read(&files[&path]))
        })
        .collect()
}

fn texts(list: &Value) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|text| text.as_str().unwrap()).collect()
}

#[test]
fn every_table_is_described_column_by_column() {
    for (resource, table) in resources(&knowledge()).into_iter().chain(resources(&demo())) {
        let fields = resource["schema"]["fields"].as_array().unwrap().iter();
        let names: Vec<_> = fields.clone().map(|field| field["name"].as_str().unwrap()).collect();
        assert_eq!(names, table.header);
        assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len(), "a header stands twice");
        assert!(fields.clone().all(|field| !field["description"].as_str().unwrap().is_empty()));
    }
}

#[test]
fn every_number_and_measure_has_its_unit() {
    let (mut numbers, mut measures) = (0, 0);
    for (resource, _) in resources(&knowledge()).into_iter().chain(resources(&demo())) {
        for field in resource["schema"]["fields"].as_array().unwrap() {
            let description = field["description"].as_str().unwrap();
            if ["integer", "number"].contains(&field["type"].as_str().unwrap()) {
                let unit = field["unit"].as_str().unwrap();
                assert!(description.ends_with(&format!("(unit: {unit})")), "{description}");
                numbers += 1;
            }
            measures += usize::from(resource["name"] == "garments" && description.contains("(unit: in)"));
        }
    }
    assert!(numbers > 40 && measures >= 2, "{numbers} numbers, {measures} measures in inches");
}

#[test]
fn package_says_the_bytes_and_hash_of_each_table() {
    // The SHA-256 of nothing at all: FIPS 180-4, as https://www.di-mgt.com.au/sha_testvectors.html lists it (from memory).
    let nothing = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
    assert_eq!(sha256(b""), nothing);
    let files = files(&demo(), "data/");
    let package = json(&files, "data/datapackage.json");
    let resources = package["resources"].as_array().unwrap();
    assert_eq!(resources.len(), files.keys().filter(|path| path.ends_with(".csv")).count());
    for resource in resources {
        let content = &files[&format!("data/{}", resource["path"].as_str().unwrap())];
        assert_eq!(resource["bytes"], content.len());
        assert_eq!(resource["hash"], format!("sha256:{}", sha256(content)));
    }
    assert_eq!(package["version"], "0123456789abcdef");
}

fn sha256(content: &[u8]) -> String {
    sha2::Sha256::digest(content).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn citation_names_the_version_and_what_the_format_requires() {
    let text = String::from_utf8(files(&demo(), "data/")["data/CITATION.cff"].clone()).unwrap();
    let [citation] = &YamlLoader::load_from_str(&text).unwrap()[..] else { panic!("one document") };
    // The required keys of Citation File Format 1.2.0, and the version.
    let knowledge = demo();
    let about = &knowledge.catalog.about;
    for (key, expected) in [
        ("cff-version", "1.2.0"),
        ("title", &about.title),
        ("version", "0123456789abcdef"),
        ("abstract", &about.summary),
        ("license", &about.licence),
        ("type", "dataset"),
    ] {
        assert_eq!(citation[key].as_str(), Some(expected), "{key}");
    }
    assert!(citation["message"].as_str().is_some());
    assert_eq!(citation["authors"][0]["name"].as_str(), Some(format!("Contributors to {}", about.title).as_str()));
}

#[test]
fn cells_are_of_the_type_and_the_words_that_the_package_says() {
    for (resource, table) in resources(&knowledge()).into_iter().chain(resources(&demo())) {
        for field in resource["schema"]["fields"].as_array().unwrap() {
            let name = field["name"].as_str().unwrap();
            for cell in table.column(name) {
                let is_required = field["constraints"]["required"] == true;
                let fits = if cell.is_empty() { !is_required } else { is_of_type(field, cell) };
                assert!(fits, "{} in column {name} of {}", cell, resource["name"]);
            }
        }
    }
}

fn is_of_type(field: &Value, cell: &str) -> bool {
    let words = &field["constraints"]["enum"];
    let is_listed = words.is_null() || texts(words).contains(&cell);
    is_listed
        && match field["type"].as_str().unwrap() {
            "string" => true,
            "integer" => cell.parse::<i64>().is_ok(),
            "number" => cell.parse::<f64>().is_ok(),
            "boolean" => ["yes", "no"].contains(&cell),
            "date" => cell.len() == 10 && bartack::date::edtf::Edtf::parse(cell).is_ok(),
            _ => false,
        }
}

#[test]
fn keys_name_one_row_and_references_lead_somewhere() {
    for knowledge in [knowledge(), demo()] {
        let resources = resources(&knowledge);
        let tables: BTreeMap<_, _> =
            resources.iter().map(|(resource, table)| (resource["name"].as_str().unwrap(), table)).collect();
        for (resource, table) in &resources {
            assert_key(resource, table);
            for reference in resource["schema"]["foreignKeys"].as_array().into_iter().flatten() {
                let target = &reference["reference"];
                let known = tables[target["resource"].as_str().unwrap()].column(target["fields"].as_str().unwrap());
                let known: BTreeSet<_> = known.into_iter().collect();
                let cells = table.column(reference["fields"].as_str().unwrap());
                assert!(cells.iter().all(|cell| known.contains(cell)));
            }
        }
    }
}

fn assert_key(resource: &Value, table: &Table) {
    let key = texts(&resource["schema"]["primaryKey"]);
    let names: BTreeSet<Vec<_>> = table.rows.iter().map(|row| key.iter().map(|name| &row[*name]).collect()).collect();
    assert_eq!(names.len(), table.rows.len(), "{}", resource["name"]);
}

#[test]
fn every_export_is_listed_for_the_downloads_page() {
    let knowledge = knowledge();
    let made: BTreeSet<String> =
        ["data/", "rules/"].iter().flat_map(|folder| files(&knowledge, folder).into_keys()).collect();
    // The rules of each maker are listed on no page: they are the whole's, divided.
    let whole: BTreeSet<String> = made.into_iter().filter(|path| !path.starts_with("rules/makers/")).collect();
    let mut listed: BTreeSet<String> = downloads().into_iter().map(|(path, _)| path).collect();
    // What changed is published only where a build is told since when.
    assert!(listed.remove("data/changes.json"));
    assert_eq!(listed, whole);
}

#[test]
fn the_same_entries_give_the_same_bytes() {
    assert_eq!(files(&knowledge(), "data/"), files(&knowledge(), "data/"));
    assert_eq!(files(&knowledge(), "rules/"), files(&knowledge(), "rules/"));
}

#[test]
fn tables_hold_as_much_as_is_known() {
    let knowledge = knowledge();
    let files = files(&knowledge, "data/");
    let rows = |name: &str| read(&files[&format!("data/{name}.csv")]).rows.len();
    assert_eq!(rows("eras"), knowledge.eras.len());
    assert_eq!(rows("sources"), knowledge.catalog.cited.len());
    let observations: Vec<_> =
        knowledge.catalog.records.iter().filter_map(|record| record.content.observation()).collect();
    assert_eq!(rows("observations"), observations.len());
    assert_eq!(rows("garments"), observations.len());
    assert_eq!(rows("features"), observations.iter().map(|observation| observation.features.len()).sum::<usize>());
    let members = knowledge.conflicts.iter().flat_map(|conflict| &conflict.members);
    assert_eq!(rows("conflicts"), members.map(|member| knowledge.voice(*member).claims.len()).sum::<usize>());
    assert_eq!(rows("claims"), 5, "four claims, one of them with a beginning and an end");
}

#[test]
fn eras_have_the_columns_that_other_programs_read_and_stand_in_order() {
    let eras = table("eras");
    // As readers of the table know them: thing, four bounds, and the names of bounds concerned.
    let expected =
        ["thing", "begin_earliest", "begin_latest", "end_earliest", "end_latest", "estimated", "rests_on_one"];
    assert_eq!(eras.header, expected);
    let mut sorted = eras.column("thing");
    sorted.sort_unstable();
    assert_eq!(eras.column("thing"), sorted);
    for thing in ["orrin", "orrin/line:best", "orrin/no-7", "orrin/no-7/best", "orrin/no-7/plain"] {
        eras.row("thing", thing);
    }
    eras.row("thing", "orrin/no-7/best/feature:hem=chain-stitch");
}

#[test]
fn tells_have_the_columns_that_other_programs_read() {
    // `a` is before `b` by id; documents count, the withheld copy does not, `first` is judged by the hem.
    let expected = "a b feature n_a n_b difference low high right p p_holm p_method covariate matched \
                    difference_adjusted p_adjusted p_adjusted_holm n_matched verdict";
    let tells = table("tells");
    assert_eq!(tells.header.join(" "), expected);
    assert!(tells.rows.is_empty(), "nothing was recorded of one of the two variants");
}

#[test]
fn tells_have_a_row_for_each_covariate_and_empty_cells_for_numbers_that_do_not_exist() {
    let garment = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\nhem = \"chain-stitch\"\n+++\n";
    let text = format!("{}\n--- entries/makers/orrin/no-7/plain/one.md\n{garment}", world::TEXT);
    let knowledge = bartack::compile::example::compile(&text).knowledge;
    let tells = read(&files(&knowledge, "data/")["data/tells.csv"]);
    assert_eq!(tells.column("covariate"), ["decade", "factory", "size"]);
    for row in &tells.rows {
        assert_eq!((row["a"].as_str(), row["b"].as_str()), ("orrin/no-7/best", "orrin/no-7/plain"));
        assert_eq!((row["feature"].as_str(), row["verdict"].as_str()), ("hem", "too few"));
        assert_eq!((row["matched"].as_str(), row["n_matched"].as_str(), row["p_holm"].as_str()), ("no", "0", ""));
        assert_eq!((row["difference_adjusted"].as_str(), row["p_adjusted"].as_str()), ("", ""));
    }
}

#[test]
fn a_produced_claim_is_a_beginning_and_an_end_with_their_own_days_and_weights() {
    let claims = table("claims");
    let run = "entries/makers/orrin/no-7/best/variant.md#run";
    let begin = claims.row("claim", &format!("{run}:begin"));
    assert_eq!((begin["earliest"].as_str(), begin["latest"].as_str()), ("1974-01-01", "1974-12-31"));
    // A catalogue and a page that repeats it are one root: 4. The end is doubted, so its voice is halved: 2.
    assert_eq!((begin["weight"].as_str(), begin["sources"].as_str()), ("4", "spring-list | echo"));
    let end = claims.row("claim", &format!("{run}:end"));
    assert_eq!(
        (end["earliest"].as_str(), end["latest"].as_str(), end["weight"].as_str()),
        ("1980-01-01", "1980-12-31", "2")
    );
    let silent = claims.row("claim", "entries/makers/orrin/no-7/model.md#1");
    assert_eq!((silent["voice"].as_str(), silent["standing"].as_str()), ("", ""), "not offered bounds nothing");
    assert_eq!(silent["sources"], "spring-list p. 2\\|3");
}

#[test]
fn every_claim_of_a_conflict_has_its_row_with_weight_and_outcome() {
    let conflicts = table("conflicts");
    assert_eq!(conflicts.header, ["knot", "conflict", "voice", "claim", "weight", "set_aside"]);
    let late = conflicts.row("claim", "entries/makers/orrin/no-7/best/variant.md#2");
    // A statement of weight 1 against a catalogue of weight 4 and a dated garment of weight 4.
    assert_eq!((late["weight"].as_str(), late["set_aside"].as_str()), ("1", "yes"));
    let others = conflicts.rows.iter().filter(|row| row["conflict"] == late["conflict"] && row["set_aside"] == "no");
    assert!(others.count() > 0);
}

#[test]
fn observations_say_what_became_of_their_dates() {
    let observations = table("observations");
    let row = |name: &str| observations.row("observation", &format!("entries/makers/orrin/no-7/best/{name}.md"));
    assert_eq!((row("first")["date"].as_str(), row("first")["made_latest"].as_str()), ("kept", "1976-05-31"));
    assert_eq!((row("second")["made_by"].as_str(), row("second")["date"].as_str()), ("estimate", "fits"));
    assert_eq!(row("second")["garment"], row("first")["observation"]);
    assert_eq!((row("copy")["withheld"].as_str(), row("copy")["date"].as_str()), ("yes", "withheld"));
    // The list of 1977 is an offer: a year is allowed on both sides.
    assert_eq!(
        (row("page")["made_earliest"].as_str(), row("page")["made_latest"].as_str()),
        ("1976-01-01", "1978-12-31")
    );
    assert_eq!(world::table("observations").row("observation", "entries/unplaced/stray.md")["variant"], "");
}

//! `bartack date`: what is typed of a garment, or stands in a sheet, and what is said to it.

use std::fs;

use super::{bartack, code, err, folder, out, support};

/// A maker with one model of two variants, and a landmark.
fn shop() -> String {
    let mut text =
        "--- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"fold\", \"chain\"]\n\
                    look = \"Look.\"\n[mark]\nname = \"Mark\"\nkind = \"state\"\nstates = [\"early\", \"late\"]\n\
                    look = \"Look.\"\n--- entries/makers/hollin/no-4/model.md\n+++\nname = \"N\"\n\
                    garment = \"trousers\"\n+++\n"
            .to_string();
    for (name, state) in [("a", "fold"), ("b", "chain")] {
        let folder = format!("entries/makers/hollin/no-4/{name}");
        text += &format!("--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"best\"\nwearer = \"men\"\n+++\n");
        text += &format!(
            "--- {folder}/g.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\nmade = \"1972\"\nmade-by = \"mark\"\n"
        );
        text += &format!("[features]\nhem = \"{state}\"\n+++\n");
    }
    for (name, bound) in [("early", "not-after"), ("late", "not-before")] {
        text += &format!("--- entries/landmarks/{name}.md\n+++\ntitle = \"{name}\"\nforce = \"hard\"\n");
        let year = if name == "early" { 1969 } else { 1971 };
        text +=
            &format!("when = {{ feature = \"mark\", state = \"{name}\" }}\n{bound} = \"{year}\"\nsources = [\"it\"]\n");
        text += "[[source]]\nid = \"it\"\ncitation = \"It\"\nkind = \"law\"\n+++\n";
    }
    text
}

#[test]
fn garment_in_hand_is_dated_with_reasons_and_caution() {
    let base = folder(&shop());
    let output = bartack(base.path(), &["date", "--model", "hollin/no-4", "hem=fold", "mark=late"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    for said in [
        "Not made before 1971, if the label is original to the garment and not a copy\n  late: It\n",
        "Not made before 1971, if the label is original to the garment and not a copy: late.",
        "(hollin/no-4/a)",
        "  Hem: fold: ",
        "Most likely 1971–2020 (95 %), best guess 1971–77.\n2 variants are tied",
        "not an authentication",
    ] {
        assert!(out(&output).contains(said), "{said}: {}", out(&output));
    }
    let unknown = bartack(base.path(), &["date", "hem=fold"]);
    assert!(out(&unknown).contains("nearest of the recorded variants; it may be none of them"), "{}", out(&unknown));
    assert!(out(&unknown).contains("no variant is named"));
    let json = bartack(base.path(), &["date", "hem=fold", "--format", "json"]);
    let answer: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let schema: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(support::repository("schema/date.schema.json")).unwrap()).unwrap();
    assert!(jsonschema::is_valid(&schema, &answer), "{answer}");
}

#[test]
fn what_is_typed_wrong_of_a_garment_is_named() {
    let seen = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n+++\n";
    let others = ["velm/no-9", "hollin/no-5"].map(|model| format!("--- entries/makers/{model}/a/g.md\n{seen}"));
    let leg = "\n[leg-opening]\nname = \"Leg\"\nkind = \"measure\"\nunit = \"in\"\ntolerance = 0.25\nrange = [4, 16]\n\
               look = \"Measure.\"\n";
    let base = folder(&(shop().replacen("\n[hem]", &format!("{leg}[hem]"), 1) + &others.concat()));
    for (arguments, problem) in [
        (&["date", "hme=fold"][..], "there is no feature `hme`; near it: `hem`"),
        (&["date", "hem"], "has no state"),
        (&["date", "hem=fold", "hem=chain"], "`hem` is given twice"),
        (&["date", "--maker", "holin"], "there is no maker `holin`; near it: `hollin`"),
        (&["date", "--market", "usa"], "a market must be two capital letters"),
        (&["date", "--wearer", "dogs"], "the wearer must be"),
        (&["date", "leg-opening=8furlong"], "`leg-opening` is measured in `in`, `cm` or `mm`, not `8furlong`"),
        (&["date", "leg-opening=8 5/4"], "`leg-opening` is a number: `8 5/4` is not a number"),
        (&["date", "leg-opening=1,250"], "may be 1.250 or 1250"),
        (&["date", "leg-opening=20 1/2"], "`leg-opening` must be between 4 and 16 in, not `20 1/2`"),
        (&["date", "leg-opening=50cm"], "`leg-opening` must be between 10.16 and 40.64 cm, not `50cm`"),
        (&["date", "--maker", "velm", "--model", "hollin/no-4"], "`velm` and `hollin/no-4` are of different makers"),
        (&["date", "--model", "velm/no-9", "--variant", "hollin/no-4/a"], "of different makers"),
        (
            &["date", "--model", "hollin/no-5", "--variant", "hollin/no-4/a"],
            "`hollin/no-4/a` is not a variant of `hollin/no-5`",
        ),
    ] {
        let output = bartack(base.path(), arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains(problem), "{arguments:?}: {}", err(&output));
    }
    let quoted = |measure: &str| out(&bartack(base.path(), &["date", &format!("leg-opening={measure}")]));
    assert!(quoted("8.25").contains("Leg: 8.25 in"), "{}", quoted("8.25"));
    for written in ["8 1/4", "8¼", "8-1/4in", "8,25", "20.955 cm"] {
        assert_eq!(quoted(written), quoted("8.25"), "{written}");
    }
    let odd = bartack(base.path(), &["date", "hem=chian"]);
    assert_eq!(code(&odd), 0);
    assert!(
        err(&odd).contains("`hem` has no state `chian`, so it is read as `other`; near it: `chain`"),
        "{}",
        err(&odd)
    );
}

#[test]
fn sheet_is_answered_in_its_order_and_bad_rows_are_skipped_aloud() {
    let base = folder(&shop());
    let sheet = base.path().join("stall.csv");
    let mut rows = "\u{feff}id,model,hem,mark\n".to_string();
    for number in 0..3000 {
        rows += match number % 3 {
            0 => "x,hollin/no-4,fold,\n",
            1 => "y,,\"chain\",late\n",
            _ => "z,hollin/no-9,fold,\n",
        };
    }
    fs::write(&sheet, rows + "short,row\n").unwrap();
    let output = bartack(base.path(), &["date", "--batch", sheet.to_str().unwrap(), "--format", "json"]);
    assert_eq!(code(&output), 1, "some rows were skipped");
    let ids: Vec<String> = out(&output)
        .lines()
        .map(|line| serde_json::from_str::<serde_json::Value>(line).unwrap()["id"].as_str().unwrap().to_string())
        .collect();
    assert_eq!(ids.len(), 2000);
    assert!(ids.chunks(2).all(|pair| pair == ["x", "y"]), "answers stand in the order of the rows");
    assert!(err(&output).contains("stall.csv:4: there is no model `hollin/no-9`"), "{}", &err(&output)[..200]);
    assert!(err(&output).contains("the row has 2 cells where the header has 4"));
    assert!(err(&output).ends_with("2000 answered, 1001 skipped\n"));
    let missing = bartack(base.path(), &["date", "--batch", "/no/such/sheet.csv"]);
    assert_eq!(code(&missing), 2);
    fs::write(&sheet, "id,hme\n").unwrap();
    let odd = bartack(base.path(), &["date", "--batch", sheet.to_str().unwrap()]);
    assert!(code(&odd) == 2 && err(&odd).contains("there is no feature `hme`"), "{}", err(&odd));
}

#[test]
fn what_does_not_fit_together_is_said_beside_the_answer() {
    let seen = "+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n+++\n";
    let vocabulary = "\n[strap]\nname = \"Strap\"\nkind = \"state\"\nstates = [\"cast\"]\nlook = \"Look.\"\n\
                      garments = [\"overalls\"]\n";
    let base = folder(
        &(shop().replacen("\n[hem]", &format!("{vocabulary}[hem]"), 1)
            + &format!("--- entries/makers/velm/no-9/a/g.md\n{seen}")),
    );
    let strap = bartack(base.path(), &["date", "--model", "hollin/no-4", "strap=cast"]);
    assert_eq!(code(&strap), 0);
    assert!(err(&strap).contains("`trousers` have no feature `strap`, so it says nothing about `hollin/no-4`"));
    let nobody = bartack(base.path(), &["date", "--maker", "hollin", "--wearer", "youth", "hem=fold"]);
    assert_eq!(code(&nobody), 0);
    assert!(err(&nobody).contains("no recorded variant fits what was given"), "{}", err(&nobody));
    let other = bartack(base.path(), &["date", "hem=other"]);
    assert!((code(&other), err(&other).contains("no state")) == (0, false), "{}", err(&other));
}

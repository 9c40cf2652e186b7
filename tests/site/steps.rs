//! The page that tells a model's variants apart step by step: what it says, where it stands, and that no step leads astray.

use super::{DEMO, built, page};

fn variant(name: &str) -> String {
    format!(
        "--- entries/makers/m/x/{name}/variant.md\n+++\nname = \"V {name}\"\nline = \"best\"\nwearer = \"men\"\n+++\n"
    )
}

fn garments(variant: &str, hem: &str, count: usize) -> String {
    let garment = |number| {
        format!(
            "--- entries/makers/m/x/{variant}/g{number}.md\n+++\nbasis = \"specimen\"\nplaced-by = \"mark\"\n[features]\n\
             hem = \"{hem}\"\n+++\n"
        )
    };
    (0..count).map(garment).collect()
}

const HEAD: &str = "--- entries/makers/m/maker.md\n+++\nname = \"M\"\n[[lines]]\nid = \"best\"\nname = \"Best\"\n+++\n\
    --- entries/makers/m/x/model.md\n+++\nname = \"X\"\ngarment = \"trousers\"\n+++\n\
    --- schema/vocabulary.toml\n[hem]\nname = \"Hem\"\nkind = \"state\"\nstates = [\"folded\", \"chain\"]\nlook = \"Turn <it> up.\"\n";

#[test]
fn a_page_names_the_look_and_how_many_garments_each_end_is_right_for() {
    let text =
        HEAD.to_string() + &variant("a") + &variant("b") + &garments("a", "folded", 4) + &garments("b", "chain", 5);
    let site = built(&text);
    let html = page(&site, "steps/m/x.html");
    for part in [
        "Which of 2 variants it is",
        "<h2><a href=\"../../features/hem.html\">Hem</a></h2>",
        "Turn &lt;it&gt; up.",
        "<b>folded</b>: <a href=\"../../makers/m/x/a.html\">V a</a> <span class=\"n\">4 of 4</span>",
        "<span class=\"n\">5 of 5</span>",
        "9 of 9 reached their own variant, 0 another and 0 none",
        "An opinion from records, not an authentication.",
    ] {
        assert!(html.contains(part), "{part}: {html}");
    }
    assert!(page(&site, "makers/m/x.html").contains("href=\"../../steps/m/x.html\""));
}

#[test]
fn without_garments_there_is_no_page_and_without_a_difference_it_says_so() {
    let bare = built(&(HEAD.to_string() + &variant("a") + &variant("b") + &garments("a", "folded", 4)));
    assert!(!bare.contains_key("steps/m/x.html"));
    assert!(!page(&bare, "makers/m/x.html").contains("steps/"));
    let text =
        HEAD.to_string() + &variant("a") + &variant("b") + &garments("a", "chain", 4) + &garments("b", "chain", 5);
    let same = built(&text);
    let html = page(&same, "steps/m/x.html");
    assert!(html.contains("Nothing recorded tells these variants apart") && !html.contains("Begin at 1"));
}

#[test]
fn what_follows_the_size_is_not_asked_for() {
    let html = page(&DEMO, "steps/brackwold-tharn/sluice-118.html");
    assert!(html.contains("Not asked, because the difference may come from something"), "{html}");
    assert!(html.contains("Belt loops (Waist size on a label, in inches)"), "{html}");
    assert!(!html.contains("belt-loops.html\">Belt loops</a></h2>"), "{html}");
}

#[test]
fn steps_of_the_demo_lead_to_later_steps_each_of_which_is_led_to_once() {
    let mut found = 0;
    for (path, _) in DEMO.iter().filter(|(path, _)| path.starts_with("steps/")) {
        let html = page(&DEMO, path);
        let steps = html.matches("<li id=\"step-").count();
        let mut at = 0;
        let mut led = Vec::new();
        for rest in html.split("<li id=\"step-").skip(1) {
            at += 1;
            for target in rest.split("href=\"#step-").skip(1) {
                let number: usize = target.split('"').next().unwrap().parse().unwrap();
                assert!(number > at && number <= steps, "{path}: {at} leads to {number} of {steps}");
                led.push(number);
            }
        }
        led.sort_unstable();
        assert_eq!(led, (2..=steps).collect::<Vec<usize>>(), "{path}");
        found += usize::from(steps > 0);
    }
    assert!(found >= 4, "{found} models of the demo have steps");
}

//! Small knowledge bases that look random: two or three lines and wearers over a few models, and garments that follow
//! the line, the year, the factory or the size, or nothing.

use std::fmt::Write;

use crate::support::numbers::Numbers;

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
[zip]
name = \"Zip\"
kind = \"state\"
states = [\"brass\", \"steel\", \"absent\"]
look = \"Look.\"
varies-with = [\"waist\", \"hem\"]
[loops]
name = \"Loops\"
kind = \"count\"
look = \"Count.\"
varies-with = [\"waist\"]
[seam]
name = \"Seam\"
kind = \"state\"
states = [\"flat\", \"open\"]
look = \"Look.\"
[waist]
name = \"Waist\"
kind = \"number\"
unit = \"in\"
look = \"Read.\"
bands = [32, 36]
[opening]
name = \"Opening\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.25
range = [4, 16]
look = \"Measure.\"
varies-with = [\"waist\"]
[pocket]
name = \"Pocket\"
kind = \"measure\"
unit = \"in\"
tolerance = 0.125
range = [4, 16]
look = \"Measure.\"
";

const LINES: [&str; 3] = ["best", "plain", "work"];
const WEARERS: [&str; 2] = ["men", "women"];

/// What a knowledge base is like: how far the lines differ, and what else features follow.
struct Plan {
    models: u64,
    lines: u64,
    wearers: u64,
    /// The model in which the lines differ the other way, if it is one of them.
    turned: u64,
    /// The most garments of a variant.
    most: u64,
    /// Whether a line was sold in larger sizes, and in later years.
    is_larger: bool,
    is_later: bool,
    /// The year in which hems change, and in which zips do.
    change: [u64; 2],
}

/// Writes a knowledge base.
pub fn text(seed: u64) -> String {
    let mut numbers = Numbers(seed * 7_919 + 17);
    (0..20).for_each(|_| {
        numbers.below(2);
    });
    let plan = Plan {
        models: 1 + numbers.below(3),
        lines: 2 + numbers.below(3) / 2,
        wearers: 1 + numbers.below(2),
        turned: numbers.below(6),
        most: [6, 10, 16][numbers.below(3) as usize],
        is_larger: numbers.below(3) == 0,
        is_later: numbers.below(3) == 0,
        change: [numbers.below(24), numbers.below(24)],
    };
    let mut text = format!("{VOCABULARY}--- entries/makers/m/maker.md\n+++\nname = \"M\"\n");
    for line in &LINES[..plan.lines as usize] {
        write!(text, "[[lines]]\nid = \"{line}\"\nname = \"{line}\"\nsign = \"{line}\"\n").unwrap();
    }
    text.push_str("+++\n");
    for model in 0..plan.models {
        write!(text, "--- entries/makers/m/x{model}/model.md\n+++\nname = \"X\"\ngarment = \"trousers\"\n+++\n")
            .unwrap();
        for line in 0..plan.lines {
            for wearer in 0..plan.wearers {
                // Some runs come twice: both are of one setting.
                for run in 0..1 + numbers.below(8) / 7 {
                    variant(&mut text, &mut numbers, &plan, (model, line, wearer, run));
                }
            }
        }
    }
    text
}

fn variant(text: &mut String, numbers: &mut Numbers, plan: &Plan, at: (u64, u64, u64, u64)) {
    let (model, line, wearer, run) = at;
    let (line_name, wearer_name) = (LINES[line as usize], WEARERS[wearer as usize]);
    let folder = format!("entries/makers/m/x{model}/{line_name}-{wearer_name}-{run}");
    write!(
        text,
        "--- {folder}/variant.md\n+++\nname = \"V\"\nline = \"{line_name}\"\nwearer = \"{wearer_name}\"\n+++\n"
    )
    .unwrap();
    let lean = if plan.turned == model { 1 - line.min(1) } else { line };
    for number in 0..numbers.below(plan.most + 1) {
        garment(text, numbers, plan, (&folder, number, line, lean));
    }
}

fn garment(text: &mut String, numbers: &mut Numbers, plan: &Plan, at: (&str, u64, u64, u64)) {
    let (folder, number, line, lean) = at;
    let year = numbers.below(24) / (1 + u64::from(plan.is_later && line == 0));
    let waist = 28 + 2 * numbers.below(5) + if plan.is_larger { 4 * line } else { 0 };
    let is_document = numbers.below(12) == 0;
    write!(text, "--- {folder}/g{number:02}.md\n+++\n").unwrap();
    if is_document {
        let source = numbers.below(3);
        write!(text, "basis = \"document\"\nsources = [\"list-{source}\"]\nmade = \"{}\"\n", 1955 + year).unwrap();
        write!(text, "[[source]]\nid = \"list-{source}\"\ncitation = \"List\"\nkind = \"catalogue\"\n").unwrap();
    } else {
        text.push_str(&said(numbers, 1955 + year));
    }
    text.push_str("[features]\n");
    for (feature, shown) in shown(numbers, plan, (year, waist, lean)) {
        match numbers.below(20) {
            0 => {}
            1 if !shown.contains('{') => {
                writeln!(text, "{feature} = {{ {}, altered = true }}", valued(&shown)).unwrap()
            }
            2 if !shown.contains('{') => writeln!(text, "{feature} = {{ {}, unsure = true }}", valued(&shown)).unwrap(),
            3 => writeln!(text, "{feature} = \"lost\"").unwrap(),
            _ => writeln!(text, "{feature} = {shown}").unwrap(),
        }
    }
    text.push_str("+++\n");
}

fn valued(shown: &str) -> String {
    if shown.starts_with('"') { format!("state = {shown}") } else { format!("value = {shown}") }
}

/// What is said of a garment besides what it shows.
fn said(numbers: &mut Numbers, year: u64) -> String {
    let mut said = "basis = \"specimen\"\n".to_string();
    match numbers.below(12) {
        0 => said.push_str("placed-by = \"judged\"\nplaced-from = [\"hem\"]\n"),
        1 => said.push_str("placed-by = \"judged\"\nplaced-from = [\"zip\", \"opening\"]\n"),
        _ => said.push_str("placed-by = \"mark\"\n"),
    }
    said.push_str(&match numbers.below(16) {
        0 => String::new(),
        1 => format!("made = \"{}~\"\nmade-by = \"estimate\"\nmade-from = [\"hem\"]\n", year),
        2 => format!("made = \"{}/{}\"\nmade-by = \"estimate\"\nmade-from = [\"wear\"]\n", year, year + 1),
        3 => format!("made = \"{}/{}\"\nmade-by = \"mark\"\n", year, year + 3),
        4 => format!("made = \"{}/{}\"\nmade-by = \"mark\"\n", year, year + 4),
        5 => format!("made = \"{}/{}\"\nmade-by = \"paper\"\n", year - 5, year + 8),
        6 => format!("made = \"{}-{:02}\"\nmade-by = \"mark\"\n", year, 1 + numbers.below(12)),
        7 => format!("made = \"{}-02-28/{}-02-28\"\nmade-by = \"mark\"\n", year, year + 4),
        _ => format!("made = \"{year}\"\nmade-by = \"mark\"\n"),
    });
    match numbers.below(10) {
        0..3 => said.push_str("factory = \"north\"\n"),
        3..7 => said.push_str(if year < 1968 { "factory = \"north\"\n" } else { "factory = \"south\"\n" }),
        _ => {}
    }
    if numbers.below(6) == 0 {
        writeln!(said, "find = \"barn-{}\"", numbers.below(3)).unwrap();
    }
    said
}

/// Features and what they show; the line tells in some, the year, the size or the factory in others.
fn shown(numbers: &mut Numbers, plan: &Plan, of: (u64, u64, u64)) -> Vec<(&'static str, String)> {
    let (year, waist, lean) = of;
    let mostly = |numbers: &mut Numbers, usual: u64, states: u64| {
        if numbers.below(6) > 0 { usual % states } else { numbers.below(states) }
    };
    let label = ["woven", "printed"][(lean.min(1)) as usize];
    let hem = ["folded", "chain", "raw"][mostly(numbers, u64::from(year >= plan.change[0]), 3) as usize];
    let zip = ["\"brass\"", "\"steel\"", "\"absent\"", "{ other = \"tin\" }"];
    let zip_shown = mostly(numbers, lean + 2 * u64::from(year >= plan.change[1]), 4) as usize;
    let seam = ["flat", "open"][mostly(numbers, lean, 2) as usize];
    // In a later year another state comes beside the usual one and never takes its place: only the shares change.
    let late = u64::from(year >= plan.change[0] && numbers.below(5) < 2);
    let loops = 5 + u64::from(waist > 40) + late;
    let eighths = |number: u64| format!("{:?}", number as f64 / 8.0);
    // Sixteenths that no two garments share often make no ties; halves make many.
    let opening = 60 + waist / 2 + numbers.below(6) + 4 * lean;
    let pocket = format!("{:?}", 6.0 + numbers.below(400) as f64 / 100.0 + lean as f64);
    vec![
        ("label-make", format!("\"{label}\"")),
        ("hem", format!("\"{hem}\"")),
        ("zip", zip[zip_shown].to_string()),
        ("loops", loops.to_string()),
        ("seam", format!("\"{seam}\"")),
        ("waist", waist.to_string()),
        ("opening", eighths(opening)),
        ("pocket", pocket),
    ]
}

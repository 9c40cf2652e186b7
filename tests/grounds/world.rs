//! Small invented worlds of four makers, joined here and there by whatever can join makers.

use std::collections::BTreeMap;

use bartack::source::{FilePath, SourceFile, Sources};

use crate::support::numbers::Numbers;

pub const MAKERS: [&str; 4] = ["ansk", "brell", "corvo", "dunt"];
const MODELS: [&str; 2] = ["one", "two"];
const VARIANTS: [&str; 2] = ["flat", "round"];

/// The text of each file, by path.
#[derive(Clone)]
pub struct World(pub BTreeMap<String, String>);

impl World {
    pub fn sources(&self) -> Sources {
        let file = |(path, text): (&String, &String)| SourceFile::new(FilePath::new(path.as_str()), text.clone());
        Sources::new(self.0.iter().map(file).collect())
    }

    /// Makes a world in which each way of joining makers is met one time in three.
    pub fn new(random: &mut Numbers) -> World {
        let mut world = World(BTreeMap::new());
        world.shared();
        for maker in MAKERS {
            world.maker(maker, random);
        }
        for number in 0..JOINS.len() {
            if random.below(3) == 0 {
                world.join_by(number, random);
            }
        }
        world
    }

    /// Joins two makers in one of the ways.
    pub fn join(&mut self, random: &mut Numbers) {
        let way = random.below(JOINS.len() as u64) as usize;
        self.join_by(way, random);
    }

    fn join_by(&mut self, way: usize, random: &mut Numbers) {
        let first = random.below(4) as usize;
        let second = (first + 1 + random.below(3) as usize) % 4;
        JOINS[way](self, [MAKERS[first], MAKERS[second]]);
    }

    fn write(&mut self, path: &str, front: &str) {
        self.0.insert(path.to_string(), format!("+++\n{front}+++\nSomething was said of it.\n"));
    }

    fn shared(&mut self) {
        let about = "title = \"Four workshops\"\nlicence = \"CC0-1.0\"\nlanguage = \"en\"\n\
                     withheld = [{ observer = \"lurk\", reason = \"made up\" }]\n";
        self.write("entries/about.md", about);
        self.write("entries/sources/list.md", "citation = \"Spring list\"\nkind = \"price-list\"\ndate = \"1961\"\n");
        self.write(
            "entries/sources/book.md",
            "citation = \"The book\"\nkind = \"book\"\ndate = \"1990\"\nrepeats = [\"list\"]\n",
        );
        let landmark = "title = \"Nylon zips\"\nwhen = { feature = \"zip\", state = \"nylon\" }\nnot-before = \"1955\"\n\
                        force = \"hard\"\nsources = [\"list\"]\n";
        self.write("entries/landmarks/nylon.md", landmark);
        self.0.insert("schema/vocabulary.toml".to_string(), VOCABULARY.to_string());
    }

    fn maker(&mut self, maker: &str, random: &mut Numbers) {
        let line = "[[lines]]\nid = \"best\"\nname = \"Best\"\n";
        self.write(&format!("entries/makers/{maker}/maker.md"), &format!("name = \"The {maker} mill\"\n{line}"));
        for model in MODELS {
            let folder = format!("entries/makers/{maker}/{model}");
            self.write(&format!("{folder}/model.md"), &format!("name = \"No {model}\"\ngarment = \"trousers\"\n"));
            for variant in VARIANTS {
                let (first, last) = (1940 + random.below(20), 1962 + random.below(20));
                let claim = |id, event, when| {
                    format!(
                        "[[claims]]\nid = \"{id}\"\nevent = \"{event}\"\nwhen = \"{when}\"\nsources = [\"book p. 3\"]\n"
                    )
                };
                let claims = claim("begun", "introduced", format!("{first}~"))
                    + &claim("ended", "discontinued", last.to_string());
                let front = format!("name = \"{variant}\"\nline = \"best\"\nwearer = \"men\"\n{claims}");
                self.write(&format!("{folder}/{variant}/variant.md"), &front);
                for number in 0..2 + random.below(3) {
                    self.write(&format!("{folder}/{variant}/seen-{number}.md"), &observation(random));
                }
            }
        }
    }

    /// Adds lines to the front matter of a file, before its tables.
    pub fn add(&mut self, path: &str, lines: &str) {
        let text = self.0.get_mut(path).unwrap();
        *text = text.replacen("+++\n", &format!("+++\n{lines}"), 1);
    }

    /// Adds a table to the end of the front matter of a file.
    pub fn table(&mut self, path: &str, table: &str) {
        let text = self.0.get_mut(path).unwrap();
        let end = text.rfind("+++\n").unwrap();
        text.insert_str(end, table);
    }
}

pub fn observation(random: &mut Numbers) -> String {
    let pick = |random: &mut Numbers, words: &[&'static str]| words[random.below(words.len() as u64) as usize];
    let observer = pick(random, &["hob", "mag", "lurk"]);
    let made = match random.below(3) {
        0 => format!("made = \"{}\"\nmade-by = \"mark\"\n", 1945 + random.below(35)),
        1 => format!("made = \"{}X\"\n", 194 + random.below(3)),
        _ => String::new(),
    };
    let hem = pick(random, &["raw", "chain", "lock"]);
    let zip = pick(random, &["brass", "nylon"]);
    let (loops, waist) = (5 + random.below(3), 28 + random.below(9));
    format!(
        "basis = \"specimen\"\nobserver = \"{observer}\"\nfind = \"attic\"\nfactory = \"north\"\n{made}\n[features]\n\
         label-make = \"woven\"\nhem = \"{hem}\"\nzip = \"{zip}\"\nbelt-loops = {loops}\nwaist = {waist}\n"
    )
}

/// Joins two makers.
type Join = fn(&mut World, [&str; 2]);

const JOINS: [Join; 9] = [
    |world, [one, other]| {
        let claim = format!("[[claims]]\nevent = \"before\"\nother = \"{other}/two/round\"\nsources = [\"list\"]\n");
        world.table(&format!("entries/makers/{one}/one/flat/variant.md"), &claim);
    },
    |world, [one, other]| {
        world.add(&format!("entries/makers/{one}/two/round/variant.md"), &format!("revives = \"{other}/one/flat\"\n"));
    },
    |world, makers| {
        for (maker, id) in makers.into_iter().zip(["own", "mine"]) {
            let claim = format!("[[claims]]\nevent = \"attested\"\nwhen = \"1964\"\nsources = [\"{id}\"]\n");
            let source = format!(
                "[[source]]\nid = \"{id}\"\ncitation = \"A letter\"\nkind = \"recollection\"\ndate = \"1999\"\n"
            );
            world.table(&format!("entries/makers/{maker}/two/flat/variant.md"), &(claim + &source));
        }
    },
    |world, makers| {
        let mut random = Numbers(7);
        world.write("entries/unplaced/stray.md", &observation(&mut random));
        for maker in makers {
            world.add(&format!("entries/makers/{maker}/one/round/seen-0.md"), "same-as = \"unplaced/stray\"\n");
        }
    },
    |world, [one, other]| {
        let claim = |maker: &str| format!("entries/makers/{maker}/one/flat/variant.md#begun");
        let front = format!(
            "claims = [{{ claim = \"{}\", says = \"introduced 1950\" }}, {{ claim = \"{}\", says = \"introduced 1950\" }}]\n\
             status = \"settled\"\nset-aside = [\"{1}\"]\n",
            claim(one),
            claim(other)
        );
        world.write("entries/disputes/beginnings.md", &front);
    },
    |world, [one, other]| {
        let front = format!("perhaps = [\"{one}/one/flat\", \"{other}/one/flat\"]\n{}", observation(&mut Numbers(9)));
        world.write("entries/unplaced/either.md", &front);
    },
    |world, [one, other]| {
        let claim = format!(
            "[[claims]]\nabout = \"{other}/two/flat\"\nevent = \"introduced\"\nwhen = \"1958\"\nsources = [\"list\"]\n"
        );
        world.table(&format!("entries/makers/{one}/two/flat/seen-1.md"), &claim);
    },
    |world, [one, other]| {
        world.add(
            &format!("entries/makers/{one}/one/flat/variant.md"),
            "formerly = [\"makers/gone/one/flat/variant\"]\n",
        );
        let claim = "[[claims]]\nevent = \"before\"\nother = \"gone/one/flat\"\nsources = [\"list\"]\n";
        world.table(&format!("entries/makers/{other}/two/round/variant.md"), claim);
    },
    |world, [one, _]| {
        world.write("entries/sources/diary.md", "citation = \"A diary\"\nkind = \"recollection\"\ndate = \"1970\"\n");
        let claim = "[[claims]]\nevent = \"attested\"\nwhen = \"1959\"\nsources = [\"diary\"]\n";
        world.table(&format!("entries/makers/{one}/one/round/variant.md"), claim);
    },
];

const VOCABULARY: &str = r#"
[label-make]
name = "label"
kind = "state"
states = ["woven", "printed"]
look = "Look inside the waist."
defining = true

[hem]
name = "hem"
kind = "state"
states = ["raw", "chain", "lock"]
look = "Turn the leg up."

[zip]
name = "zip"
kind = "state"
states = ["brass", "nylon"]
look = "Look at the teeth."
replaceable = "often"

[belt-loops]
name = "belt loops"
kind = "count"
look = "Count them all."
varies-with = ["waist"]

[waist]
name = "waist"
kind = "measure"
unit = "in"
tolerance = 0.5
range = [20, 60]
bands = [30, 34]
look = "Lay it flat and measure across, twice that."
"#;

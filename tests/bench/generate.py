#!/usr/bin/env python3
"""Writes a synthetic knowledge base of any size, the same for the same seed.

    generate.py --observations 50000 --conflicts 200 --seed 1 --out DIR
    generate.py --observations 50000 --garments 10 --features 12 --lines 3 --out DIR

`--conflicts` says of how many variants somebody claims, under the id `planted`, that they were begun after their end.
Twenty models a maker, five variants a model, fifty observations a variant unless `--models` and `--garments` say
otherwise; every name is made of syllables and means nothing. Features beyond the first five differ between variants by chance, size or age, or not at all.
"""
import argparse
import pathlib
import random

VOCABULARY = """\
[label-make]
name = "label"
kind = "state"
states = ["woven", "printed", "stamped"]
look = "Look at the label inside the waist."
defining = true

[hem]
name = "hem"
kind = "state"
states = ["chain-stitch", "lockstitch", "raw"]
look = "Turn the leg up and look at the stitch."

[zip]
name = "zip"
kind = "state"
states = ["brass", "steel", "nylon"]
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
bands = [30, 34, 38]
look = "Lay it flat and measure across, twice that."
"""

# Features beyond those of the vocabulary above, over and over.
FURTHER = [
    ("state", 'states = ["left", "right", "both"]\n'),
    ("state", 'states = ["one", "two", "three", "four", "five", "six"]\nvaries-with = ["waist"]\n'),
    ("count", 'varies-with = ["waist"]\n'),
    ("measure", 'unit = "in"\ntolerance = 0.25\nrange = [1, 90]\nvaries-with = ["waist"]\n'),
]

LINES = ["best", "plain", "working"]

SYLLABLES = ["bal", "tor", "min", "sed", "quo", "rap", "lin", "dov", "hes", "wul"]


def word(number):
    return "".join(SYLLABLES[int(digit)] for digit in str(number))


def further(number):
    """The name, kind and rules of a further feature, counted from 0."""
    return (f"part-{number:02}", *FURTHER[number % len(FURTHER)])


def vocabulary(features):
    text = VOCABULARY
    for number in range(features - 5):
        name, kind, rules = further(number)
        text += f'\n[{name}]\nname = "part {number}"\nkind = "{kind}"\n{rules}look = "Look at it."\n'
    return text


def reading(chance, number, variant, waist):
    """What one garment shows of a further feature; every third differs between variants."""
    name, kind, rules = further(number)
    lean = variant % 5 if number % 3 == 0 else 0
    if kind == "state":
        states = rules.split("[")[1].split("]")[0].split(", ")
        weights = [1 + 4 * (place == lean % len(states)) for place in range(len(states))]
        return f"{name} = {chance.choices(states, weights)[0]}\n"
    if kind == "count":
        return f"{name} = {chance.randint(1, 3) + lean % 2 + (waist > 33)}\n"
    return f"{name} = {round(waist / 2 + lean + chance.gauss(0, 1), 2)}\n"


def write(path, front, body=""):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("+++\n" + front + "+++\n" + body, encoding="utf-8")


def observation(chance, variant, number, features):
    year = 1960 + (variant * 3) % 25 + chance.randint(0, 6)
    waist = chance.choice([29, 31, 33, 35, 37])
    lines = [
        'basis = "specimen"\n',
        f'observer = "{word(chance.randint(0, 99))}"\n',
        f"observed = 2025-{1 + number % 12:02}-{1 + number % 28:02}\n",
    ]
    if number % 3:
        lines += [f'made = "{year}"\n', f'made-by = "{chance.choice(["mark", "paper"])}"\n']
    lines += [
        "\n[features]\n",
        f'label-make = "{["woven", "printed", "stamped"][variant % 3]}"\n',
        f'hem = "{chance.choices(["chain-stitch", "lockstitch", "raw"], [4, 2 + variant % 5, 1])[0]}"\n',
        f'zip = "{chance.choice(["brass", "steel", "nylon"])}"\n',
        f"belt-loops = {5 if waist < 34 else 7}\n",
        f"waist = {waist}\n",
    ]
    lines += [reading(chance, further_number, variant, waist) for further_number in range(features - 5)]
    return "".join(lines)


def claims(chance, variant, has_conflict):
    first = 1960 + (variant * 3) % 25
    text = f'\n[[claims]]\nevent = "introduced"\nwhen = "{first - 2}/{first}"\nsources = ["list"]\n'
    text += f'\n[[claims]]\nevent = "discontinued"\nwhen = "{first + 6}/{first + 9}"\nsources = ["list"]\n'
    if has_conflict:
        text += f'\n[[claims]]\nid = "planted"\nevent = "introduced"\nwhen = "{first + 12}"\nsources = ["hearsay"]\n'
    return text


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--observations", type=int, default=1000)
    parser.add_argument("--conflicts", type=int, default=0)
    parser.add_argument("--garments", type=int, default=50, help="observations a variant")
    parser.add_argument("--models", type=int, default=20, help="models a maker")
    parser.add_argument("--lines", type=int, default=1, help="label lines of a maker, at most 3; from two on, two wearers")
    parser.add_argument("--features", type=int, default=5, help="features of a garment, at least 5")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=pathlib.Path, required=True)
    arguments = parser.parse_args()
    chance = random.Random(arguments.seed)
    root = arguments.out
    (root / "schema").mkdir(parents=True, exist_ok=True)
    (root / "schema" / "vocabulary.toml").write_text(vocabulary(arguments.features), encoding="utf-8")
    entries = root / "entries"
    write(entries / "about.md", 'title = "Synthetic"\nlicence = "CC0-1.0"\nlanguage = "en"\n')
    write(entries / "sources" / "list.md", 'citation = "A price list"\nkind = "price-list"\ndate = "1960"\n')
    write(entries / "sources" / "hearsay.md", 'citation = "Somebody said"\nkind = "recollection"\n')
    raw = 'title = "Raw hems"\nwhen = { feature = "hem", state = "raw" }\nnot-before = "1955"\nforce = "hard"\nsources = ["list"]\n'
    write(entries / "landmarks" / "raw-hems.md", raw)
    for number in range(arguments.observations):
        variant, model = number // arguments.garments, number // (5 * arguments.garments)
        maker = word(model // arguments.models)
        model_folder = entries / "makers" / maker / word(model)
        folder = model_folder / f"v{variant % 5}"
        if number % (5 * arguments.models * arguments.garments) == 0:
            lines = "".join(f'\n[[lines]]\nid = "{line}"\nname = "{line.title()}"\n' for line in LINES[:arguments.lines])
            write(entries / "makers" / maker / "maker.md", f'name = "{maker}"\n{lines}')
        if number % (5 * arguments.garments) == 0:
            write(model_folder / "model.md", f'name = "{word(model)}"\ngarment = "trousers"\n')
        if number % arguments.garments == 0:
            place = variant % 5
            wearer = "women" if 1 < arguments.lines <= place else "men"
            front = f'name = "Variant {place}"\nline = "{LINES[place % arguments.lines]}"\nwearer = "{wearer}"\n'
            write(folder / "variant.md", front + claims(chance, variant, variant < arguments.conflicts))
        write(folder / f"o{number}.md", observation(chance, variant, number, arguments.features), "Seen at a fair.\n")


main()

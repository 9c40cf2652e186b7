#!/usr/bin/env python3
"""Writes a synthetic knowledge base of any size, the same for the same seed.

    generate.py --observations 50000 --conflicts 200 --seed 1 --out DIR

Five variants a model, fifty observations a variant; every name is made of syllables and means nothing.
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

SYLLABLES = ["bal", "tor", "min", "sed", "quo", "rap", "lin", "dov", "hes", "wul"]


def word(number):
    return "".join(SYLLABLES[int(digit)] for digit in str(number))


def write(path, front, body=""):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("+++\n" + front + "+++\n" + body, encoding="utf-8")


def observation(chance, variant, number):
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
    return "".join(lines)


def claims(chance, variant, has_conflict):
    first = 1960 + (variant * 3) % 25
    text = f'\n[[claims]]\nevent = "introduced"\nwhen = "{first - 2}/{first}"\nsources = ["list"]\n'
    text += f'\n[[claims]]\nevent = "discontinued"\nwhen = "{first + 6}/{first + 9}"\nsources = ["list"]\n'
    if has_conflict:
        text += f'\n[[claims]]\nevent = "introduced"\nwhen = "{first + 12}"\nsources = ["hearsay"]\n'
    return text


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--observations", type=int, default=1000)
    parser.add_argument("--conflicts", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=pathlib.Path, required=True)
    arguments = parser.parse_args()
    chance = random.Random(arguments.seed)
    root = arguments.out
    (root / "schema").mkdir(parents=True, exist_ok=True)
    (root / "schema" / "vocabulary.toml").write_text(VOCABULARY, encoding="utf-8")
    entries = root / "entries"
    write(entries / "about.md", 'title = "Synthetic"\nlicence = "CC0-1.0"\nlanguage = "en"\n')
    write(entries / "sources" / "list.md", 'citation = "A price list"\nkind = "price-list"\ndate = "1960"\n')
    write(entries / "sources" / "hearsay.md", 'citation = "Somebody said"\nkind = "recollection"\n')
    for number in range(arguments.observations):
        variant, model = number // 50, number // 250
        maker = word(model // 20)
        model_folder = entries / "makers" / maker / word(model)
        folder = model_folder / f"v{variant % 5}"
        if number % 5000 == 0:
            lines = '\n[[lines]]\nid = "best"\nname = "Best"\n'
            write(entries / "makers" / maker / "maker.md", f'name = "{maker}"\n{lines}')
        if number % 250 == 0:
            write(model_folder / "model.md", f'name = "{word(model)}"\ngarment = "trousers"\n')
        if number % 50 == 0:
            front = f'name = "Variant {variant % 5}"\nline = "best"\nwearer = "men"\n'
            write(folder / "variant.md", front + claims(chance, variant, variant < arguments.conflicts))
        write(folder / f"o{number}.md", observation(chance, variant, number), "Seen at a fair.\n")


main()

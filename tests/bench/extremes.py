"""Knowledge bases of less than a megabyte in the shapes that cost most: `check` and `build` of each.

Whatever fits in a megabyte of entries must be compiled within 20 CPU seconds and a GiB, or be refused by name.
"""
import pathlib

from measure import cost
from table import mebibytes, seconds

MOST_BYTES = 1 << 20
MOST_CPU = 20
MOST_MEMORY = 1024

MODEL = 'name = "M"\ngarment = "trousers"\n'
VARIANT = 'name = "V"\nline = "a"\nwearer = "men"\n'
GARMENT = 'basis = "specimen"\nplaced-by = "mark"\n'


def one_line_variants():
    """10,000 variants of a model, which say no more than their names."""
    return {f"m/o/v{number}/variant": VARIANT for number in range(10_000)}


def variants_with_garments():
    """2,000 variants of a model, each with three garments."""
    files = {f"m/o/v{number}/variant": VARIANT for number in range(2_000)}
    for number in range(6_000):
        state = ("chain-stitch", "lockstitch")[number // 3 % 2]
        files[f"m/o/v{number // 3}/g{number % 3}"] = f'{GARMENT}[features]\nhem = "{state}"\n'
    return files


def ring_of_claims(count):
    """Variants that each came before the next, and the last before the first."""
    def claims(number):
        other = f"m/o/v{(number + 1) % count}"
        return f'{VARIANT}[[claims]]\nevent = "before"\nother = "{other}"\nsources = ["s"]\n'
    return {f"m/o/v{number}/variant": claims(number) for number in range(count)}


def ring():
    return ring_of_claims(3_000)


def find_of_unlike():
    """2,000 garments of one find, no two with the same count."""
    files = {"m/o/v/variant": VARIANT}
    for number in range(2_000):
        files[f"m/o/v/g{number}"] = f'{GARMENT}find = "attic"\n[features]\nbelt-loops = {number + 1}\n'
    return files


def formerly_of_numbers():
    """An entry whose list of earlier addresses holds 250,000 numbers."""
    return {"m/o/v/variant": VARIANT + "formerly = [" + "1, " * 250_000 + "]\n"}


def random_claims():
    """260 claims of who came before whom, at random, on ten variants."""
    state = 7
    claims = {number: VARIANT for number in range(10)}
    for _ in range(260):
        picked = []
        for _ in range(2):
            state = (state * 6364136223846793005 + 1442695040888963407) % (1 << 64)
            picked.append((state >> 33) % 10)
        if picked[0] != picked[1]:
            claims[picked[0]] += f'[[claims]]\nevent = "before"\nother = "m/o/v{picked[1]}"\nsources = ["s"]\n'
    return {f"m/o/v{number}/variant": text for number, text in claims.items()}


SHAPES = [
    ("10,000 one-line variants", one_line_variants),
    ("2,000 variants of 3 garments", variants_with_garments),
    ("ring of 3,000 claims", ring),
    ("find of 2,000 unlike garments", find_of_unlike),
    ("250,000 numbers for addresses", formerly_of_numbers),
    ("260 random claims", random_claims),
]


def rows(bench):
    for name, shape in SHAPES:
        root = written(bench.folder / shape.__name__, shape())
        for work in ("check", "build"):
            out = ["--out", root.parent / f"{root.name}-out"] if work == "build" else []
            ours = cost(bench.command(root, work, *out), codes=(0, 1))
            names = (work, name)
            bench.table.held(names, seconds(ours.cpu), "", "", f"<= {MOST_CPU} CPU s", ours.cpu <= MOST_CPU)
            bench.table.held(names, mebibytes(ours.memory), "", "", "<= 1 GiB", ours.memory <= MOST_MEMORY)


def written(root, files):
    """Writes a knowledge base; gives its folder."""
    files = {"m/maker": 'name = "M"\n[[lines]]\nid = "a"\nname = "A"\n', "m/o/model": MODEL, **files}
    whole = {f"entries/makers/{path}.md": f"+++\n{text}+++\n" for path, text in files.items()}
    whole["entries/sources/s.md"] = '+++\ncitation = "List"\nkind = "price-list"\n+++\n'
    if sum(map(len, whole.values())) > MOST_BYTES:
        raise SystemExit(f"{root.name} is larger than a megabyte")
    whole["entries/about.md"] = '+++\ntitle = "T"\nlicence = "CC0-1.0"\nlanguage = "en"\n+++\n'
    whole["schema/vocabulary.toml"] = pathlib.Path("schema/vocabulary.toml").read_text(encoding="utf-8")
    for path, text in whole.items():
        place = pathlib.Path(root) / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")
    return pathlib.Path(root)

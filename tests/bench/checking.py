"""A cold `check` beside reading and TOML-parsing the same files in a bare loop, and beside check-jsonschema.

check-jsonschema gets the front matter of observations as JSON files, which it reads faster than TOML, and the schema
of observations, and holds each file to it. `check` reads TOML, holds it to schema and vocabulary, links it, reasons and
lints.
"""
import itertools
import json
import os
import tomllib

import yardsticks
from measure import best, cost
from table import mebibytes, seconds, times

OBSERVATIONS = 50_000
SAMPLE = 5_000
# One pattern of the schemas escapes a quotation mark, which the strictest dialect of patterns does not allow.
PATTERNS = ("--regex-variant", "python")
SCHEMA = "schema/observation.schema.json"
MOST_LOOPS = 4
MOST_MEMORY = 800
LEAST_FILES = 10


def rows(bench):
    root = bench.usual(OBSERVATIONS)
    names = ("check, cold", f"{OBSERVATIONS} observations")
    ours = best(3, bench.command(root, "check"), codes=(0, 1))
    os.environ["BENCH_READING_ROOT"] = str(root)
    output = bench.folder / "reading.out"
    loop = best(3, [bench.harness(), "--exact", "reading::every_record_is_read_and_parsed", "--nocapture"], output=output)
    del os.environ["BENCH_READING_ROOT"]
    files = int(bench.measured("reading", output)[0][1])
    ratio = ours.cpu / loop.cpu
    bench.table.held(names, seconds(ours.cpu), f"{seconds(loop.cpu)} bare loop", times(ratio), "<= 4 times its CPU", ratio <= MOST_LOOPS)
    bench.table.held(names, mebibytes(ours.memory), "", "", "< 800 MiB", ours.memory < MOST_MEMORY)
    schema_rows(bench, root, files / ours.cpu)


def schema_rows(bench, root, ours):
    """`ours` is how many files `check` does in a CPU second."""
    try:
        program = yardsticks.check_jsonschema()
    except yardsticks.Absent as why:
        bench.table.absence("check beside check-jsonschema", why)
        return
    sample = bench.folder / "json"
    sample.mkdir()
    paths = itertools.islice(sorted((root / "entries" / "makers").glob("*/*/*/o*.md")), SAMPLE)
    files = [written(path, sample / f"{number}.json") for number, path in enumerate(paths)]
    theirs = len(files) / cost([program, *PATTERNS, "--schemafile", SCHEMA, *files]).cpu
    ratio = ours / theirs
    bench.table.held(("check, files a CPU second", f"{len(files)} of these as JSON"), f"{ours:.0f}", f"{theirs:.0f} check-jsonschema", times(ratio), ">= 10 times", ratio >= LEAST_FILES)


def written(path, place):
    """The front matter of a record as JSON, days as text, as `check` shows them to the schema."""
    front = tomllib.loads(path.read_text(encoding="utf-8").split("+++")[1])
    place.write_text(json.dumps(front, default=str), encoding="utf-8")
    return str(place)

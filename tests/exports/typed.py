"""Opens every table of the data package as other programs do, and names every column whose types or cells are not what
`datapackage.json` says of it.

Usage: typed.py PACKAGE_FOLDER GUIDE [R]. pandas and DuckDB run what the guide's page says, as it stands; R does too where
the third word is there, but for the line that reads JSON, which needs more than R itself. frictionless makes tables of
pandas by itself. DuckDB also reads each file without being told anything: it guesses, so what it takes for a number or a
truth though the package says text is named, and is a mistake only where a cell can no longer be read as it stood.
"""

import csv
import importlib
import json
import math
import os
import re
import subprocess
import sys
from collections import namedtuple
from pathlib import Path

WORDS = {"string": "text", "date": "date", "integer": "number", "number": "number", "boolean": "boolean"}
ALONE = "DuckDB by itself"
# A column as a program has it: what sort its values are, and the values, None where there is none.
Column = namedtuple("Column", "sort values")


def snippet(guide, heading, language):
    """The first block of code below a heading of the guide."""
    text = guide.read_text(encoding="utf-8")
    found = re.search(rf"^#+ {re.escape(heading)}\n.*?^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
    if not found:
        raise SystemExit(f"{guide} has no code below {heading}")
    return found[1]


def in_pandas(guide):
    names = {}
    exec(snippet(guide, "Tables in pandas", "python"), names)
    return {name: of_frame(table) for name, table in names["tables"].items()}


def in_frictionless(_):
    package = importlib.import_module("frictionless").Package("datapackage.json")
    return {resource.name: of_frame(resource.to_pandas().reset_index()) for resource in package.resources}


def of_frame(frame):
    """The columns of a table of pandas."""
    types = importlib.import_module("pandas").api.types
    is_missing = importlib.import_module("pandas").isna
    found = {}
    for name in frame.columns:
        kind = frame[name].dtype
        sorts = [
            ("boolean", types.is_bool_dtype(kind)),
            ("number", types.is_numeric_dtype(kind)),
            ("date", types.is_datetime64_any_dtype(kind)),
            ("text", types.is_string_dtype(kind)),
        ]
        sort = next((sort for sort, is_one in sorts if is_one), str(kind))
        values = [None if is_missing(value) else value for value in frame[name]]
        found[name] = Column(sort, [value.date() if sort == "date" and value else value for value in values])
    return found


def in_duckdb(guide):
    names = {}
    exec(snippet(guide, "Tables in DuckDB", "python"), names)
    return {name: of_relation(f'FROM "{name}"') for name in packaged()}


def in_duckdb_alone(_):
    return {name: of_relation(f"FROM read_csv_auto('{name}.csv')") for name in packaged()}


def of_relation(query):
    """The columns of an answer of DuckDB."""
    duckdb = importlib.import_module("duckdb")
    sorts = {"VARCHAR": "text", "DATE": "date", "BOOLEAN": "boolean", "BIGINT": "number", "DOUBLE": "number"}
    described = duckdb.sql(f"DESCRIBE {query}").fetchall()
    rows = duckdb.sql(query).fetchall()
    return {row[0]: Column(sorts.get(row[1], row[1]), [cells[at] for cells in rows]) for at, row in enumerate(described)}


def in_r(guide):
    """R runs the guide's lines and writes what it has: a line with the classes, then the cells."""
    code = snippet(guide, "Tables in R", "r")
    reading = re.compile(r"^package <- jsonlite::.*$", re.MULTILINE)
    if len(reading.findall(code)) != 1:
        raise SystemExit("the guide's lines for R no longer read datapackage.json in a line of their own")
    Path("package.R").write_text(in_words_of_r({"resources": described()}), encoding="utf-8")
    Path("guide.R").write_text(reading.sub('package <- dget("package.R")', code), encoding="utf-8")
    script = Path(__file__).with_name("typed.R")
    subprocess.run(["Rscript", "--vanilla", script], check=True, env={**os.environ, "LC_ALL": "C.UTF-8"})
    found = {}
    for name in packaged():
        with open(f"{name}.typed", newline="", encoding="utf-8") as file:
            header, classes, *rows = csv.reader(file)
        columns = zip(header, classes, zip(*rows) if rows else [()] * len(header))
        found[name] = {column: of_r(sort, cells) for column, sort, cells in columns}
    return found


def in_words_of_r(value):
    """A value of JSON as R's own source writes it."""
    if isinstance(value, dict):
        return "list(" + ", ".join(f"`{name}` = {in_words_of_r(one)}" for name, one in value.items()) + ")"
    if isinstance(value, list):
        return "list(" + ", ".join(map(in_words_of_r, value)) + ")"
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return json.dumps(value, ensure_ascii=False)


def of_r(sort, cells):
    """A column that R wrote; `-` stands where it has nothing, and a letter before everything else."""
    sorts = {"character": "text", "Date": "date", "logical": "boolean", "integer": "number", "numeric": "number"}
    made = {"number": float, "boolean": "TRUE".__eq__}.get(sorts.get(sort), str)
    return Column(sorts.get(sort, sort), [None if cell == "-" else made(cell[1:]) for cell in cells])


def described():
    return json.loads(Path("datapackage.json").read_text(encoding="utf-8"))["resources"]


def packaged():
    return [resource["name"] for resource in described()]


def same(kind, value, cell):
    """Whether a value says what the cell of a column says."""
    if cell == "":
        return value is None
    if kind in ("integer", "number"):
        return math.isclose(float(value), float(cell), rel_tol=1e-13)
    if kind == "boolean":
        return bool(value) is {"yes": True, "no": False}[cell]
    return written(value) == cell


def written(value):
    """A value as the package writes it; text that a program took for something else must come back by this."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(int(value)) if isinstance(value, float) and value.is_integer() else str(value)


def faults(program, opened):
    """Says of each column that is not what the package says, and counts those that were compared."""
    compared = 0
    for resource in described():
        with open(resource["path"], newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        for field in resource["schema"]["fields"]:
            name = f"{resource['name']}.{field['name']}"
            cells = [row[field["name"]] for row in rows]
            column = opened[resource["name"]].get(field["name"])
            yield from fault(program, name, field["type"], column, cells)
            compared += any(cells)
    print(f"{program}: {compared} columns with cells compared")
    if not compared:
        yield f"{program}: nothing was compared"


def fault(program, name, kind, column, cells):
    if column is None:
        yield f"{program}: {name} is not there"
    elif len(column.values) != len(cells):
        yield f"{program}: {name} has {len(column.values)} rows of {len(cells)}"
    elif wrong := [at for at, cell in enumerate(cells) if not is_kept(kind, column.values[at], cell)]:
        at = wrong[0]
        yield f"{program}: {name} is lost: {cells[at]!r} is {column.values[at]!r}, and {len(wrong) - 1} cells more"
    elif any(cells) and column.sort != WORDS[kind]:
        # Text that was taken for a number and can be read back is a guess that nobody loses by.
        if program == ALONE and kind == "string":
            print(f"{program}: {name} is text, taken for {column.sort}")
        else:
            yield f"{program}: {name} is {column.sort} and not {WORDS[kind]}"


def is_kept(kind, value, cell):
    try:
        return same(kind, value, cell)
    except (TypeError, ValueError, KeyError):
        return False


PROGRAMS = {
    "frictionless": in_frictionless, "pandas": in_pandas, "DuckDB": in_duckdb, ALONE: in_duckdb_alone, "R": in_r,
}


def tried(program, guide):
    """What a program gets wrong; that it refuses a table is one fault, and no reason not to ask the next program."""
    try:
        return list(faults(program, PROGRAMS[program](guide)))
    except Exception as why:
        return [f"{program}: {type(why).__name__}: {why}"]


def main(folder, guide, programs):
    os.chdir(folder)
    found = [line for name in programs for line in tried(name, guide)]
    for line in found:
        print(line, file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    with_r = "R" in sys.argv[3:]
    sys.exit(main(sys.argv[1], Path(sys.argv[2]).resolve(), [name for name in PROGRAMS if name != "R" or with_r]))

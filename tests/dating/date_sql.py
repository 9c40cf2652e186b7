"""Runs rules/date.sql over the vectors, on SQLite and on DuckDB where it is installed, and compares every probability.

Usage: date_sql.py RULES_FOLDER. What it expects comes from vectors.json, which the engine wrote; what only readers of
rules.json can meet (vectors with a patch) is left out and counted. It fails where nothing was compared.
"""

import csv
import json
import math
import sqlite3
import sys
from pathlib import Path

NEAR = 1e-9
KNOWN = ["maker", "model", "line", "wearer", "variant", "market"]


def number(text):
    """The text as a finite number, or None."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def garments(cases):
    """The rows of a caller's tables: garments, what they show, and the years that keys read from their codes."""
    known = [[name, *(case["garment"].get(word) for word in KNOWN)] for name, case in cases.items()]
    shown = [
        [name, feature, str(state), number(state)]
        for name, case in cases.items()
        for feature, state in case["garment"]["features"].items()
    ]
    read = [row for name, case in cases.items() for row in code_years(name, case["answer"])]
    return {"garments": known, "readings": shown, "code_years": read}


def code_years(name, answer):
    """The rows of code_years for one garment, as tables.sql says: the runs of years of each key that is used."""
    for key in answer.get("keys", []):
        years = key["years"] if key["used"] else []
        begins = [year for year in years if year - 1 not in years]
        ends = [year for year in years if year + 1 not in years]
        for first, last in zip(begins, ends):
            yield [name, key["feature"], key["key"], first, last]


def exported(folder):
    """The rows of each file beside the query, by table; an empty cell is None."""
    tables = {}
    for path in sorted((folder / "sql").glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file))
        tables["dating_" + path.stem] = [[cell if cell != "" else None for cell in row] for row in rows[1:]]
    return tables


def answers(execute, fill, folder, cases):
    """Makes and fills the tables in one engine, and gives what the query answers: garment to variants and years."""
    for statement in statements(folder / "sql" / "tables.sql"):
        execute(statement)
    for table, rows in {**exported(folder), **garments(cases)}.items():
        if rows:
            fill(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)
    (query,) = statements(folder / "date.sql")
    found = {name: ({}, {}) for name in cases}
    for garment, variant, year, probability in execute(query).fetchall():
        variants, years = found[garment]
        (variants if year is None else years)[variant if year is None else year] = probability
    return found


def statements(path):
    """The statements of a file, without comments."""
    lines = path.read_text(encoding="utf-8").splitlines()
    text = "\n".join(line for line in lines if not line.lstrip().startswith("--"))
    return [statement for statement in text.split(";") if statement.strip()]


def expected(answer):
    """What the engine answered, as variants and years."""
    years = (answer["years"] or {}).get("probability", [])
    return {row["id"]: row["probability"] for row in answer["variants"]}, {year: share for year, share in years}


def differences(name, own, wanted):
    """Says where two answers of one sort differ by more than rounding; a row that is missing is 0 on neither side."""
    for key in sorted({*own, *wanted}):
        if key not in own or key not in wanted or not abs(own[key] - wanted[key]) <= NEAR:
            yield f"{name}: {key}: the query says {own.get(key)}, the engine {wanted.get(key)}"


def compare(engine, found, cases):
    """Compares all answers, prints what was compared, and gives what differs."""
    different, variants, years, nothing, coded = [], 0, 0, 0, 0
    for name, case in cases.items():
        for own, wanted in zip(found[name], expected(case["answer"])):
            different.extend(differences(name, own, wanted))
        variants += len(found[name][0])
        years += len(found[name][1])
        nothing += not found[name][0]
        coded += any(code_years(name, case["answer"]))
    print(f"{engine}: {len(cases)} garments, {variants} variants, {years} years compared; {nothing} rightly unanswered, {coded} with codes")
    if not variants or not years:
        different.append(f"{engine}: nothing was compared")
    return different


def in_sqlite(folder, cases):
    """Answers from the engine that comes with Python."""
    database = sqlite3.connect(":memory:")
    for name, arguments, function in [("exp", 1, math.exp), ("ln", 1, math.log), ("power", 2, math.pow)]:
        database.create_function(name, arguments, function, deterministic=True)
    return answers(database.execute, database.executemany, folder, cases)


def in_duckdb(folder, cases):
    """Answers from DuckDB, or None where it is not installed."""
    try:
        import duckdb
    except ImportError:
        return None
    database = duckdb.connect()
    return answers(database.execute, database.executemany, folder, cases)


def main(folder):
    vectors = json.loads((folder / "vectors.json").read_text(encoding="utf-8"))["cases"]
    cases = {f"{at} {case['name']}": case for at, case in enumerate(vectors) if "patch" not in case}
    print(f"{len(vectors) - len(cases)} vectors have a patch of rules.json and are left out")
    different = []
    for engine, answer in [("SQLite", in_sqlite), ("DuckDB", in_duckdb)]:
        found = answer(folder, cases)
        if found is None:
            print(f"skipped: {engine} is not installed")
        else:
            different.extend(compare(engine, found, cases))
    for line in different[:20]:
        print(line, file=sys.stderr)
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))

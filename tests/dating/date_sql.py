"""Runs rules/date.sql over the vectors, on SQLite and on DuckDB where it is installed, and compares every probability.

Usage: date_sql.py RULES_FOLDER [ENGINE…]; the environment may name engines too, as DATABASES=SQLite,Spark. What it expects comes from vectors.json, which the engine wrote; what only
readers of rules.json can meet (vectors with a patch) is left out and counted. It fails where nothing was compared.
"""

import csv
import json
import math
import os
import sqlite3
import sys
from pathlib import Path

import databases

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


def gathered(rows, cases):
    """Answers by garment: variants and years."""
    found = {name: ({}, {}) for name in cases}
    for garment, variant, year, probability in rows:
        variants, years = found[garment]
        (variants if year is None else years)[variant if year is None else year] = probability
    return found


def written(folder, cases):
    """Writes a caller's tables as files beside those of the query, and gives the paths of all by table."""
    paths = {"dating_" + path.stem: path for path in (folder / "sql").glob("*.csv")}
    headers = {
        "garments": ["garment", *KNOWN],
        "readings": ["garment", "feature", "state", "amount"],
        "code_years": ["garment", "feature", "code_key", "first_year", "last_year"],
    }
    for table, rows in garments(cases).items():
        paths[table] = folder / (table + ".csv")
        with paths[table].open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([headers[table], *rows])
    return paths


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


def in_sqlite(folder, paths, empty):
    """Answers from the engine that comes with Python."""
    database = sqlite3.connect(":memory:")
    for name, arguments, function in [("exp", 1, math.exp), ("ln", 1, math.log), ("power", 2, math.pow)]:
        database.create_function(name, arguments, function, deterministic=True)
    for statement in databases.statements(folder / "sql" / "tables.sql"):
        database.execute(statement)
    for table, path in paths.items():
        with path.open(newline="", encoding="utf-8") as file:
            header, *rows = csv.reader(file)
        rows = [[empty if cell == "" else cell for cell in row] for row in rows]
        database.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(header))})", rows)
    (query,) = databases.statements(folder / "date.sql")
    return database.execute(query).fetchall()


ENGINES = {
    "SQLite": lambda folder, paths: in_sqlite(folder, paths, None),
    # What `.import` of its shell leaves where a cell is empty.
    "SQLite imported": lambda folder, paths: in_sqlite(folder, paths, ""),
    "DuckDB": databases.in_duckdb,
    "PostgreSQL": databases.in_postgresql,
    "DataFusion": databases.in_datafusion,
    "Spark": databases.in_spark,
}


def main(folder, engines):
    vectors = json.loads((folder / "vectors.json").read_text(encoding="utf-8"))["cases"]
    cases = {f"{at} {case['name']}": case for at, case in enumerate(vectors) if "patch" not in case}
    print(f"{len(vectors) - len(cases)} vectors have a patch of rules.json and are left out")
    paths = written(folder, cases)
    different = []
    for engine in engines:
        try:
            found = gathered(ENGINES[engine](folder, paths), cases)
        except databases.Absent as why:
            print(f"skipped: {engine} {why}")
        else:
            different.extend(compare(engine, found, cases))
    for line in different[:20]:
        print(line, file=sys.stderr)
    return 1 if different else 0


if __name__ == "__main__":
    named = os.environ.get("DATABASES", "SQLite,SQLite imported,DuckDB").split(",")
    sys.exit(main(Path(sys.argv[1]).resolve(), sys.argv[2:] or named))

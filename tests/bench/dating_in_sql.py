"""Dates N garments by rules/date.sql in one engine and holds a sample of the answers to the program's.

    dating_in_sql.py DuckDB|SQLite|Spark GARMENTS BARTACK [--root DIR] [--batch ROWS] [--sample 290]

The garments are those of the knowledge base's own records, over and over, with nothing known but what they show and, of
every second, the maker. It builds the exports, asks `bartack date --batch` once for each record, fills the tables, asks
the query for one batch after another, as the guide says (5,000 garments; Spark 50,000), and prints for the whole run:
seconds of filling and asking, peak memory of the process (of Spark also of Java) in MiB, rows of answers, and how many
sampled garments are answered as the program does, to 1e-9. Fails where one is not. Answers outside the sample are
counted and dropped. DuckDB and Spark are those that `tests/dating/date_sql.sh` installs: run it with their Python,
`target/duckdb/bin/python tests/bench/dating_in_sql.py DuckDB 100000 target/release/bartack`.
"""
import argparse
import csv
import json
import math
import pathlib
import random
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time

sys.path.append(str(pathlib.Path(__file__).parent.parent / "dating"))
import databases
import date_sql as dating

FEATURE_KINDS = ("state", "count", "measure", "number", "code", "absent", "lost")
BATCHES = {"DuckDB": 5000, "SQLite": 5000, "Spark": 50_000}
OWN = ("garments", "readings", "code_years")


def cases(options, out):
    """The records with what they show, what is asked, and what the program answers, by the number of the record."""
    with open(out / "data" / "observations.csv", newline="", encoding="utf-8") as file:
        makers = {row["observation"]: row["maker"] for row in csv.DictReader(file)}
    shown = {}
    with open(out / "data" / "features.csv", newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["kind"] in FEATURE_KINDS:
                shown.setdefault(row["observation"], {})[row["feature"]] = row["value"].removeprefix("'")
    asked = [(makers[name] if at % 2 else "", features) for at, (name, features) in enumerate(sorted(shown.items()))]
    columns = sorted({feature for _, features in asked for feature in features})
    sheet = out / "sheet.csv"
    with sheet.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["id", "maker", *columns])
        writer.writerows([at, maker, *(features.get(column, "") for column in columns)] for at, (maker, features) in enumerate(asked))
    command = [options.bartack, "--root", options.root, "date", "--batch", sheet, "--format", "json"]
    told = subprocess.run(command, stdout=subprocess.PIPE, text=True).stdout.splitlines()
    answers = {int(one["id"]): one for one in map(json.loads, told)}
    if not answers:
        raise SystemExit("the program dated no record")
    return [(*asked[at], answer) for at, answer in sorted(answers.items())]


def rows(known, numbers):
    """The rows of the three tables for garments by their numbers."""
    garments, readings, codes = [], [], []
    for number in numbers:
        maker, features, answer = known[number % len(known)]
        name = f"g{number:09}"
        garments.append([name, maker or None, None, None, None, None, None])
        readings.extend([name, feature, state, dating.number(state)] for feature, state in features.items())
        codes.extend(dating.code_years(name, answer))
    return dict(zip(OWN, (garments, readings, codes)))


class Sqlite:
    """The SQLite that Python has."""

    def __init__(self, folder):
        self.database = sqlite3.connect(folder / "dating.db")
        for name, arguments, function in [("exp", 1, math.exp), ("ln", 1, math.log), ("power", 2, math.pow)]:
            self.database.create_function(name, arguments, function, deterministic=True)
        for statement in databases.statements(folder / "rules" / "sql" / "tables.sql"):
            self.database.execute(statement)
        for path in (folder / "rules" / "sql").glob("*.csv"):
            with path.open(newline="", encoding="utf-8") as file:
                header, *lines = csv.reader(file)
            lines = [[cell or None for cell in line] for line in lines]
            self.insert("dating_" + path.stem, lines)
        (self.query,) = databases.statements(folder / "rules" / "date.sql")

    def insert(self, table, lines):
        if lines:
            self.database.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(lines[0]))})", lines)

    def answers(self, tables):
        for table, lines in tables.items():
            self.database.execute(f"DELETE FROM {table}")
            self.insert(table, lines)
        return self.database.execute(self.query)

    def close(self):
        self.database.close()


class Duckdb:
    """DuckDB, with a database in a file, so that what has no room in memory can go there."""

    def __init__(self, folder):
        self.folder = folder
        self.database = databases.module("duckdb").connect(str(folder / "dating.duckdb"))
        for statement in databases.statements(folder / "rules" / "sql" / "tables.sql"):
            self.database.execute(statement)
        for path in (folder / "rules" / "sql").glob("*.csv"):
            self.database.execute(f"COPY dating_{path.stem} FROM '{path}' (FORMAT csv, HEADER true)")
        (self.query,) = databases.statements(folder / "rules" / "date.sql")

    def answers(self, tables):
        for table, lines in tables.items():
            self.database.execute(f"DELETE FROM {table}")
            path = self.folder / f"{table}.csv"
            with path.open("w", newline="", encoding="utf-8") as file:
                csv.writer(file).writerows(lines)
            if lines:
                self.database.execute(f"COPY {table} FROM '{path}' (FORMAT csv, HEADER false)")
        return self.database.execute(self.query).fetchall()

    def close(self):
        self.database.close()


class Spark:
    """Spark, through the function that the tests use, which starts it for each batch."""

    def __init__(self, folder):
        self.folder = folder
        self.paths = {"dating_" + path.stem: path for path in (folder / "rules" / "sql").glob("*.csv")}
        self.headers = {table: [name for name, _ in kinds] for table, kinds in databases.columns(folder / "rules")}

    def answers(self, tables):
        for table, lines in tables.items():
            self.paths[table] = self.folder / f"{table}.csv"
            with self.paths[table].open("w", newline="", encoding="utf-8") as file:
                csv.writer(file).writerows([self.headers[table], *lines])
        return databases.in_spark(self.folder / "rules", self.paths)

    def close(self):
        pass


ENGINES = {"DuckDB": Duckdb, "SQLite": Sqlite, "Spark": Spark}


def measured(options, folder, known):
    """Asks for all garments; gives what the sample was answered, the seconds and the rows."""
    count = options.garments
    sample = set(random.Random(1).sample(range(count), min(count, options.sample)))
    found = {f"g{number:09}": ({}, {}) for number in sample}
    begun, total = time.perf_counter(), 0
    engine = ENGINES[options.engine](folder)
    for first in range(0, count, options.batch):
        for garment, variant, year, probability in engine.answers(rows(known, range(first, min(count, first + options.batch)))):
            total += 1
            if garment in found:
                found[garment][year is not None][variant if year is None else year] = probability
    engine.close()
    return found, time.perf_counter() - begun, total


def main(options):
    with tempfile.TemporaryDirectory() as place:
        folder = pathlib.Path(place) / "out"
        subprocess.run([options.bartack, "--root", options.root, "build", "--out", folder], check=True, stderr=subprocess.DEVNULL)
        known = cases(options, folder)
        found, seconds, total = measured(options, folder, known)
    wrong = []
    for name, own in sorted(found.items()):
        wanted = dating.expected(known[int(name[1:]) % len(known)][2])
        if lines := [line for pair in zip(own, wanted) for line in dating.differences(name, *pair)]:
            wrong.append(lines[0])
    # Spark works in Java, a process of its own; the other children are the program's and measured nowhere.
    processes = [resource.RUSAGE_SELF, *([resource.RUSAGE_CHILDREN] if options.engine == "Spark" else [])]
    memory = sum(resource.getrusage(who).ru_maxrss for who in processes) / 1024
    print(f"{options.engine}: {options.garments} garments in batches of {options.batch}: {seconds:.1f} s, {memory:.0f} MiB, {total} rows")
    print(f"{len(found) - len(wrong)} of {len(found)} sampled answers are the program's")
    for line in wrong[:20]:
        print(line, file=sys.stderr)
    return 1 if wrong or not total else 0


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("engine", choices=list(ENGINES))
    parser.add_argument("garments", type=int)
    parser.add_argument("bartack", type=lambda text: str(pathlib.Path(text).resolve()))
    parser.add_argument("--root", default=".")
    parser.add_argument("--batch", type=int)
    parser.add_argument("--sample", type=int, default=290)
    given = parser.parse_args()
    given.batch = given.batch or BATCHES[given.engine]
    sys.exit(main(given))

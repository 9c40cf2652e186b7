"""The databases besides SQLite that rules/date.sql is held to, each filled as the guide says."""

import csv
import importlib
import io
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path


class Absent(Exception):
    """An engine that this machine does not have."""


def statements(path):
    """The statements of a file, without comments."""
    lines = path.read_text(encoding="utf-8").splitlines()
    text = "\n".join(line for line in lines if not line.lstrip().startswith("--"))
    return [statement for statement in text.split(";") if statement.strip()]


def stages(folder):
    """The named queries of date.sql in order, and what it selects at last.

    Engines that put a named query wherever it is mentioned would ask some of them a thousand times: they get each as a
    table of its own.
    """
    (query,) = statements(folder / "date.sql")
    named = re.findall(r"^(\w+) AS \(\n(.*?)^\)", query, re.DOTALL | re.MULTILINE)
    return named, query[query.rindex("\n)\n") + 2 :]


def module(name):
    """A module of Python that may not be installed."""
    try:
        return importlib.import_module(name)
    except ImportError:
        raise Absent("is not installed") from None


def in_duckdb(folder, paths):
    """Answers from DuckDB."""
    database = module("duckdb").connect()
    for statement in statements(folder / "sql" / "tables.sql"):
        database.execute(statement)
    for table, path in paths.items():
        database.execute(f"COPY {table} FROM '{path}' (FORMAT csv, HEADER true)")
    (query,) = statements(folder / "date.sql")
    return database.execute(query).fetchall()


def in_postgresql(folder, paths):
    """Answers from a PostgreSQL server of its own, which listens on a socket in a folder of its own only."""
    programs = [*sorted(Path("/usr/lib/postgresql").glob("*/bin")), *map(Path, os.environ["PATH"].split(":"))]
    found = next((path for path in programs if (path / "initdb").exists()), None)
    if found is None or not shutil.which("psql"):
        raise Absent("is not installed")
    with tempfile.TemporaryDirectory() as place:
        # The server refuses to run as root.
        user = ["runuser", "-u", "postgres", "--"] if os.getuid() == 0 else []
        if user:
            shutil.chown(place, "postgres")
        quiet = {"check": True, "stdout": subprocess.DEVNULL, "cwd": place}
        subprocess.run([*user, found / "initdb", "-D", f"{place}/data", "-A", "trust", "-U", "dating"], **quiet)
        options = f"-c listen_addresses='' -k {place}"
        server = [*user, found / "pg_ctl", "-D", f"{place}/data", "-l", f"{place}/log", "-w"]
        subprocess.run([*server, "-o", options, "start"], **quiet)
        try:
            return asked_of_psql(folder, paths, place)
        finally:
            subprocess.run([*server, "-m", "immediate", "stop"], **quiet)


def asked_of_psql(folder, paths, place):
    """Fills the tables through psql and asks the query."""
    copies = [f"\\copy {table} FROM '{path}' WITH (FORMAT csv, HEADER true)" for table, path in paths.items()]
    (query,) = statements(folder / "date.sql")
    flat = " ".join(query.split())
    settings = ["ANALYZE;", "SET enable_nestloop = off;", "SET jit = off;"]
    script = [f"\\i {folder / 'sql' / 'tables.sql'}", *copies, *settings, f"\\copy ({flat}) TO STDOUT WITH (FORMAT csv)"]
    command = ["psql", "-X", "-q", "-v", "ON_ERROR_STOP=1", "-h", place, "-U", "dating", "postgres"]
    told = subprocess.run(command, input="\n".join(script), text=True, stdout=subprocess.PIPE, check=True).stdout
    return read(csv.reader(io.StringIO(told)))


def read(rows):
    """Rows of text as the other engines give them."""
    for garment, variant, year, probability in rows:
        yield garment, variant or None, int(year) if year else None, float(probability)


def in_datafusion(folder, paths):
    """Answers from Apache DataFusion."""
    datafusion = module("datafusion")
    pyarrow = module("pyarrow")
    context = datafusion.SessionContext()
    schemas = dict(columns(folder))
    words = {"VARCHAR": pyarrow.string(), "INTEGER": pyarrow.int64(), "DOUBLE": pyarrow.float64()}
    for table, path in paths.items():
        schema = pyarrow.schema([(name, words[kind]) for name, kind in schemas[table]])
        context.register_csv(table, str(path), schema=schema, has_header=True)
    named, last = stages(folder)
    for name, query in named:
        context.register_view(name, context.sql(query).cache())
    batches = context.sql(last).collect()
    return [tuple(row.values()) for batch in batches for row in batch.to_pylist()]


def in_spark(folder, paths):
    """Answers from Apache Spark, which needs Java."""
    sql = module("pyspark.sql")
    if not shutil.which("java"):
        raise Absent("needs Java")
    builder = sql.SparkSession.builder.master("local[2]").config("spark.ui.enabled", "false")
    settings = {"spark.sql.shuffle.partitions": "2", "spark.driver.memory": "3g", "spark.driver.bindAddress": "127.0.0.1"}
    for name, value in {**settings, "spark.driver.host": "127.0.0.1"}.items():
        builder = builder.config(name, value)
    session = builder.getOrCreate()
    session.sparkContext.setLogLevel("ERROR")
    try:
        for table, kinds in columns(folder):
            schema = ", ".join(f"{name} {'STRING' if kind == 'VARCHAR' else kind}" for name, kind in kinds)
            frame = session.read.csv(str(paths[table]), header=True, schema=schema, escape='"', multiLine=True)
            frame.cache().createOrReplaceTempView(table)
        named, last = stages(folder)
        for name, query in named:
            session.sql(query).localCheckpoint().createOrReplaceTempView(name)
        return [tuple(row) for row in session.sql(last).collect()]
    finally:
        session.stop()


def columns(folder):
    """The columns of each table of tables.sql, with the first word of their types."""
    for statement in statements(folder / "sql" / "tables.sql"):
        name, body = re.match(r"\s*CREATE TABLE (\w+) \((.*)\)\s*$", statement, re.DOTALL).groups()
        yield name, re.findall(r"(\w+) (VARCHAR|INTEGER|DOUBLE)", body)

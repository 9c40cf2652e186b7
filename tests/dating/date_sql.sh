#!/usr/bin/env bash
# Runs rules/date.sql over all vectors in DuckDB from PyPI, installed below target/, beside the SQLite that Python has.
# With --all, in PostgreSQL, DataFusion and Spark too, where they can be installed.
set -euo pipefail
cd "$(dirname "$0")/../.."
if ! command -v python3 >/dev/null; then
    echo "skipped: no python3, so no database for date.sql" >&2
    exit 0
fi
if ! target/duckdb/bin/python -c 'import duckdb' 2>/dev/null; then
    if ! { python3 -m venv target/duckdb && target/duckdb/bin/pip install --quiet duckdb==2.0.1; }; then
        echo "skipped: DuckDB could not be installed" >&2
        exit 0
    fi
fi
if [ "${1:-}" = --all ]; then
    if ! target/duckdb/bin/python -c 'import datafusion, pyarrow, pyspark' 2>/dev/null; then
        target/duckdb/bin/pip install --quiet datafusion==55.0.0 pyarrow==26.0.1 pyspark==4.3.0 ||
            echo "skipped: DataFusion and Spark could not be installed" >&2
    fi
    missing=()
    command -v java >/dev/null || missing+=(default-jre-headless)
    command -v psql >/dev/null || missing+=(postgresql)
    if [ ${#missing[@]} -gt 0 ] && command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
        apt-get install -y -qq "${missing[@]}" >/dev/null || echo "${missing[*]} could not be installed" >&2
    fi
    export DATABASES="SQLite,SQLite imported,DuckDB,PostgreSQL,DataFusion,Spark"
fi
DUCKDB_REQUIRED=1 cargo test --quiet --test site exports::sql::databases_answer -- --nocapture

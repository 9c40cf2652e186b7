#!/usr/bin/env bash
# Runs rules/date.sql over all vectors in DuckDB from PyPI, installed below target/, beside the SQLite that Python has.
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
DUCKDB_REQUIRED=1 cargo test --quiet --test site exports::sql::databases_answer -- --nocapture

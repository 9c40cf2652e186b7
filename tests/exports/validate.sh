#!/usr/bin/env bash
# Holds what other programs read to independent readers, installed below target/ from PyPI and npm: the data package to
# `frictionless`, its types to pandas and DuckDB, every JSON Schema to `ajv` and to `check-jsonschema`, the types of the
# reader to `tsc`. With --all, the types of the package to R too. What cannot be installed is skipped aloud.
set -euo pipefail
cd "$(dirname "$0")/../.."

# Installs packages from PyPI into an environment of its own: environment, program, packages.
installed() {
    [ -x "target/$1/bin/$2" ] && return
    command -v python3 >/dev/null && python3 -m venv "target/$1" && "target/$1/bin/pip" install --quiet "${@:3}"
}

if installed frictionless frictionless frictionless==5.21.0; then
    FRICTIONLESS_REQUIRED=1 cargo test --quiet --test site an_independent_validator
else
    echo "skipped: frictionless could not be installed" >&2
fi

if installed typed frictionless duckdb==2.0.1 pandas==3.1.1 'frictionless[pandas]==5.21.0'; then
    export TYPED_REQUIRED=1
    if [ "${1:-}" = --all ]; then
        if ! command -v Rscript >/dev/null && command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
            apt-get install -y -qq --no-install-recommends r-base-core >/dev/null || true
        fi
        if command -v Rscript >/dev/null; then export TYPED_R=1; else echo "skipped: R could not be installed" >&2; fi
    fi
    cargo test --quiet --test site exports::typed
else
    echo "skipped: pandas and DuckDB could not be installed" >&2
fi

if installed check-jsonschema check-jsonschema check-jsonschema==0.37.4; then
    target/check-jsonschema/bin/check-jsonschema --check-metaschema schema/*.schema.json
else
    echo "skipped: check-jsonschema could not be installed" >&2
fi

if modules=$(tests/scripts/tools); then
    NODE_PATH=$modules node tests/exports/schemas.cjs schema/*.schema.json
    "$modules/.bin/tsc" --noEmit --strict --module nodenext --target es2022 --types "" tests/exports/consumer.mts
else
    echo "skipped: ajv and TypeScript could not be installed" >&2
fi

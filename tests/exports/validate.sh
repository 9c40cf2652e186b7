#!/usr/bin/env bash
# Holds what other programs read to independent readers, installed below target/ from PyPI and npm: the data package to
# `frictionless`, every JSON Schema to `ajv` and to `check-jsonschema`, the types of the reader to `tsc`. What cannot be installed is skipped aloud.
set -euo pipefail
cd "$(dirname "$0")/../.."

# Installs a package from PyPI into an environment of its own: environment, package, program.
installed() {
    [ -x "target/$1/bin/$3" ] && return
    command -v python3 >/dev/null && python3 -m venv "target/$1" && "target/$1/bin/pip" install --quiet "$2"
}

if installed frictionless frictionless==5.21.0 frictionless; then
    FRICTIONLESS_REQUIRED=1 cargo test --quiet --test site an_independent_validator
else
    echo "skipped: frictionless could not be installed" >&2
fi

if installed check-jsonschema check-jsonschema==0.37.4 check-jsonschema; then
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

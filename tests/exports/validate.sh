#!/usr/bin/env bash
# Validates the built data package with the `frictionless` validator from PyPI, installed below target/.
set -euo pipefail
cd "$(dirname "$0")/../.."
if ! command -v python3 >/dev/null; then
    echo "skipped: no python3, so no frictionless validator" >&2
    exit 0
fi
if [ ! -x target/frictionless/bin/frictionless ]; then
    if ! { python3 -m venv target/frictionless && target/frictionless/bin/pip install --quiet frictionless==5.21.0; }; then
        echo "skipped: frictionless could not be installed" >&2
        exit 0
    fi
fi
FRICTIONLESS_REQUIRED=1 cargo test --quiet --test site an_independent_validator

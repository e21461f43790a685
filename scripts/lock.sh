#!/bin/sh
# Freeze requirements-dev.lock from a clean environment: newest versions the bounds of pyproject.toml allow.
# Keeps the file's comment lines, and only lines `name==version`: no registry, no local path.
set -eu
cd "$(dirname "$0")/.."

python=$(sh scripts/find_python.sh)
clean=$(mktemp -d)
trap 'rm -rf "$clean"' EXIT
"$python" -m venv "$clean"
echo "Installing the newest allowed versions into a clean environment"
"$clean/bin/python" -m pip --disable-pip-version-check install --quiet --progress-bar off ".[dev]"
{
    grep '^#' requirements-dev.lock
    "$clean/bin/python" -m pip --disable-pip-version-check freeze |
        grep -E '^[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+$'
} >"$clean/lock"
cp "$clean/lock" requirements-dev.lock
echo "Wrote requirements-dev.lock; carry the runtime versions over to requirements-bench.lock by hand."

#!/usr/bin/env bash
# Compiles both locks from pyproject.toml. Universal, so that one lock installs on Debian's 3.11.2 and newer;
# no index, link or header line, so that nothing of the compiling machine leaks into it.
# usage: lock.sh [UV ARGUMENT...]   for instance: lock.sh --upgrade-package django
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"
cd "$root"
compile() {
  "$venv/bin/uv" pip compile --quiet --universal --python-version 3.11 --generate-hashes \
    --no-emit-index-url --no-emit-find-links --no-header --strip-extras "$@"
}
compile pyproject.toml -o requirements.txt "$@"
compile -c requirements.txt pyproject.toml --group dev -o requirements-dev.txt "$@"
if grep -n '://' requirements.txt requirements-dev.txt; then
  stop "A lock names an address; locks must hold names, versions and hashes only."
fi

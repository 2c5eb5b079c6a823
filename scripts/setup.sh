#!/usr/bin/env bash
# Prepares the ground: Debian's libraries, .venv with the locked packages, and on request the database.
# usage: setup.sh runtime|dev [migrate]
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"
kind=${1:-dev}
case $kind in runtime | dev) ;; *) stop "usage: setup.sh runtime|dev [migrate]" ;; esac
cd "$root"
need_system_libraries
prepare_environment "$kind"
if [ "${2:-}" = migrate ]; then
  "$venv/bin/python" manage.py migrate --no-input --verbosity 0
  printf 'Ready: the environment is in .venv, the database is migrated.\n'
fi

#!/usr/bin/env bash
# Runs the suite as the environment says: on SQLite with the file broker unless DATABASE_URL says else.
# usage: test.sh [PYTEST ARGUMENT...]   With REQUIRE_ALL=1 whatever is absent is a failure.
set -uo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/lib.sh"
cd "$root" || exit 1
if [ $# -gt 0 ]; then
  exec "$venv/bin/python" -m pytest "$@"
fi
failed=0
"$venv/bin/python" -m pytest -q -m "not browser" -n "${TEST_WORKERS:-2}" --dist loadfile || failed=1
# Playwright leaves its event loop in the thread, after which every query of that process raises:
# so the browser has a process of its own.
if compgen -G 'tests/browser/test_*.py' >/dev/null; then
  "$venv/bin/python" -m pytest -q -m browser -n "${TEST_WORKERS:-2}" --dist loadfile tests/browser
  closed=$?
  # 5 is 'no test was run': right where the browser is absent and may be, wrong elsewhere.
  [ "$closed" = 0 ] || { [ "$closed" = 5 ] && [ -z "${REQUIRE_ALL:-}" ]; } || failed=1
fi
exit "$failed"

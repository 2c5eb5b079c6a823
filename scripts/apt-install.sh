#!/usr/bin/env bash
# Root only. Installs Debian packages without letting them start daemons on the default ports.
# usage: apt-install.sh PACKAGE...
set -euo pipefail
export DEBIAN_FRONTEND=noninteractive
policy=/usr/sbin/policy-rc.d
if [ ! -e "$policy" ]; then
  trap 'rm -f "$policy"' EXIT
  printf '#!/bin/sh\nexit 101\n' >"$policy"
  chmod 755 "$policy"
fi
# A source that cannot be reached must not stop what the others can give.
apt-get update -qq || printf 'Not every package list could be refreshed.\n' >&2
apt-get install -y -qq --no-install-recommends -o DPkg::Lock::Timeout=120 "$@" </dev/null >/dev/null

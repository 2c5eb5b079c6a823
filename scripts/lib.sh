# Sourced by the other scripts: where the tree is, what Debian must bring, and the environment in .venv.
# Needs bash, and nothing else that a plain Debian does not have.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
venv=$root/.venv
PATH=${PATH:-/usr/bin:/bin}:/usr/local/sbin:/usr/sbin:/sbin

stop() {
  printf '%s\n' "$*" >&2
  exit 1
}

# become_root COMMAND...: runs it as root: as we are, or by sudo; false where neither is possible.
become_root() {
  if [ "$(id -u)" = 0 ]; then
    "$@"
  elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
    sudo -n "$@"
  elif command -v sudo >/dev/null && [ -t 0 ] && [ -t 2 ]; then
    sudo "$@"
  else
    return 1
  fi
}

# apt_install PACKAGE...: false where there is no apt or no way to be root.
apt_install() {
  command -v apt-get >/dev/null || return 1
  become_root true || return 1
  printf 'Installing Debian packages: %s\n' "$*"
  become_root bash "$root/scripts/apt-install.sh" "$@"
}

# No pipe into grep -q: under pipefail its early exit can turn a hit into a failure.
has_library() {
  local known
  known=$(ldconfig -p 2>/dev/null || true)
  [[ $known == *"$1"* ]]
}

python_is_new_enough() {
  "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

# Debian splits these off: without ensurepip an environment comes without pip.
python_makes_environments() {
  "$1" -c 'import ensurepip, venv' >/dev/null 2>&1
}

# Prints the path of a Python that is new enough and can make environments.
look_for_python() {
  local candidate
  for candidate in "${PYTHON:-python3}" python3 python3.11 python3.12 python3.13 /usr/bin/python3; do
    command -v "$candidate" >/dev/null || continue
    python_is_new_enough "$candidate" && python_makes_environments "$candidate" || continue
    command -v "$candidate"
    return 0
  done
  return 1
}

find_python() {
  look_for_python && return 0
  apt_install python3 python3-venv >&2 || true
  look_for_python && return 0
  stop "Python 3.11 or newer with venv is needed: as root, run 'apt-get install python3 python3-venv', then try again."
}

# What WeasyPrint draws the PDFs with. Pango it cannot do without; the others make better files.
need_system_libraries() {
  local packages=()
  has_library libpango-1.0.so.0 || packages+=(libpango-1.0-0)
  has_library libpangoft2-1.0.so.0 || packages+=(libpangoft2-1.0-0)
  has_library libharfbuzz-subset.so.0 || packages+=(libharfbuzz-subset0)
  [ -e /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf ] || packages+=(fonts-dejavu-core)
  [ ${#packages[@]} = 0 ] && return 0
  apt_install "${packages[@]}" && return 0
  has_library libpangoft2-1.0.so.0 ||
    stop "PDFs need Pango: as root, run 'apt-get install ${packages[*]}', then try again."
  printf "PDFs look better with more packages: as root, run 'apt-get install %s'.\n" "${packages[*]}" >&2
}

# The lock's own text decides whether there is anything to do.
lock_digest() {
  local file=requirements.txt
  [ "$1" = dev ] && file="requirements.txt requirements-dev.txt"
  # shellcheck disable=SC2086 - two words are two files
  (cd "$root" && cat $file) | sha256sum | cut -d' ' -f1
}

stamp_is_current() {
  [ -e "$venv/.lock-$1" ] && [ "$(cat "$venv/.lock-$1")" = "$(lock_digest "$1")" ]
}

# prepare_environment runtime|dev: .venv holds what the lock says. 'dev' includes 'runtime'.
prepare_environment() {
  local kind=$1 python file
  # Two makes at once take turns.
  exec 9<"$root/pyproject.toml"
  command -v flock >/dev/null && flock 9
  if ! "$venv/bin/python" -c '' 2>/dev/null; then
    python=$(find_python)
    printf 'Making .venv with %s\n' "$("$python" --version)"
    "$python" -m venv --clear "$venv"
  fi
  if stamp_is_current dev || stamp_is_current "$kind"; then
    exec 9<&-
    return 0
  fi
  file=requirements.txt
  [ "$kind" = dev ] && file=requirements-dev.txt
  printf 'Installing %s\n' "$file"
  rm -f "$venv/.lock-runtime" "$venv/.lock-dev"
  "$venv/bin/python" -m pip install -qq --no-input --disable-pip-version-check --no-deps \
    --require-hashes -r "$root/$file" 9<&- ||
    stop "The packages of $file could not be installed; the lines above say why."
  lock_digest runtime >"$venv/.lock-runtime"
  [ "$kind" = runtime ] || lock_digest dev >"$venv/.lock-dev"
  exec 9<&-
}

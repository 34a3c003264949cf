#!/usr/bin/env bash
# Bring .venv to what the named hashed lists ask for; do nothing where it is there already.
#
#   tools/setup.sh run          what Curewright needs
#   tools/setup.sh run test     and what its tests need
#
# A stamp in .venv/stamps stands for one list as it was installed; an edited list is installed over what is there, another python3 or a
# moved folder brings a new .venv. PYTHON names another interpreter than python3.
set -euo pipefail
cd "$(dirname "$0")/.."
python=${PYTHON:-python3}
venv=.venv

stop() {
  printf 'set-up stopped: %s\n' "$@" >&2
  exit 1
}

interpreter() { # what a .venv is tied to
  "$python" -VV
  pwd
}

key() { # key FILE...: what a stamp's name is made of
  cat "$@" | sha256sum | cut -c1-16
}

check_interpreter() {
  command -v "$python" >/dev/null || stop "there is no $python here; Curewright needs Python 3.11 or newer (Debian: apt-get install python3 python3-venv)."
  "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
    stop "$("$python" -V) is too old; Curewright needs 3.11 or newer. Name another with: make PYTHON=python3.12 setup"
}

make_venv() {
  [ "$(cat $venv/stamps/interpreter 2>/dev/null)" = "$(interpreter)" ] && $venv/bin/python -c '' 2>/dev/null && return
  "$python" -c 'import venv, ensurepip' 2>/dev/null ||
    stop "$python has no venv module (Debian: apt-get install python3-venv)."
  echo "set-up: a new .venv with $("$python" -V)"
  rm -rf $venv
  "$python" -m venv $venv
  mkdir -p $venv/stamps
  interpreter >$venv/stamps/interpreter
}

install_list() { # install_list LIST
  local only_wheels=(--only-binary :all:)
  [ "$1" = monitors ] && only_wheels=(--no-build-isolation) # one of them comes as source; setuptools from run.txt builds it
  $venv/bin/python -m pip install -qq --disable-pip-version-check --require-hashes "${only_wheels[@]}" \
    -r "requirements/$1.txt" ||
    stop "pip could not install requirements/$1.txt (its own words are above)." \
      "If they speak of connections or of 'no matching distribution', the package registry cannot be reached from here:" \
      "connect, or point pip at a mirror that can be reached (PIP_INDEX_URL), and run the same command again." \
      "If they speak of hashes, the mirror serves other files than the ones that this list was made from."
}

bring_up() { # bring_up LIST: install it where its stamp is missing
  local stamp
  stamp=$venv/stamps/$1-$(key "requirements/$1.txt" $([ "$1" = run ] && echo pyproject.toml))
  [ -f "$stamp" ] && return
  echo "set-up: $(grep -c '==' "requirements/$1.txt") packages of requirements/$1.txt"
  install_list "$1"
  [ "$1" = run ] && install_curewright
  rm -f $venv/stamps/"$1"-*
  touch "$stamp"
}

install_curewright() {
  $venv/bin/python -m pip install -qq --disable-pip-version-check --no-deps --no-build-isolation --no-index -e . ||
    stop "pip could not install Curewright itself from this folder (its own words are above)."
}

warm_kernels() { # machine code is kept outside .venv, keyed by the sources; made here so that the first command need not
  [ -f src/curewright/jobs/warm.py ] || return 0
  local stamp
  stamp=$venv/stamps/warm-$(find src -name '*.py' -print0 | sort -z | xargs -0 cat | sha256sum | cut -c1-16)
  [ -f "$stamp" ] && return
  $venv/bin/python -m curewright.jobs.warm
  rm -f $venv/stamps/warm-*
  touch "$stamp"
}

if command -v flock >/dev/null; then # two set-ups at the same time would trip over each other
  exec 9>.venv.lock
  flock 9
fi
check_interpreter
make_venv
for list in pip "$@"; do
  bring_up "$list"
done
warm_kernels

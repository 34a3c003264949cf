#!/usr/bin/env bash
# Write requirements/*.txt anew from requirements/*.in: exact versions with the hashes of every wheel and source archive, so that
# one list serves CPython 3.11 to 3.13 on x86-64 and aarch64, and no address, so that any mirror of the registry serves.
#
#   tools/pin.sh             keep the versions in the lists, add what is new in the .in files
#   tools/pin.sh --upgrade   take the newest version of everything
set -euo pipefail
cd "$(dirname "$0")/.."

box=$(mktemp -d)
trap 'rm -r "$box"' EXIT
python3 -m venv "$box"
"$box/bin/python" -m pip install --quiet --disable-pip-version-check uv

header='# Made by tools/pin.sh from the .in file of the same name; do not edit.'
pin() { # pin NAME [OPTION...]: each list follows the ones before it, so that one environment can hold them all
  local name=$1
  shift
  "$box/bin/uv" pip compile --quiet --no-config --universal --python-version 3.11 --fork-strategy fewest \
    --generate-hashes --no-header --no-annotate --no-emit-index-url "$@" \
    --output-file "requirements/$name.txt" "requirements/$name.in"
  sed -i "1i $header" "requirements/$name.txt"
}
pin pip "$@"
pin run -c requirements/pip.txt "$@"
pin test -c requirements/run.txt "$@"
pin monitors -c requirements/test.txt "$@"
pin fuzz -c requirements/test.txt "$@"

if grep -nE '://| @ ' requirements/*.txt; then
  echo 'tools/pin.sh: the lines above carry an address; a list may hold names, versions and hashes only.' >&2
  exit 1
fi

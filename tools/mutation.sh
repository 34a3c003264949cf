#!/usr/bin/env bash
# Change one thing at a time in judge/ and understand/ and see whether a test notices. Prints the score and every change that no
# test noticed; `.venv/bin/mutmut show NAME` shows one as a diff. Works in mutants/, where a run that was cut off goes on.
#
#   tools/mutation.sh                                   everything
#   tools/mutation.sh 'curewright.judge.kernels.*'      some
#
# Some survivors are to be expected (a changed wording, a bound that cannot matter); none at all means that the tests failed for
# another reason, and all means that they ran something else. Both are said.
set -euo pipefail
cd "$(dirname "$0")/.."
export CUREWRIGHT_UNCOMPILED=1 # machine code would hide the change

.venv/bin/mutmut run --max-children "${WORKERS:-2}" "$@"
echo
echo 'Not noticed by any test:'
.venv/bin/mutmut results | { grep -v ': not checked' || true; }
.venv/bin/mutmut export-cicd-stats >/dev/null
.venv/bin/python - <<'EOF'
import json
from pathlib import Path

counts = json.loads(Path("mutants/mutmut-cicd-stats.json").read_text(encoding="utf-8"))
noticed = counts["killed"] + counts["timeout"]
missed = counts["survived"] + counts["suspicious"] + counts["no_tests"]
tried = noticed + missed
print("\n" + ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in counts.items() if count))
print(f"noticed {noticed} of {tried}" + (f": score {100 * noticed / tried:.1f} %" if tried else ""))
if noticed and not missed:
    print("Nothing survived: suspicious. Do the tests pass at all in mutants/ without a change?")
if missed and not noticed:
    print("Nothing was noticed: suspicious. Do the tests import the code in mutants/?")
EOF

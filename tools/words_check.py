"""Words that may not land: addresses of machines and registries, work left undone. Reads whatever git would take up.

The patterns are written so that they do not find themselves.
"""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

# (what it is, pattern, where it may not stand)
NEVER = [
    ("a path of one machine", r"(^|[^\w.])/(wor[k]|far[m]|roo[t]|hom[e])/", "."),
    (
        "a package registry's host",
        r"pyp[i][.]org|python[h]osted|registry[.]npm[j]s|deb[.]debia[n]|crates[.]i[o]\b",
        ".",
    ),
    ("a word on where the project came from", r"seed[ ]document|tran[s]cript", "."),
    ("work left undone", r"\b(TOD[O]|FIXM[E]|XX[X]|NotImplemente[d]Error)\b", "src"),
    ("an address in a hashed list", r":/[/]| @[ ]", "requirements"),
]


def tracked_files() -> list[Path]:
    """Every file that git tracks or would add."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    return [ROOT / name for name in listed.stdout.decode().split("\0") if name and (ROOT / name).is_file()]


def hits(file: Path) -> list[str]:
    """The lines of one text file that hold something of NEVER, each with where it stands."""
    data = file.read_bytes()
    if b"\0" in data[:8000]:
        return []
    name = file.relative_to(ROOT)
    found = []
    patterns = [(what, pattern) for what, pattern, where in NEVER if name.is_relative_to(where)]
    for number, line in enumerate(data.decode("utf-8", errors="replace").splitlines(), start=1):
        for what, pattern in patterns:
            if re.search(pattern, line, re.IGNORECASE):
                found.append(f"{name}:{number}: {what}: {line.strip()[:120]}")
    return found


def main() -> int:
    """Print what may not land; 1 if there is anything."""
    if not (ROOT / ".git").exists():
        print("words: this is no git clone, so there is nothing to land; not looked")
        return 0
    found = [hit for file in tracked_files() for hit in hits(file)]
    print("\n".join(found) or "words: nothing that may not land")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())

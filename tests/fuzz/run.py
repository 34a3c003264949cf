"""Throw chance bytes at the readers for a while: ``python tests/fuzz/run.py MINUTES [TARGET...]`` (``make fuzz``).

Each target runs in a process of its own, kernels uncompiled (so that a step outside of an array shows), and remembers in
``build/fuzz`` which inputs reached something new. An input that brings a reader down is kept in ``tests/fuzz/found``.
"""

import os
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WORK = ROOT / "build" / "fuzz"
WORDS = (
    "unit degC nan inf 1e400 9999 &a *a !!int { } [ ] | > iso Europe/Berlin +14:59 24:00 2031-03-04T21:40:00 0001-01-01 9999-12-31 "
    "%d.%m.%Y %H:%M:%S %p because: rate band soak within utf-16 utf-7 idna punycode rot13 zip"
)
SIGNS = (r"\xff\xfe", r"\xef\xbb\xbf", r"\x00", r"\x1a", r"\x0d\x0a", r"\"\"", ": ", "- ", "bar gauge", "at most")


def one_target(name: str, seconds: int) -> None:
    """Fuzz one target in this process; it does not return."""
    import atheris

    sys.path[:0] = [str(ROOT), str(ROOT / "src")]
    with atheris.instrument_imports(include=["curewright"]):
        from tests.fuzz.targets import TARGETS, kept, tried

    folder = WORK / name.replace(" ", "-")
    (folder / "corpus").mkdir(parents=True, exist_ok=True)
    contents = [*TARGETS[name].seeds, *(file.read_bytes() for file in kept(name))]
    for content in contents:
        (folder / "corpus" / sha256(content).hexdigest()[:16]).write_bytes(content)
    (WORK / "words").write_text("".join(f'"{word}"\n' for word in (*WORDS.split(), *SIGNS)), encoding="utf-8")
    (folder / "crashes").mkdir(exist_ok=True)
    options = ["-timeout=20", "-rss_limit_mb=1500", f"-max_total_time={seconds}", f"-dict={WORK / 'words'}"]
    options += ["-print_final_stats=1", f"-artifact_prefix={folder / 'crashes'}/", str(folder / "corpus")]

    def throw(content: bytes) -> None:
        tried(name, content)

    atheris.Setup([sys.argv[0], *options], throw)
    atheris.Fuzz()


def main() -> int:
    """Fuzz the targets that were named, or all, each for its share of the minutes; 1 if one came down."""
    if sys.argv[1] == "--one":
        one_target(sys.argv[2], int(sys.argv[3]))
        return 0
    sys.path[:0] = [str(ROOT), str(ROOT / "src")]
    from tests.fuzz.targets import FOUND, TARGETS

    names = sys.argv[2:] or list(TARGETS)
    seconds = max(10, round(60 * float(sys.argv[1]) / len(names)))
    came_down = []
    for name in names:
        WORK.mkdir(parents=True, exist_ok=True)
        log = WORK / f"{name.replace(' ', '-')}.log"
        environment = os.environ | {"CUREWRIGHT_UNCOMPILED": "1"}
        with log.open("wb") as into:
            code = subprocess.run(
                [sys.executable, __file__, "--one", name, str(seconds)], env=environment, stdout=into, stderr=into
            ).returncode
        words = log.read_text(encoding="utf-8", errors="replace")
        runs = [line.split()[-1] for line in words.splitlines() if line.startswith("stat::number_of_executed_units")]
        print(
            f"{name:18} {seconds} s, {runs[0] if runs else '?'} inputs: {'nothing' if code == 0 else 'CAME DOWN, see ' + str(log)}",
            flush=True,
        )
        if code:
            came_down.append(name)
            _keep(WORK / name.replace(" ", "-") / "crashes", FOUND / name.replace(" ", "-"))
    return 1 if came_down else 0


def _keep(crashes: Path, found: Path) -> None:
    for file in sorted(crashes.glob("*")):
        found.mkdir(parents=True, exist_ok=True)
        (found / file.name[:24]).write_bytes(file.read_bytes())
        file.unlink()


if __name__ == "__main__":
    sys.exit(main())

"""The Markdown cases: a page has cases (## headings), a case has trials, a trial ends with what is expected of it.

What a later trial of the same case does not say again stays as it was. Nothing is passed over: a block, a column or a line of
expectations that is not known here is an error.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent
BLOCKS = ("yaml", "log", "entries", "rulings", "part", "parts", "bags", "map", "run", "earlier", "second")


@dataclass(frozen=True)
class Expected:
    """One table (its rows by column) or one list of single expectations, with the line it starts on."""

    rows: tuple[dict[str, str], ...] = ()
    words: tuple[tuple[str, str], ...] = ()
    line: int = 0


@dataclass(frozen=True)
class Trial:
    """One run of a case: the blocks that hold for it, and what is expected."""

    page: str
    case: str
    number: int
    prose: str
    blocks: dict[str, str]
    expected: tuple[Expected, ...]

    @property
    def name(self) -> str:
        """How the trial is called in a list of tests."""
        return f"{self.page}: {self.case} ({self.number})"


@dataclass
class _Case:
    page: str
    heading: str
    line: int
    prose: list[str] = field(default_factory=list)
    blocks: dict[str, str] = field(default_factory=dict)
    expected: list[Expected] = field(default_factory=list)
    trials: list[Trial] = field(default_factory=list)

    def block(self, kind: str, text: str, where: str) -> None:
        if kind not in BLOCKS:
            raise ValueError(f"{where}: a block '{kind}'; known are {', '.join(BLOCKS)}")
        if self.expected:
            self.close()
        self.blocks[kind] = merged(self.blocks.get("yaml", ""), text) if kind == "yaml" else text

    def close(self) -> None:
        """Ends a trial."""
        if not self.expected:
            raise ValueError(f"{self.page}:{self.line}: '{self.heading}' ends without anything expected")
        prose = "\n".join(self.prose).strip()
        number = len(self.trials) + 1
        self.trials.append(Trial(self.page, self.heading, number, prose, dict(self.blocks), tuple(self.expected)))
        self.expected = []


def sections(text: str) -> dict[str, str]:
    """The top-level keys of a piece of YAML, each with its lines."""
    found: dict[str, str] = {}
    key = ""
    for line in text.splitlines():
        start = re.match(r'("[^"]*"|[^\s#":\[{-][^:]*):(\s|$)', line)
        if start:
            key = start[1].strip('"')
            if key in found:
                raise ValueError(f"the key '{key}' stands twice in a block")
            found[key] = line + "\n"
        elif line.strip():
            found[key] += line + "\n"
    return found


def merged(first: str, second: str) -> str:
    """Two pieces of YAML as one; a top-level key of the second replaces that of the first."""
    return "".join((sections(first) | sections(second)).values())


@cache
def head() -> str:
    """The head that a case does not state, as the README of this folder prints it."""
    text = (HERE / "README.md").read_text(encoding="utf-8")
    found = re.findall(r"^```yaml\n(specification: .*?)^```$", text, re.MULTILINE | re.DOTALL)
    (only,) = found
    return str(only)


def trials_of(path: Path) -> list[Trial]:
    """All trials of a page."""
    lines = path.read_text(encoding="utf-8").splitlines()
    cases: list[_Case] = []
    at = 0
    while at < len(lines):
        line = lines[at]
        if line.startswith("## "):
            if cases:
                cases[-1].close()
            cases.append(_Case(path.name, line[3:].strip(), at + 1))
            at += 1
        else:
            at = _take(cases, lines, at, path.name)
    if not cases:
        raise ValueError(f"{path.name} has no cases")
    cases[-1].close()
    return [trial for case in cases for trial in case.trials]


def _take(cases: list[_Case], lines: list[str], at: int, page: str) -> int:
    """Takes what begins at a line (a block, a table, a list of expectations, or prose); returns where it ends."""
    line, where = lines[at], f"{page}:{at + 1}"
    case = cases[-1] if cases else None
    if line.startswith("```"):
        end = next(i for i in range(at + 1, len(lines)) if lines[i].startswith("```"))
        if case is None:
            raise ValueError(f"{where}: a block before the first case")
        case.block(line[3:].strip(), "".join(f"{each}\n" for each in lines[at + 1 : end]), where)
        return end + 1
    if case is not None and line.startswith(("|", "- ")):
        end = next((i for i in range(at, len(lines)) if not lines[i].startswith(line[0])), len(lines))
        case.expected.append(_table(lines[at:end], at) if line[0] == "|" else _list(lines[at:end], at, where))
        return end
    if case is not None:
        if line.strip() and case.expected:
            case.close()
        case.prose.append(line)
    return at + 1


def _cells(line: str) -> list[str]:
    return [cell.strip().strip("`") for cell in line.strip().strip("|").split("|")]


def _table(lines: list[str], at: int) -> Expected:
    names = _cells(lines[0])
    if len(lines) < 3 or set(lines[1]) - set("|- :"):
        raise ValueError(f"line {at + 1}: a table has a heading, a rule and at least one row")
    rows = [dict(zip(names, _cells(line), strict=True)) for line in lines[2:]]
    return Expected(rows=tuple(rows), line=at + 1)


def _list(lines: list[str], at: int, where: str) -> Expected:
    words = []
    for line in lines:
        what, colon, said = line[2:].partition(": ")
        if not colon:
            raise ValueError(f"{where}: '{line}' is no '- what: words'; in prose begin a list with an asterisk")
        words.append((what.strip(), said.strip()))
    return Expected(words=tuple(words), line=at + 1)


def pages() -> list[Path]:
    """All pages with cases."""
    return [path for path in sorted(HERE.glob("*.md")) if path.name != "README.md"]

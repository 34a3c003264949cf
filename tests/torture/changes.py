"""One byte of an export is changed, put in or taken out: it is refused, or read with nothing silently different.

*Silently different* is any of these, when the changed export is read without being refused:

1. a sample of a line without changed bytes has another instant or value, was bad and is not any more, or is there no more;
   a row may be left out, or a sample be bad, where that is counted (a cut-off last row, two values for one instant);
2. a line without changed bytes has a sample that was not there before;
3. in the line with the changed byte, a cell without changed bytes has another value, unless the byte lies in a cell that
   says what the others mean (time, tag, quality), or the row is set aside and counted;
4. for a workbook, whose cells are packed: anything at all is different.

A start from which elapsed times count, and which stands once above the rows, is such a cell for all of them.
A changed digit gives another number in its own cell: no reader can see that; the export's SHA-256 shows it. Cells of fixed width are
told by where they stand: all those to the right of a byte that was put in or taken out count as changed.

``python -m tests.torture.changes 100000`` (``make fuzz-bytes``) prints what is found and ends with 1 if there is anything.
"""

import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from curewright.read.layout import WORKBOOK
from curewright.terms.errors import CurewrightError
from tests.torture.case import Case, refused
from tests.torture.exports import CASES
from tests.torture.proposed import layout_of
from tests.torture.reading import Reading, read

GONE = "no sample"
LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Subject:
    """An export that is read as it should be, and how to read others of its kind."""

    name: str
    content: bytes
    read: Callable[[bytes], Reading]
    encoding: str  # '' for a workbook
    separator: str
    keys: frozenset[str]  # headings of time, tag, quality: what says what the other cells mean
    headings: dict[str, str]  # of each channel; empty where a tag says whose value it is
    widths: tuple[int, ...] = ()

    start: str = ""  # what stands before a start that all times count from
    places: dict[str, int] = field(default_factory=dict)  # of headings, where no single line of the export has them

    def is_header(self, cells: dict[str, int]) -> bool:
        """Whether the cells of a line are the headings of a header, of which a restart may have left some out."""
        return self.keys <= cells.keys() and not cells.keys().isdisjoint(self.headings.values())


def subjects() -> list[Subject]:
    """Every export that is to be read, each with the layout that was proposed and confirmed for it; the first file of several."""
    return [subject(CASES[name]()) for name in CASES if name not in refused()]


def subject(case: Case) -> Subject:
    """An export with its layout, and which of its cells say what the others mean."""
    layout = layout_of(case)
    file, content = case.files[0]

    def again(changed: bytes) -> Reading:
        return read(changed, file, layout)

    if layout.encoding == WORKBOOK:
        return Subject(case.name, content, again, "", "", frozenset(), {})
    keys = [*layout.time_columns, layout.tag, *(column.quality for column in layout.columns)]
    headings = {} if layout.long else {column.channel: column.heading for column in layout.columns}
    named = frozenset(key for key in keys if key)
    places = {name: n for n, name in enumerate(layout.header.names)} if layout.header else {}
    widths, start = layout.widths, layout.time.after
    return Subject(case.name, content, again, layout.encoding, layout.separator, named, headings, widths, start, places)


def changed(content: bytes, generator: np.random.Generator) -> tuple[str, bytes]:
    """One byte changed, put in or taken out; and what was done in words."""
    at, byte = int(generator.integers(0, len(content))), int(generator.integers(0, 256))
    if generator.integers(0, 3) == 0:  # what does most harm
        byte = int(generator.choice(list(b'0123456789.,;-+eE"\t \r\n\x00|/:')))
    what = int(generator.integers(0, 3))
    if what == 0:
        return f"byte {at}: {content[at]:#04x} to {byte:#04x}", content[:at] + bytes([byte]) + content[at + 1 :]
    if what == 1:
        return f"byte {at}: {byte:#04x} put in", content[:at] + bytes([byte]) + content[at:]
    return f"byte {at}: {content[at]:#04x} taken out", content[:at] + content[at + 1 :]


def differences(subject: Subject, before: Reading, content: bytes) -> Iterator[str]:
    """What is silently different when this content is read; raises :class:`CurewrightError` where it is refused."""
    after = subject.read(content)
    if not subject.encoding:
        if before.samples != after.samples:
            yield "the workbook is read with other samples"
        return
    old, new = (LINE_END.split(one.decode(subject.encoding, "replace")) for one in (subject.content, content))
    same_first = _common(old, new)
    same_last = min(_common(old[::-1], new[::-1]), min(len(old), len(new)) - same_first)
    touched_old = set(range(same_first + 1, len(old) - same_last + 1))
    touched_new = set(range(same_first + 1, len(new) - same_last + 1))
    if subject.start and any(subject.start in old[line - 1] for line in touched_old):
        return
    counted = before.account != after.account
    yield from _untouched(before, after, touched_old, touched_new, counted)
    if len(touched_old) == len(touched_new) == 1 and not counted:
        (line,) = touched_old
        yield from _in_the_line(subject, before, after, line, old, new)


def _common(one: list[str], other: list[str]) -> int:
    return next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _untouched(before: Reading, after: Reading, old: set[int], new: set[int], counted: bool) -> Iterator[str]:
    for key, (value, line) in before.samples.items():
        if line not in old:
            now = after.samples.get(key, (GONE, 0))[0]
            if now != value and not (counted and (value is None or now in (None, GONE))):
                yield f"line {line} was not touched: {key} was {value}, is {now}"
    for key, (value, line) in after.samples.items():
        if line not in new and key not in before.samples:
            yield f"line {line} was not touched: {key} is new, {value}"


def _in_the_line(
    subject: Subject, before: Reading, after: Reading, line: int, old: list[str], new: list[str]
) -> Iterator[str]:
    was, now = (_cells(text[line - 1], subject) for text in (old, new))
    above = (_heads(old[n], subject) for n in range(line - 1, -1, -1))
    over = next((heads for heads in above if subject.is_header(heads)), subject.places)
    touched = {i for i, (a, b) in enumerate(zip(was, now, strict=False)) if a != b}
    if len(was) != len(now):  # a separator more or less: then nothing may move
        touched = set()
    elif subject.widths and len(old) != len(new):
        touched = set(range(min(touched, default=0), len(was)))
    if touched & {over[key] for key in subject.keys if key in over} or not subject.headings:
        return
    for key, (value, at) in before.samples.items():
        if at == line and over.get(subject.headings[key[0]]) not in touched:
            found = after.samples.get(key, (GONE, 0))[0]
            if found != value:
                yield f"line {line}, cell not touched: {key} was {value}, is {found}"


def _heads(line: str, subject: Subject) -> dict[str, int]:
    """The cells of a line as if it were a header: where each heading stands."""
    return {cell.strip('\ufeff\u00a0 "\t'): n for n, cell in enumerate(_cells(line, subject))}


def _cells(line: str, subject: Subject) -> list[str]:
    if subject.separator == " ":
        return line.split()
    if subject.widths:
        ends = [sum(subject.widths[: i + 1]) for i in range(len(subject.widths) - 1)]
        return [line[start:end] for start, end in zip([0, *ends], [*ends, None], strict=True)]
    quoted, cells = False, [""]
    for sign in line.replace('""', "\0"):  # a doubled quote is a quote
        if sign == '"' and (quoted or not cells[-1].strip()):
            quoted = not quoted
        if sign == subject.separator and not quoted:
            cells.append("")
        else:
            cells[-1] += sign
    return cells


def tried(subject: Subject, count: int, seed: int) -> tuple[Counter[str], list[str]]:
    """``count`` changes of one export: how many were refused and read, and every silent difference in words."""
    generator = np.random.default_rng([seed, len(subject.content)])
    before, outcomes, found = subject.read(subject.content), Counter[str](), []
    for _ in range(count):
        what, content = changed(subject.content, generator)
        try:
            wrong = list(differences(subject, before, content))
        except CurewrightError:
            outcomes["refused"] += 1
            continue
        outcomes["read"] += 1
        found += [f"{subject.name}, {what}: {one}" for one in wrong[:1]]
    return outcomes, found


def main(count: int, seed: int) -> int:
    """Change bytes in every export in turn and print what came of it."""
    made = subjects()
    total, silent = Counter[str](), []
    for subject in made:
        outcomes, found = tried(subject, -(-count // len(made)), seed)
        total += outcomes
        silent += found
        print(
            f"{subject.name:45} {outcomes['refused']:6} refused {outcomes['read']:6} read {len(found):4} silently different",
            flush=True,
        )
    print("\n".join(silent[:200]))
    print(
        f"{sum(total.values())} changes: {total['refused']} refused, {total['read']} read, {len(silent)} silently different"
    )
    return 1 if silent else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000, int(sys.argv[2]) if len(sys.argv) > 2 else 1))

"""A layout proposed from an export. What its bytes show is written with the lines that show it; the rest is left as a question.

Units that the header does not state, the reference of a pressure, the time zone, the order of day and month and the decimal sign where
the file does not tell them are never guessed: a proposal holds ``"?"`` there, and a layout with such a mark is refused. Nobody has
confirmed a proposal: a person writes the name behind ``confirmed by`` after looking at each line.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.cells import cells_of
from curewright.read.header import Header, header_at, normal
from curewright.read.header_units import is_unit
from curewright.read.instants import readable_times
from curewright.read.layout import CONTINUOUS, IN_QUOTES, NONE, WORKBOOK, Layout
from curewright.read.lines import Source
from curewright.read.plain import CELL, decoded, plain
from curewright.read.proposing.clocks import dotted, formats_of
from curewright.read.proposing.columns import Seen, seen_of, trial, with_quality
from curewright.read.proposing.encodings import Found, encoding_of
from curewright.read.proposing.shape import CLOCK_WORDS, Body, Head, body_of, decimal_sign, head_of, unit_text
from curewright.read.proposing.text import CODES, NOT_READ, RECORDER, Draft, Question, layout_text
from curewright.read.table import table
from curewright.read.times import is_dated
from curewright.read.workbook import filled_sheets, workbook
from curewright.terms.errors import CurewrightError, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from curewright.read.forms import Filled
    from curewright.read.table import Table

NAMES_OF_SIGNS = {"point": ".", "comma": ",", IN_QUOTES: ","}
THOUSANDS = {".": "point", ",": "comma", " ": "blank", "'": "apostrophe"}
MOST_WORDS_OF_A_TAG = 2000
MOST_SPOILT = 50  # rows with too few cells that are proposed to be left out one by one; of more of them it is asked
NO_TABLE = 2000  # so many, or half of all rows, are no spoilt rows but another table


@dataclass(frozen=True)
class Proposal:
    """A layout as far as an export shows it. ``questions``: what a person has to answer, by key."""

    file: str
    draft: Draft
    kept: Layout | None = None

    @property
    def questions(self) -> tuple[Question, ...]:
        """What cannot be known from the export."""
        return tuple(question for question in self.draft.questions if not self._kept_answer(question.key))

    def yaml(self, answers: Mapping[str, str] | None = None, confirmed_by: str = "") -> str:
        """The layout file, with the lines of the export beside each of its own; ``answers`` by the keys of the questions."""
        given = dict(answers or {})
        known = {question.key for question in self.draft.questions}
        wrong = sorted(given.keys() - known)
        if wrong:
            raise FileError(
                f"'{wrong[0]}' is no question of this proposal", expected=", ".join(sorted(known)) or "no answer"
            )
        kept = {key: answer for key in known if (answer := self._kept_answer(key))}
        return layout_text(self.draft, kept | given, confirmed_by, self.kept)

    def _kept_answer(self, key: str) -> str:
        """What an earlier layout says, where it still holds."""
        return kept_answer(self.kept, self.draft, key) if self.kept else ""


def propose(
    content: bytes, file: str, kept: Layout | None = None, answers: Mapping[str, str] | None = None
) -> Proposal:
    """A layout for the bytes of an export. Raises :class:`FileError` where nothing in it looks like a recorder's table.

    ``kept``: an earlier layout; what it says is kept for columns that have the same heading and unit. ``answers``: to questions
    whose answers change what else is found (``decimal sign``).
    """
    encoding = encoding_of(content, file)
    sheet = ""
    if encoding.value == WORKBOOK:
        sheet, text = _sheet(content, file, kept.sheet if kept else "")
    else:
        text = decoded(content, encoding.value, file)
    body = body_of(text.rstrip("\0"), file, NAMES_OF_SIGNS.get((answers or {}).get("decimal sign", ""), ""))
    head = head_of(body)
    header = header_at(body.lines, head.before, head.rows, body.sign, file)
    _refuse_other_cells(body, head, header, file)
    columns = [n for n in range(body.width) if n not in body.time_columns]
    sign, signs, thousands = decimal_sign(body, columns)
    spoilt = _spoilt(body, header)
    draft = Draft(
        file=file,
        sheet=sheet,
        sha256=sha256(content).hexdigest(),
        encoding=encoding,
        separator=body.separator,
        sign=sign,
        signs=signs,
        thousands=THOUSANDS.get(thousands, ""),
        head=head,
        header=header,
        time_columns=tuple(header.names[n] for n in body.time_columns if n < len(header.names)),
        clock=body.clock,
        start=_start(body, head) if _counts(body) else None,
        left_out=(*_left_out(body, head, header), *spoilt[:MOST_SPOILT]),
        more_spoilt=spoilt[MOST_SPOILT:],
        first_row=body.first,
        last_row=body.rows[-1],
        asks_start=_counts(body),
        widths=body.widths,
    )
    written = (answers or {}).get("decimal sign", sign.value)
    layout = _trial_layout(draft, NAMES_OF_SIGNS.get(written, "."), thousands)
    made = _trial_table(content, file, layout)
    draft = _with_columns(draft, made, layout)
    return Proposal(file, draft, kept)


def _sheet(content: bytes, file: str, wanted: str) -> tuple[str, str]:
    """Name and text of the sheet that holds the recording: the one that is wanted, or the only one with rows that have a time.

    The name is '' where the workbook has one sheet with cells only.
    """
    filled = filled_sheets(content, file)
    if len(filled) == 1:
        return "", workbook(content, file, filled[0]).text.decode()
    found = []
    for name in filled if wanted not in filled else (wanted,):
        text = workbook(content, file, name).text.decode()
        try:
            body_of(text, file)
        except FileError:
            continue
        found.append((name, text))
    if len(found) != 1:
        raise FileError(
            f"the workbook has {len(found)} sheets with rows that have a time",
            expected="one",
            where=Place(file),
            remedy="save the sheet of the recording as a workbook of its own, or write the layout by hand",
        )
    return found[0]


def _refuse_other_cells(body: Body, head: Head, header: Header, file: str) -> None:
    """Raises :class:`FileError` where the rows have other cells than the header: filled ones behind its last, or another number."""
    over = [cell for cell, _ in cells_of(body.lines[body.first - 1], body.sign)] if body.first and not head.rows else []
    if len(over) > 1 and CLOCK_WORDS.search(over[0]):
        found = f"the rows have {body.width} cells, and line {body.first}, which looks like their header, {len(over)}"
    else:
        width = len(header.names)
        wide = (i for i in body.rows[:50] if any(cell for cell, _ in cells_of(body.lines[i], body.sign)[width:]))
        if (i := next(wide, None)) is None:
            return
        found = f"line {i + 1} has {len(cells_of(body.lines[i], body.sign))} cells and the header {width}"
    raise FileError(
        found,
        where=Place(file, body.first),
        remedy="where the decimal sign stands between cells, too, nobody can tell them apart: have the recorder write ';' or points",
    )


def _counts(body: Body) -> bool:
    """Whether the times count from a start that has to be stated."""
    return any(form.startswith("elapsed") or not is_dated(form) for form in body.clock.formats)


def _trial_layout(draft: Draft, sign: str, thousands: str) -> Layout:
    form = draft.clock.formats[0]
    quoted = CELL if draft.separator.value in ("blanks", "cells") else draft.separator_sign
    layout = Layout(
        name="trial",
        recorder="",
        encoding=draft.encoding.value,
        separator=" " if draft.separator.value == "blanks" else quoted,
        decimal_sign=sign,
        preamble=draft.head.before,
        header_rows=draft.head.rows,
        time_columns=draft.time_columns,
        time_format=form,
        zone=None,
        columns=(),
        left_out=(*draft.left_out_texts, *(text for text, _ in draft.more_spoilt)),
        thousands=thousands,
        newest_first=draft.clock.newest_first,
        widths=draft.widths,
        sheet=draft.sheet,
    )
    others = tuple(name for name in draft.header.names if name not in draft.time_columns)
    return replace(layout, columns=trial(layout, others))


def _trial_table(content: bytes, file: str, layout: Layout) -> Table:
    if layout.encoding == WORKBOOK:
        text = workbook(content, file, layout.sheet, layout.decimal_sign)
    else:
        text = plain(content, layout.encoding, layout.separator, file, layout.widths)
    names = [column.heading for column in layout.columns]
    try:
        return table(Source(text, file, layout, tuple(names), readable_times(layout)))
    except CurewrightError as error:
        raise FileError(
            f"the rows are not alike: {error.found}",
            where=error.where or Place(file),
            remedy=error.remedy or "write the layout by hand (docs/formats/layout.md)",
        ) from None


def _with_columns(draft: Draft, made: Table, layout: Layout) -> Draft:
    """The draft with what its columns hold, or its tags where one value stands in a row."""
    names = [name for name in draft.header.names if name not in draft.time_columns]
    seen = []
    for name in names:
        at = draft.header.names.index(name)
        below = draft.header.unit_of(name) if draft.header.units else ""
        seen.append(seen_of(made, name, name, f"column {at + 1}", layout, unit_text(name, below.strip())))
    seen = [one for one in seen if not (one.empty and one.name.startswith("column "))]
    long = _long(draft, made, layout, seen)
    if long is not None:
        return long
    return replace(draft, columns=tuple(with_quality(seen)))


def _long(draft: Draft, made: Table, layout: Layout, seen: list[Seen]) -> Draft | None:
    """The draft of a long export, where one column names the channel and another holds its value; None for a wide one."""
    texts = [one for one in seen if one.texts and not one.numbers]
    values = [one for one in seen if one.numbers]
    if len(values) != 1 or not texts or len(seen) > 5:
        return None
    times = made.words(draft.time_columns[-1])[1]
    for one in texts:
        words, which = made.words(one.name)
        again = len(np.unique(np.stack([times, which]), axis=1)[0]) > len(np.unique(times))
        named = normal(one.name).lower() in (
            "tag",
            "channel",
            "name",
            "sensor",
            "point",
            "tagname",
            "tag name",
            "signal",
            "variable",
            "kanal",
        )
        if len(words) < 2 or not (again or named) or len(words) > MOST_WORDS_OF_A_TAG:
            continue
        others = [other for other in texts if other is not one]
        return _long_draft(draft, made, layout, one.name, values[0].name, others)
    return None


def _long_draft(draft: Draft, made: Table, layout: Layout, tag: str, value: str, others: list[Seen]) -> Draft:
    words, which = made.words(tag)
    unit_column = next(
        (one for one in others if one.words and all(is_unit(word) for word in one.words)),
        None,
    )
    quality = next((one for one in others if one is not unit_column and one.words), None)
    tags = []
    for i, word in enumerate(words):
        rows = np.flatnonzero(which == i)
        text = made.texts(unit_column.name, rows[:1])[0] if unit_column else unit_text(word, "")
        where = f"{len(rows)} rows from line {int(made.row[rows[0]])} on"
        found = seen_of(made, value, word, where, layout, text, rows)
        if quality is not None and found.numbers:
            found = replace(found, quality=quality.name, words=quality.words)
        tags.append(found)
    left = tuple(one.name for one in others if one is not quality and one is not unit_column)
    unit_name = unit_column.name if unit_column else ""
    return replace(draft, columns=tuple(tags), tag=tag, value=value, unit_column=unit_name, not_read=left)


def _start(body: Body, head: Head) -> tuple[str, str, str] | None:
    """(text before it, its format, the line) of the one date with a time that stands before the header; None where there is not one."""
    found = []
    for i, line in enumerate(body.lines[: head.before]):
        bare = line.replace(body.sign, " ")
        words = bare.split(" ")
        for start in range(len(words)):
            for end in range(min(len(words), start + 4), start, -1):
                formats = formats_of(" ".join(words[start:end]).strip(" :="))
                before = " ".join(words[:start]).strip()
                if formats and before:
                    at = line.find(before.split(" ")[-1])
                    found.append((line[: at + len(before.split(" ")[-1])].strip(), formats, i))
                    break
            else:
                continue
            break
    if len(found) != 1:
        return None
    before, formats, i = found[0]
    form = formats[0] if len(formats) == 1 else dotted(formats)
    if not form:
        return None
    return before, form, f"line {i + 1}: '{body.lines[i].replace(CELL, ' ').strip()}'"


def _left_out(body: Body, head: Head, header: Header) -> tuple[tuple[str, Found], ...]:
    """Texts that begin lines among or behind the rows that are no rows, with where they stand."""
    rows = set(body.rows)
    returned = [normal(cell) for cell in header.names]
    skip: set[int] = set()
    found: dict[str, Found] = {}
    for i in range(body.first, len(body.lines)):
        line = body.lines[i]
        if i in rows or i in skip or not line.strip("\0 \t" + body.sign):
            continue
        cells = [normal(cell) for cell in line.split(body.sign)]
        if cells[0] == returned[0] or line == body.lines[head.before]:
            skip |= set(range(i, i + len(head.rows)))
            continue
        if head.before and line == body.lines[0]:
            skip |= set(range(i, i + head.before))
            continue
        begins = _beginning(line, body.sign)
        if begins:
            found.setdefault(begins, Found(begins, f"line {i + 1}: '{line.replace(CELL, ' ').strip()[:60]}'"))
    return tuple(found.items())


def _spoilt(body: Body, header: Header) -> tuple[tuple[str, Found], ...]:
    """Rows with too few cells among the others, each by all that stands in it; none where most are so, or for one that is no other's."""
    width = len(header.names)
    if body.sign == CELL or width < 2:
        return ()
    digits = [i for i in range(body.first, body.rows[-1]) if body.lines[i].lstrip('" ')[:1].isdigit()]
    short = [i for i in digits if len(cells_of(body.lines[i], body.sign)) < width]
    if len(short) > min(NO_TABLE, len(digits) // 2):
        return ()
    ordered = sorted(body.lines) if short else []
    found = []
    for i in short:
        line = body.lines[i].rstrip()
        at = bisect_left(ordered, line)  # all lines that begin with it stand together from here on
        if not any(each.startswith(line) for each in ordered[at + 1 : at + 2]):
            cells = len(cells_of(line, body.sign))
            why = f"line {i + 1} is spoilt: {cells} cells instead of {width}; without this the export is refused"
            found.append((line, Found(line, why)))
    return tuple(found)


def _beginning(line: str, sign: str) -> str:
    """The words with which a line begins, as long as there are letters and no digits; '' for a line that begins otherwise."""
    first = line.split(sign)[0].strip().strip('"')
    kept = first
    for n, letter in enumerate(first):
        if letter.isdigit():
            kept = first[:n].rstrip()
            break
    return kept if any(letter.isalpha() or letter in "#*=-" for letter in kept) and kept not in ("-", "") else ""


def kept_answer(kept: Layout, draft: Draft, key: str) -> str:
    """The answer to a question that an earlier layout gives, where it still holds; '' where it does not."""
    written = kept.answers
    if written is None:
        return ""
    what, _, name = key.partition(" of ")
    if key == RECORDER:
        return kept.recorder or (NONE if written["recorder"] else "")
    if key == CODES:
        return _kept_codes(kept, written)
    if key == "time zone":
        return str(written["time"]["zone"].text)
    if key == "time format":
        form = str(written["time"]["format"].text)
        return form if form in draft.clock.formats else ""
    if key == "decimal sign":
        return "comma" if kept.decimal_sign == "," else "point"
    if what in ("unit", "kind") and name in kept.not_read:
        return NOT_READ if what == "unit" else CONTINUOUS
    column = next((column for column in kept.columns if normal(column.heading) == normal(name)), None)
    seen = next((one for one in draft.columns if one.name == name), None)
    if column is None or seen is None or not _same_unit_text(kept, seen):
        return ""
    if what == "unit":
        return column.unit.name if column.unit else ""
    if what == "kind":
        return column.kind
    if what == "quality" and column.quality:
        return ", ".join(column.good)
    return ""


def _kept_codes(kept: Layout, written: Filled) -> str:
    """The codes of an earlier layout, ``none`` where it says that there are none; '' where it does not speak of them."""
    codes = tuple(dict.fromkeys(code for column in kept.columns for code in column.open_codes))
    return ", ".join(codes) or ("" if written["open codes"] is None else NONE)


def _same_unit_text(kept: Layout, seen: Seen) -> bool:
    """Whether the header says the same of a column's unit as it did for the earlier layout."""
    if kept.header is None or not kept.header.units or seen.name not in kept.header.names:
        return True
    was = normal(kept.header.unit_of(seen.name))
    return was == normal(seen.unit_text) or was == ""

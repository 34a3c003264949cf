"""The words of a proposed layout: the YAML file, with the lines of the export beside each line, and the questions."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from curewright.read.layout import CONTINUOUS, FROM_THE_FILE_NAME, LOST, NONE, OPEN, SEPARATORS, STATE
from curewright.read.proposing.columns import Seen, kind_of
from curewright.read.times import EPOCHS, is_dated
from curewright.text.quantities import duration_text
from curewright.text.yaml import NO_YAML, in_quotes

if TYPE_CHECKING:
    from collections.abc import Mapping

    from curewright.read.forms import Filled
    from curewright.read.header import Header
    from curewright.read.layout import Layout
    from curewright.read.proposing.clocks import Clock
    from curewright.read.proposing.encodings import Found
    from curewright.read.proposing.shape import Head

NOT_READ = "not read"
RECORDER, CODES = "recorder", "open codes"
WIDTH = 118
MOST_APART = 6  # numbers told in one question
NOBODY_KNOWS = "'none' where nobody knows: its accuracy and calibration then count as not known"
GENERIC = re.compile(
    r"value|values|reading|data|wert|messwert|valeur|valor|valore", re.I
)  # names of a column, not of a channel
HEADING = (
    "# Proposed by Curewright from {file}.",
    "# Behind each '#' stands what it was read from, or what is asked. Look at every line beside the export, answer what is '?', correct",
    "# what is wrong, then write your name behind 'confirmed by'. Nothing is judged by it before.",
)
LINES_ASKED = 20  # line numbers of more spoilt rows that are told


@dataclass(frozen=True)
class Question:
    """Something that an export does not show; ``choices``: what it may be, where that is known."""

    key: str
    asks: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Draft:
    """All that was found in an export."""

    file: str
    sha256: str
    encoding: Found
    separator: Found
    sign: Found
    signs: tuple[str, ...]
    thousands: str
    head: Head
    header: Header
    time_columns: tuple[str, ...]
    clock: Clock
    start: tuple[str, str, str] | None
    left_out: tuple[tuple[str, Found], ...]
    first_row: int
    last_row: int
    asks_start: bool
    columns: tuple[Seen, ...] = ()
    tag: str = ""
    value: str = ""
    unit_column: str = ""
    sheet: str = ""
    not_read: tuple[str, ...] = ()
    widths: tuple[int, ...] = ()
    more_spoilt: tuple[
        tuple[str, Found], ...
    ] = ()  # rows with too few cells, beyond those that are proposed to be left out

    @property
    def separator_sign(self) -> str:
        """The sign between cells."""
        return SEPARATORS[self.separator.value]

    @property
    def left_out_texts(self) -> tuple[str, ...]:
        """What lines begin with that are no rows."""
        return tuple(text for text, _ in self.left_out)

    @property
    def more_spoilt_rows(self) -> str:
        """What is asked of the rows with too few cells that are not proposed to be left out."""
        lines = ", ".join(
            found.why.split(" is spoilt")[0].removeprefix("line ") for _, found in self.more_spoilt[:LINES_ASKED]
        )
        more = ", …" if len(self.more_spoilt) > LINES_ASKED else ""
        return (
            f"{len(self.more_spoilt)} more rows have too few cells (lines {lines}{more}): what happened to this export? Name each of them "
            "under 'lines left out' too, or export it anew; as it is, it is refused"
        )

    @property
    def questions(self) -> tuple[Question, ...]:
        """What cannot be known from the export, in the order of the layout."""
        asked = [Question(RECORDER, f"which recorder of the vessel file wrote this? {NOBODY_KNOWS}")]
        if self.sign.value == OPEN:
            asked.append(Question("decimal sign", f"which sign is the decimal sign? {self.sign.why}", self.signs))
        if len(self.clock.formats) > 1:
            asked.append(Question("time format", f"how are the times written? {self.clock.why}", self.clock.formats))
        if not self.clock.offset and self.clock.formats[0] not in EPOCHS:
            asked.append(
                Question("time zone", "which time zone was the recorder's clock set to? The export does not say")
            )
        if self.asks_start and self.start is None:
            asked.append(Question("time start", "when did the recording start? The export does not say"))
        if self.more_spoilt:
            asked.append(Question("more spoilt rows", self.more_spoilt_rows))
        asked += _question_of_codes(self.columns)
        for seen in self.columns:
            asked += _questions_of(seen)
        return tuple(asked)


def _question_of_codes(columns: tuple[Seen, ...]) -> list[Question]:
    """What stands for no value: asked where the export shows no code, or numbers far from all others that may be one."""
    measured = [seen for seen in columns if seen.numbers]
    apart = [
        f"{number} ('{seen.name}', {count} cell{'s' * (count > 1)}, first on line {line})"
        for seen in measured
        for number, count, line in seen.apart
    ]
    if not measured or (not apart and any(seen.codes for seen in columns if not seen.state)):
        return []
    far = (
        f"Far from all others: {', '.join(apart[:MOST_APART])}{' …' if len(apart) > MOST_APART else ''}. "
        if apart
        else ""
    )
    asks = "what does the recorder write where a sensor is open or has failed, such as 9999 or OPEN? "
    return [Question(CODES, f'{asks}{far}Its manual says it: a list such as ["9999", OPEN], or none')]


def _questions_of(seen: Seen) -> list[Question]:
    if seen.empty:
        return []
    asked = []
    if not seen.state and not seen.unit:
        asks = f"which unit does '{seen.name}' ({seen.where}) have? {_stated(seen)}; a pressure with its reference"
        asked.append(Question(f"unit of {seen.name}", asks, (*seen.choices, NOT_READ)))
    if kind_of(seen) == OPEN:
        asks = f"does '{seen.name}' hold until the next sample (state), or run on between samples? {_why_a_state(seen)}"
        asked.append(Question(f"kind of {seen.name}", asks, (CONTINUOUS, STATE)))
    if seen.quality:
        words = ", ".join(f"'{word}'" for word in seen.words)
        asks = (
            f"which texts of '{seen.quality}' mean that '{seen.name}' is good? There are: {words}. "
            "Where it speaks of the whole row, write 'quality' into each group"
        )
        asked.append(Question(f"quality of {seen.name}", asks, seen.words))
    return asked


def quoted(text: str) -> str:
    """A text as a plain or quoted scalar of YAML."""
    plain = re.fullmatch(r"[A-Za-z_°][A-Za-z0-9_°./()-]*( [A-Za-z0-9_°./()-]+)*", text)
    return text if plain and not text.endswith(":") else in_quotes(text)


def listed(texts: tuple[str, ...], indent: int = 6) -> str:
    """Texts as a flow list of YAML, over several lines where it is long."""
    lines, length = [""], indent
    for n, text in enumerate(texts):
        item = quoted(text) + (", " if n < len(texts) - 1 else "")
        if length + len(item) > WIDTH - 30 and lines[-1]:
            lines[-1] = lines[-1].rstrip()
            lines.append(" " * indent)
            length = indent
        lines[-1] += item
        length += len(item)
    return "[" + "\n".join(lines) + "]"


def layout_text(draft: Draft, answers: Mapping[str, str], confirmed_by: str, kept: Layout | None) -> str:
    """The layout file. Questions without an answer stand as ``"?"``, with what is asked behind them."""
    name = quoted(
        kept.name if kept else re.sub(r"\.[^.]*$", "", draft.file.replace("\\", "/").rpartition("/")[2]) or "layout"
    )
    lines = [line.format(file=draft.file) for line in HEADING]
    lines += _said(f"layout: {name}", "")
    if kept and kept.recorder:
        lines += _said(f"recorder: {quoted(kept.recorder)}", f"as in {kept.file}")
    else:
        recorder, why = _answer(RECORDER, draft, answers)
        lines += _said(f"recorder: {quoted(recorder)}", why)
    lines += _said(f"encoding: {draft.encoding.value}", draft.encoding.why)
    if draft.sheet:
        lines += _said(f"sheet: {quoted(draft.sheet)}", "the only sheet with rows that have a time")
    lines += _said(f"separator: {draft.separator.value}", draft.separator.why)
    if draft.widths:
        lines += _said(f"widths: {list(draft.widths)}", "how many characters belong to each column")
    lines += _asked("decimal sign", draft, answers, draft.sign)
    if draft.thousands:
        lines += _said(f"thousands separator: {draft.thousands}", "")
    if draft.tag:
        lines += _said("shape: long", "one value in each row")
        lines += _said(f"tag column: {quoted(draft.tag)}", "names the channel")
        lines += _said(f"value column: {quoted(draft.value)}", "")
        if draft.unit_column:
            lines += _said(f"unit column: {quoted(draft.unit_column)}", "states the unit of each row")
    lines += _of_the_header(draft)
    lines += _of_the_time(draft, answers)
    blanks = sum(seen.blanks for seen in draft.columns)
    why = (
        f"{blanks} cells are blank; 'not sampled' only where the recorder leaves cells blank between its scans"
        if blanks
        else "no cell is blank"
    )
    lines += _said(f"blank means: {kept.columns[0].blank if kept and kept.columns else LOST}", why)
    lines += _codes(draft, answers, kept)
    lines += _columns(draft, answers, kept)
    lines += _said(f"proposed from: {quoted(draft.file)}", f"SHA-256 {draft.sha256}")
    if kept and kept.confirmed_by:
        lines += _said(
            f"confirmed by: {quoted(confirmed_by) if confirmed_by else ''}".rstrip(),
            f"{kept.file} was confirmed by {kept.confirmed_by}",
        )
    else:
        lines += _said(f"confirmed by: {quoted(confirmed_by) if confirmed_by else ''}".rstrip(), "")
    return "\n".join(lines) + "\n"


def _said(line: str, why: str) -> list[str]:
    """A line with its reason behind it, or above it where the line is long."""
    why = " ".join(NO_YAML.sub(" ", why).split())
    if not why:
        return [line]
    if "\n" not in line and len(line) + len(why) + 4 <= WIDTH:
        return [f"{line}  # {why}"]
    indent = re.match(r" *", line)
    return [f"{indent[0] if indent else ''}# {why}", line]


def _answer(key: str, draft: Draft, answers: Mapping[str, str]) -> tuple[str, str]:
    """The answer to a question, or ``?`` with what is asked; nothing where there is no such question."""
    question = next((one for one in draft.questions if one.key == key), None)
    if question is None:
        return "", ""
    if key in answers:
        return answers[key], "answered"
    choices = f" ({' | '.join(question.choices)})" if question.choices else ""
    return OPEN, f"asked: {question.asks}{choices}"


def _asked(key: str, draft: Draft, answers: Mapping[str, str], found: Found) -> list[str]:
    answer, why = _answer(key, draft, answers)
    return _said(f"{key}: {quoted(answer)}", why) if answer else _said(f"{key}: {found.value}", found.why)


def _lines(first: int, last: int) -> str:
    return f"line {first}" if first >= last else f"lines {first} to {last}"


def _of_the_header(draft: Draft) -> list[str]:
    head = draft.head
    before = "any" if head.before and head.rows else str(head.before)
    why = (
        f"{_lines(1, head.before)} in this export; the header is looked for" if head.before else "the header is line 1"
    )
    lines = _said(f"lines before the header: {before}", why if head.rows else "")
    rows = _lines(head.before + 1, head.before + len(head.rows))
    lines += _said(
        f"header rows: {listed(head.rows)}",
        rows if head.rows else "there is no header; columns are called by their number",
    )
    lines.append("header:")
    lines += _said(f"  names: {listed(draft.header.names)}", "")
    if draft.header.units:
        lines += _said(f"  units: {listed(draft.header.units)}", "")
    lines += _said(f"  fingerprint: {draft.header.fingerprint}", "SHA-256 of names and units")
    if draft.left_out:
        lines.append("lines left out:")
        for text, found in draft.left_out:
            lines += _said(f"  - {quoted(text)}", found.why)
    if draft.more_spoilt:
        lines.append(f"  # asked: {draft.more_spoilt_rows}")
    if draft.clock.newest_first:
        lines += _said("order: newest first", "the times fall from row to row")
    return lines


def _of_the_time(draft: Draft, answers: Mapping[str, str]) -> list[str]:
    lines = ["time:"]
    lines += _said(f"  columns: {listed(draft.time_columns)}", f"lines {draft.first_row + 1} to {draft.last_row + 1}")
    form, why = _answer("time format", draft, answers)
    form = form or draft.clock.formats[0]
    lines += _said(f"  format: {quoted(form)}", why or draft.clock.why)
    zone, why = _answer("time zone", draft, answers)
    if not zone:
        zone, why = (
            ("in the text", "each time carries its offset")
            if draft.clock.offset
            else ("UTC", "they count from 1970 in UTC")
        )
    lines += _said(f"  zone: {quoted(zone)}", why)
    counts = form.startswith("elapsed") or (form != OPEN and not is_dated(form))
    if draft.asks_start and (counts or form == OPEN):
        if draft.start is not None:
            text, start_form, where = draft.start
            lines += _said(f"  start after: {quoted(text)}", where)
            if start_form != "iso":
                lines += _said(f"  start format: {quoted(start_form)}", where)
        else:
            start, why = _answer("time start", draft, answers)
            lines += _said(f"  start: {quoted(start)}", why)
    return lines


def _codes(draft: Draft, answers: Mapping[str, str], kept: Layout | None) -> list[str]:
    found: dict[str, tuple[int, int]] = {}
    for seen in draft.columns:
        for code, count, line in seen.codes if not seen.state else ():
            times, first = found.get(code, (0, line))
            found[code] = (times + count, min(first, line))
    said = {code: f"{count} cells, first on line {line}" for code, (count, line) in found.items()}
    for column in kept.columns if kept else ():
        said |= {code: "as before" for code in column.open_codes if code not in said}
    given, why = _answer(CODES, draft, answers)
    if given == OPEN:
        seen_too = f"; seen: {', '.join(in_quotes(code) for code in said)}" if said else ""
        return _said(f"{CODES}: {quoted(OPEN)}", f"{why}{seen_too}")
    said |= {code: why for code in given.split(", ") if code not in ("", NONE, *said)}
    if not said:
        return _said(f"{CODES}: {NONE}", why) if given else []
    lines = [f"{CODES}:"]
    for code, words in said.items():
        lines += _said(f"  - {in_quotes(code)}", words)
    return lines


def _columns(draft: Draft, answers: Mapping[str, str], kept: Layout | None) -> list[str]:
    entries, left = [], [(name, "neither a value nor its quality") for name in draft.not_read]
    for seen in draft.columns:
        if seen.empty:
            left.append((seen.name, f"{seen.where}: no cell is filled"))
            continue
        unit, asked = _answer(f"unit of {seen.name}", draft, answers)
        if unit == NOT_READ or (kept and seen.name in kept.not_read):
            left.append(
                (seen.name, f"{seen.where}: {'as before' if kept and seen.name in kept.not_read else 'answered'}")
            )
            continue
        entries.append(_entry(seen, unit or seen.unit, asked, draft, answers, kept))
    lines = ["columns:"] if entries else ["columns: []"]
    for (fields, why, _), group in groupby(entries, key=lambda entry: (entry[1], entry[2], entry[3])):
        members = [entry[0] for entry in group]
        columns = listed(tuple(one.name for one in members))
        where = (
            members[0].where if len(members) == 1 else f"{members[0].where} to {members[-1].where.rpartition(' ')[2]}"
        )
        where = where if not draft.tag or len(members) == 1 else f"{len(members)} tags"
        lines += _said(f"  - {{columns: {columns}, {fields}}}", f"{where}{'; ' if why else ''}{why}")
    if left:
        lines.append("not read:")
        for name, why in left:
            lines += _said(f"  - {quoted(name)}", why)
    return lines


def _entry(
    seen: Seen, unit: str, asked: str, draft: Draft, answers: Mapping[str, str], kept: Layout | None
) -> tuple[Seen, str, str, str]:
    """A column, its fields, the reason, and the letters of its name where something is asked: equal neighbours are one group."""
    said = [f"'{seen.unit_text}'"] if seen.unit_text else []
    if unit == OPEN:
        choices = f" ({' | '.join(seen.choices)})" if seen.choices else ""
        said = [
            f"asked: which unit? {_stated(seen)}; a pressure with its reference{choices}; or name the column under 'not read'"
        ]
    elif asked:
        said.append(asked)
    before = _group_before(seen.name, kept)
    kind, why = _answer(f"kind of {seen.name}", draft, answers)
    if why and kind == OPEN:
        said.append(why)
    fields = [f"unit: {quoted(unit)}"] if unit else []
    fields.append(f"kind: {quoted(kind or (before['kind'] if before else kind_of(seen)))}")
    if seen.quality:
        good, why = _answer(f"quality of {seen.name}", draft, answers)
        words = tuple(word.strip() for word in good.split(","))
        fields.append(
            f"quality: {{column: {quoted(seen.quality)}, good: {listed(words) if good != OPEN else quoted(good)}}}"
        )
        said.append(why)
    if before is not None:
        fields += _as_before(before)
    elif GENERIC.fullmatch(seen.name) and len(draft.columns) == 1:
        fields.insert(0, f"channel: {FROM_THE_FILE_NAME}")
    said += [f"NO NUMBER: '{text}' on line {line}" for text, line in seen.unread[:2]]
    stem = re.sub(r"[0-9]+", "", seen.name) if OPEN in (unit, kind) else ""
    return seen, ", ".join(fields), "; ".join(said), stem


def _why_a_state(seen: Seen) -> str:
    return f"It has {seen.few} different numbers" if seen.few else "It is called a set point"


def _stated(seen: Seen) -> str:
    return f"the header says '{seen.unit_text}'" if seen.unit_text else "the header does not say"


def _group_before(name: str, kept: Layout | None) -> Filled | None:
    """What an earlier layout says of a column."""
    groups = kept.answers["columns"] if kept and kept.answers else ()
    return next((group for group in groups if any(heading.text == name for heading in group["columns"])), None)


def _as_before(group: Filled) -> list[str]:
    """What an earlier layout says of a column beside its unit, its kind and its quality."""
    fields = [f"channel: {quoted(group['channel'])}"] if group["channel"] else []
    if group["blank means"]:
        fields.append(f"blank means: {group['blank means']}")
    if group["bad outside"]:
        fields.append(f"bad outside: {group['bad outside'].text}")
    for what in ("scale", "offset"):
        if group[what] is not None:
            fields.append(f"{what}: {group[what]:f}")
    if group["heartbeat"]:
        fields.append(f"heartbeat: {duration_text(group['heartbeat'])}")
    return fields

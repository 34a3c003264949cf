"""The verdicts on the terminal: heads, parts worst first, deviations in full, then what is met. Words and marks carry the meaning.

Written for 80 columns, for paper and for eyes that see no colour: nothing is cut, long text wraps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from curewright.record.instants import elapsed, length, run_clock
from curewright.text.shown import apart, plain, short, shortened, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.console import Console, RenderableType

MARKS = {
    "not met": ("✗", "NOT MET", "bold red"),
    "not shown": ("?", "NOT SHOWN", "bold yellow"),
    "open": ("…", "OPEN", "bold cyan"),
    "by a person": ("✎", "BY A PERSON", "bold blue"),
    "not covered": ("∅", "NOT COVERED", "bold magenta"),
    "met": ("✓", "met", "green"),
    "not applicable": ("–", "not applicable", "dim"),
}
WITHOUT = {
    "without_set_aside": "if nothing were set aside",
    "without_second_recorder": "from the main recorder alone",
    "before_concession": "without the concession",
}
DEVIATIONS = ("not met", "not shown", "open")
Block = dict[str, Any]


def print_verdicts(document: Block, console: Console) -> None:
    """Print a verdicts document (that of :mod:`curewright.record.verdicts`)."""
    for part in renderables(document):
        console.print(part, soft_wrap=False)


def renderables(document: Block) -> Iterator[RenderableType]:
    """The pieces of the print in their order."""
    yield from _head(document)
    yield _heading("Parts, worst first")
    yield _roll_up(document)
    verdicts = sorted(document["verdicts"], key=lambda verdict: list(MARKS).index(verdict["outcome"]))
    deviations = [verdict for verdict in verdicts if verdict["outcome"] in DEVIATIONS]
    if deviations:
        yield _heading(f"Deviations and what is not shown ({len(deviations)})")
    for verdict in deviations:
        yield from _in_full(verdict, document)
    yield from _for_people(document)
    met = [verdict for verdict in verdicts if verdict["outcome"] == "met"]
    if met:
        yield _heading(f"Met ({len(met)})")
        yield from _met(met, document)
    yield from _rest(document)
    yield Text("")
    for caution in document["cautions"]:
        yield Text(caution, style="italic")


def mark(outcome: str, width: int = 0) -> Text:
    """The mark and the word of an outcome; the colour only repeats them."""
    sign, word, style = MARKS[outcome]
    return Text(f"{sign} {word}".ljust(width), style=style)


def _heading(words: str) -> RenderableType:
    return Padding(Text(words, style="bold underline"), (1, 0, 0, 0))


def counted(document: Block) -> str:
    """How many verdicts there are of each outcome, worst first, and how many signatures are missing."""
    unsigned = sum(verdict["outcome"] == "by a person" and not verdict["settled"] for verdict in document["verdicts"])
    words = {
        outcome: f"{document['outcomes'][outcome]} {outcome}" for outcome in MARKS if document["outcomes"][outcome]
    }
    if unsigned:
        words["by a person"] += f" ({unsigned} to be signed)"
    return ", ".join(words.values()) or "none"


def result(document: Block, code: int) -> Text:
    """The last line: the worst outcome, the counts, and the exit code that a script sees."""
    worst = next((outcome for outcome in MARKS if document["outcomes"][outcome]), "not shown")
    return Text.assemble(mark(worst), f": {counted(document)} (exit code {code})")


def _head(document: Block) -> Iterator[RenderableType]:
    run, judgement, clauses = document["run"], document["judgement"], document["clauses"]
    start = run["start"]["time"].replace("T", " ")
    yield Text(f"Run {run['number']} in vessel {run['vessel']}, started {start}", style="bold")
    by = f" by {judgement['person']}" if judgement["person"] else ""
    dated = f" on {judgement['at']}" if judgement["at"] else ""
    yield Text(f"Judgement {judgement['number']}{by}{dated}, {document['program']}")
    yield Text(
        f"Clauses: {clauses['by_program']} judged by program, {clauses['by_a_person']} by a person, {clauses['not_covered']} not covered"
    )
    yield Text(f"Verdicts: {counted(document)}")
    for one in document["specifications"]:
        approval = f"approved by {one['approved_by']}" if one["approved_by"] else one["status"]
        yield Text(f"{one['number']} revision {one['revision']} ({approval}): {one['title']}; {one['source']}")
    if run["closed"] is None:
        yield Text("The run is not closed: what is not settled yet is open.")


def _roll_up(document: Block) -> Table:
    table = Table.grid(padding=(0, 2))
    for _ in range(3):
        table.add_column(overflow="fold")
    order = list(MARKS)
    parts = {part["serial"]: part for part in document["parts"]}
    for line in sorted(document["roll_up"], key=lambda line: order.index(line["outcome"])):
        part = parts.get(line["part"], {})
        table.add_row(mark(line["outcome"]), Text(f"part {line['part']}"), Text(_why_of_part(document, line, part)))
    return table


def _why_of_part(document: Block, line: Block, part: Block) -> str:
    same = [v for v in document["verdicts"] if v["part"] == line["part"] and v["outcome"] == line["outcome"]]
    clauses = ", ".join(dict.fromkeys(f"{verdict['clause']} {verdict['form']}" for verdict in same))
    what = (
        f"{part['number']} rev {part['revision']}, {part['specification']} rev {part['specification_revision']}"
        if part
        else ""
    )
    return f"{what}: {clauses}" if line["outcome"] in DEVIATIONS else what


def name_of(verdict: Block) -> str:
    """The thing judged, with the part it belongs to."""
    return (
        f"part {verdict['part']}"
        if verdict["thing"] in ("", verdict["part"])
        else f"part {verdict['part']}, {verdict['thing']}"
    )


def _in_full(verdict: Block, document: Block) -> Iterator[RenderableType]:
    title = Text.assemble(
        mark(verdict["outcome"]), f"  {name_of(verdict)}, clause {verdict['clause']} {verdict['form']}", style="bold"
    )
    title.append(f" ({verdict['specification']} rev {verdict['revision']})")
    yield Padding(title, (1, 0, 0, 0))
    table = Table.grid(padding=(0, 1))
    table.add_column(min_width=11, overflow="fold")
    table.add_column(overflow="fold")
    for label, words in _lines(verdict, document):
        table.add_row(label, Text(words if label == "paper" else shortened(words)))
    yield Padding(table, (0, 0, 0, 2))


def _lines(verdict: Block, document: Block) -> Iterator[tuple[str, str]]:
    says = _says(verdict, document)
    if says:
        yield "paper", f"“{says}”"
    yield "limit", plain(verdict["limit"])
    margin = verdict["margin"]
    if margin:
        yield "found", f"{actual_words(margin)}, margin {margin_words(margin)}"
        yield "where", where(margin, document)
    yield "why", verdict["reason"]
    for one in verdict["allowance_left"]:
        yield "left", f"{one['left']} {one['what']}"
    if verdict["phase"]:
        yield from _phase_lines(verdict["phase"], document)
    for excursion in verdict["excursions"]:
        yield "outside", _excursion(excursion, document)
    for unknown in verdict["unknown"]:
        yield "unknown", f"{unknown['channel']}: {_stretch(unknown, document)}, {unknown['why']}"
    for aside in verdict["set_aside"]:
        yield "set aside", f"{aside['channel']}: {_stretch(aside, document)}, by {aside['by']}: {aside['why']}"
    yield from _beside(verdict)
    for sample in verdict["evidence"][:3]:
        yield "evidence", _sample(sample, document)
    if len(verdict["evidence"]) > 3:
        yield "", f"and {len(verdict['evidence']) - 3} more in verdicts.json"


def _sample(sample: Block, document: Block) -> str:
    reading = f"{sample['channel']} {sample['value']} {sample['unit']} at {when(sample['at'], document)}"
    return f"{reading}: {sample['file']} line {sample['line']}"


def _beside(verdict: Block) -> Iterator[tuple[str, str]]:
    for name, words in WITHOUT.items():
        if verdict[name]:
            yield "otherwise", f"{verdict[name]} {words}"
    for reading in verdict["other_readings"]:
        if reading["flips"]:
            yield "otherwise", flip(reading)
    if verdict["probability"]:
        yield "chance", verdict["probability"]
    for note in verdict["notes"]:
        yield "note", note


def flip(reading: Block) -> str:
    """Another reading of the paper under which the outcome would be another one."""
    return f"{reading['definition']}: {reading['actual']}, would be {reading['outcome']}"


def actual_words(margin: Block) -> str:
    """What was found, with its unit where it is a bare number or a range."""
    return with_unit(margin["actual"], margin["unit"])


def margin_words(margin: Block) -> str:
    """The signed margin in its unit, as a range where it is one; the file has it to the last decimal."""
    if margin["low"] is not None and margin["high"] is not None and margin["low"] != margin["high"]:
        number = f"{short(margin['low'])} to {short(margin['high'])}"
    else:
        number = short(margin["value"])
    return f"{number} {apart(margin['unit'])}".strip() + (" (of what is known)" if margin["of_what_is_known"] else "")


def where(margin: Block, document: Block) -> str:
    """Channel, the place where its sensor sat, and when."""
    words = f"{margin['channel']} ({margin['place']})" if margin["place"] else margin["channel"]
    return ", ".join(part for part in (words, when(margin["at"], document)) if part)


def when(instant: Block | None, document: Block) -> str:
    """An instant as the clock of the run and the time since its start."""
    if instant is None:
        return ""
    return f"{run_clock(instant, document['run']['start'])} ({elapsed(instant['ns'])})"


def _stretch(stretch: Block, document: Block) -> str:
    if stretch["from"] is not None and stretch["from"] == stretch["to"]:
        return when(stretch["from"], document)
    return f"{when(stretch['from'], document) or 'the start'} to {when(stretch['to'], document) or 'the end'}"


def _excursion(excursion: Block, document: Block) -> str:
    doubt = "" if excursion["sure"] else ", only possibly in the phase"
    depth = f"by {excursion['depth']} {excursion['unit']} at {when(excursion['deepest_at'], document)}"
    return f"{excursion['channel']}: {_stretch(excursion, document)}, {length(excursion['length_ns'])}, {depth}{doubt}"


def _phase_lines(phase: Block, document: Block) -> Iterator[tuple[str, str]]:
    at_once = phase["start"] == phase["end"] and all(
        each["from"] == each["to"] for each in (phase["sure"], phase["possible"])
    )
    ends = (("from", phase["start"]), ("to", phase["end"]))
    for end, words in ends[:1] if at_once else ends:
        bounds = [when(phase[kind][end], document) or "never or not known" for kind in ("possible", "sure")]
        spot = bounds[0] if bounds[0] == bounds[1] else f"between {' and '.join(sorted(bounds))}"
        yield "at" if at_once else end, f"{words}: {spot}" if words else spot


def _says(verdict: Block, document: Block) -> str:
    for one in document["specifications"]:
        if (one["number"], one["revision"]) == (verdict["specification"], verdict["revision"]):
            return next((str(clause["says"]) for clause in one["clauses"] if clause["number"] == verdict["clause"]), "")
    return ""


def _for_people(document: Block) -> Iterator[RenderableType]:
    rows = [
        (f"clause {c['number']} ({one['number']})", c) for one in document["specifications"] for c in one["clauses"]
    ]
    signed = [verdict for verdict in document["verdicts"] if verdict["outcome"] == "by a person"]
    table = Table.grid(padding=(0, 2))
    table.add_column()
    table.add_column(overflow="fold")
    for verdict in signed:
        words = f"{name_of(verdict)}, clause {verdict['clause']}: {verdict['reason']}"
        table.add_row(mark("by a person"), Text(words))
    for spot, clause in rows:
        if clause["not_covered"]:
            table.add_row(mark("not covered"), Text(f"{spot}: {clause['not_covered']}"))
    if table.row_count:
        yield _heading("For people")
        yield table


def _met(verdicts: list[Block], document: Block) -> Iterator[RenderableType]:
    for serial in dict.fromkeys(verdict["part"] for verdict in verdicts):
        yield Text(f"part {serial}", style="bold")
        table = Table.grid(padding=(0, 1))
        for least in (1, 12, 5):
            table.add_column(min_width=least, overflow="fold")
        table.add_column(overflow="fold")
        for verdict in verdicts:
            if verdict["part"] == serial:
                thing = "" if verdict["thing"] == serial else verdict["thing"]
                cells = (f"{verdict['clause']} {verdict['form']}", thing, _met_words(verdict, document))
                table.add_row(Text(MARKS["met"][0], style=MARKS["met"][2]), *(Text(cell) for cell in cells))
        yield table


def _met_words(verdict: Block, document: Block) -> str:
    margin = verdict["margin"]
    pieces = [plain(verdict["limit"])]
    if margin:
        sensor = margin["channel"] if margin["channel"] != verdict["thing"] else ""
        pieces += [
            f"margin {margin_words(margin)}",
            " ".join(word for word in (sensor, when(margin["at"], document)) if word),
        ]
    else:
        pieces.append(shortened(verdict["reason"]))
    return "; ".join(piece for piece in [*pieces, *_met_notes(verdict)] if piece)


def _met_notes(verdict: Block) -> Iterator[str]:
    for one in verdict["allowance_left"]:
        yield f"left: {shortened(one['left'])} {one['what']}"
    for label, words in _beside(verdict):
        yield f"{label}: {shortened(words)}"
    for aside in verdict["set_aside"]:
        yield f"set aside: {aside['channel']}, by {aside['by']}"


def _rest(document: Block) -> Iterator[RenderableType]:
    not_applicable = [verdict for verdict in document["verdicts"] if verdict["outcome"] == "not applicable"]
    yield from _list(
        "Not applicable",
        [f"{name_of(v)}, clause {v['clause']} {v['form']}: {shortened(v['reason'])}" for v in not_applicable],
    )
    yield from _list("Traceability", [finding_words(finding) for finding in document["traceability"]])
    yield from _list("Stretches that no clause looks at", _uncovered(document))
    yield from _list("Changed since the judgement before", [change_words(change) for change in document["changed"]])
    rulings = [
        f"{r['sensor']} {r['kind']}, {_stretch(r, document)}, by {r['person']}{_seconded(r)}: {r['reason']}"
        for r in document["rulings"]
    ]
    yield from _list("Rulings", rulings)
    yield from _list("Notes", [*document["run"]["notes"], *document["notes"]])


def _seconded(ruling: Block) -> str:
    return f", seconded by {ruling['second']}" if ruling["second"] else ""


def _uncovered(document: Block) -> list[str]:
    """The same stretch of several parts in one line."""
    found: dict[str, list[str]] = {}
    for stretch in sorted(
        document["uncovered"], key=lambda each: (each["quantity"], (each["from"] or {"ns": 0})["ns"])
    ):
        found.setdefault(f"{stretch['quantity']}: {_stretch(stretch, document)}", []).append(stretch["part"])
    return [f"{words}, part{'s' * (len(parts) > 1)} {', '.join(parts)}" for words, parts in found.items()]


def change_words(change: Block) -> str:
    """A changed outcome in words."""
    spot = f"{name_of(change)}, clause {change['clause']} {change['form']}"
    return f"{spot}: {change['before'] or 'absent'} in judgement {change['since_judgement']}, {change['now'] or 'absent'} now"


def finding_words(finding: Block) -> str:
    """A traceability finding in words, with the places in the user's files."""
    spots = "".join(f" [{place['file']} line {place['line']}]" for place in finding["places"] if place["file"])
    blocks = f" Cannot be judged because of it: {', '.join(finding['blocks'])}." if finding["blocks"] else ""
    return f"{finding['kind']}: {finding['message']}{spots}{blocks}"


def _list(title: str, lines: list[str]) -> Iterator[RenderableType]:
    if not lines:
        return
    yield _heading(f"{title} ({len(lines)})")
    table = Table.grid(padding=(0, 1))
    table.add_column()
    table.add_column(overflow="fold")
    for line in lines:
        table.add_row("-", Text(line))
    yield table

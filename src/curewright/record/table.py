"""The verdicts on the terminal: heads, parts worst first, deviations in full, then what is met. Words and marks carry the meaning.

Written for 80 columns, for paper and for eyes that see no colour: nothing is cut, long text wraps.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from curewright.record.words import (
    DEVIATIONS,
    MARKS,
    NOT_THE_CLAUSE,
    beside,
    change_words,
    counted,
    finding_words,
    hangs_on_a_reading,
    lines_of,
    margin_words,
    name_of,
    reading_words,
    seconded,
    stretch_words,
    uncovered_lines,
    when,
    why_of_part,
)
from curewright.terms.verdict import UNKNOWN_LISTED
from curewright.text.shown import is_number, plain, shortened

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from rich.console import Console, RenderableType

Block = dict[str, Any]
NOT_TOLD = "What is met, for people or noted is not printed here; verdicts.csv and the cure record have it."
NOBODY = "by nobody named ('--person \"your name\"' prints who asked for it)"
UNDATED = "not dated ('--dated' with date, time and zone prints when; no clock is read)"
SORTS = ("outside", "unknown", "set aside")  # of stretches
BELOW = ("", "last good", "good again")  # what stands below one
STRETCHES = 6  # told of one sort
MANY = 300  # met verdicts, from which on they are told clause by clause


def print_verdicts(document: Block, console: Console, *, deviations_only: bool = False) -> None:
    """Print a verdicts document (that of :mod:`curewright.record.verdicts`); ``deviations_only``: what is met is only counted."""
    for part in renderables(document, deviations_only=deviations_only):
        console.print(part, soft_wrap=False)


def renderables(document: Block, *, deviations_only: bool = False) -> Iterator[RenderableType]:
    """The pieces of the print in their order."""
    yield from _head(document)
    yield _heading("Parts, worst first")
    yield _roll_up(document)
    verdicts = sorted(document["verdicts"], key=lambda verdict: list(MARKS).index(verdict["outcome"]))
    deviations = [verdict for verdict in verdicts if verdict["outcome"] in DEVIATIONS]
    if deviations:
        yield _heading(f"Deviations and what is not shown ({len(deviations)})")
        yield from _legend(deviations)
    for verdict in deviations:
        yield from _in_full(verdict, document)
    if not deviations_only:
        yield from _all_others(verdicts, document)
    yield Text("")
    if deviations_only:
        yield Text(NOT_TOLD)
    for caution in document["cautions"]:
        yield Text(caution, style="italic")


def _all_others(verdicts: list[Block], document: Block) -> Iterator[RenderableType]:
    """What is for people, what is met, and everything that stands behind the verdicts."""
    yield from _for_people(document)
    met = [verdict for verdict in verdicts if verdict["outcome"] == "met"]
    if met:
        yield _heading(f"Met ({len(met)})")
        yield from _legend(met)
        yield from _met(met, document)
    yield from _rest(document)


def mark(outcome: str, width: int = 0) -> Text:
    """The mark and the word of an outcome; the colour only repeats them."""
    sign, word, style = MARKS[outcome]
    return Text(f"{sign} {word}".ljust(width), style=style)


def _heading(words: str) -> RenderableType:
    return Padding(Text(words, style="bold underline"), (1, 0, 0, 0))


def _legend(verdicts: list[Block]) -> Iterator[Text]:
    if hangs_on_a_reading(verdicts):
        yield Text(NOT_THE_CLAUSE, style="italic")


def result(document: Block, code: int) -> Text:
    """The last line: the worst outcome, the counts, and the exit code that a script sees."""
    worst = next((outcome for outcome in MARKS if document["outcomes"][outcome]), "not shown")
    return Text.assemble(mark(worst), f": {counted(document)} (exit code {code})")


def _head(document: Block) -> Iterator[RenderableType]:
    run, judgement, clauses = document["run"], document["judgement"], document["clauses"]
    start = run["start"]["time"].replace("T", " ")
    yield Text(f"Run {run['number']} in vessel {run['vessel']}, started {start}", style="bold")
    by = f" by {judgement['person']}" if judgement["person"] else f" {NOBODY}"
    dated = f" on {judgement['at']}" if judgement["at"] else f", {UNDATED}"
    yield Text(f"Judgement {judgement['number']}{by}{dated}, {document['program']}")
    yield from (Text(f"Read: {words}") for words in reading_words(document))
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
        table.add_row(mark(line["outcome"]), Text(f"part {line['part']}"), Text(why_of_part(document, line, part)))
    return table


def _in_full(verdict: Block, document: Block) -> Iterator[RenderableType]:
    title = Text.assemble(
        mark(verdict["outcome"]), f"  {name_of(verdict)}, clause {verdict['clause']} {verdict['form']}", style="bold"
    )
    title.append(f" ({verdict['specification']} rev {verdict['revision']})")
    yield Padding(title, (1, 0, 0, 0))
    table = Table.grid(padding=(0, 1))
    table.add_column(min_width=11, max_width=13, overflow="fold")
    table.add_column(overflow="fold")
    for label, words in _few(lines_of(verdict, document)):
        table.add_row(label, Text(words if label == "paper" else shortened(words)))
    yield Padding(table, (0, 0, 0, 2))


def _few(lines: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """The lines, of stretches of one sort only the first, with what stands below each; how many more there are follows them."""
    sort, told = "", 0
    for label, words in (*lines, ("end", "")):
        if label not in (*BELOW, sort):
            if sort in SORTS and told > STRETCHES:
                most = (
                    f" (which names no more than {UNKNOWN_LISTED})"
                    if sort == "unknown" and told >= UNKNOWN_LISTED
                    else ""
                )
                yield "", f"and {told - STRETCHES} more in verdicts.json{most}"
            sort, told = label, 0
        told += label not in BELOW
        if label != "end" and (sort not in SORTS or told <= STRETCHES):
            yield label, words


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
    if len(verdicts) > MANY:
        yield from _met_by_clause(verdicts, document)
        return
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


def _met_by_clause(verdicts: list[Block], document: Block) -> Iterator[RenderableType]:
    """Of so many that nobody would read them: how many a clause has, and the one that is nearest to its limit."""
    groups: dict[tuple[str, str, str], list[Block]] = {}
    for verdict in verdicts:
        groups.setdefault((verdict["specification"], verdict["clause"], verdict["form"]), []).append(verdict)
    table = Table.grid(padding=(0, 1))
    for least in (1, 12, 5):
        table.add_column(min_width=least, overflow="fold")
    table.add_column(overflow="fold")
    for (_, clause, form), group in groups.items():
        with_margin = [verdict for verdict in group if verdict["margin"] and is_number(str(verdict["margin"]["value"]))]
        nearest = min(with_margin, key=lambda verdict: float(verdict["margin"]["value"]), default=None)
        words = f"nearest: {name_of(nearest)}; {_met_words(nearest, document)}" if nearest else ""
        cells = (f"{clause} {form}", str(len(group)), words)
        table.add_row(Text(MARKS["met"][0], style=MARKS["met"][2]), *(Text(cell) for cell in cells))
    yield table
    yield Text("Each of them stands in verdicts.csv and in the cure record.")


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
    for label, words in beside(verdict):
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
    yield from _list("Stretches that no clause looks at", uncovered_lines(document))
    yield from _list("Changed since the judgement before", [change_words(change) for change in document["changed"]])
    rulings = [
        f"{r['sensor']} {r['kind']}, {stretch_words(r, document)}, by {r['person']}{seconded(r)}: {r['reason']}"
        for r in document["rulings"]
    ]
    yield from _list("Rulings", rulings)
    yield from _list("Notes", list(dict.fromkeys([*document["run"]["notes"], *document["notes"]])))


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

"""What a trial expects, held against what came out: every difference is a sentence."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.judge.steps import NEVER
from tests.requirements.case_log import MINUTE, case_time

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from curewright.terms.verdict import Verdict
    from tests.requirements.case_run import Judged

MILLISECOND = 10**6
PEOPLE = ("by a person", "not covered")  # kinds of verdicts that a table may leave out: they are in the counts


def differences_in_verdicts(rows: tuple[dict[str, str], ...], judged: Judged) -> Iterator[str]:
    """Rows of a table of verdicts; each is about exactly one verdict, and every verdict of the program has its row."""
    left = {id(verdict): verdict for verdict in judged.judgement.verdicts}
    for row in rows:
        if not row.get("outcome"):
            yield f"the row {row} expects no outcome"
            continue
        found = [verdict for verdict in left.values() if _is_about(row, verdict)]
        if len(found) != 1:
            yield f"{len(found)} verdicts for the row {row}: {[_name(each) for each in left.values()]}"
            continue
        del left[id(found[0])]
        for column, wanted in row.items():
            if column not in COLUMNS:
                yield f"a column '{column}'; known are {', '.join(COLUMNS)}"
            elif wanted:
                difference = _held(column, wanted, found[0], judged)
                if difference:
                    yield f"{_name(found[0])}: {column} {wanted} expected, {difference} came out ({found[0].reason})"
    for verdict in left.values():
        if verdict.kind not in PEOPLE:
            yield f"{_name(verdict)} came out {verdict.outcome} and no row expects it"


def _held(column: str, wanted: str, verdict: Verdict, judged: Judged) -> str:
    try:
        return COLUMNS[column](wanted, verdict, judged)
    except (ValueError, ArithmeticError) as error:
        return f"this cell cannot be read ({error}); {verdict.margin}"


def differences_in_events(rows: tuple[dict[str, str], ...], judged: Judged) -> Iterator[str]:
    """Rows of a table of events: when each was."""
    known = [event.name for event in judged.specification.events]
    for row in rows:
        unknown = set(row) - {"event", "instant", "notes contain"}
        if unknown or not row["instant"] or row["event"] not in known:
            yield f"a table of events has the columns event (one of {known}), instant, notes contain; not {row}"
            continue
        found = judged.when(row["event"])
        difference = _bounds(row["instant"], (found.earliest, found.latest), judged)
        if difference:
            yield f"'{row['event']}' at {row['instant']} expected, {difference} came out"
        if row.get("notes contain") and row["notes contain"] not in " / ".join(found.notes):
            yield f"'{row['event']}': a note '{row['notes contain']}' expected, {found.notes} came out"


def differences_in_words(what: str, said: str, judged: Judged) -> Iterator[str]:
    """Single expectations about the record as a whole."""
    found = judged.judgement
    record = {
        "counts": f"{found.clauses_by_program} judged by program, {found.clauses_by_person} by a person, "
        f"{found.clauses_not_covered} not covered",
        "roll-up": "; ".join(f"{serial} {outcome}" for serial, outcome in found.roll_up),
    }
    if what in record:
        if record[what] != said:
            yield f"{what}: '{said}' expected, '{record[what]}' came out"
    elif what == "record notes contain":
        if said not in " / ".join(found.notes):
            yield f"{what}: '{said}' expected, {found.notes} came out"
    elif what == "no clause looks at":
        stretches = [f"{each.part} {each.quantity} {_span(each.start, each.end, judged)}" for each in found.uncovered]
        if said not in stretches:
            yield f"{what}: '{said}' expected, {stretches} came out"
    else:
        yield f"'{what}' is no expectation that is known here"


def _name(verdict: Verdict) -> str:
    return f"clause {verdict.clause}, {verdict.form}, {verdict.thing}"


def _is_about(row: dict[str, str], verdict: Verdict) -> bool:
    asked = (("clause", verdict.clause), ("form", verdict.form), ("for", verdict.thing), ("part", verdict.part))
    if not row.get("form") and verdict.kind in PEOPLE:
        return False
    return all(not row.get(column) or row[column] == value for column, value in asked)


# ---------------------------------------------------------------------------------------------- single cells: '' where they agree
def _same(wanted: str, found: str) -> str:
    return "" if wanted == found else f"'{found}'"


def _number(wanted: str, found: str | None) -> str:
    """A number with or without 'about' (half of the last decimal that is written)."""
    if found is None:
        return "none"
    text = wanted.removeprefix("about ").replace("−", "-").removeprefix("+")
    number = Decimal(text)
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)
    close = Decimal(5).scaleb(exponent - 1) if wanted.startswith("about ") else Decimal(0)
    return "" if abs(Decimal(found) - number) <= close else found


def _margin(wanted: str, verdict: Verdict, judged: Judged) -> str:
    """A margin, with its unit where the cell names one; 'none' where there is nothing to measure."""
    if verdict.margin is None or wanted == "none":
        return "" if verdict.margin is None and wanted == "none" else f"'{verdict.margin}'"
    words = wanted.split()
    about, rest = ("about ", words[1:]) if words[0] == "about" else ("", words)
    unit = " ".join(rest[1:])
    if unit and unit != verdict.margin.unit:
        return f"{verdict.margin.value} {verdict.margin.unit}"
    return _number(about + rest[0], verdict.margin.value)


def _range(wanted: str, verdict: Verdict, judged: Judged) -> str:
    margin = verdict.margin
    if margin is None or margin.low is None or margin.high is None:
        return f"{margin}"
    low, high = wanted.split(" to ")
    return _number(low, margin.low) or _number(high, margin.high)


def _actual(wanted: str, verdict: Verdict, judged: Judged) -> str:
    if verdict.margin is None:
        return "none"
    if " to " in wanted or wanted.endswith("?"):
        return _same(wanted, verdict.margin.actual)
    return _number(wanted, verdict.margin.actual)


def _instant(wanted: str, found: int | None, judged: Judged) -> str:
    """An instant in the case's own times, to the millisecond; with 'about' to half of the last decimal."""
    if found is None or found >= NEVER or wanted == "never":
        never = found is None or found >= NEVER
        return "" if never and wanted == "never" else ("never" if never else _time(found, judged))
    text = wanted.removeprefix("about ")
    close = MILLISECOND
    if wanted.startswith("about "):
        exponent = Decimal(text).as_tuple().exponent
        assert isinstance(exponent, int)
        close = int(Decimal(5).scaleb(exponent - 1) * MINUTE)
    return "" if abs(found + judged.first - case_time(text)) <= close else _time(found, judged)


def _time(found: int, judged: Judged) -> str:
    return f"{Decimal(found + judged.first) / MINUTE:.6f} min"


def _span(start: int, end: int, judged: Judged) -> str:
    return f"{Decimal(start + judged.first) / MINUTE:f} to {Decimal(end + judged.first) / MINUTE:f}"


def _bounds(wanted: str, found: tuple[int | None, int | None], judged: Judged) -> str:
    """An instant that is known ('14.4'), or known between bounds ('60 to 70', '60 to never')."""
    low, _, high = wanted.partition(" to ")
    differ = _instant(low, found[0], judged) or _instant(high or low, found[1], judged)
    shown = [("never" if each is None or each >= NEVER else _time(each, judged)) for each in found]
    return " to ".join(shown) if differ else ""


def _starts(wanted: str, verdict: Verdict, judged: Judged) -> str:
    phase = verdict.phase
    return "no phase" if phase is None else _bounds(wanted, (phase.earliest_start, phase.latest_start), judged)


def _ends(wanted: str, verdict: Verdict, judged: Judged) -> str:
    phase = verdict.phase
    return "no phase" if phase is None else _bounds(wanted, (phase.earliest_end, phase.latest_end), judged)


def _at(wanted: str, verdict: Verdict, judged: Judged) -> str:
    return "no margin" if verdict.margin is None else _instant(wanted, verdict.margin.at, judged)


def _words(text: str) -> Callable[[str], str]:
    return lambda wanted: "" if all(each.strip() in text for each in wanted.split(";")) else f"'{text}'"


def _beside(wanted: str, verdict: Verdict, judged: Judged) -> str:
    """Outcomes beside the verdict: 'without the ruling: not shown; whole phase: met'."""
    shown = {reading.definition: str(reading.outcome) for reading in verdict.others}
    for reading in verdict.others:
        if reading.flips != (reading.outcome is not verdict.outcome):
            return f"'{reading.definition}' does not say rightly whether it would change the outcome"
    for name, outcome in (
        ("without what is set aside", verdict.without_set_aside),
        ("without the concession", verdict.before_concession),
        ("without the second recorder", verdict.without_second_recorder),
    ):
        shown[name] = "the same" if outcome is None else str(outcome)
    for each in wanted.split(";"):
        what, _, outcome = each.strip().rpartition(": ")
        if shown.get(what) != outcome:
            return f"{shown}"
    return ""


def _stretches(wanted: str, found: list[tuple[str, int, int]], judged: Judged) -> str:
    """Stretches 'TC2 30 to 32; TC3 5 to never', exactly these, in this order."""
    cells = [] if wanted == "none" else [each.strip() for each in wanted.split(";")]
    agree = len(cells) == len(found)
    for cell, (name, start, end) in zip(cells, found, strict=False):
        bare, _, last = cell.partition(" to ")
        named, _, begin = bare.rpartition(" ")
        agree = agree and named == name
        agree = agree and not _instant(begin, start, judged) and not _instant(last, end, judged)
    return (
        "" if agree else str([(n, _time(a, judged), "never" if b >= NEVER else _time(b, judged)) for n, a, b in found])
    )


def _unknown(wanted: str, verdict: Verdict, judged: Judged) -> str:
    return _stretches(wanted, [(each.channel, each.start, each.end) for each in verdict.unknown], judged)


def _set_aside(wanted: str, verdict: Verdict, judged: Judged) -> str:
    return _stretches(wanted, [(each.channel, each.start, each.end) for each in verdict.set_aside], judged)


def _excursions(wanted: str, verdict: Verdict, judged: Judged) -> str:
    return _stretches(wanted, [(each.channel, each.start, each.end) for each in verdict.excursions], judged)


def _allowance(wanted: str, verdict: Verdict, judged: Judged) -> str:
    return _same(wanted, "; ".join(f"{value} {what}" for what, value in verdict.allowance_left))


COLUMNS: dict[str, Callable[[str, Verdict, Judged], str]] = {
    "clause": lambda wanted, verdict, _: _same(wanted, verdict.clause),
    "form": lambda wanted, verdict, _: _same(wanted, verdict.form),
    "for": lambda wanted, verdict, _: _same(wanted, verdict.thing),
    "part": lambda wanted, verdict, _: _same(wanted, verdict.part),
    "outcome": lambda wanted, verdict, _: _same(wanted, str(verdict.outcome)),
    "margin": _margin,
    "margin range": _range,
    "at": _at,
    "channel": lambda wanted, verdict, _: _same(wanted, verdict.margin.channel if verdict.margin else "none"),
    "actual": _actual,
    "starts": _starts,
    "ends": _ends,
    "reason contains": lambda wanted, verdict, _: _words(verdict.reason)(wanted),
    "notes contain": lambda wanted, verdict, _: _words(" / ".join(verdict.notes))(wanted),
    "beside it": _beside,
    "unknown": _unknown,
    "set aside": _set_aside,
    "excursions": _excursions,
    "allowance left": _allowance,
}

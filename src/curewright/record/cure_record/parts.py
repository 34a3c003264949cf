"""A part with its identities, its events, and every clause of its specification: limit, found, margin, when, where, outcome."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.record.cure_record.blocks import outcome, pairs, paragraph, plot, section, table, title, unit_signs
from curewright.record.words import MARKS, NOT_THE_CLAUSE, actual_words, beside, hangs_on_a_reading, margin_words, when

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block, Cell
    from curewright.record.cure_record.papers import Papers
    from curewright.terms.load import Part

HEAD = ("Requirement", "Limit", "Actual", "Margin", "Allowance left", "Instant", "Thermocouple", "Outcome")
# What auditors ask for and no verdict needs: attributes of the load sheet, or a line to be filled in by hand.
ASKED_FOR = ("description", "customer", "prime", "purchase order", "thermal survey", "freezer log")
BLANK = "____________________ (not stated in the load sheet)"
WIDTHS = (1.25, 1.5, 1.3, 1.25, 1.15, 1.1, 1.2, 1.55)


def parts(papers: Papers) -> Iterator[Block]:
    """A chapter for each part, in the order of the load sheet, on pages of its own: they go with the part."""
    judged: dict[str, list[dict[str, Any]]] = {}
    for verdict in papers.document["verdicts"]:
        judged.setdefault(verdict["part"], []).append(verdict)
    outcomes = {line["part"]: line["outcome"] for line in papers.document["roll_up"]}
    for part in papers.load.parts:
        sign, word, _ = MARKS[outcomes[part.serial]]
        name = f"Part {part.serial}: {part.number} revision {part.revision}"
        yield section(f"{name}, {sign} {word}", _part(part, judged.get(part.serial, []), papers), new_page=True)
        drawn = papers.plots.parts.get(part.serial)
        if drawn:
            yield section("", [plot(drawn)], flipped=True)


def _part(part: Part, verdicts: list[dict[str, Any]], papers: Papers) -> Iterator[Block]:
    yield pairs(_identities(part, papers))
    yield title("Events")
    yield table(("Event", "When", "For"), (2, 3, 2.2), _events(verdicts, papers.document))
    yield title("Clause by clause")
    if hangs_on_a_reading(verdicts):
        yield paragraph(NOT_THE_CLAUSE, "small")
    yield {
        "kind": "judged",
        "head": list(HEAD),
        "widths": list(WIDTHS),
        "groups": _groups(verdicts, papers.document),
    }


def _identities(part: Part, papers: Papers) -> Iterator[tuple[str, str]]:
    yield "Serial", part.serial
    yield "Part number", f"{part.number} revision {part.revision}"
    yield "Specification", f"{part.specification} revision {part.specification_revision}"
    yield "Material lot", part.lot
    yield "Tool, bag", f"{part.tool}, {part.bag} (ports {', '.join(_ports(part.bag, papers)) or 'not stated'})"
    yield "Position in the vessel", part.position
    yield "Out-time at the start", _out_time(part)
    attributes = {name: value if isinstance(value, str) else unit_signs(str(value)) for name, value in part.attributes}
    for name in dict.fromkeys((*ASKED_FOR, *attributes)):
        yield name.capitalize(), attributes.get(name) or BLANK
    for one in part.concessions:
        yield "Concession", f"clause {one.clause} {one.form}: {unit_signs(one.limits.written)}, by {one.authority}"
    for file in part.earlier_runs:
        yield "Earlier run", file


def _ports(bag: str, papers: Papers) -> tuple[str, ...]:
    return next((one.ports for one in papers.load.bags if one.name == bag), ())


def _out_time(part: Part) -> str:
    if part.out_time_used is None or part.out_time_limit is None:
        return "not stated in the load sheet"
    return f"{part.out_time_used} used of {part.out_time_limit}"


def _events(verdicts: list[dict[str, Any]], document: dict[str, Any]) -> list[list[Cell]]:
    """Every named end of a phase, with the instants it was found at and what it was found for."""
    found: dict[tuple[str, str], list[str]] = {}
    order: dict[tuple[str, str], int] = {}
    for verdict in verdicts:
        phase = verdict["phase"]
        for end, name in (("from", phase["start"]), ("to", phase["end"])) if phase else ():
            bounds = [phase[kind][end] for kind in ("possible", "sure")]
            words = [when(bound, document) or "never or not known" for bound in bounds]
            spot = words[0] if words[0] == words[1] else f"between {' and '.join(sorted(words))}"
            if name:
                found.setdefault((name, spot), []).append(_of(verdict))
                order.setdefault((name, spot), min((b["ns"] for b in bounds if b), default=2**63))
    return [
        [name, spot, ", ".join(dict.fromkeys(found[name, spot]))]
        for name, spot in sorted(found, key=lambda key: order[key])
    ]


def _of(verdict: dict[str, Any]) -> str:
    return "the part" if verdict["thing"] in ("", verdict["part"]) else str(verdict["thing"])


def _groups(verdicts: list[dict[str, Any]], document: dict[str, Any]) -> list[Block]:
    """The verdicts of a part under the sentences that they are about."""
    sentences = {
        (one["number"], one["revision"], clause["number"]): clause
        for one in document["specifications"]
        for clause in one["clauses"]
    }
    groups: dict[str, Block] = {}
    for verdict in verdicts:
        clause = sentences.get((verdict["specification"], verdict["revision"], verdict["clause"]), {})
        group = groups.setdefault(
            verdict["clause"],
            {
                "clause": verdict["clause"],
                "says": clause.get("says", ""),
                "marked": clause.get("illustrative") or "",
                "rows": [],
            },
        )
        group["rows"].append({"cells": _cells(verdict, document), "notes": list(_notes(verdict))})
    return list(groups.values())


def _cells(verdict: dict[str, Any], document: dict[str, Any]) -> list[Cell]:
    margin = verdict["margin"]
    thing = "" if verdict["thing"] in ("", verdict["part"]) else f", {verdict['thing']}"
    return [
        f"{verdict['form']}{thing}",
        unit_signs(verdict["limit"]),
        unit_signs(actual_words(margin)) if margin else "",
        unit_signs(margin_words(margin)) if margin else "",
        "; ".join(unit_signs(f"{one['left']} {one['what']}") for one in verdict["allowance_left"]),
        when(margin["at"], document) if margin else "",
        _sensor(margin) if margin else "",
        outcome(verdict["outcome"]),
    ]


def _sensor(margin: dict[str, Any]) -> str:
    place = margin["place"].partition(", ")[2]
    return f"{margin['channel']}, {place}" if place else str(margin["channel"])


def _notes(verdict: dict[str, Any]) -> Iterator[str]:
    if verdict["outcome"] != "met" or not verdict["margin"]:
        yield unit_signs(verdict["reason"])
    for label, words in beside(verdict):
        yield f"{label}: {unit_signs(words)}"
    for aside in verdict["set_aside"]:
        yield f"set aside: {aside['channel']}, by {aside['by']}: {aside['why']}"

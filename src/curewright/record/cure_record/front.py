"""The first pages: what was judged, by whom, how it came out, and the digests of everything it stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.record.cure_record.blocks import digits, outcome, pairs, paragraph, section, table, title
from curewright.record.instants import elapsed
from curewright.record.words import DEVIATIONS, MARKS, counted

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block, Cell
    from curewright.record.cure_record.papers import Papers

ORDER = list(MARKS)


def front(papers: Papers) -> Iterator[Block]:
    """The chapters before the deviations: result and identities."""
    yield section("Result", _result(papers))
    yield section("What was judged", _identities(papers))


def worst(document: dict[str, Any]) -> str:
    """The worst outcome of a judgement; not shown where there is none at all."""
    return next((word for word in ORDER if document["outcomes"][word]), "not shown")


def _result(papers: Papers) -> Iterator[Block]:
    document = papers.document
    clauses = document["clauses"]
    yield {"kind": "result", "outcome": outcome(worst(document)), "words": counted(document)}
    yield pairs(
        [
            (
                "Clauses",
                f"{sum(clauses.values())} sentences of the paper: {clauses['by_program']} judged by program, "
                f"{clauses['by_a_person']} judged by a person, {clauses['not_covered']} not covered",
            ),
            ("Verdicts", f"{len(document['verdicts'])}: {counted(document)}"),
            (
                "Open",
                "The run is not closed: what is not settled yet is open." if document["run"]["closed"] is None else "",
            ),
        ]
    )
    for caution in document["cautions"]:
        yield paragraph(caution, "notice")
    yield table(
        ("Outcome", "Part (serial)", "Part number", "Tool", "Bag", "Material lot", "Specification", "Because of"),
        (1.5, 1.1, 1.6, 0.8, 0.9, 1.1, 1.5, 2.6),
        _roll_up(document),
    )


def _roll_up(document: dict[str, Any]) -> Iterator[list[Cell]]:
    parts = {part["serial"]: part for part in document["parts"]}
    for line in sorted(document["roll_up"], key=lambda line: ORDER.index(line["outcome"])):
        part = parts[line["part"]]
        same = [v for v in document["verdicts"] if (v["part"], v["outcome"]) == (line["part"], line["outcome"])]
        clauses = dict.fromkeys(f"{v['clause']} {v['form']}" for v in same) if line["outcome"] in DEVIATIONS else {}
        yield [
            outcome(line["outcome"]), part["serial"], f"{part['number']} rev {part['revision']}", part["tool"], part["bag"], part["lot"],
            f"{part['specification']} rev {part['specification_revision']}", ", ".join(clauses),
        ]  # fmt: skip


def _identities(papers: Papers) -> Iterator[Block]:
    document = papers.document
    run, judgement = document["run"], document["judgement"]
    closed = run["closed"]
    yield pairs(
        [
            ("Run", run["number"]),
            ("Vessel (equipment)", run["vessel"]),
            ("Facility", papers.vessel.facility or "____________________ (not stated in the vessel file)"),
            ("Started", run["start"]["time"].replace("T", " ")),
            (
                "Ended",
                f"{closed['end']['time'].replace('T', ' ')} ({elapsed(closed['end']['ns'])})"
                if closed
                else "not closed",
            ),
            ("Closed by", _closing(closed) if closed else ""),
            ("Judgement", f"number {judgement['number']} of this run"),
            ("Judged by", judgement["person"] or "nobody named"),
            (
                "Dated",
                judgement["at"]
                or "no date given, and no clock is read; the PDF carries the date on which the run was closed, or began",
            ),
            ("Program", document["program"]),
            ("Air pressure", _air_pressure(run)),
            ("Load sheet", papers.load.file),
            ("Record seal", digits(papers.seal)),
            ("Verdicts seal", digits(papers.verdicts_seal)),
        ]
    )
    yield title("Specifications")
    yield from _specifications(document)
    yield title("Files that this judgement was made from")
    yield from _files(papers)


def _air_pressure(run: dict[str, Any]) -> str:
    air = run["air_pressure"]
    return f"{air['value']} {air['unit']}: {air['from']}" if air else "not stated"


def _closing(closed: dict[str, Any]) -> str:
    covers = "the record covers the whole run" if closed["covers"] else "the record does not cover the whole run"
    return f"{closed['author']} at {closed['at'].replace('T', ' ')}; {covers}"


def _specifications(document: dict[str, Any]) -> Iterator[Block]:
    for one in document["specifications"]:
        approval = f"approved by {one['approved_by']}" if one["approved_by"] else one["status"].upper()
        yield pairs(
            [
                ("Specification", f"{one['number']} revision {one['revision']} ({approval})"),
                ("Title", one["title"]),
                ("Source", one["source"]),
                ("SHA-256", digits(one["sha256"])),
            ]
        )


def _files(papers: Papers) -> Iterator[Block]:
    rows: list[list[Cell]] = [
        [file.name, file.role, f"{file.size}", file.where, digits(file.sha256)] for file in papers.files
    ]
    yield table(("File", "What it is", "Bytes", "Where", "SHA-256"), (2.2, 1.3, 0.9, 0.9, 0), rows)
    if papers.container:
        one = papers.container
        yield paragraph(
            f"The recordings are too large to attach. They lie beside this record in {one.name} ({one.size} bytes), whose SHA-256 is:"
        )
        yield pairs([(one.name, digits(one.sha256))])

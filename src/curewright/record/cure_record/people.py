"""What people decided, wrote down and still have to sign."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.record.cure_record.blocks import digits, lines, outcome, pairs, section, table, title, unit_signs
from curewright.record.instants import length
from curewright.record.words import WITHOUT, change_words, finding_words, seconded, stretch_words, uncovered_lines

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block, Cell
    from curewright.record.cure_record.papers import Papers
    from curewright.terms.run import Entry

HANGS = ("Part", "Clause", "For", "Outcome", "Otherwise")
SIGNING = (
    ("Operator of the vessel", "ran and watched this cure"),
    ("Process engineer", "reviewed the verdicts and the interpretations"),
    ("Quality, or its approved delegate", "reviewed this record against the specification"),
    ("Customer, where the order asks for it", "witnessed or reviewed"),
)


def sentences_for_people(papers: Papers) -> Iterator[Block]:
    """Sentences that a person judges, or that nothing here covers."""
    rows = list(_for_people(papers.document))
    if rows:
        head = ("Outcome", "Clause", "The paper says", "For", "Judged by, or why it is not covered", "Initials")
        yield section("Sentences for people", [table(head, (1.4, 0.9, 3, 0.9, 2.4, 1), rows)])


def _for_people(document: dict[str, Any]) -> Iterator[list[Cell]]:
    for one in document["specifications"]:
        for clause in one["clauses"]:
            name = f"{clause['number']} ({one['number']})"
            signed = [
                v for v in document["verdicts"]
                if v["outcome"] == "by a person" and (v["specification"], v["clause"]) == (one["number"], clause["number"])
            ]  # fmt: skip
            for verdict in signed:
                yield [
                    outcome("by a person"),
                    name,
                    clause["says"],
                    verdict["thing"] or verdict["part"],
                    verdict["reason"],
                    "" if verdict["settled"] else "______",
                ]
            if clause["not_covered"]:
                yield [outcome("not covered"), name, clause["says"], "all parts", clause["not_covered"], ""]


def rulings_and_entries(papers: Papers) -> Iterator[Block]:
    """Rulings, hand entries and alarms, what cannot be led back, what no clause looks at, what changed, and notes."""
    document = papers.document
    yield section("Rulings, hand entries and notes", _decided(papers, document))


def _decided(papers: Papers, document: dict[str, Any]) -> Iterator[Block]:
    yield title("Rulings")
    yield lines(
        f"{r['kind']} {r['sensor']}, {stretch_words(r, document)}, by {r['person']}{seconded(r)}: {r['reason']}"
        for r in document["rulings"]
    )
    yield title("Outcomes that hang on what was set aside, on a second recorder or on a concession")
    yield table(HANGS, (1, 1.4, 1.2, 1.4, 4), _otherwise(document), "None: no outcome hangs on any of them.")
    yield title("Hand entries, alarms and interventions")
    head = ("What", "About", "When", "Until", "Within", "Words or reading", "Gauge", "By", "Where")
    yield table(
        head, (1.3, 0.9, 1.3, 1.3, 0.7, 2.6, 0.9, 1.1, 1.3), [_entry(one, papers) for one in papers.run.entries]
    )
    yield title("What cannot be led back or does not agree")
    yield lines(finding_words(finding) for finding in document["traceability"])
    yield title("Stretches of the run that no clause looks at")
    yield lines(uncovered_lines(document))
    yield title("Changed since the judgement before")
    first = "This is the first judgement." if document["judgement"]["number"] == 1 else "No outcome has changed."
    yield lines((change_words(change) for change in document["changed"]), first)
    yield title("Notes")
    yield lines(dict.fromkeys(unit_signs(note) for note in [*document["run"]["notes"], *document["notes"]]))


def _otherwise(document: dict[str, Any]) -> Iterator[list[Cell]]:
    """The verdicts that would be another one without what somebody or some rule decided: both outcomes."""
    for verdict in document["verdicts"]:
        both = [f"{verdict[name]} {words}" for name, words in WITHOUT.items() if verdict[name]]
        if both:
            name = f"{verdict['clause']} {verdict['form']}"
            yield [verdict["part"], name, verdict["thing"], outcome(verdict["outcome"]), "; ".join(both)]


def _entry(entry: Entry, papers: Papers) -> list[Cell]:
    words = "; ".join(word for word in (unit_signs(entry.read), entry.text) if word)
    until = papers.when(entry.until) if entry.until is not None else ""
    return [
        entry.name, entry.thing, papers.when(entry.at), until, length(entry.plus_minus), words, entry.gauge, entry.person,
        f"{entry.file} line {entry.line}",
    ]  # fmt: skip


def signatures(papers: Papers) -> Iterator[Block]:
    """The sheet that is printed, signed and scanned back; the disposition is left to the board."""
    document = papers.document
    blocks: list[Block] = [
        pairs(
            [
                (
                    "Run",
                    f"{document['run']['number']} in vessel {document['run']['vessel']}, judgement {document['judgement']['number']}",
                ),
                ("Parts", ", ".join(part.serial for part in papers.load.parts)),
                ("Record seal", digits(papers.seal)),
                ("Verdicts seal", digits(papers.verdicts_seal)),
            ]
        ),
        {"kind": "signatures", "rows": [list(row) for row in SIGNING]},
        {"kind": "disposition", "parts": [part.serial for part in papers.load.parts]},
    ]
    yield section("Signatures and disposition", blocks, new_page=True)

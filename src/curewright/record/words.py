"""Pieces of a verdicts document in words, the same on the terminal and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.record.instants import elapsed, length, run_clock
from curewright.terms.finding import OF_THE_SENSOR
from curewright.text.shown import apart, plain, short, with_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

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
OTHER_READING = "other reading"
NOT_THE_CLAUSE = (
    "“Other reading” is for information: what the outcome would be if the paper were read in a way that its clause does not state. "
    "The verdict stands as it is; it shows which outcomes hang on the definition that was chosen."
)
FATES = ("left out", "kept, flagged")
NAMED = 4  # channels in the line of a part
Block = dict[str, Any]


def counted(document: Block) -> str:
    """How many verdicts there are of each outcome, worst first, and how many signatures are missing."""
    unsigned = sum(verdict["outcome"] == "by a person" and not verdict["settled"] for verdict in document["verdicts"])
    words = {
        outcome: f"{document['outcomes'][outcome]} {outcome}" for outcome in MARKS if document["outcomes"][outcome]
    }
    if unsigned:
        words["by a person"] += f" ({unsigned} to be signed)"
    return ", ".join(words.values()) or "none"


def reading_words(document: Block) -> Iterator[str]:
    """A line for each export: rows read, and what was left out or flagged in it, by cause."""
    for one in document["reading"]:
        causes: dict[tuple[bool, str, str], Block] = {}
        for counted in one["counted"]:
            key = (not counted["left_out"], counted["of"], counted["cause"])
            cause = causes.setdefault(key, {"count": 0, "channels": []})
            cause["count"] += counted["count"]
            cause["channels"] += [name for name in counted["channels"] if name not in cause["channels"]]
        told = [_cause_words(*key, **cause) for key, cause in sorted(causes.items())]
        rows = f"{one['rows']} {_of('rows', one['rows'])} read"
        yield f"{one['file']}: {rows}, {', '.join(told) or 'nothing left out or flagged'}"


def _cause_words(kept: bool, of: str, cause: str, count: int, channels: list[str]) -> str:
    names = f": {_some(channels)}" if channels else ""
    return f"{count} {_of(of, count)} {FATES[kept]} ({cause}{names})"


def _some(names: list[str]) -> str:
    """The first of some names, and how many more there are."""
    return ", ".join(names[:NAMED]) + (f" and {len(names) - NAMED} more" if len(names) > NAMED else "")


def _of(things: str, count: int) -> str:
    return things.removesuffix("s") if count == 1 else things


def why_of_part(document: Block, line: Block, part: Block) -> str:
    """What part this is, and what in it is as bad as the whole of it."""
    same = [v for v in document["verdicts"] if v["part"] == line["part"] and v["outcome"] == line["outcome"]]
    clauses = ", ".join(dict.fromkeys(f"{verdict['clause']} {verdict['form']}" for verdict in same))
    what = (
        f"{part['number']} rev {part['revision']}, {part['specification']} rev {part['specification_revision']}"
        if part
        else ""
    )
    if line["outcome"] not in DEVIATIONS:
        return what
    return f"{what}: {clauses}" + (
        f" ({lost})" if (lost := _not_known(same)) and line["outcome"] == "not shown" else ""
    )


def _not_known(verdicts: list[Block]) -> str:
    """The channels that some verdicts lack, in words."""
    names = list(dict.fromkeys(unknown["channel"] for verdict in verdicts for unknown in verdict["unknown"]))
    return f"not known throughout: {_some(names)}" if names else ""


def name_of(verdict: Block) -> str:
    """The thing judged, with the part it belongs to."""
    return (
        f"part {verdict['part']}"
        if verdict["thing"] in ("", verdict["part"])
        else f"part {verdict['part']}, {verdict['thing']}"
    )


def lines_of(verdict: Block, document: Block) -> Iterator[tuple[str, str]]:
    """All that stands behind a verdict, as labels and words; what was quoted from the paper is labelled ``paper``."""
    quoted = says(verdict, document)
    if quoted:
        yield "paper", f"“{quoted}”"
    doubtful = verdict["outcome"] == "not shown"
    if doubtful:  # its cause is what one asks for first
        yield from _cause(verdict)
    yield "limit", plain(verdict["limit"])
    margin = verdict["margin"]
    if margin:
        yield "found", f"{actual_words(margin)}, margin {margin_words(margin)}"
        yield "where", where(margin, document)
    if not doubtful:
        yield from _cause(verdict)
    for one in verdict["allowance_left"]:
        yield "left", f"{one['left']} {one['what']}"
    if verdict["phase"]:
        yield from phase_lines(verdict["phase"], document)
    for excursion in verdict["excursions"]:
        yield "outside", excursion_words(excursion, document)
    for unknown in verdict["unknown"]:
        yield "unknown", f"{unknown['channel']}: {stretch_words(unknown, document)}, {unknown['why']}"
        yield from _beside(unknown, verdict["evidence"], document)
    for aside in verdict["set_aside"]:
        yield "set aside", f"{aside['channel']}: {stretch_words(aside, document)}, by {aside['by']}: {aside['why']}"
    yield from otherwise(verdict)
    for sample in verdict["evidence"][:3]:
        yield "evidence", sample_words(sample, document)
    if len(verdict["evidence"]) > 3:
        yield "", f"and {len(verdict['evidence']) - 3} more in verdicts.json"


def _beside(unknown: Block, evidence: list[Block], document: Block) -> Iterator[tuple[str, str]]:
    """The last good sample before an unknown stretch and the first good one after it."""
    good = [sample for sample in evidence if sample["channel"] == unknown["channel"] and sample["value"] != "bad"]
    before = [sample for sample in good if unknown["from"] and sample["at"]["ns"] <= unknown["from"]["ns"]]
    after = [sample for sample in good if unknown["to"] and sample["at"]["ns"] >= unknown["to"]["ns"]]
    if before:
        yield "last good", sample_words(max(before, key=lambda sample: sample["at"]["ns"]), document)
    if after:
        yield "good again", sample_words(min(after, key=lambda sample: sample["at"]["ns"]), document)
    elif before:
        yield "good again", f"{unknown['channel']}: no good sample after it"


def _cause(verdict: Block) -> Iterator[tuple[str, str]]:
    """Why the outcome is what it is, and the notes on it."""
    yield "why", verdict["reason"]
    for note in verdict["notes"]:
        yield "note", note


def sample_words(sample: Block, document: Block) -> str:
    """A quoted sample with its file and line."""
    reading = f"{sample['channel']} {sample['value']} {sample['unit']} at {when(sample['at'], document)}"
    return f"{reading}: {sample['file']} line {sample['line']}"


def beside(verdict: Block) -> Iterator[tuple[str, str]]:
    """Outcomes under other readings, without what was set aside or conceded; chance; notes."""
    yield from otherwise(verdict)
    for note in verdict["notes"]:
        yield "note", note


def otherwise(verdict: Block) -> Iterator[tuple[str, str]]:
    """Outcomes without what was set aside or conceded, and under readings that the clause does not state; chance."""
    for name, words in WITHOUT.items():
        if verdict[name]:
            yield "otherwise", f"{verdict[name]} {words}"
    for reading in verdict["other_readings"]:
        if reading["flips"]:
            yield OTHER_READING, flip(reading)
    if verdict["probability"]:
        yield "chance", verdict["probability"]


def hangs_on_a_reading(verdicts: Iterable[Block]) -> bool:
    """Whether :data:`NOT_THE_CLAUSE` has to be said of some verdicts."""
    return any(reading["flips"] for verdict in verdicts for reading in verdict["other_readings"])


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


def stretch_words(stretch: Block, document: Block) -> str:
    """From when to when."""
    if stretch["from"] is not None and stretch["from"] == stretch["to"]:
        return when(stretch["from"], document)
    return f"{when(stretch['from'], document) or 'the start'} to {when(stretch['to'], document) or 'the end'}"


def excursion_words(excursion: Block, document: Block) -> str:
    """A stay outside the limits: channel, from and to, how long, how far."""
    doubt = "" if excursion["sure"] else ", only possibly in the phase"
    depth = f"by {excursion['depth']} {excursion['unit']} at {when(excursion['deepest_at'], document)}"
    return f"{excursion['channel']}: {stretch_words(excursion, document)}, {length(excursion['length_ns'])}, {depth}{doubt}"


def phase_lines(phase: Block, document: Block) -> Iterator[tuple[str, str]]:
    """The ends of a phase, each with its bounds where they are not the same instant."""
    at_once = phase["start"] == phase["end"] and all(
        each["from"] == each["to"] for each in (phase["sure"], phase["possible"])
    )
    ends = (("from", phase["start"]), ("to", phase["end"]))
    for end, words in ends[:1] if at_once else ends:
        bounds = [when(phase[kind][end], document) or "never or not known" for kind in ("possible", "sure")]
        spot = bounds[0] if bounds[0] == bounds[1] else f"between {' and '.join(sorted(bounds))}"
        yield "at" if at_once else end, f"{words}: {spot}" if words else spot


def says(verdict: Block, document: Block) -> str:
    """The sentence of the paper that a verdict is about."""
    for one in document["specifications"]:
        if (one["number"], one["revision"]) == (verdict["specification"], verdict["revision"]):
            return next((str(clause["says"]) for clause in one["clauses"] if clause["number"] == verdict["clause"]), "")
    return ""


def seconded(ruling: Block) -> str:
    """The second person of a ruling, where there is one."""
    return f", seconded by {ruling['second']}" if ruling["second"] else ""


def uncovered_lines(document: Block) -> list[str]:
    """The same stretch of several parts in one line."""
    found: dict[str, list[str]] = {}
    for stretch in sorted(
        document["uncovered"], key=lambda each: (each["quantity"], (each["from"] or {"ns": 0})["ns"])
    ):
        found.setdefault(f"{stretch['quantity']}: {stretch_words(stretch, document)}", []).append(stretch["part"])
    return [f"{words}, part{'s' * (len(parts) > 1)} {', '.join(parts)}" for words, parts in found.items()]


def change_words(change: Block) -> str:
    """A changed outcome in words."""
    spot = f"{name_of(change)}, clause {change['clause']} {change['form']}"
    was, now = (_outcome_words(change, when) for when in ("before", "now"))
    return f"{spot}: {was} in judgement {change['since_judgement']}, {now} now"


def _outcome_words(change: Block, when: str) -> str:
    """The outcome before or now, with what a person has signed; older files do not say that."""
    said = change.get(f"said_{when}", "")
    return (change[when] or "absent") + (f" ({said})" if said else "")


def finding_words(finding: Block) -> str:
    """A traceability finding in words, with the places in the user's files."""
    spots = "".join(f" [{_spot(place)}]" for place in finding["places"] if place["file"])
    what = f"what stands on {finding['name']}, of " if finding["kind"] in OF_THE_SENSOR else ""
    blocks = f" Cannot be judged because of it: {what}{', '.join(finding['blocks'])}." if finding["blocks"] else ""
    return f"{finding['kind']}: {finding['message']}{spots}{blocks}"


def _spot(place: Block) -> str:
    return f"{place['file']} line {place['line']}" if place["line"] else str(place["file"])

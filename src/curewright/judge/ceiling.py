"""The ceiling of a growing run: how much of its past one channel may leave behind, and what is said beyond that.

What of a run may still matter grows with what happens in it (noise about a level, excursions, bad samples), and a log can be made of
nothing else. A channel with more old samples that matter than there is room for is *given up*: it keeps its recent samples only, and every
verdict that stands on it is left open and names it, save one that had settled before: no continuation changes that, so it
stays as it was. The last word on those is the judgement of the whole record.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from curewright.judge.applies import applies
from curewright.judge.behind import asks_for_computed, members_behind
from curewright.judge.result import instant_text
from curewright.judge.things import things_of
from curewright.terms.errors import CurewrightError
from curewright.terms.verdict import Outcome, Verdict

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Requirement, Specification
    from curewright.terms.run import Run

ROOM = 30_000  # old samples that a channel may keep: some seven hours of noise about a level at a row a second
LISTED = 20  # excursions that a verdict keeps which had settled before a channel was given up
INTEGRATED = "left open: what is computed along a run needs every sample; the judgement of the whole record gives it"
Key = tuple[str, str, str, str]  # serial, clause, form, thing
Behind = dict[tuple[str, str, str], frozenset[str]]


@dataclass(eq=False)
class GivenUp:
    """The channels that were given up and when (``since``: to what instant the run was known then [ns]), and the
    verdicts on them that had settled before.
    """

    room: int = ROOM
    since: dict[str, int] = field(default_factory=dict)
    settled: dict[Key, Verdict] = field(default_factory=dict)
    computed: dict[int, frozenset[tuple[str, str]]] = field(default_factory=dict)  # (clause, form), by specification

    def keep_settled(self, scene: Scene, name: str, verdicts: Iterable[Verdict]) -> None:
        """Keeps those of a part's verdicts that hang on a channel and have settled, before the channel is given up."""
        behind = channels_behind(scene)
        for verdict in verdicts:
            hangs_on = _of(behind, verdict)
            if verdict.settled and name in hangs_on and not self._among(hangs_on):
                note = f"settled by {instant_text(scene.end)}, with margin and evidence of what was there then: {self._words(name)}"
                self.settled[_key(verdict)] = _short(replace(verdict, notes=(*verdict.notes, note)))

    def told(self, scene: Scene, verdicts: list[Verdict]) -> list[Verdict]:
        """The verdicts of a part, but those that hang on what was given up as they had settled, or open; and open those that
        need every sample of a run, for what is computed from it.
        """
        computed = self._computed(scene.specification)
        if computed:
            verdicts = [_left_open(v, INTEGRATED) if (v.clause, v.form) in computed else v for v in verdicts]
        if not self.since:
            return verdicts
        behind = channels_behind(scene)
        return [self._told(verdict, self._among(_of(behind, verdict))) for verdict in verdicts]

    def _computed(self, specification: Specification) -> frozenset[tuple[str, str]]:
        if id(specification) not in self.computed:  # which a growing run holds as long as it holds this
            self.computed[id(specification)] = frozenset(
                (clause.number, form.name)
                for clause in specification.clauses
                for form in clause.forms
                if asks_for_computed(specification, form)
            )
        return self.computed[id(specification)]

    def _among(self, channels: frozenset[str]) -> list[str]:
        return [name for name in self.since if name in channels]

    def _told(self, verdict: Verdict, names: list[str]) -> Verdict:
        if not names:
            return verdict
        return self.settled.get(_key(verdict)) or _left_open(verdict, f"left open: {self._words(names[0])}")

    def _words(self, name: str) -> str:
        return (
            f"more than {self.room:,} samples of {name} still matter, which is more than a growing run keeps;"
            " the judgement of the whole record has the last word"
        )


def _short(verdict: Verdict) -> Verdict:
    """The verdict with its deepest excursions only, so that what is kept of it is bounded too."""
    found = verdict.excursions
    if len(found) <= LISTED:
        return verdict
    deepest = sorted(range(len(found)), key=lambda i: (-float(found[i].depth), i))[:LISTED]
    note = f"listed are the {LISTED} deepest of {len(found):,} excursions"
    return replace(verdict, excursions=tuple(found[i] for i in sorted(deepest)), notes=(*verdict.notes, note))


def _left_open(verdict: Verdict, reason: str) -> Verdict:
    """The verdict without what was judged of a past that is not there any more."""
    return Verdict(
        verdict.part,
        verdict.specification,
        verdict.revision,
        verdict.clause,
        verdict.form,
        verdict.kind,
        verdict.thing,
        Outcome.OPEN,
        reason,
        verdict.limit,
        used=verdict.used,
        settled=False,
        behind=verdict.behind,
    )


def _key(verdict: Verdict) -> Key:
    return verdict.part, verdict.clause, verdict.form, verdict.thing


def channels_behind(scene: Scene) -> Behind:
    """The channels that each verdict of a part hangs on, by (clause, form, thing); all of a form's under the thing ''."""
    found: Behind = {}
    for clause in scene.specification.clauses:
        for form in clause.forms if applies(clause, scene.part)[0] is None else ():
            try:
                things = things_of(scene, form)
            except CurewrightError:
                continue
            for thing in things:
                found[clause.number, form.name, thing.name] = _channels(scene, form, thing)
            each = (found[clause.number, form.name, thing.name] for thing in things)
            found[clause.number, form.name, ""] = frozenset().union(*each)
    return found


def _channels(scene: Scene, form: Requirement, thing: Thing) -> frozenset[str]:
    """The channels of the sensors that a verdict hangs on, of first and of second recorders."""
    first = {channel.name for member in members_behind(scene, form, thing) for channel, _, _ in member.pieces}
    second = {channel.name for channel in scene.hall.run.channels.values() if channel.second_of in first}
    return frozenset(first | second)


def _of(behind: Behind, verdict: Verdict) -> frozenset[str]:
    whole = behind.get((verdict.clause, verdict.form, ""), frozenset())
    return behind.get((verdict.clause, verdict.form, verdict.thing), whole)


def check_same_run(record: Run, run: Run) -> None:
    """Raises :class:`~curewright.terms.errors.CurewrightError` where a record does not end as a growing run did."""
    for name, channel in run.channels.items():
        there = record.channels.get(name)
        last, wanted = (int(one.t[-1]) if one is not None and len(one.t) else None for one in (there, channel))
        if last != wanted:
            raise CurewrightError(
                f"in the record given, {name} ends at {_instant(last)}; in the growing run it ended at {_instant(wanted)}",
                expected="the whole record of this very run",
                remedy="give the recorder's file, read to its end",
            )


def _instant(instant: int | None) -> str:
    return "no sample" if instant is None else instant_text(instant)

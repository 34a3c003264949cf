"""The ready list: what a sheet, an audit or a standard asks for, T1 to T20, and which test holds the program to it.

Here stand those that need the whole road (files read, a specification understood, a run judged), and the index of all twenty. The others
stand beside their subject; each names its number. Sources beside each test. The runs are invented, and no sheet here is a controlling
specification. What an outcome has to be is worked out by hand from the sentence quoted.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from curewright.judge.judge import judge
from curewright.read.folder import read_folder
from curewright.read.traceability import trace
from curewright.terms.errors import AmbiguousClause, CurewrightError, flat
from curewright.terms.verdict import Outcome
from tests.requirements.case_run import VESSEL, judged, specification_of

if TYPE_CHECKING:
    from curewright.read.folder import RunInputs
    from curewright.terms.requirement import Specification
    from curewright.terms.verdict import Judgement

MET, NOT_MET, NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN
NOT_APPLICABLE = Outcome.NOT_APPLICABLE
HERE = Path(__file__).parent
EXAMPLES = HERE.parents[1] / "examples" / "specifications"


def example(name: str) -> str:
    """An example specification, without its comments."""
    text = (EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8")
    return "".join(f"{line}\n" for line in text.splitlines() if not line.startswith("#"))


def outcomes(found: Judgement) -> dict[tuple[str, str], Outcome]:
    """By clause and form; several thermocouples are not told apart."""
    return {(verdict.clause, verdict.form): verdict.outcome for verdict in found.verdicts}


# T7 -------------------------------------------------------------------------------------------------------------------
# A 180 °C-class interleaf-toughened epoxy. Its product sheet gives the breakpoint of 15 mm (0.6 in) and the upper bound of 48 mm
# (seen second-hand); the dwell of 180 ± 5 min at 150 ± 5 °C is from memory.
def dwelling(minutes: int) -> str:
    """Up to 150 °C at 2 K/min, there for so long, up to 180 and down. Inside 145 to 155: 2.5 min either side of the stay."""
    at = 60 + minutes
    return f"""min | TC1 degC | vessel pressure bar gauge | set point segment state
0 to 60 every 1 | 30 to 150 | 7 | heat-up
{60.5} to {at - 0.5} every 0.5 | 150 | 7 | heat-up
{at} to {at + 15} every 1 | 150 to 180 | 7 | heat-up
{at + 16} to {at + 130} every 2 | 180 | 7 | hold
{at + 131} to {at + 181} every 1 | 180 to 30 | 7 | cool
"""


@pytest.mark.parametrize(
    "thickness, dwell, outcome",
    [
        ("14.9 mm", 2, NOT_APPLICABLE),
        ("0.5 in", 2, NOT_APPLICABLE),
        ("15 mm", 2, NOT_MET),
        ("0.6 in", 2, NOT_MET),
        ("15 mm", 175, MET),  # 180 in the band
        ("48 mm", 169, NOT_MET),  # 174
        ("48 mm", 170, MET),  # 175, the end belongs to it
        ("48 mm", 180, MET),  # 185
        ("48 mm", 181, NOT_MET),  # 186
        ("48.1 mm", 175, NOT_APPLICABLE),
        ("not stated", 175, NOT_SHOWN),
    ],
)
def test_T7_thick_laminates_dwell_first(thickness: str, dwell: int, outcome: Outcome) -> None:
    stated = "" if thickness == "not stated" else f"attributes: {{thickness: {thickness}}}\n"
    part = f"specification: EX-180-T\n{stated}"
    blocks = {"yaml": example("180C-thickness-dependent-dwell"), "log": dwelling(dwell), "part": part}
    found = outcomes(judged(blocks).judgement)
    assert found[("4", "duration")] is outcome
    thin = {NOT_APPLICABLE: MET, NOT_SHOWN: NOT_SHOWN}.get(outcome, NOT_APPLICABLE)
    assert found[("3", "rate")] is (NOT_APPLICABLE if thickness == "48.1 mm" else thin), "the ramp of thin laminates"


# T8 -------------------------------------------------------------------------------------------------------------------
# One class of resin, two sheets, both from memory: 7 bar before heating; or 85 to 100 psi after 30 to 60 min of the first dwell, before the
# second heating. 6.85 bar (99.4 psi) suits both, and so do dwell (108 °C) and soak (178 °C): only the order is another.
RESIN = {"before": "180C-pressure-before-heat", "after": "180C-pressure-after-first-dwell"}
FOLLOWS = {"before": "EX-180-E", "after": "EX-180-U"}
# clause 2 of one, clauses 3 and 4 of the other
PRESSED_BEFORE = """min | TC1 degC | vessel pressure bar gauge | set point segment state
0 to 20 every 1 | 20 | 0 to 6.85 | pressurise
21 to 65 every 1 | 20 to 108 | 6.85 | heat-up
66 to 125 every 1 | 108 | 6.85 | heat-up
126 to 160 every 1 | 110 to 178 | 6.85 | heat-up
161 to 180 every 1 | 178 | 6.85 | heat-up
"""
PRESSED_AFTER = """min | TC1 degC | vessel pressure bar gauge | set point segment state
0 to 20 every 1 | 20 | 0 | off
21 to 65 every 1 | 20 to 108 | 0 | heat-up
66 to 105 every 1 | 108 | 0 | heat-up
106 to 125 every 1 | 108 | 0.2 to 6.85 | heat-up
126 to 160 every 1 | 110 to 178 | 6.85 | heat-up
161 to 180 every 1 | 178 | 6.85 | heat-up
"""
PRESSED_LATE = """min | TC1 degC | vessel pressure bar gauge | set point segment state
0 to 20 every 1 | 20 | 0 | off
21 to 65 every 1 | 20 to 108 | 0 | heat-up
66 to 125 every 1 | 108 | 0 | heat-up
126 to 160 every 1 | 110 to 178 | 0.2 to 6.85 | heat-up
161 to 180 every 1 | 178 | 6.85 | heat-up
"""
NEVER_PRESSED = """min | TC1 degC | vessel pressure bar gauge | set point segment state
0 to 20 every 1 | 20 | 0 | off
21 to 65 every 1 | 20 to 108 | 0 | heat-up
66 to 180 every 1 | 108 to 178 | 0 | heat-up
"""


@pytest.mark.parametrize(
    "log, before, after, before_the_second_heating",
    [
        pytest.param(PRESSED_BEFORE, MET, NOT_MET, MET, id="before heat"),
        pytest.param(PRESSED_AFTER, NOT_MET, MET, MET, id="after 40 min of the dwell"),
        pytest.param(PRESSED_LATE, NOT_MET, NOT_MET, NOT_MET, id="in the second heating, after 62 min"),
        pytest.param(NEVER_PRESSED, NOT_MET, NOT_MET, NOT_MET, id="never"),
    ],
)
def test_T8_pressure_before_heat_and_after_the_dwell_are_told_apart(
    log: str, before: Outcome, after: Outcome, before_the_second_heating: Outcome
) -> None:
    found = {}
    for which, name in RESIN.items():
        blocks = {"yaml": example(name), "log": log, "part": f"specification: {FOLLOWS[which]}\n"}
        found[which] = outcomes(judged(blocks).judgement)
    assert found["before"][("2", "order")] is before
    assert found["after"][("3", "order")] is after
    assert found["after"][("4", "order")] is before_the_second_heating


# T15 ------------------------------------------------------------------------------------------------------------------
# A product sheet (seen second-hand): out life at most 28 days at no more than 21 °C and 60 % relative humidity, after a single frozen
# storage in the unopened package. Outside its conditions the figure says nothing; that somebody may then grant another one is our reading.
OUT_TIME = """units: {temperature: degC, time: min}
events:
  laid up: {for each: part, when: hand entry}
  heating starts: {for each: vessel, when: set point is heat}
clauses:
  "5.1":
    says: Material kept at 21 °C and 60 % RH at most, after a single frozen storage, shall be cured within 28 days out of the freezer.
    for parts: {room temperature: at most 21 degC, room humidity: at most 60 %, frozen storages: at most 1 count}
    order: {for each: part, first: laid up, then: heating starts, within: at most the part's remaining out-time}
  "5.2":
    says: For material kept warmer, the limit is that of an approved extension.
    for parts: {room temperature: above 21 degC}
    order: {for each: part, first: laid up, then: heating starts, within: at most the part's extended out-time}
  "5.3":
    says: For material kept damper, the limit is that of an approved extension.
    for parts: {room humidity: above 60 %}
    order: {for each: part, first: laid up, then: heating starts, within: at most the part's extended out-time}
  "5.4":
    says: For material that was frozen again, the limit is that of an approved extension.
    for parts: {frozen storages: above 1 count}
    order: {for each: part, first: laid up, then: heating starts, within: at most the part's extended out-time}
"""
WAITED = {  # four minutes from the entry to the heat
    "log": "min | TC1 degC | set point state\n0 | 20 | off\n2 | 20 | off\n4 | 20 | heat\n6 | 21 | heat\n",
    "entries": "- {event: laid up, part: S1, at: 0, plus or minus: 0 min, by: operator C}\n",
}


def out_time(**stated: str) -> Judgement:
    said = ", ".join(
        f"{name.replace('out_time', 'out-time').replace('_', ' ')}: {value}" for name, value in stated.items()
    )
    return judged({"yaml": OUT_TIME, **WAITED, "part": f"attributes: {{{said}}}\n"}).judgement


AS_WRITTEN = {"room_temperature": "21 degC", "room_humidity": "60 %", "frozen_storages": "1 count"}
LEFT = {"remaining_out_time": "9 day"}


@pytest.mark.parametrize("left, outcome", [("9 day", MET), ("4 min", MET), ("3.9 min", NOT_MET)])
def test_T15_under_its_conditions_the_limit_decides(left: str, outcome: Outcome) -> None:
    found = out_time(**AS_WRITTEN, remaining_out_time=left)
    assert outcomes(found)[("5.1", "order")] is outcome
    assert found.roll_up == (("S1", outcome),)


@pytest.mark.parametrize(
    "other",
    [
        pytest.param({"room_temperature": "24 degC"}, id="24 °C room"),
        pytest.param({"room_humidity": "61 %"}, id="61 % RH"),
        pytest.param({"frozen_storages": "2 count"}, id="frozen again"),
    ],
)
def test_T15_where_its_conditions_do_not_hold_28_days_do_not_apply_and_nothing_is_met(other: dict[str, str]) -> None:
    """All of the 28 days may be left; it does not help. An approved extension does, under its own clause."""
    found = out_time(**(AS_WRITTEN | other | LEFT))
    assert outcomes(found)[("5.1", "order")] is NOT_APPLICABLE
    assert MET not in outcomes(found).values()
    assert found.roll_up == (("S1", NOT_SHOWN),)
    (asked,) = [verdict for verdict in found.verdicts if verdict.outcome is NOT_SHOWN]
    assert "'extended out-time' among the attributes of the part" in asked.reason
    extended = out_time(**(AS_WRITTEN | other | LEFT), extended_out_time="2 day")
    assert outcomes(extended)[("5.1", "order")] is NOT_APPLICABLE
    assert extended.roll_up == (("S1", MET),)


@pytest.mark.parametrize("unstated", AS_WRITTEN)
def test_T15_a_condition_that_nobody_stated_is_not_taken_to_hold(unstated: str) -> None:
    stated = {name: value for name, value in AS_WRITTEN.items() if name != unstated}
    found = out_time(**stated, **LEFT)
    assert outcomes(found)[("5.1", "order")] is NOT_SHOWN
    assert found.roll_up == (("S1", NOT_SHOWN),)


def test_T15_a_part_is_met_by_28_days_only_where_all_conditions_hold() -> None:
    """All combinations of what may be stated, or not, of the three conditions."""
    values = {
        "room_temperature": ("20.9 degC", "21.1 degC", ""),
        "room_humidity": ("50 %", "75 %", ""),
        "frozen_storages": ("1 count", "3 count", ""),
    }
    met = []
    for chosen in product(*values.values()):
        stated = {name: value for name, value in zip(values, chosen, strict=True) if value}
        if dict(out_time(**stated, **LEFT).roll_up)["S1"] is MET:
            met.append(chosen)
    assert met == [("20.9 degC", "50 %", "1 count")]


# T16 ------------------------------------------------------------------------------------------------------------------
# A guide to prepregs, two issues (both seen second-hand): 95 % vacuum, drop of 10 % in 5 min at most; later 5 % in 10 min. In mbar of 1013.
LEAK = """units: {{temperature: degC, vacuum: mbar of vacuum, time: min}}
revision: {revision}
recording: {{largest gap: 10 min, lost after: 15 min}}
events:
  source closed: {{for each: bag, when: hand entry}}
clauses:
  "1":
    says: With 95 % vacuum on the bag, close the source; no more than {percent} % may be lost in {minutes} minutes.
    leak check:
      for each: bag
      isolated by: source closed
      starting: at least 962
      settling: 0 min
      window: worst
      loses: at most {mbar} mbar in {minutes} min
"""
EARLIER = LEAK.format(revision="1", percent=10, minutes=5, mbar=101.3)
LATER = LEAK.format(revision="2", percent=5, minutes=10, mbar=50.65)
SLOW_LEAK = {  # 40 mbar in any 5 min, 80 in 10
    "log": "min | bag vacuum mbar of vacuum\n0 | 970\n5 | 930\n10 | 890\n",
    "entries": "- {event: source closed, bag: B1, at: 0, until: 10, plus or minus: 0 min, by: operator C}\n",
}


def leak_run(revision: str, written: str):
    part = f'specification revision: "{revision}"\n'
    return judged({"yaml": written, **SLOW_LEAK, "part": part})


def both() -> tuple[Specification, Specification]:
    return specification_of({"yaml": EARLIER}), specification_of({"yaml": LATER})


@pytest.mark.parametrize("revision, outcome, margin", [("1", MET, "61.3"), ("2", NOT_MET, "-29.35")])
def test_T16_a_part_is_judged_by_the_revision_that_it_follows(revision: str, outcome: Outcome, margin: str) -> None:
    """The same bag and log: 101.3 − 40 = 61.3; 50.65 − 80 = −29.35. Which other revisions are at hand changes nothing."""
    found = leak_run(revision, EARLIER if revision == "1" else LATER)
    for at_hand in ((found.specification,), both(), both()[::-1]):
        (verdict,) = judge(at_hand, VESSEL, found.load, found.run).verdicts
        assert (verdict.outcome, verdict.revision, verdict.margin.value) == (outcome, revision, margin)


@pytest.mark.parametrize("follows, given", [("2", EARLIER), ("1", LATER), ("3", LATER)])
def test_T16_with_another_revision_nothing_is_judged(follows: str, given: str) -> None:
    with pytest.raises(
        CurewrightError, match=f"part S1 follows specification EX-1 revision {follows}, which was not given"
    ):
        leak_run(follows, given)


def test_T16_two_parts_of_one_load_may_follow_two_revisions() -> None:
    found = leak_run("1", EARLIER)
    second = replace(found.load.parts[0], serial="S2", specification_revision="2")
    load = replace(found.load, parts=(*found.load.parts, second))
    assert judge(both(), VESSEL, load, found.run).roll_up == (("S1", MET), ("S2", NOT_MET))


# T17 ------------------------------------------------------------------------------------------------------------------
# Audit questions for a cure job (public secondary text, seen): a cure record is labelled with all parameters, date and time, facility,
# equipment id, part and serial numbers; instruments are in calibration. What is missing is refused or reported, by its name.
PAPERS = {
    "run.yaml": "run: R-1\nvessel: vessel.yaml\nload: load.yaml\nspecifications: spec.yaml\n"
    "recordings: [{file: log.csv, layout: layout.yaml}]\nentries: entries.yaml\ntime zone: UTC\n"
    "closing: {by: C. Inspector, at: 2031-03-04 23:00, covers the whole run: yes}\n",
    "vessel.yaml": "vessel: V-2\nagreement at ambient: within 2 K\n"
    "recorders:\n  main: {calibration: {certificate: C-0, due: 2031-09-30}}\n"
    "sensors:\n  T1: {channel: T1, measures: temperature, calibration: {certificate: C-1, due: 2031-09-30}}\n"
    "  G1: {channel: G1, measures: vacuum, calibration: {certificate: C-2, due: 2031-09-30}}\n"
    "ports:\n  V1: {kind: vacuum, sensor: none}\n  V2: {kind: vacuum, sensor: G1}\n",
    "load.yaml": "load: R-1\nvessel: V-2\nmap by: A. Planner\n"
    "parts:\n  - serial: S-7\n    number: P-100\n    revision: B\n    lot: L-3\n    bag: B1\n    tool: T-9\n"
    "    specification: EX-1\n    specification revision: C\n"
    "bags:\n  B1: {ports: [V1, V2]}\nmap:\n  - {sensor: T1, role: judging, part: S-7}\n  - {sensor: G1, role: bag transducer, bag: B1}\n",
    "layout.yaml": "layout: L\nrecorder: main\nencoding: utf-8\nseparator: comma\ndecimal sign: point\nlines before the header: 0\n"
    "header rows: names\ntime: {columns: Time, format: iso, zone: UTC}\nblank means: lost\n"
    "columns:\n  - {columns: [T1], unit: degC, kind: continuous}\n  - {columns: [G1], unit: mbar of vacuum, kind: continuous}\n",
    "log.csv": "Time,T1,G1\n2031-03-04T21:40:00,20,900\n2031-03-04T22:40:00,80,905\n",
    "entries.yaml": "entries:\n  - {event: leak check, part: S-7, at: 2031-03-04 21:50, plus or minus: 0 s, by: B. Operator}\n",
}


def papers(folder: Path, name: str = "", old: str = "", new: str = "") -> RunInputs:
    """The papers of a run, one text in one of them replaced."""
    for file, text in PAPERS.items():
        if file == name:
            assert text.count(old) == 1, f"'{old}' is {text.count(old)} times in {file}"
        (folder / file).write_text(text.replace(old, new) if file == name else text, encoding="utf-8")
    return read_folder(folder)


def test_T17_papers_in_which_nothing_is_missing_are_read_without_a_finding(tmp_path: Path) -> None:
    found = papers(tmp_path)
    assert trace(found.vessel, found.load, found.run, {"S-7": 1}, found.rulings) == ()
    (part,) = found.load.parts
    assert (part.serial, part.number, found.vessel.name, found.run.number) == ("S-7", "P-100", "V-2", "R-1")
    assert found.run.start.isoformat() == "2031-03-04T21:40:00+00:00"


REFUSED = [  # the paper, what is taken out of it, what stands there instead, the words of the refusal
    ("load.yaml", "serial: S-7\n    number", "number", "a part without 'serial'"),
    ("load.yaml", "    number: P-100\n", "", "a part without 'number'"),
    ("load.yaml", "    revision: B\n", "", "a part without 'revision'"),
    ("load.yaml", "    lot: L-3\n", "", "a part without 'lot'"),
    ("load.yaml", "    tool: T-9\n", "", "a part without 'tool'"),
    ("load.yaml", "    specification: EX-1\n", "", "a part without 'specification'"),
    ("load.yaml", "    specification revision: C\n", "", "a part without 'specification revision'"),
    ("load.yaml", "load: R-1\n", "", "a load without 'load'"),
    ("load.yaml", "vessel: V-2\n", "", "a load without 'vessel'"),
    ("load.yaml", "map by: A. Planner\n", "", "a load without 'map by'"),
    ("vessel.yaml", "vessel: V-2\n", "", "a vessel without 'vessel'"),
    ("vessel.yaml", "certificate: C-1, ", "", "a calibration without 'certificate'"),
    ("vessel.yaml", "certificate: C-1, due: 2031-09-30", "certificate: C-1", "a calibration without 'due'"),
    ("run.yaml", "run: R-1\n", "", "a run sheet without 'run'"),
    ("run.yaml", "vessel: vessel.yaml\n", "", "nothing names the vessel"),
    ("run.yaml", "by: C. Inspector, ", "", "a closing without 'by'"),
    ("run.yaml", "at: 2031-03-04 23:00, ", "", "a closing without 'at'"),
    ("run.yaml", "2031-03-04 23:00", "23:00", "'23:00' is no date and time"),
    ("run.yaml", "time zone: UTC\n", "", "'2031-03-04 21:50' has no time zone"),
    ("layout.yaml", ", zone: UTC", "", "the time without 'zone'"),
    ("layout.yaml", "unit: degC, ", "", "the column 'T1' has no unit"),
    ("log.csv", "2031-03-04T21:40:00", "21:40:00", "the time '21:40:00' is not readable"),
    ("log.csv", "2031-03-04T21:40:00", "", "the time is blank"),
    ("entries.yaml", ", by: B. Operator", "", "an entry without 'by'"),
    ("entries.yaml", "at: 2031-03-04 21:50, ", "", "an entry without 'at'"),
    ("entries.yaml", "2031-03-04 21:50", "21:50", "'21:50' is no date and time"),
]


@pytest.mark.parametrize("name, old, new, said", REFUSED, ids=[f"{case[0]}: {case[3]}" for case in REFUSED])
def test_T17_what_is_missing_is_refused_by_name_and_place(
    tmp_path: Path, name: str, old: str, new: str, said: str
) -> None:
    with pytest.raises(CurewrightError) as refused:
        papers(tmp_path, name, old, new)
    about = [str(error) for error in flat(refused.value) if said in str(error)]
    assert len(about) == 1, str(refused.value)
    assert re.search(r"(run|load|vessel|layout|entries)\.yaml:\d+:\d+: |log\.csv:\d+:\d+: ", about[0])


REPORTED = [
    ("vessel.yaml", ", calibration: {certificate: C-1, due: 2031-09-30}", "", ("calibration not stated", "T1")),
    ("vessel.yaml", "C-1, due: 2031-09-30", "C-1, due: 2031-03-03", ("calibration out of date", "T1")),
    ("vessel.yaml", "  main: {", "  spare: {", ("unknown recorder", "main")),
    ("layout.yaml", "recorder: main\n", "", ("recorder not stated", "log.csv")),
    ("load.yaml", "load: R-1\n", "load: R-2\n", ("other run", "R-2")),
    ("load.yaml", "vessel: V-2\n", "vessel: V-3\n", ("other vessel", "V-3")),
    ("load.yaml", "- {sensor: G1, role: bag transducer, bag: B1}", "- {sensor: G1, role: other}", ("bag without a transducer", "B1")),
]  # fmt: skip


@pytest.mark.parametrize("name, old, new, finding", REPORTED, ids=[case[3][0] for case in REPORTED])
def test_T17_what_does_not_fit_is_reported_by_name(
    tmp_path: Path, name: str, old: str, new: str, finding: tuple[str, str]
) -> None:
    found = papers(tmp_path, name, old, new)
    findings = trace(found.vessel, found.load, found.run, {"S-7": 1}, found.rulings)
    assert [(each.kind, each.name) for each in findings] == [finding]


# T20 ------------------------------------------------------------------------------------------------------------------
# A product sheet of a 135 °C-class epoxy (seen second-hand) prints 2 °C/min on the air, 1 h at 135 °C, 6.2 bar, and no tolerance at all.
NO_TOLERANCE = {
    "Raise the air temperature 2 °C/min.": (
        "2",
        "rate: {for each: vessel, signal: mean of air thermocouples, from: record starts, to: record ends, sense: heating, "
        "by: whole phase, while: throughout, because: the paper says so, within: LIMIT degC/min}",
    ),
    "Hold 1 h at 135 °C.": (
        "60",
        "duration: {for each: part, from: record starts, to: record ends, clock of: coldest part thermocouple, "
        "runs while: it is 130 to 140, when it leaves: the clock restarts, within: LIMIT min}",
    ),
    "Cure at 135 °C.": (
        "135",
        "band: {for each: part thermocouple, from: record starts, to: record ends, within: LIMIT}",
    ),
    "Raise the pressure to 6.2 bar.": (
        "6.2",
        "band: {for each: vessel, signal: vessel pressure, from: record starts, to: record ends, within: LIMIT bar gauge}",
    ),
}


def sentence(says: str, form: str) -> Specification:
    return specification_of({"yaml": f'clauses:\n  "1":\n    says: "{says}"\n    {form}\n'})


@pytest.mark.parametrize("says", NO_TOLERANCE)
def test_T20_a_sentence_without_a_tolerance_is_refused_with_the_choices(says: str) -> None:
    number, form = NO_TOLERANCE[says]
    with pytest.raises(CurewrightError) as refused:
        sentence(says, form.replace("LIMIT", number))
    (error,) = flat(refused.value)
    assert isinstance(error, AmbiguousClause)
    assert "(clause 1)" in str(error)
    assert f"'{number}' states no tolerance" in str(error)
    for choice in (f"'{number} ± …'", f"'{number} +…/-…'", f"'at least {number}'", f"'at most {number}'"):
        assert choice in str(error)


@pytest.mark.parametrize("says", NO_TOLERANCE)
@pytest.mark.parametrize("choice", ["NUMBER ± 1", "NUMBER +1/-0", "at least NUMBER", "at most NUMBER"])
def test_T20_each_of_the_choices_is_taken(says: str, choice: str) -> None:
    number, form = NO_TOLERANCE[says]
    (clause,) = sentence(says, form.replace("LIMIT", choice.replace("NUMBER", number))).clauses
    limits = clause.forms[0].alternatives[0].limits if says.startswith("Hold") else clause.forms[0].limits
    assert (limits.low is None, limits.high is None) == (choice.startswith("at most"), choice.startswith("at least"))


def test_T20_left_as_it_stands_the_sentence_is_counted_as_not_covered_and_nothing_is_met() -> None:
    text = 'clauses:\n  "1":\n    says: Cure at 135 °C.\n    not covered: Cure at 135 °C, without a tolerance.\n'
    found = judged({"yaml": text, "log": "min | TC1 degC\n0 | 135\n1 | 135\n"}).judgement
    assert (found.clauses_by_program, found.clauses_not_covered) == (0, 1)
    assert found.roll_up == (("S1", NOT_SHOWN),)


# The index ------------------------------------------------------------------------------------------------------------
# Where each number stands: the files of this folder, and how many test functions there bear it in their name or docstring.
INDEX = {
    "T1": {"judge_cure_requirements": 1},
    "T2": {"judge_cure_requirements": 2},
    "T3": {"judge_cure_requirements": 1},
    "T4": {"judge_cure_requirements": 1},
    "T5": {"judge_cure_requirements": 2},
    "T6": {"judge_cure_requirements": 1},
    "T7": {"ready_list": 1},
    "T8": {"ready_list": 1},
    "T9": {"judge_cure_requirements": 2},
    "T10": {"judge_cure_requirements": 1},
    "T11": {"thermocouple_tolerances": 6},
    "T12": {"jcgm_106": 8},
    "T13": {"atmosphere_and_leaks": 3, "judge_cure_requirements": 3},
    "T14": {"atmosphere_and_leaks": 1, "judge_cure_requirements": 1},
    "T15": {"ready_list": 4},
    "T16": {"ready_list": 3},
    "T17": {"ready_list": 3},
    "T18": {"judge_cure_requirements": 1},
    "T19": {"thermocouple_tables": 1},
    "T20": {"ready_list": 3},
}


@cache
def functions_here() -> tuple[tuple[str, str, str], ...]:
    """Every test function: its file, its name, and what its name and docstring say."""
    found = []
    for path in sorted(HERE.glob("test_*.py")):
        for each in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(each, ast.FunctionDef) and each.name.startswith("test_"):
                said = f"{each.name.replace('_', ' ')} {ast.get_docstring(each) or ''}"
                found.append((path.stem.removeprefix("test_"), each.name, said))
    return tuple(found)


@pytest.mark.parametrize("number", [f"T{i}" for i in range(1, 21)])
def test_each_of_the_twenty_is_where_the_index_says(number: str) -> None:
    naming = [(file, name) for file, name, said in functions_here() if re.search(rf"\b{number}\b", said)]
    assert naming, f"no test names {number}"
    assert Counter(file for file, _ in naming) == INDEX[number], naming

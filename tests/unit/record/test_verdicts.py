"""The verdicts file: valid by its published schema (checked with the general library jsonschema), deterministic, readable again."""

import json
from dataclasses import replace
from importlib import resources

import jsonschema
import pytest

from curewright.record.changes import changes
from curewright.record.seal import sealed_text
from curewright.record.verdicts import Document, Writer, read_verdicts, verdicts_text
from curewright.record.words import change_words
from curewright.terms.errors import FileError
from curewright.terms.load import ALWAYS, Load, Ruling
from curewright.terms.run import Run
from curewright.terms.verdict import Judgement, Outcome, Verdict

SCHEMA = json.loads(resources.files("curewright.record").joinpath("schemas", "verdicts.schema.json").read_text())


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_valid_by_the_schema(document: Document) -> None:
    jsonschema.validate(json.loads(verdicts_text(document)), SCHEMA)


def test_an_unknown_member_is_not_valid(document: Document) -> None:
    sealed = json.loads(verdicts_text(document))
    sealed["verdicts"][0]["disposition"] = "none of our business"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(sealed, SCHEMA)


def test_the_same_bytes_again(judgement: Judgement, load: Load, run: Run) -> None:
    texts = {verdicts_text(Writer(judgement, (), load, run).document()) for _ in range(3)}
    assert len(texts) == 1


def test_what_a_reader_needs(document: Document) -> None:
    verdict = next(v for v in document["verdicts"] if v["clause"] == "4.7")
    assert verdict["outcome"] == "not met"
    assert verdict["margin"]["at"] == {"time": "2026-03-29T03:40:00.000000001+02:00", "ns": 6_000_000_000_001}
    assert verdict["margin"]["place"] == "part 00123, edge top"
    assert verdict["phase"]["sure"]["from"]["ns"] == 60 * 10**9
    assert verdict["phase"]["possible"]["to"] is None
    assert verdict["set_aside"][0]["to"] is None
    assert verdict["evidence"][0]["line"] == 44
    assert document["clauses"] == {"by_program": 5, "by_a_person": 1, "not_covered": 0}
    assert document["traceability"][0]["places"] == [{"file": "load.yaml", "line": 4, "column": 9}]


def test_read_again(document: Document) -> None:
    assert read_verdicts(verdicts_text(document))["verdicts"] == document["verdicts"]


def test_another_format_or_version_is_refused(document: Document) -> None:
    with pytest.raises(FileError, match="version 2"):
        read_verdicts(sealed_text({**document, "version": 2}))
    with pytest.raises(FileError, match="format"):
        read_verdicts(sealed_text({**document, "format": "something else"}))


def test_a_ruling_shows_both_people(judgement: Judgement, load: Load, run: Run) -> None:
    ruling = Ruling("set aside", "TC7", 0, 10, "engineer B", "open circuit", second="engineer C")
    (block,) = Writer(judgement, (), load, run).document(rulings=(ruling,))["rulings"]
    assert (block["person"], block["second"]) == ("engineer B", "engineer C")


def test_every_changed_outcome_is_listed(
    document: Document, judgement: Judgement, short_soak: Verdict, load: Load, run: Run
) -> None:
    verdicts = tuple(
        replace(v, outcome=Outcome.MET) if v == short_soak else v for v in judgement.verdicts if v.clause != "4.9"
    )
    extra = replace(short_soak, clause="4.12")
    later = Writer(replace(judgement, verdicts=(*verdicts, extra)), (), load, run).document()
    found = {(change.key[2], change.before, change.now) for change in changes(document, later["verdicts"])}
    assert found == {("4.7", "not met", "met"), ("4.9", "not applicable", None), ("4.12", None, "not met")}


def test_a_sentence_that_was_signed_since_is_a_change_and_says_by_whom(
    document: Document, judgement: Judgement, load: Load, run: Run
) -> None:
    verdicts = tuple(
        replace(v, reason="seen, no wrinkles (inspector E)", settled=True) if v.clause == "4.10" else v
        for v in judgement.verdicts
    )
    later = Writer(replace(judgement, verdicts=verdicts), (), load, run).document()
    (change,) = changes(document, later["verdicts"])
    assert (change.before, change.now) == ("by a person", "by a person")
    assert change_words(change.block()) == (
        "part 00123, clause 4.10 duration: by a person (reason of 4.10) in judgement 1, "
        "by a person (seen, no wrinkles (inspector E)) now"
    )
    older = {name: value for name, value in change.block().items() if not name.startswith("said")}
    assert change_words(older).endswith("by a person in judgement 1, by a person now")


def test_another_reason_of_the_same_outcome_is_no_change(
    document: Document, judgement: Judgement, load: Load, run: Run
) -> None:
    verdicts = tuple(replace(v, reason=f"{v.reason}!") for v in judgement.verdicts if v.clause != "4.10")
    kept = tuple(v for v in judgement.verdicts if v.clause == "4.10")
    later = Writer(replace(judgement, verdicts=(*verdicts, *kept)), (), load, run).document()
    assert changes(document, later["verdicts"]) == ()


def test_recorders_with_their_clocks_and_flags_of_sensors(document: Document) -> None:
    main, backup = document["recorders"]
    assert (main["recorder"], main["files"], main["clock"], main["interval_ns"]) == (
        "main",
        ["log.csv"],
        None,
        30 * 10**9,
    )
    assert [(gap["from"]["ns"], gap["to"]["ns"]) for gap in main["gaps"]] == [(60 * 10**9, 540 * 10**9)]
    clock = backup["clock"]
    assert clock["at"]["ns"] == 60 * 10**9
    assert {name: clock[name] for name in clock if name != "at"} == {
        "ahead_ns": -75 * 10**9,
        "plus_minus_ns": 6 * 10**9,
        "standard_uncertainty_ns": 2 * 10**9,
        "drift_ppm": "12.5",
        "how": "CH7 recorded by both, at 40 instants",
        "person": "",
    }
    assert backup["notes"] == ["2 files joined"]
    (flag,) = document["flags"]
    assert (flag["channel"], flag["kind"], flag["from"]["ns"], flag["to"]) == ("CH8", "lost", 60 * 10**9, None)
    assert flag["answers"] == []


def test_rulings_answer_the_flags_that_they_are_about(judgement: Judgement, load: Load, run: Run) -> None:
    def ruled(kind: str, sensor: str, start: int, end: int) -> Ruling:
        return Ruling(kind, sensor, start, end, "inspector B", "seen on the camera")

    writer = Writer(judgement, (), load, run)
    lost = 60 * 10**9
    for ruling, answers in (
        (ruled("trusted", "CH8", 0, ALWAYS), ["trusted by inspector B: seen on the camera"]),
        (ruled("set aside", "CH8", lost, ALWAYS), ["set aside by inspector B: seen on the camera"]),
        (ruled("set aside", "CH8", 0, lost - 1), []),
        (ruled("set aside", "CH7", 0, ALWAYS), []),
    ):
        assert writer.document((ruling,))["flags"][0]["answers"] == answers


def test_the_air_pressure_has_its_number_and_its_source(judgement: Judgement, load: Load, run: Run) -> None:
    """1003 hPa is 100.30 kPa, kept as 100 300 000 mPa."""
    sited = replace(run, barometer=100_300_000.0, barometer_from="site pressure of the vessel A2")
    found = Writer(judgement, (), load, sited).document()
    assert found["run"]["air_pressure"] == {
        "value": "100.30", "unit": "kPa absolute", "from": "site pressure of the vessel A2",
    }  # fmt: skip
    jsonschema.validate(json.loads(verdicts_text(found)), SCHEMA)
    assert Writer(judgement, (), load, run).document()["run"]["air_pressure"] is None

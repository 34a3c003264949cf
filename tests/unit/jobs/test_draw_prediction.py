"""What is kept of a prediction and of a replay: the demo, once each."""

import csv
import io
import json
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from curewright.jobs.draw_prediction import keep, prediction_files, replay_files
from curewright.jobs.predict_run import Predicted, Replayed, band_of, predict_load, replay_run
from curewright.jobs.schemas import schema
from curewright.jobs.understand_run import RunFiles
from curewright.record.seal import opened
from curewright.terms.errors import CurewrightError


@pytest.fixture(scope="module")
def predicted(demo_once: Path) -> Predicted:
    return predict_load(demo_once)


@pytest.fixture(scope="module")
def replayed(demo_once: Path) -> Replayed:
    return replay_run(RunFiles(demo_once))


@pytest.fixture(scope="module")
def kept(predicted: Predicted) -> dict[str, bytes]:
    return prediction_files(predicted, band_of(predicted, 20))


@pytest.fixture(scope="module")
def kept_replay(replayed: Replayed, predicted: Predicted) -> dict[str, bytes]:
    return replay_files(replayed, predicted)


def document_of(files: dict[str, bytes]) -> dict:
    return opened(files["prediction.json"].decode("utf-8"))


def rows_of(files: dict[str, bytes]) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(files["traces.csv"].decode("utf-8-sig"), newline="")))


def test_the_file_fits_its_schema_and_its_seal(kept: dict[str, bytes], kept_replay: dict[str, bytes]) -> None:
    check = Draft202012Validator(schema("prediction"))
    for files, kind in ((kept, "PREDICTED, not recorded"), (kept_replay, "REPLAYED by the model, not recorded")):
        document = document_of(files)
        assert [error.message for error in check.iter_errors(document)] == []
        assert document["kind"] == kind
        assert "never evidence" in document["says"]


def test_every_file_beside_it_is_named_with_its_digest(kept: dict[str, bytes]) -> None:
    document = document_of(kept)
    named = {one["file"]: one["sha256"] for one in (*document["pictures"], document["traces"])}
    assert named == {name: sha256(content).hexdigest() for name, content in kept.items() if name != "prediction.json"}


def test_inputs_are_the_files_of_the_folder(
    demo_once: Path, kept: dict[str, bytes], kept_replay: dict[str, bytes]
) -> None:
    for files in (kept, kept_replay):
        inputs = {one["file"]: one["sha256"] for one in document_of(files)["inputs"]}
        for name, digest in inputs.items():
            assert sha256((demo_once / name).read_bytes()).hexdigest() == digest
        assert {"run.yaml", "build-up.yaml", "vessel-heat.yaml", "specification-EX-177-2.yaml"} <= inputs.keys()
    assert "recorder.csv" in inputs


def test_every_plot_says_what_it_is(kept: dict[str, bytes], kept_replay: dict[str, bytes]) -> None:
    zones = 9
    for files, word, banded in (
        (kept, "PREDICTED, not recorded", zones),
        (kept_replay, "REPLAYED by the model, not recorded", 0),
    ):
        plots = [content.decode("utf-8") for name, content in files.items() if name.endswith(".svg")]
        assert len(plots) == 4 + 2 * zones + banded
        for plot in plots:
            assert word in plot
            assert "never evidence" in plot


def test_each_part_is_shown_in_the_units_of_its_specification(kept: dict[str, bytes]) -> None:
    assert "°F" in kept["traces-00102.svg"].decode("utf-8")
    metric = kept["traces-00103.svg"].decode("utf-8")
    assert "°C" in metric
    assert "°F" not in metric


def test_traces_are_the_prediction_in_its_unit(predicted: Predicted, kept: dict[str, bytes]) -> None:
    rows = rows_of(kept)
    assert len(rows) == len(predicted.prediction.t)
    found = np.array([float(row["TC04 predicted [degF]"]) for row in rows])
    assert found == pytest.approx(predicted.prediction.places["TC04"] * 9 / 5 - 459.67, abs=6e-4)
    assert [float(row["since the start [s]"]) for row in rows] == pytest.approx(predicted.prediction.t)
    vessel = np.array([float(row["vessel predicted [psi gauge]"]) for row in rows])
    seen = predicted.prediction.seen
    assert vessel == pytest.approx((seen.pressure.at(predicted.prediction.t) - seen.site) / 6894.757293168, abs=1e-3)


def test_numbers_of_a_part_are_in_the_units_of_its_specification_and_say_so(
    predicted: Predicted, kept: dict[str, bytes], kept_replay: dict[str, bytes]
) -> None:
    """00102 follows a specification in degrees Fahrenheit and psi, 00103 one in degrees Celsius and bar: 0 °C is 273.15 K."""
    rows = rows_of(kept)
    found = np.array([float(row["TC07 predicted [degC]"]) for row in rows])
    assert found == pytest.approx(predicted.prediction.places["TC07"] - 273.15, abs=6e-4)
    assert {"BAG-2 predicted [psi gauge]", "BAG-3 predicted [bar gauge]"} <= rows[0].keys()
    metric, other = (
        {"temperature": "degC", "pressure difference": "bar"},
        {"temperature": "degF", "pressure difference": "psi"},
    )
    document = document_of(kept)
    hottest = next(one for one in document["sensors"] if one["sensor"] == "TC07")
    assert float(hottest["hottest"]["temperature"]) == pytest.approx(found.max(), abs=2e-3)
    for blocks in (document["sensors"], document["zones"], document["band"]["zones"]):
        assert {one["part"]: one["units"] for one in blocks} == {
            "00101": other,
            "00102": other,
            "00103": metric,
            "00104": metric,
        }
    of_sensors = {one["sensor"]: one for one in document["band"]["sensors"]}
    assert of_sensors["TC04"]["units"] == other
    assert of_sensors["TC07"]["units"] == metric
    assert max(float(value) for value in of_sensors["TC07"]["high"]) < 200.0  # 00103 gets to about 182 °C, 360 °F
    replayed = {one["sensor"]: one["units"] for one in document_of(kept_replay)["residuals"]}
    assert (replayed["TC04"], replayed["TC07"]) == (other, metric)


def test_a_replay_says_what_was_recorded_and_what_was_replayed(kept_replay: dict[str, bytes]) -> None:
    headings = rows_of(kept_replay)[0].keys()
    assert {
        "air recorded [degF]",
        "vessel recorded [psi gauge]",
        "BAG-3 recorded [bar gauge]",  # its part follows the specification in degrees Celsius and bar
        "TC01 replayed [degF]",
        "TC07 replayed [degC]",
    } <= headings
    assert not [heading for heading in headings if "predicted" in heading]
    assert len(document_of(kept_replay)["residuals"]) == 12


def test_what_the_leak_took_is_in_the_replay(kept: dict[str, bytes], kept_replay: dict[str, bytes]) -> None:
    """The demo's third bag leaks from 9.3 psi on (0.63 bar, as the recorder's file has it) before its part gels; the second does not."""
    found = {}
    for name, files in (("planned", kept), ("replayed", kept_replay)):
        for zone in document_of(files)["zones"]:
            at_gel = zone["pressure on the laminate"]["at gel"]
            found[name, zone["part"]] = None if at_gel is None else float(at_gel)
    assert found["planned", "00103"] - found["replayed", "00103"] == pytest.approx(0.641, abs=0.03)  # bar: 9.3 psi
    assert found["planned", "00102"] - found["replayed", "00102"] == pytest.approx(0.2, abs=0.4)


def test_the_band_lies_around_the_prediction(predicted: Predicted, kept: dict[str, bytes]) -> None:
    document = document_of(kept)
    band = next(one for one in document["band"]["sensors"] if one["sensor"] == "TC04")
    times = [float(t) for t in document["band"]["times"]]
    assert len(times) == len(band["low"]) == len(band["high"])
    shown = np.interp(times, predicted.prediction.t, predicted.prediction.places["TC04"] * 9 / 5 - 459.67)
    low, high = (np.array(band[end], dtype=float) for end in ("low", "high"))
    assert np.all(low <= high)
    inside = (low <= shown + 0.1) & (shown <= high + 0.1)
    assert inside.mean() > 0.95
    assert "band" in kept["traces-00102.svg"].decode("utf-8")


def test_the_same_prediction_gives_the_same_bytes(demo_once: Path, kept: dict[str, bytes]) -> None:
    again = predict_load(demo_once)
    assert prediction_files(again, band_of(again, 20)) == kept


def test_plots_of_an_earlier_one_go_and_other_files_stay(tmp_path: Path) -> None:
    out = tmp_path / "prediction"
    keep(out, {"map-a.svg": b"a", "traces.csv": b"", "prediction.json": b"1"})
    (out / "mine.svg").write_bytes(b"mine")
    (out / "notes.txt").write_bytes(b"notes")
    keep(out, {"map-b.svg": b"b", "traces.csv": b"", "prediction.json": b"2"})
    assert sorted(file.name for file in out.iterdir()) == [
        "map-b.svg",
        "mine.svg",
        "notes.txt",
        "prediction.json",
        "traces.csv",
    ]
    assert (out / "prediction.json").read_bytes() == b"2"


def test_a_changed_prediction_file_is_refused(kept: dict[str, bytes]) -> None:
    text = kept["prediction.json"].decode("utf-8")
    changed = text.replace(json.loads(text)["sensors"][0]["hottest"]["temperature"], "300.000", 1)
    assert changed != text
    with pytest.raises(Exception, match="not what was sealed"):
        opened(changed)


def test_a_zone_that_the_solver_refused_is_named_and_has_no_plots(predicted: Predicted) -> None:
    prediction = predicted.prediction
    first, *others = prediction.zones
    left = {sensor: shown for sensor, shown in prediction.places.items() if sensor != "TC01"}
    refused = replace(first, found=CurewrightError("a front too thin for any grid"))
    files = prediction_files(replace(predicted, prediction=replace(prediction, zones=(refused, *others), places=left)))
    document = document_of(files)
    assert [error.message for error in Draft202012Validator(schema("prediction")).iter_errors(document)] == []
    assert document["zones"][0] == {"part": "00101", "zone": "lee side", "refused": "a front too thin for any grid"}
    assert "TC01" not in [one["sensor"] for one in document["sensors"]]
    assert not {"map-00101-lee-side.svg", "resin-00101-lee-side.svg"} & files.keys()
    assert "map-00101-windward.svg" in files

"""The drawings: legible without colour, the same bytes each time, words and axes where they belong."""

from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imread

from curewright.picture.clause_traces import draw, save
from curewright.terms.requirement import KINDS, Specification
from curewright.understand.specification import understand

FILES = Path(__file__).resolve().parents[3] / "src" / "curewright" / "jobs" / "demo_files"


def demo(name: str) -> Specification:
    file = FILES / f"specification-{name}.yaml"
    return understand(file.read_bytes(), file.name)


def drawn(specification: Specification, clause: str, form: str) -> Figure:
    found = next(one for one in specification.clauses if one.number == clause)
    return draw(specification, found, next(one for one in found.forms if one.name == form))


@pytest.fixture(scope="module")
def soak() -> Figure:
    return drawn(demo("EX-177-2"), "4.7", "duration")


def texts(figure: Figure) -> str:
    found = [figure.get_suptitle()]
    for axes in figure.axes:
        found += [
            axes.get_title(loc="left"),
            axes.get_xlabel(),
            axes.get_ylabel(),
            *(text.get_text() for text in axes.texts),
        ]
    return " ".join(" ".join(found).split())


def test_the_words_say_what_colour_would(soak: Figure) -> None:
    text = texts(soak)
    for piece in (
        "✓ met",
        "✗ NOT MET",
        "too short",
        "margin -18 min",
        "counts from 345",
        "soak starts",
        "soak ends",
        "TC1",
        "minutes",
        "degF",
    ):
        assert piece in text


def test_lines_differ_by_style_and_not_by_colour_alone(soak: Figure) -> None:
    styles = [line.get_linestyle() for line in soak.axes[0].lines if len(np.asarray(line.get_xdata())) > 2]
    assert len(styles) == 3
    assert len(set(styles)) == len(styles)


def test_lines_stay_apart_in_grey(soak: Figure, tmp_path: Path) -> None:
    save(soak, tmp_path / "soak.png")
    picture = imread(tmp_path / "soak.png")[..., :3]
    # Rec. 601 luma: what a grey printer makes of it. Ink must be well darker than paper.
    grey = picture @ np.array([0.299, 0.587, 0.114])
    assert grey.max() == pytest.approx(1.0)
    assert (grey < 0.65).mean() > 0.005


def test_the_same_bytes_again(tmp_path: Path) -> None:
    for ending in ("svg", "png"):
        made = []
        for attempt in range(2):
            path = tmp_path / f"{attempt}.{ending}"
            save(drawn(demo("EX-177-2"), "4.4", "at event"), path)
            made.append(path.read_bytes())
        assert made[0] == made[1]


def test_nothing_sticks_out_of_the_picture(soak: Figure) -> None:
    canvas = FigureCanvasAgg(soak)
    canvas.draw()
    renderer = canvas.get_renderer()
    right = soak.bbox.x1
    for axes in soak.axes:
        for text in (*axes.texts, axes._left_title):  # type: ignore[attr-defined]
            assert text.get_window_extent(renderer).x1 <= right + 1, text.get_text()


def test_a_leak_check_is_drawn_in_vacuum() -> None:
    assert "inHg of vacuum" in texts(drawn(demo("EX-177-2"), "4.2", "leak check"))


def test_every_kind_in_the_demo_can_be_drawn() -> None:
    kinds = {type(form) for name in ("EX-177-2", "EX-180-M") for clause in demo(name).clauses for form in clause.forms}
    assert {
        KINDS[name]
        for name in ("band", "spread", "rate", "duration", "at event", "order", "leak check", "count", "recording")
    } == kinds


def rows_of(figure: Figure) -> dict[str, tuple[float, float]]:
    """The first column: the unit of each row with what its axis spans."""
    return {axes.get_ylabel(): axes.get_ylim() for axes in figure.axes[::2] if axes.get_ylabel()}


EXAMPLES = Path(__file__).resolve().parents[3] / "examples" / "specifications"


def test_what_is_in_a_bag_has_an_axis_of_its_own() -> None:
    file = EXAMPLES / "180C-pressure-before-heat.yaml"
    specification = understand(file.read_bytes(), file.name)
    rows = rows_of(drawn(specification, "1", "at event"))
    assert list(rows) == ["bar gauge", "mbar of vacuum"]
    # No bag holds more vacuum than the standard atmosphere, 1013.25 mbar (ISO 2533).
    assert rows["mbar of vacuum"][1] < 1013.25


def test_the_whole_trace_of_a_leak_is_on_the_axis() -> None:
    for axes in drawn(demo("EX-177-2"), "4.2", "leak check").axes:
        shown = np.asarray(axes.lines[0].get_ydata(), float)
        minutes = np.asarray(axes.lines[0].get_xdata(), float)
        inside = (minutes >= axes.get_xlim()[0]) & (minutes <= axes.get_xlim()[1])
        assert shown[inside].min() > axes.get_ylim()[0]


@pytest.mark.parametrize(
    "clause, form, words",
    [
        ("4.3", "band", "hatched: outside the limits"),
        ("4.7", "duration", "hatched: the clock does not run"),
        ("4.5", "rate", "hatched: not looked at"),
        ("4.1", "count", ""),
    ],
)
def test_what_the_hatching_means_is_said(clause: str, form: str, words: str) -> None:
    figure = drawn(demo("EX-177-2"), clause, form)
    assert figure.get_supxlabel() == words


def test_the_words_of_a_limit_are_inside_the_axes() -> None:
    for clause, form in (("4.4", "band"), ("4.3", "band"), ("4.6", "band")):
        figure = drawn(demo("EX-177-2"), clause, form)
        FigureCanvasAgg(figure).draw()
        renderer = figure.canvas.get_renderer()  # type: ignore[attr-defined]
        for axes in figure.axes:
            box = axes.get_window_extent(renderer)
            for text in (text for text in axes.texts if text.get_text().startswith("at ")):
                extent = text.get_window_extent(renderer)
                assert box.y0 - 1 <= extent.y0, (clause, text.get_text())
                assert extent.y1 <= box.y1 + 1, (clause, text.get_text())


def test_a_rate_that_wants_many_samples_in_its_window_has_a_row_interval_that_gives_them() -> None:
    """30 samples in 5 min are one every 10 s; a row every 25 s (a twelfth of the window) would never hold them."""
    text = (FILES / "specification-EX-177-2.yaml").read_text(encoding="utf-8")
    old = "least squares over 10 min with at least 8 samples"
    assert text.count(old) >= 1
    many = text.replace(old, "least squares over 5 min with at least 30 samples")
    figure = drawn(understand(many, "many.yaml"), "4.5", "rate")
    assert "no example could be drawn up" not in texts(figure)
    assert "✗ NOT MET" in texts(figure)


def test_a_requirement_without_an_example_is_said_to_be_not_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from curewright.jobs.read_back import draw_clauses

    monkeypatch.setattr("curewright.picture.clause_traces.example", lambda *_: None)
    told: list[str] = []
    specification = demo("EX-177-2")
    assert list(draw_clauses(specification, tmp_path, told.append)) == []
    assert len(told) == sum(len(clause.forms) for clause in specification.clauses)
    assert "4.5 rate: no small run could be drawn up in which it is met or not met" in told

"""The chapters of the record: everything that a judgement stands on is told, in words that an auditor reads."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from curewright.record.cure_record.contents import contents
from curewright.record.cure_record.deviations import deviating
from curewright.record.cure_record.papers import Papers, Plot, Plots, Print
from curewright.record.words import NOT_THE_CLAUSE


def texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    for value in data.values() if isinstance(data, dict) else data if isinstance(data, list) else ():
        yield from texts(value)


def told(papers: Papers) -> str:
    return " | ".join(texts(contents(papers)["chapters"]))


def rows(papers: Papers, chapter: str) -> list[list[Any]]:
    blocks = [
        block for each in contents(papers)["chapters"] if each["title"].startswith(chapter) for block in each["blocks"]
    ]
    return [row for block in blocks if block["kind"] == "table" for row in block["rows"]]


def test_the_chapters_stand_in_the_order_in_which_they_are_read(papers: Papers) -> None:
    titles = [chapter["title"] for chapter in contents(papers)["chapters"]]
    order = (
        "Result",
        "What was judged",
        "Deviations",
        "Part 00123",
        "Sensor map",
        "Calibrations",
        "Recorders",
        "Rulings",
        "Interpretations",
        "Signatures",
    )
    found = [next(place for place, title in enumerate(titles) if title.startswith(name)) for name in order]
    assert found == sorted(found)
    assert titles[-1] == "Signatures and disposition"


def test_deviations_are_worst_first_and_all_there(papers: Papers) -> None:
    outcomes = [papers.document["verdicts"][place]["outcome"] for place in deviating(papers.document)]
    assert outcomes == ["not met", "not shown", "open"]
    chapter = next(each for each in contents(papers)["chapters"] if each["title"].startswith("Deviations"))
    assert chapter["title"].endswith("(3)")
    assert [block["to_report"] for block in chapter["blocks"]] == [
        True,
        True,
        False,
    ]  # what is open is no nonconformance yet
    first = chapter["blocks"][0]
    labels = dict(first["rows"])
    assert labels["Found"] == "108.7 min, margin -11.3 min"
    assert labels["Outside"].endswith("by 1.2 °F at 01:02:00 (+0:02:00)")
    assert labels["Set aside"].endswith("by rule for lost thermocouples: open circuit")
    assert labels["Otherwise"] == "not shown if nothing were set aside"
    assert (
        labels["Other reading"] == "elapsed time: 121 min, would be met (for information: not what the clause states)"
    )
    assert first["samples"] == [["CH7", "01:01:00 (+0:01:00)", "339.2 °F", "log.csv line 44"]]


def test_a_part_with_other_readings_says_once_what_they_are(papers: Papers) -> None:
    chapters = [each for each in contents(papers)["chapters"] if each["title"].startswith("Part ")]
    assert [list(texts(each)).count(NOT_THE_CLAUSE) for each in chapters] == [1]


def test_of_many_excursions_the_first_are_told_and_how_many_more(papers: Papers) -> None:
    place = deviating(papers.document)[0]
    verdicts = list(papers.document["verdicts"])
    verdicts[place] = verdicts[place] | {"excursions": verdicts[place]["excursions"] * 30}
    chapters = contents(replace(papers, document=papers.document | {"verdicts": verdicts}))["chapters"]
    first = next(each for each in chapters if each["title"].startswith("Deviations"))["blocks"][0]
    outside = [words for label, words in first["rows"] if label == "Outside"]
    assert len(outside) == 13
    assert outside[-1] == "and 18 more in verdicts.json"


def test_an_allowance_that_is_left_is_told(papers: Papers) -> None:
    assert "2.5 min in all" in told(papers)


def test_a_certificate_that_is_overdue_is_told_so_and_one_due_on_the_day_is_not(papers: Papers) -> None:
    found = told(papers)  # the run begins on 29 March 2026
    assert "2026-03-28: OVERDUE on the day of the run" in found
    assert "2026-03-29: OVERDUE" not in found


def test_only_corrections_in_force_are_told(papers: Papers) -> None:
    found = told(papers)
    assert "0.4 °C (wire roll, C-118, 2026-01-01 to 2026-12-31)" in found
    assert "C-077" not in found


def test_recorders_with_silences_clock_and_disagreement(papers: Papers) -> None:
    first, second = rows(papers, "Recorders")[:2]
    assert first == ["REC-1", "log.csv", "01:00:00 (+0:00:00)", "01:04:00 (+0:04:00)", "1 min",
                     "01:01:00 (+0:01:00) to 01:02:00 (+0:02:00), 1 min", "this is the first"]  # fmt: skip
    assert second[-1] == "145 s ahead, within 3 s, gains 12 millionths: TC7 seen by both"
    assert "REC-2: disagrees by 0.4 K at +0:02:00" in told(papers)


def test_what_was_left_out_is_counted_by_cause(papers: Papers) -> None:
    found = rows(papers, "Recorders")
    assert ["log.csv", "1 rows", "cut off at the end of the file", "left out", "12", ""] in found
    assert ["log.csv", "20 cells", "open code", "kept, flagged", "3, 4, 5, 6, 7, 8, 9, 10, …", "CH7"] in found
    quoted = "31: ‘2031-03-04 21:45,176.3’; 40: ‘2031-03-04 21:46,1…’"
    assert ["log.csv", "2 rows", "lines that the layout leaves out", "left out", quoted, ""] in found
    assert ["log.csv", "5", "cp1252", "layout.yaml", "engineer C", "ab" * 8] in found


def test_flags_of_sensors_are_told_with_their_instants(papers: Papers) -> None:
    assert ["CH7", "run-up", "01:03:00 (+0:03:00)", "01:04:00 (+0:04:00)", "rises 400 degC in 2 s"] in rows(
        papers, "Recorders"
    )


def test_alarms_rulings_findings_and_notes(papers: Papers) -> None:
    found = told(papers)
    for piece in (
        "set aside TC8, 01:00:00 (+0:00:00) to the end, by engineer C, seconded by engineer D: cut wire",
        "port 12 stands at BAG-1 and BAG-2.",
        "This is the first judgement.",
    ):
        assert piece in found
    assert [
        "alarm",
        "run",
        "01:02:00 (+0:02:00)",
        "",
        "1 s",
        "bag 1 low",
        "",
        "operator B",
        "entries.yaml line 9",
    ] in rows(papers, "Rulings")


def test_both_outcomes_are_told_where_something_was_set_aside(papers: Papers) -> None:
    chip = {"outcome": "not met", "words": "✗ NOT MET"}
    assert ["00123", "4.7 duration", "00123", chip, "not shown if nothing were set aside"] in rows(papers, "Rulings")


def test_a_part_has_its_attributes_and_places_for_those_nobody_stated(papers: Papers) -> None:
    found = told(papers)
    for piece in ("Customer | customer A", "Thickness | 2.9 mm", "Concession | clause 4.7 band: at least 338 °F, by concession 12",
                  "Earlier run | R-0399.json", "Purchase order | ____________________ (not stated in the load sheet)",
                  "Facility | ____________________ (not stated in the vessel file)"):  # fmt: skip
        assert piece in found


def test_a_draft_is_written_across(papers: Papers) -> None:
    assert contents(papers)["draft"] == ""
    draft = {
        "number": "EX-1",
        "revision": "C",
        "status": "draft",
        "approved_by": None,
        "title": "",
        "source": "",
        "sha256": "",
        "clauses": [],
        "choices": [],
    }
    changed = replace(papers, document=papers.document | {"specifications": [draft]})
    assert contents(changed)["draft"] == "EX-1 revision C"


@pytest.mark.parametrize("words", ["not met", "met"])
def test_plots_that_are_left_out_are_told(papers: Papers, words: str) -> None:
    plot = Plot("a.svg", b'<svg height="100pt"/>', "a plot")
    some = replace(papers, plots=Plots(deviations={deviating(papers.document)[0]: plot}))
    assert "2 of them have no plot here" in told(some)


def test_parts_without_a_plot_of_their_own_are_told(papers: Papers) -> None:
    plot = Plot("a.svg", b"<svg/>", "a plot")
    two = replace(papers.load, parts=(*papers.load.parts, replace(papers.load.parts[0], serial="00124")))
    lines = [{"part": "00123", "outcome": "not met"}, {"part": "00124", "outcome": "met"}]
    document = papers.document | {
        "roll_up": lines,
        "parts": [papers.document["parts"][0] | {"serial": line["part"]} for line in lines],
    }
    some = replace(papers, load=two, document=document, plots=Plots(plot, {"00123": plot}))
    assert "1 parts, those with the worst outcomes, have a plot of their own; the other 1 have none." in told(some)
    assert "have a plot of their own" not in told(replace(some, plots=Plots(plot, {"00123": plot, "00124": plot})))


def test_marking_and_paper(papers: Papers) -> None:
    data = contents(papers)
    assert (data["marking"], data["paper"]) == ("SITE ONLY", "us-letter")
    assert contents(replace(papers, print=Print()))["paper"] == "a4"

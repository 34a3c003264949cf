"""The cure record as an auditor and an archive get it: a PDF/A-3 that other programs read, with everything in it.

The structure is looked at with pikepdf and the words with pypdf, both general-purpose libraries. No validator for PDF/A is in the
registries: what ISO 19005-3 asks for and can be seen in the structure is checked one by one (from memory of the standard).
"""

import io
import json
import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import pikepdf
import pytest
from pypdf import PdfReader

from tests.journeys.conftest import Curewright

if TYPE_CHECKING:
    import subprocess

Judged = tuple[Path, "subprocess.CompletedProcess[str]"]
DATED = "2026-03-05T08:00:00+01:00"


@pytest.fixture(scope="module")
def record(demo_judged: Judged) -> Path:
    return demo_judged[0] / "verdicts" / "cure-record.pdf"


@pytest.fixture(scope="module")
def pdf(record: Path) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(record) as opened:
        yield opened


def pages_of(record: Path) -> list[str]:
    """The words of each page; places for breaking a long word are no words."""
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in PdfReader(record).pages]


@pytest.fixture(scope="module")
def pages(record: Path) -> list[str]:
    return pages_of(record)


@pytest.fixture(scope="module")
def text(pages: list[str]) -> str:
    return " ".join(pages)


# ------------------------------------------------------------------------------------------------------------- the structure
def test_it_says_that_it_is_a_pdf_a_3(pdf: pikepdf.Pdf) -> None:
    with pdf.open_metadata() as metadata:
        assert metadata["pdfaid:part"] == "3"
        assert metadata["pdfaid:conformance"] == "A"
    assert pdf.pdf_version == "1.7"  # ISO 32000-1
    assert pdf.Root.OutputIntents[0].S == pikepdf.Name.GTS_PDFA1
    assert pdf.Root.MarkInfo.Marked
    assert not pdf.is_encrypted


def test_its_metadata_are_not_compressed_and_nothing_follows_the_end(record: Path, pdf: pikepdf.Pdf) -> None:
    assert "/Filter" not in pdf.Root.Metadata.stream_dict
    assert record.read_bytes().rstrip(b"\r\n").endswith(b"%%EOF")


def test_nothing_in_it_acts_or_lies_elsewhere(pdf: pikepdf.Pdf) -> None:
    forbidden = {
        "/JavaScript",
        "/JS",
        "/Launch",
        "/AA",
        "/OpenAction",
        "/URI",
        "/SubmitForm",
        "/RichMedia",
        "/Movie",
        "/Sound",
    }
    for thing in pdf.objects:
        if isinstance(thing, (pikepdf.Dictionary, pikepdf.Stream)):
            held = thing.stream_dict if isinstance(thing, pikepdf.Stream) else thing
            assert not forbidden & set(held.keys())
            assert "/FFilter" not in held  # a stream that lies outside


def test_every_font_is_embedded_and_knows_its_letters(pdf: pikepdf.Pdf) -> None:
    fonts = [thing for thing in pdf.objects if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font"]
    assert fonts
    for font in fonts:
        if "/FontDescriptor" in font:
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(font.FontDescriptor.keys()), font.BaseFont
            assert re.match(r"/[A-Z]{6}\+DejaVu", str(font.BaseFont))
        if font.Subtype == "/Type0":
            assert "/ToUnicode" in font


def test_everything_is_attached_with_its_relationship(pdf: pikepdf.Pdf, demo_judged: Judged) -> None:
    folder = demo_judged[0]
    attached = {name: spec.get_file().read_bytes() for name, spec in pdf.attachments.items()}
    predicting = {"build-up.yaml", "cycle.yaml", "vessel-heat.yaml"}  # no judgement reads them
    files = {path.name for path in folder.iterdir() if path.is_file()} - predicting
    assert attached.keys() == files | {"verdicts.json", "manifest.json"}
    for name in files:
        assert attached[name] == (folder / name).read_bytes()
    assert attached["verdicts.json"] == (folder / "verdicts" / "verdicts.json").read_bytes()
    relations = {name: str(spec.relationship) for name, spec in pdf.attachments.items()}
    assert relations["recorder.csv"] == "/Source"
    assert relations["verdicts.json"] == "/Data"
    assert len(pdf.Root.AF) == len(attached)
    for spec in pdf.attachments.values():
        assert spec.get_file().mime_type in ("application/yaml", "application/json", "text/csv")
        assert spec.get_file().mod_date is not None


def test_the_manifest_names_every_file_as_the_standard_library_does(pdf: pikepdf.Pdf, demo_judged: Judged) -> None:
    manifest = json.loads(pdf.attachments["manifest.json"].get_file().read_bytes())
    for file in manifest["files"]:
        content = pdf.attachments[file["file"]].get_file().read_bytes()
        assert (file["sha256"], file["bytes"]) == (sha256(content).hexdigest(), len(content))
    assert manifest["container"] is None


def test_every_plot_has_words_for_who_cannot_see_it(pdf: pikepdf.Pdf) -> None:
    figures = [thing for thing in pdf.objects if isinstance(thing, pikepdf.Dictionary) and thing.get("/S") == "/Figure"]
    assert len(figures) >= 5  # the load and its four parts
    assert all(len(str(figure.get("/Alt", ""))) > 40 for figure in figures)


# ------------------------------------------------------------------------------------------------------------------ every page
def test_every_page_has_the_run_and_its_number(pages: list[str]) -> None:
    for number, words in enumerate(pages, start=1):
        assert "Cure record, run DEMO-1" in words
        assert f"page {number} of {len(pages)}" in words
        assert "Disposition: material review board" in words
        assert "DRAFT SPECIFICATION EX-180-M revision 2" in words


@pytest.mark.parametrize("paper, size", [("a4", (595, 842)), ("letter", (612, 792))])
def test_paper_and_marking(demo_folder: Path, curewright: Curewright, paper: str, size: tuple[int, int]) -> None:
    """A4 is 210 mm by 297 mm (ISO 216), Letter 8.5 in by 11 in (ANSI/ASME Y14.1), in points of 1/72 in."""
    done = curewright("judge", demo_folder, "--paper", paper, "--marking", "EXPORT CONTROLLED: <site> & #only")
    assert done.returncode == 10, done.stderr
    record = demo_folder / "verdicts" / "cure-record.pdf"
    sizes = {tuple(sorted(map(round, page.mediabox[2:]))) for page in PdfReader(record).pages}
    assert sizes == {size}
    assert all(words.count("EXPORT CONTROLLED: <site> & #only") == 2 for words in pages_of(record))


def test_a_marking_that_fits_on_no_page_is_refused(demo_folder: Path, curewright: Curewright) -> None:
    done = curewright("judge", demo_folder, "--marking", "x" * 161)
    assert done.returncode == 2
    assert "161 letters" in done.stderr


# ------------------------------------------------------------------------------------------------------------------ its words
def test_deviations_stand_before_what_is_met(text: str) -> None:
    order = [
        text.index(words)
        for words in (
            "Result",
            "Deviations and what is not shown (6)",
            "Part 00101: SKIN-7",
            "Signatures and disposition",
        )
    ]
    assert order == sorted(order)


def test_each_deviation_has_the_words_of_the_paper_and_the_lines_of_the_log(text: str) -> None:
    for piece in (
        "Part 00102, clause 4.7 duration (EX-177-2 revision C)",
        "“Soak at 355 ± 10 °F for 120 +30/-0 minutes, measured on the lagging thermocouple.",
        "112.292 min, margin -7.708 min",
        # the limit is 345 °F = 173.89 °C: above it, then below it, at the end of the soak
        "TC06 10:46:00 (+5:06:00) 173.9 °C recorder.csv line 618",
        "TC06 10:46:30 (+5:06:30) 173.7 °C recorder.csv line 619",
        "Part 00103, BAG-3, clause 2 band (EX-180-M revision 2)",
        "BT3 08:42:00 (+3:02:00) 635 mbar gauge recorder.csv line 370",
        "Part 00101, TC03, clause 4.7 band",
    ):
        assert piece in text


def test_it_never_says_what_becomes_of_a_part(text: str) -> None:
    for word in ("use as is", "use-as-is", "rework", "scrap", "accepted", "rejected"):
        assert word not in text.lower()
    assert "Curewright proposes no disposition." in text


def test_no_sign_is_missing(text: str) -> None:
    assert "\ufffd" not in text
    assert "[U+" not in text


# ------------------------------------------------------------------------------------- the audit questions, from the record alone
# The questions a cure audit asks (public secondary text of a composites audit check list), one test each. What is asked for and stands in
# no file of the run has a place where a person writes it in.
def test_audit_job_part_customer_order_and_specification(text: str) -> None:
    for piece in (
        "Run DEMO-1",
        "Serial 00102",
        "Part number FRAME-3 revision A",
        "Description frame",
        "Customer customer A",
        "Prime prime of customer A",
        "Purchase order PO-7001 revision 2",
        "Specification EX-177-2 revision C (approved by quality engineer D)",
    ):
        assert piece in text


def test_audit_facility_equipment_date_and_time(text: str) -> None:
    for piece in (
        "Facility plant 1, hall 4",
        "Vessel (equipment) AC-2",
        "Started 2026-03-04 05:40:00+01:00",
        "Ended 2026-03-04 12:40:00+01:00",
    ):
        assert piece in text


def test_audit_ramps_holds_pressure_vacuum_and_time_are_held_against_the_specification(text: str) -> None:
    for piece in (
        "rate, TC04 1 to 5 °F/min 3.429 °F/min",
        "duration 120 to 150 min 112.292 min -7.708 min",
        "at least 20 inHg of vacuum 25.602 inHg of vacuum",
        "85 to 100 psi gauge 91.084 psi gauge",
        "20 sentences of the paper: 18 judged by program, 1 judged by a person, 1 not covered",
    ):
        assert piece in text


def test_audit_recording_interval(text: str) -> None:
    assert "Temperatures shall be recorded at least once a minute. recording at most 1 min 0.5 min" in text


def test_audit_reviewed_by_quality_or_its_delegate(text: str) -> None:
    assert "Quality, or its approved delegate reviewed this record against the specification" in text


def test_audit_customers_in_one_cure_have_their_own_rules(text: str) -> None:
    first, second = (text.index(f"Part {serial}: ") for serial in ("00102", "00103"))
    assert "Specification EX-177-2 revision C" in text[first:second]
    assert "Customer customer B" in text[second:]
    assert "Specification EX-180-M revision 2" in text[second : text.index("Part 00104: ")]


def test_audit_calibration_rolls_and_corrections_of_thermocouples(text: str) -> None:
    assert "TC01 type K, special R-118 CAL-1101 2026-06-30 not stated none" in text
    assert "BT1 CAL-1301 2026-08-31" in text
    assert "REC-1 0.5 °C 0.3 °C 0.1 °C CAL-1001 2026-09-30" in text


def test_audit_leak_test_with_values_times_gauge_and_person(text: str) -> None:
    words = text[text.index("Leak checks") : text.index("Sensor map")]
    for piece in (
        "BAG-1 00101, 4.2 BT1, port V2 05:50:00 ± 10 s to 05:56:00 ± 10 s",
        "at the start at least 22 inHg",
        "at the start at least 750 mbar",
        # 1 inHg = 3386.389 Pa: 877 mbar are 25.898 inHg; the worst window of BAG-3 loses 876 - 821 = 55 mbar
        "line 27 (25.898 inHg",
        "the window that decided: from 05:50:30 (876 mbar of vacuum, line 27) to 05:55:30 (821 mbar of vacuum, line 37)",
        "-877 mbar gauge at 05:50:30, line 27",
        "-863 mbar gauge at 05:55:30, line 37",
        "0.502 inHg",
        "'source closed' by hand entry of operator A (entries.yaml:3)",
    ):
        assert piece in words


def test_audit_thermal_survey_and_load_map(text: str) -> None:
    assert "Thermal survey TS-08" in text
    assert "TC04 TC04 J4 judging 00102 surveyed lagging before the run the end operator A" in text


def test_audit_out_time_and_freezer_log(text: str) -> None:
    assert "Out-time at the start 7 day used of 30 day" in text
    assert "Freezer log FL-2" in text


def test_audit_operator_and_training(text: str) -> None:
    assert "Operator of the vessel ran and watched this cure" in text
    assert "qualified until" in text  # a place for stamp and date of the qualification


def test_audit_air_pressure_with_its_number(text: str) -> None:
    """As the demo's vessel.yaml states it: site pressure: 98.2 kPa absolute."""
    assert "Air pressure 98.20 kPa absolute: site pressure of the vessel AC-2" in text


def test_audit_choices_that_nobody_answers_for(text: str) -> None:
    """Levels of events and what a clock does: the demo's specification gives no 'because' for these."""
    for piece in (
        "vessel pressure falls below 80 psi gauge for good no reason and approver stated",
        "when it leaves, the clock pauses no reason and approver stated",
    ):
        assert piece in text


def test_audit_software_change_control(text: str) -> None:
    for piece in (
        "Program curewright 0.1.0",
        "Judgement number 1 of this run",
        "This is the first judgement.",
        "Verdicts seal",
    ):
        assert piece in text


def test_audit_alarms_and_interventions(text: str) -> None:
    assert (
        "log 00101 09:43:00 (+4:03:00) 1 min TC03 reads OPEN, other thermocouples of the part go on operator B entries.yaml line 5"
        in text
    )


def test_audit_a_nonconformance_for_every_deviation(text: str) -> None:
    assert text.count("Nonconformance report no.") == 6  # the six deviations of the demo


def test_what_the_load_sheet_does_not_say_has_a_place(demo_folder: Path, curewright: Curewright) -> None:
    load = demo_folder / "load.yaml"
    load.write_text(re.sub(r"\n +(customer|purchase order): .*", "", load.read_text()))
    curewright("judge", demo_folder)
    words = " ".join(pages_of(demo_folder / "verdicts" / "cure-record.pdf"))
    assert words.count("Customer ____________________ (not stated in the load sheet)") == 4


# ----------------------------------------------------------------------------------------------------------------- the same again
def test_the_same_input_person_and_date_give_the_same_bytes(
    demo_folder: Path, curewright: Curewright, tmp_path: Path
) -> None:
    made = []
    for name in ("one", "two"):
        out = tmp_path / name
        done = curewright("judge", demo_folder, "--out", out, "--person", "engineer C", "--dated", DATED)
        assert done.returncode == 10, done.stderr
        made.append({path.relative_to(out): path.read_bytes() for path in out.rglob("*") if path.is_file()})
    assert made[0] == made[1]
    assert (
        PdfReader(io.BytesIO(made[0][Path("cure-record.pdf")])).metadata["/CreationDate"] == "D:20260305070000Z"
    )  # the same instant


def test_while_a_run_is_open_nothing_open_is_a_nonconformance(demo_folder: Path, curewright: Curewright) -> None:
    sheet, log = demo_folder / "run.yaml", demo_folder / "recorder.csv"
    sheet.write_text(sheet.read_text().split("closing:")[0])
    log.write_bytes(b"\r\n".join(log.read_bytes().split(b"\r\n")[:400]) + b"\r\n")
    assert curewright("judge", demo_folder).returncode == 10  # the bag of part 00103 is too high already
    document = json.loads((demo_folder / "verdicts" / "verdicts.json").read_bytes())
    words = " ".join(pages_of(demo_folder / "verdicts" / "cure-record.pdf"))
    assert document["outcomes"]["open"] > 10
    assert "Ended not closed" in words
    assert "… OPEN Part 00101, clause 4.7 duration" in words
    assert (
        words.count("Nonconformance report no.") == document["outcomes"]["not met"] + document["outcomes"]["not shown"]
    )


def test_no_record_where_none_is_wished(demo_folder: Path, curewright: Curewright, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = curewright("judge", demo_folder, "--out", out, "--no-record")
    assert done.returncode == 10
    assert {path.name for path in out.rglob("*") if path.is_file()} == {"verdicts.json", "verdicts.csv"}

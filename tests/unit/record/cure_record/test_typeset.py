"""From data to a PDF: whatever a user writes is words, never markup; the same input gives the same bytes."""

import io
import re
from dataclasses import replace
from typing import Any

import pytest
from pypdf import PdfReader

from curewright.record.cure_record.papers import Papers, Plot, Plots
from curewright.record.cure_record.typeset import pictures, typeset
from curewright.record.digest import digest_of
from curewright.record.manifest import filed

STRANGE = (
    "#panic()", "$x$ *bold* _under_ `raw` <label> @reference", "\\ // /* */ [ ] { }", "= heading", "- item\n+ item", '"quoted" #"code"',
    "\u4e2d\u6587 \U0001f525 \u05d0\u05d1 \u0627\u0644", "\u202e right to left \u200f", "\x07\x1b[31m", "W" * 300, "a/b" * 100, "ﬁ ǅ Ω Å ½",
)  # fmt: skip


OWN = re.findall("[a-z]+", "says reason thing channel place why by person title source limit message number lot tool")


def words(pdf: bytes) -> str:
    return " ".join(
        " ".join(page.extract_text().replace("\u200b", "").split()) for page in PdfReader(io.BytesIO(pdf)).pages
    )


def with_words(data: Any, text: str) -> Any:
    """The same document with ``text`` at every place where a user's words may stand."""
    if isinstance(data, dict):
        return {
            name: text if name in OWN and isinstance(value, str) else with_words(value, text)
            for name, value in data.items()
        }
    return [with_words(value, text) for value in data] if isinstance(data, list) else data


@pytest.mark.parametrize("text", STRANGE, ids=range(len(STRANGE)))
def test_any_words_can_be_printed(papers: Papers, text: str) -> None:
    document = with_words(papers.document, text)
    pdf = typeset(replace(papers, document=document), (), "{}")
    assert digest_of(pdf)
    plain = " ".join(text.split())
    if plain.isascii() and plain.isprintable() and len(plain) < 60:
        assert plain in words(pdf)


def test_the_same_papers_give_the_same_bytes(papers: Papers) -> None:
    assert typeset(papers, (), "{}") == typeset(papers, (), "{}")


@pytest.mark.parametrize("name", ["Prüfung 3 °C.csv", "logs/2026/a.csv", "a (2).CSV", "\u65e5\u672c.csv", "no ending"])
def test_files_of_any_name_are_attached_as_they_are(papers: Papers, name: str) -> None:
    content = bytes(range(256)) * 3
    pdf = typeset(
        papers, ((filed(name, "recording", content), content), (filed("empty.csv", "recording", b""), b"")), "{}"
    )
    attached = PdfReader(io.BytesIO(pdf)).attachments
    assert attached[name] == [content]
    assert attached["empty.csv"] == [b""]
    assert attached["manifest.json"] == [b"{}"]


def test_no_date_but_those_that_were_given(papers: Papers) -> None:
    """No clock is read: dated as the judgement is, else by the closing of the run, else by its start."""
    dated = {"number": 1, "person": "", "at": "2026-03-29T09:00:00+02:00"}
    undated = dated | {"at": ""}
    closed = {"author": "b", "covers": True, "end": papers.instant(0), "at": "2026-03-29T11:00:00+02:00"}
    dates = []
    for judgement, closing in ((dated, closed), (undated, closed), (undated, None)):
        document = papers.document | {"judgement": judgement, "run": papers.document["run"] | {"closed": closing}}
        metadata = PdfReader(io.BytesIO(typeset(replace(papers, document=document), (), "{}"))).metadata
        assert metadata is not None
        dates.append(metadata["/CreationDate"])
    assert dates == ["D:20260329070000Z", "D:20260329090000Z", "D:20260329000000Z"]


def test_a_load_of_many_parts(papers: Papers) -> None:
    parts = tuple(replace(papers.load.parts[0], serial=f"{n:05d}") for n in range(30))
    document = papers.document
    blocks = [document["parts"][0] | {"serial": part.serial} for part in parts]
    lines = [{"part": part.serial, "outcome": "met"} for part in parts]
    many = replace(
        papers,
        load=replace(papers.load, parts=parts),
        document=document | {"parts": blocks, "roll_up": lines, "verdicts": []},
    )
    text = words(typeset(many, (), "{}"))
    assert all(f"Part {part.serial}: P-7 revision B" in text for part in parts)


def test_plots_are_drawn_where_they_belong(papers: Papers) -> None:
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="200pt" height="100pt">'
    svg += b'<text x="9" y="20" font-family="DejaVu Sans">drawn here</text></svg>'
    pdf = typeset(
        replace(papers, plots=Plots(Plot("w.svg", svg, "a plot"), {}, {2: Plot("d.svg", svg, "another")})),
        (),
        "{}",
    )
    assert words(pdf).count("drawn here") == 2
    flipped = [page for page in PdfReader(io.BytesIO(pdf)).pages if page.mediabox.width > page.mediabox.height]
    assert len(flipped) == 1


def test_pages_can_be_looked_at(papers: Papers) -> None:
    made = pictures(papers, 20.0)
    assert len(made) > 3
    assert all(page.startswith(b"\x89PNG") for page in made)

"""Texts as the fonts can print them: no empty boxes, no word that runs out of its column."""

from fontTools.ttLib import TTFont

from curewright.record.cure_record.glyphs import BREAK, FONTS, USUAL, fonts_folder, printable


def test_the_usual_signs_are_in_every_font() -> None:
    """Held against fontTools, which reads the fonts by itself."""
    for name in FONTS:
        assert {ord(sign) for sign in USUAL} <= set(TTFont(fonts_folder() / name).getBestCmap()), name


def test_everyday_words_stay() -> None:
    words = "Soak at 355 ± 10 °F for 120 +30/−0 min, “lagging” – µm, Prüfung, θ ≥ 3"
    assert printable({"a": [words]}) == {"a": [words]}


def test_a_sign_that_no_font_has_is_told_by_its_number() -> None:
    assert printable("part \u4e2d and \U0001f525") == "part [U+4E2D] and [U+1F525]"


def test_signs_that_would_not_be_seen_are_told_too() -> None:
    """A right-to-left override or a bell in a name must not change what an auditor reads."""
    assert printable("a\u202eb\x07c\u200bd").replace(BREAK, "") == "a[U+202E]b[U+0007]c[U+200B]d"


def test_long_words_can_be_broken_and_lose_no_letter() -> None:
    long = "export_of_recorder-2_2026-03-04T05.40.00_line.csv"
    broken = printable(long)
    assert broken.replace(BREAK, "") == long
    assert max(map(len, broken.split(BREAK))) <= 13
    assert printable("a" * 40).replace(BREAK, "") == "a" * 40
    assert BREAK in printable("a" * 40)


def test_names_for_the_machine_stay_as_they_are() -> None:
    digest = {"digits": "0" * 64, "file": "a-very-long-name-of-a-plot.svg"}
    assert printable(digest) == digest

"""Single lines of text on record and terminal."""

from curewright.record.words import finding_words


def test_a_finding_about_a_whole_file_names_no_line() -> None:
    places = [{"file": "log.csv", "line": 0}, {"file": "load.yaml", "line": 7}, {"file": "", "line": 0}]
    finding = {"kind": "k", "message": "m", "places": places, "blocks": []}
    assert finding_words(finding) == "k: m [log.csv] [load.yaml line 7]"

"""What the README shows is what a reader gets: the excerpt, the commands, the clause to write, the refusal that it speaks of."""

import re
import shlex
import subprocess
from pathlib import Path
from shutil import copytree

import pytest

from curewright.picture.example_traces import example
from curewright.terms.errors import CurewrightError
from curewright.terms.verdict import Outcome
from curewright.understand.specification import understand

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAPER = ROOT / "src" / "curewright" / "jobs" / "demo_files" / "specification-EX-177-2.yaml"


def block(after: str) -> str:
    """The first code block after some words."""
    found = re.search(r"```\w*\n(.*?)```", README[README.index(after) :], re.DOTALL)
    assert found is not None
    return found.group(1)


def paper_with(clause: str) -> str:
    """The demo's head with the events and the clause of the README instead of its own."""
    head = PAPER.read_text(encoding="utf-8").split("events:")[0]
    return head + clause


def test_the_excerpt_is_what_the_demo_prints(demo_judged) -> None:  # type: ignore[no-untyped-def]
    printed = [line.rstrip() for line in demo_judged[1].stdout.splitlines()]
    shown = block("## What the result looks like").splitlines()
    assert len(shown) > 25
    spot = 0
    for line in shown:
        if line not in ("[…]", ""):
            assert line in printed[spot:], line
            spot = printed.index(line, spot)


def test_the_clause_can_be_copied() -> None:
    specification = understand(paper_with(block("## Write a clause")), "copied.yaml")
    (clause,) = specification.clauses
    assert [form.name for form in clause.forms] == ["duration", "band"]
    for form in clause.forms:
        for wanted in (Outcome.MET, Outcome.NOT_MET):
            assert example(specification, clause, form, wanted) is not None


def test_left_out_it_is_refused_with_the_choices() -> None:
    clause = block("## Write a clause").replace("      when it leaves: the clock pauses\n", "")
    with pytest.raises(CurewrightError) as refused:
        understand(paper_with(clause), "copied.yaml")
    for choice in ("the clock restarts", "the clock pauses", "the clock runs on"):
        assert choice in str(refused.value)


def test_what_it_counts_is_so() -> None:
    from curewright.terms.requirement import KINDS

    assert "eleven kinds" in README
    assert len(KINDS) == 11
    assert "ten published cures" in README
    assert len(list((ROOT / "examples" / "specifications").glob("*.yaml"))) == 10


def commands_after(words: str) -> list[list[str]]:
    return [shlex.split(line) for line in block(words).splitlines()]


def test_the_way_from_an_export_to_a_record_can_be_followed(demo_judged, tmp_path, curewright) -> None:  # type: ignore[no-untyped-def]
    """Every command as it is written, on a copy of the demo, with the answers that the text gives."""
    copytree(demo_judged[0], tmp_path / "demo-run")
    ended = {}
    for words in commands_after("## From a recorder's file to a signed record"):
        if words[0] != "curewright":
            subprocess.run(words, cwd=tmp_path, check=True)
            continue
        done = curewright(*words[1:], cwd=tmp_path)
        ended[words[1]] = (done.returncode, done.stdout + done.stderr)
        if words[1] == "layout":
            unconfirmed = curewright("check", "my-run", cwd=tmp_path)
            assert unconfirmed.returncode == 65
            answered(tmp_path / "my-run" / "layout.yaml")
    assert {name: code for name, (code, _) in ended.items()} == {
        "layout": 0, "check": 0, "read-back": 0, "judge": 10, "verify": 0,
    }, ended  # fmt: skip
    assert "Traceability: nothing to put right." in ended["check"][1]
    result = next(line for line in block("## What the result looks like").splitlines() if line.startswith("Verdicts: "))
    assert result in ended["judge"][1]  # the proposed layout reads what the demo's own layout reads
    entry = (
        '  - {event: clause 4.10, part: "00101", at: "2026-03-04 05:20:00", plus or minus: 5 min, by: inspector E}\n'
    )
    with (tmp_path / "my-run" / "entries.yaml").open("a", encoding="utf-8") as entries:
        entries.write(entry)
    signed = curewright("judge", "my-run", "--no-record", cwd=tmp_path).stdout
    assert "2 by a person (1 to be signed)" in " ".join(signed.split())


def answered(layout: Path) -> None:
    """The questions of a proposed layout, answered as the README says."""
    text = layout.read_text(encoding="utf-8")
    for old, new in (
        ('recorder: "?"', "recorder: REC-1"),
        ('zone: "?"', 'zone: "+01:00"'),
        ('kind: "?"', "kind: continuous"),
        ("confirmed by:", "confirmed by: engineer A"),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    layout.write_text(text, encoding="utf-8")


def test_the_commands_on_what_will_happen_can_be_followed(demo_folder, curewright) -> None:  # type: ignore[no-untyped-def]
    for words in commands_after("## What will happen"):
        words = [word.replace("demo-run", demo_folder.name) for word in words]
        done = curewright(*words[1:], cwd=demo_folder.parent)
        assert done.returncode == 0, (words, done.stderr)
    assert (demo_folder / "learnt.yaml").is_file()
    assert (demo_folder / "vessel-heat-fitted.yaml").is_file()


def test_the_bare_command_of_the_blocks_is_found_as_the_line_before_them_says(tmp_path: Path) -> None:
    """The line is copied into a shell in a folder with a ``.venv`` as ``make setup`` leaves it; then the block's command is found."""
    before = README[: README.index(block("## From a recorder's file to a signed record"))]
    (line,) = re.findall(r"`(export PATH=[^`]*)`", before)
    command = tmp_path / ".venv" / "bin" / "curewright"
    command.parent.mkdir(parents=True)
    command.write_text("#!/bin/sh\necho found $1\n")
    command.chmod(0o755)
    done = subprocess.run(["bash", "-c", f"{line}\ncurewright layout"], cwd=tmp_path, capture_output=True, text=True)
    assert done.stdout == "found layout\n"

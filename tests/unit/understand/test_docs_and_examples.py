"""The examples and the pages of the manual are understood, read back, and fit the JSON Schema that editors use."""

from __future__ import annotations

import json
import re
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from curewright.terms.errors import Errors
from curewright.terms.requirement import KINDS, Specification
from curewright.terms.units import DEGREES, LENGTHS, NANOSECONDS, PRESSURES
from curewright.text.yaml import Mapping, Node, Scalar, read_text
from curewright.understand.english import english, read_back
from curewright.understand.forms.kinds import MODULES
from curewright.understand.schema import specification_schema
from curewright.understand.specification import understand, without_places
from tests.unit.understand.head import HEAD

ROOT = Path(__file__).resolve().parents[3]
EXAMPLES = sorted((ROOT / "examples" / "specifications").glob("*.yaml"))
PAGES = sorted((ROOT / "docs" / "requirements").glob("*.md"))


def blocks(page: Path) -> list[str]:
    return re.findall(r"```yaml\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)


def plain(node: Node) -> Any:
    """A node as JSON would hold it, all text."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Mapping):
        return {key.text: plain(value) for key, value in node.items}
    return [plain(item) for item in node.items]


def complaints(text: str) -> list[str]:
    validator = jsonschema.Draft202012Validator(specification_schema())
    return [error.message for error in validator.iter_errors(plain(read_text(text, "s.yaml")))]


def example(name: str) -> Specification:
    return understand((ROOT / "examples" / "specifications" / f"{name}.yaml").read_bytes(), name)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_example_is_understood_and_read_back(file: Path) -> None:
    plan = understand(file.read_bytes(), file.name)
    assert plan.status == "draft"
    assert plan.source == "illustrative, not the controlling specification"
    assert without_places(read_back(english(plan))) == without_places(plan)
    assert complaints(file.read_text(encoding="utf-8")) == []


def test_there_are_at_least_seven_examples() -> None:
    assert len(EXAMPLES) >= 7


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_what_the_publication_does_not_give_is_marked(file: Path) -> None:
    """A rate's definition or an allowance is never published: such a clause is marked as illustrative."""
    for clause in understand(file.read_bytes(), file.name).clauses:
        if any(form.because is not None for form in clause.forms):
            assert clause.illustrative, f"clause {clause.number}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_the_example_of_a_page_is_understood(page: Path) -> None:
    (example_text,) = blocks(page)
    plan = understand(HEAD + example_text, page.name)
    kinds = {KINDS[page.stem.replace("-", " ")]}
    assert kinds <= {type(form) for clause in plan.clauses for form in clause.forms}
    assert complaints(HEAD + example_text) == []


def test_the_blocks_of_the_format_page_make_one_file() -> None:
    text = "".join(blocks(ROOT / "docs" / "specification.md"))
    assert [clause.number for clause in understand(text, "specification.md").clauses] == ["4.4", "4.7", "4.10"]
    assert complaints(text) == []


@pytest.mark.parametrize("kind", sorted(MODULES))
def test_a_page_names_every_field(kind: str) -> None:
    page = (ROOT / "docs" / "requirements" / f"{kind.replace(' ', '-')}.md").read_text(encoding="utf-8")
    shared = "(band.md)" in page
    for field in MODULES[kind].FIELDS:
        by_reference = shared and field in ("for each", "signal", "from", "to", "within", "while", "except")
        assert f"`{field}" in page or field == "because" or by_reference, f"{kind}: {field}"


@pytest.mark.parametrize("kind", sorted(MODULES))
def test_the_fields_of_a_kind_are_those_that_it_reads(kind: str) -> None:
    """An unknown field is answered with the fields that are known; the table for docs and schema has the same ones."""
    from curewright.understand.specification import Fields  # the toolkit's own list of what was asked for

    seen: list[list[str]] = []
    original = Fields.close

    def close(self: Fields) -> None:
        if self.what == f"'{kind}'":
            seen.append(list(self.known))
        original(self)

    page = ROOT / "docs" / "requirements" / f"{kind.replace(' ', '-')}.md"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Fields, "close", close)
        understand(HEAD + blocks(page)[0], page.name)
    for known in seen:
        assert set(known) <= set(MODULES[kind].FIELDS) | {"either"}
        assert set(MODULES[kind].REQUIRED) <= set(known)


def test_the_packaged_schema_is_current() -> None:
    packaged = resources.files("curewright.understand").joinpath("schemas", "specification.schema.json")
    assert json.loads(packaged.read_text(encoding="utf-8")) == specification_schema()


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(specification_schema())


@pytest.mark.parametrize(
    "before, after, complaint",
    [
        ("status: draft", "status: final", "'final' is not one of ['draft', 'approved']"),
        ("comparison: absolute\n", "", "'comparison' is a required property"),
        ("title: Cure\n", "", "'title' is a required property"),
        ("recording: {largest gap: 2 min, ", "recording: {", "'largest gap' is a required property"),
        ("comparison: absolute", "comparison: rounded", "'rounded' does not match '^(absolute|rounding to .+)$'"),
        ("decision: simple acceptance", "decision: shared", "'shared' does not match '^(simple acceptance|guard band .+)$'"),
        ("units: {temperature: degF", "units: {temprature: degF", "Additional properties are not allowed ('temprature' was unexpected)"),
        ("lost ones: are never set aside", "lost ones: vanish", "'vanish' is not one of ['may be set aside', 'are never set aside']"),
        ("second recorder: not allowed", "second recorder: yes", "'yes' is not valid under any of the given schemas"),
        ("for each: vessel, when: set", "for each: vesel, when: set",
         "'vesel' is not one of ['vessel', 'part', 'bag', 'part thermocouple', 'tool thermocouple', 'air thermocouple']"),
        ("sense: heating", "sense: up", "'up' is not one of ['heating', 'cooling', 'rising', 'falling']"),
        ("says: Heat", "say: Heat", "'says' is a required property"),
        ("because: planning note 12, approved by process engineering", "because: planning note 12",
         "'planning note 12' is not valid under any of the given schemas"),
    ],
)  # fmt: skip
def test_an_editor_complains(before: str, after: str, complaint: str) -> None:
    text = HEAD + blocks(ROOT / "docs" / "requirements" / "rate.md")[0]
    assert complaints(text) == []
    assert before in text
    assert complaint in complaints(text.replace(before, after))


# --------------------------------------------------------------------------------- what the examples must be able to say
def test_one_sided_pressure_is_85_to_100() -> None:
    """A published one-sided tolerance that a real engineer misread: 85 +15/-0 psi gauge are 85 to 100."""
    clause = example("120C-one-sided-pressure-laminate").clauses[1]
    band = clause.forms[0]
    assert (str(band.limits.low), str(band.limits.high)) == ("85 psi gauge", "100 psi gauge")  # type: ignore[union-attr]
    assert (
        "that is 85 to 100 psi gauge, both ends included"
        in english(example("120C-one-sided-pressure-laminate")).lower()
    )


def test_pressure_before_heat_and_after_the_dwell_are_different_orders() -> None:
    before = [
        form for clause in example("180C-pressure-before-heat").clauses for form in clause.forms if form.name == "order"
    ]
    after = [
        form
        for clause in example("180C-pressure-after-first-dwell").clauses
        for form in clause.forms
        if form.name == "order"
    ]
    assert [(form.first, form.then) for form in before] == [("at pressure", "heating starts")]  # type: ignore[union-attr]
    assert [(form.first, form.then) for form in after] == [  # type: ignore[union-attr]
        ("dwell starts", "pressurising starts"),
        ("at pressure", "second heating starts"),
    ]


def test_thickness_decides_which_clause_applies() -> None:
    clauses = example("180C-thickness-dependent-dwell").clauses
    assert [clause.for_parts[0].limits.written for clause in clauses if clause.for_parts] == [  # type: ignore[union-attr]
        "below 15 mm",
        "15 to 48 mm",
    ]


def test_no_line_of_an_example_is_left_out_in_silence() -> None:
    with pytest.raises(Errors):
        understand(EXAMPLES[0].read_text(encoding="utf-8") + '  "99":\n    says: more\n', "x.yaml")


def test_the_page_of_units_names_every_unit() -> None:
    page = (ROOT / "docs" / "units.md").read_text(encoding="utf-8")
    for name in (*DEGREES, *PRESSURES, *NANOSECONDS, *LENGTHS, "fraction", "percent", "Pa s"):
        assert f"`{name}`" in page, name

"""JSON Schemas of the files that a user writes, made from the forms that read them. ``python -m curewright.read.schema`` writes them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from curewright.read.build_up import BUILD_UP
from curewright.read.calorimetry import SHEET
from curewright.read.card_schema import card_schema
from curewright.read.cycle import CYCLE
from curewright.read.entries import ENTRIES
from curewright.read.event_log import EVENT_LOG
from curewright.read.forms import DRAFT
from curewright.read.layout_form import LAYOUT
from curewright.read.learnt import LEARNT
from curewright.read.load import LOAD
from curewright.read.ports import COLUMNS, KINDS
from curewright.read.rulings import RULINGS
from curewright.read.run_sheet import RUN_SHEET
from curewright.read.survey import SURVEY
from curewright.read.vessel import VESSEL
from curewright.read.vessel_heat import VESSEL_HEAT

if TYPE_CHECKING:
    from curewright.read.forms import Schema

FOLDER = Path(__file__).parent / "schemas"
FORMS = {
    "vessel": VESSEL,
    "load": LOAD,
    "layout": LAYOUT,
    "entries": ENTRIES,
    "event-log": EVENT_LOG,
    "rulings": RULINGS,
    "run": RUN_SHEET,
    "build-up": BUILD_UP,
    "cycle": CYCLE,
    "vessel-heat": VESSEL_HEAT,
    "learnt": LEARNT,
    "calorimetry": SHEET,
    "survey": SURVEY,
}


def schemas() -> dict[str, Schema]:
    """The schema of each kind of file, by the name of its page in ``docs/formats``."""
    made = {name: form.file_schema(f"Curewright: {form.what.removeprefix('a ')} file") for name, form in FORMS.items()}
    return made | {"ports": _ports(), "card": card_schema()}


def _ports() -> Schema:
    """The rows of a port list (CSV or Excel), each as an object by heading."""
    cells: Schema = {name: {"type": "string", "minLength": 1} for name in COLUMNS}
    row = {"type": "object", "properties": cells | {"kind": {"enum": list(KINDS)}}, "required": list(COLUMNS)}
    return {"$schema": DRAFT, "title": "Curewright: port list, row by row", "type": "array", "items": row}


def as_text(schema: Schema) -> str:
    """A schema as it stands in its file."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def write(folder: Path = FOLDER) -> None:
    """Write every schema anew."""
    folder.mkdir(exist_ok=True)
    for name, schema in schemas().items():
        (folder / f"{name}.json").write_text(as_text(schema), encoding="utf-8")


if __name__ == "__main__":
    write()

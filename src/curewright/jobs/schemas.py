"""The JSON Schemas of all files, for editors: those that a user writes, and the one that Curewright writes."""

from __future__ import annotations

import json
from typing import Any

from curewright.read.schema import schemas as read_schemas
from curewright.terms.errors import CurewrightError
from curewright.text.near import did_you_mean
from curewright.text.packaged import packaged_text
from curewright.understand.schema import specification_schema

WRITTEN_HERE = ("verdicts", "manifest", "prediction")


def schema_names() -> tuple[str, ...]:
    """The names of the files that have a schema."""
    return (*_written_by_users(), *WRITTEN_HERE)


def schema(name: str) -> dict[str, Any]:
    """The JSON Schema of a file by its name; raises :class:`CurewrightError` for a name that is not known."""
    if name in WRITTEN_HERE:
        found: dict[str, Any] = json.loads(packaged_text("curewright.record", "schemas", f"{name}.schema.json"))
        return found
    known = _written_by_users()
    if name not in known:
        remedy = did_you_mean(name, schema_names())
        raise CurewrightError(
            f"there is no schema '{name}'", expected="one of " + ", ".join(schema_names()), remedy=remedy
        )
    return known[name]


def _written_by_users() -> dict[str, dict[str, Any]]:
    return {"specification": specification_schema()} | read_schemas()

"""What is different from the judgement before: every outcome that changed, came or went."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

KEY = ("part", "specification", "clause", "form", "thing")


@dataclass(frozen=True)
class Change:
    """One outcome that differs from the judgement ``since``; an outcome is None where the verdict came or went."""

    key: tuple[str, ...]
    since: int
    before: str | None
    now: str | None

    def block(self) -> dict[str, Any]:
        """The change as it stands in the verdicts file."""
        return {
            **dict(zip(KEY, self.key, strict=True)),
            "since_judgement": self.since,
            "before": self.before,
            "now": self.now,
        }


def changes(earlier: dict[str, Any], verdicts: list[dict[str, Any]]) -> tuple[Change, ...]:
    """Every outcome of ``verdicts`` (blocks of a verdicts file) that is not that of the ``earlier`` document, in their order."""
    before = {_key(verdict): verdict["outcome"] for verdict in earlier["verdicts"]}
    now = {_key(verdict): verdict["outcome"] for verdict in verdicts}
    since = earlier["judgement"]["number"]
    keys = [*now, *(key for key in before if key not in now)]
    return tuple(Change(key, since, before.get(key), now.get(key)) for key in keys if before.get(key) != now.get(key))


def _key(verdict: dict[str, Any]) -> tuple[str, ...]:
    return tuple(verdict[name] for name in KEY)

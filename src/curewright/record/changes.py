"""What is different from the judgement before: every outcome that changed, came or went, and what people signed since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

KEY = ("part", "specification", "clause", "form", "thing")
BY_PERSON = "by a person"
NOTHING: tuple[str | None, str] = (None, "")


@dataclass(frozen=True)
class Change:
    """One outcome that differs from the judgement ``since``; an outcome is None where the verdict came or went.

    ``said``: what stood and what stands there, where a person judges; '' elsewhere.
    """

    key: tuple[str, ...]
    since: int
    before: str | None
    now: str | None
    said: tuple[str, str] = ("", "")

    def block(self) -> dict[str, Any]:
        """The change as it stands in the verdicts file."""
        return {
            **dict(zip(KEY, self.key, strict=True)),
            "since_judgement": self.since,
            "before": self.before,
            "now": self.now,
            "said_before": self.said[0],
            "said_now": self.said[1],
        }


def changes(earlier: dict[str, Any], verdicts: list[dict[str, Any]]) -> tuple[Change, ...]:
    """Every outcome of ``verdicts`` (blocks of a verdicts file) that is not that of the ``earlier`` document, in their order.

    Where a person judges, the outcome is always the same; there what was signed counts.
    """
    before = {_key(verdict): _told(verdict) for verdict in earlier["verdicts"]}
    now = {_key(verdict): _told(verdict) for verdict in verdicts}
    since = earlier["judgement"]["number"]
    keys = [*now, *(key for key in before if key not in now)]
    found = ((key, before.get(key, NOTHING), now.get(key, NOTHING)) for key in keys)
    return tuple(Change(key, since, was[0], one[0], (was[1], one[1])) for key, was, one in found if was != one)


def _key(verdict: dict[str, Any]) -> tuple[str, ...]:
    return tuple(verdict[name] for name in KEY)


def _told(verdict: dict[str, Any]) -> tuple[str | None, str]:
    """The outcome; with what stands there, where a person judges."""
    return verdict["outcome"], str(verdict["reason"]) if verdict["outcome"] == BY_PERSON else ""

"""English sentences that can be read back: one template says a few fields of a file, and finds them again in its own words.

``{from}`` is a field that is a phrase; ``{from!q}`` one that is put in quotation marks. A sentence with ``fixed`` fields is used
only where they have these values.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from curewright.text.phrase import quoted

if TYPE_CHECKING:
    from curewright.understand.tree import Tree

_SLOT = re.compile(r"\{([^{}!]+)(!q)?\}")
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')
_HIDDEN = re.compile("\x00(\\d+)\x00")


@dataclass(frozen=True)
class Sentence:
    """A template with its fields; ``fixed`` gives the fields that it says without naming them."""

    template: str
    fixed: dict[str, str] = field(default_factory=dict)

    @property
    def fields(self) -> tuple[str, ...]:
        """The names of all fields that it says."""
        return (*(name for name, _ in _SLOT.findall(self.template)), *self.fixed)

    def says(self, tree: dict[str, Tree]) -> bool:
        """Whether it can say these fields of a tree: they are there, are texts, and are as fixed."""
        return all(isinstance(tree.get(name), str) for name in self.fields) and all(
            tree[name] == value for name, value in self.fixed.items()
        )

    def said(self, tree: dict[str, Tree]) -> str:
        """The sentence with the fields of a tree."""

        def filled(match: re.Match[str]) -> str:
            value = str(tree[match.group(1)])
            return quoted(value) if match.group(2) else value

        return _SLOT.sub(filled, self.template)

    def heard(self, line: str) -> dict[str, str] | None:
        """The fields that a line says, or None where it is another sentence."""
        hidden: list[str] = []

        def hide(match: re.Match[str]) -> str:
            hidden.append(match.group(0))
            return f"\x00{len(hidden) - 1}\x00"

        match = self._pattern.fullmatch(_QUOTED.sub(hide, line))
        if match is None:
            return None
        found = dict(self.fixed)
        for (name, is_quoted), text in zip(_SLOT.findall(self.template), match.groups(), strict=True):
            shown = _HIDDEN.sub(lambda each: hidden[int(each.group(1))], text)
            found[name] = re.sub(r"\\(.)", r"\1", shown[1:-1]) if is_quoted else shown
        return found

    @property
    def _pattern(self) -> re.Pattern[str]:
        parts, last = [], 0
        for match in _SLOT.finditer(self.template):
            parts.append(re.escape(self.template[last : match.start()]))
            parts.append("(\x00\\d+\x00)" if match.group(2) else "(.+?)")
            last = match.end()
        return re.compile("".join(parts) + re.escape(self.template[last:]))


def said_by(sentences: tuple[Sentence, ...], tree: dict[str, Tree]) -> list[str]:
    """All fields of a tree as sentences, in the order of the table; raises :class:`KeyError` for a field that none can say."""
    lines, left = [], dict(tree)
    for sentence in sentences:
        if sentence.fields and sentence.says(left):
            lines.append(sentence.said(left))
            for name in sentence.fields:
                del left[name]
    if left:
        raise KeyError(f"no sentence says {sorted(left)}")
    return lines


def heard_by(sentences: tuple[Sentence, ...], line: str) -> dict[str, str] | None:
    """The fields of the first sentence that a line can be; None where it is none of them."""
    for sentence in sentences:
        found = sentence.heard(line)
        if found is not None:
            return found
    return None

"""English sentences that can be read back: one template says a few fields of a file, and finds them again in its own words.

``{from}`` is a field that is a phrase; ``{from!q}`` one that is put in quotation marks. A sentence with ``fixed`` fields is used
only where they have these values; one that ``repeats`` says each item of a list on a line of its own.
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
    repeats: bool = False

    @property
    def fields(self) -> tuple[str, ...]:
        """The names of all fields that it says."""
        return (*(name for name, _ in _SLOT.findall(self.template)), *self.fixed)

    def says(self, tree: dict[str, Tree]) -> bool:
        """Whether it can say these fields of a flat tree: they are there, are texts (or lists of them), and are as fixed."""
        kind = list if self.repeats else str
        return all(isinstance(tree.get(name), kind) for name in self.fields) and all(
            tree[name] == value for name, value in self.fixed.items()
        )

    def said(self, tree: dict[str, Tree]) -> list[str]:
        """The sentence with the fields of a flat tree; one line for each item where it repeats."""
        if self.repeats:
            (name,) = self.fields
            items = tree[name]
            assert isinstance(items, list)
            return [self._filled({name: item}) for item in items]
        return [self._filled(tree)]

    def _filled(self, tree: dict[str, Tree]) -> str:
        def filled(match: re.Match[str]) -> str:
            value = str(tree[match.group(1)])
            return quoted(value) if match.group(2) else value

        return _SLOT.sub(filled, self.template)

    def heard(self, line: str) -> dict[str, str] | None:
        """The fields that a line says, or None where it is another sentence."""
        if "\x00" in line:  # by which what stands in quotes is hidden below
            return None
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
    lines, left = [], dict(flattened(tree))
    for sentence in sentences:
        if sentence.says(left):
            lines.extend(sentence.said(left))
            for name in sentence.fields:
                del left[name]
    if left:
        raise KeyError(f"no sentence says {sorted(left)}")
    return lines


class SaidTwiceError(ValueError):
    """A sentence about something that another one has told before."""


def _said_in(tree: dict[str, Tree], name: str) -> bool:
    """Whether a flat tree has a field, the whole that it is a part of, or a part of it."""
    return any(name == one or one.startswith(f"{name}.") or name.startswith(f"{one}.") for one in tree)


def hear_into(tree: dict[str, Tree], sentences: tuple[Sentence, ...], line: str) -> bool:
    """Adds to a flat tree what a line says by the first sentence that it can be; False where it is none of them.

    Raises :class:`SaidTwiceError` where the tree says that already.
    """
    for sentence in sentences:
        found = sentence.heard(line)
        if found is not None:
            if not sentence.repeats and any(_said_in(tree, name) for name in found):
                raise SaidTwiceError(line)
            for name, value in found.items():
                before = tree.get(name, [])
                tree[name] = [*before, value] if sentence.repeats and isinstance(before, list) else value
            return True
    return False


def flattened(tree: dict[str, Tree]) -> dict[str, Tree]:
    """A tree with ``{"except": {"in all": …}}`` written as ``{"except.in all": …}``; lists stay."""
    flat: dict[str, Tree] = {}
    for key, value in tree.items():
        if isinstance(value, dict):
            flat.update({f"{key}.{inner}": each for inner, each in value.items()})
        else:
            flat[key] = value
    return flat


def nested(flat: dict[str, Tree]) -> dict[str, Tree]:
    """The tree that :func:`flattened` was made from."""
    tree: dict[str, Tree] = {}
    for key, value in flat.items():
        outer, dot, inner = key.partition(".")
        if dot:
            group = tree.setdefault(outer, {})
            assert isinstance(group, dict)
            group[inner] = value
        else:
            tree[key] = value
    return tree

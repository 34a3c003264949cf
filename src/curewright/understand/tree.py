"""What a specification file consists of once it is written again: names with texts, lists or further names."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, TypeAlias

from curewright.text.phrase import quoted
from curewright.text.yaml import Mapping, Node, Scalar, Sequence

if TYPE_CHECKING:
    from curewright.terms.errors import Place

Tree: TypeAlias = "str | list[Tree] | dict[str, Tree]"

# Plain in YAML without a doubt: begins with a letter or digit, and holds nothing that YAML could take for its own.
_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ./+±°%()²–—'\"-]*[A-Za-z0-9.)%\"'])?")


def node_of(tree: Tree, place: Place) -> Node:
    """A tree as nodes that all stand at one place."""
    if isinstance(tree, str):
        return Scalar(tree, place, "quoted", one_line=False)
    if isinstance(tree, list):
        return Sequence(tuple(node_of(each, place) for each in tree), place)
    items = ((Scalar(key, place, "quoted", one_line=False), node_of(value, place)) for key, value in tree.items())
    return Mapping(tuple(items), place)


def yaml_text(tree: dict[str, Tree]) -> str:
    """A tree as YAML in block style, the same text for the same tree."""
    return "".join(_lines(tree, ""))


def _lines(tree: dict[str, Tree], indent: str) -> list[str]:
    lines = []
    for key, value in tree.items():
        if isinstance(value, str):
            lines.append(f"{indent}{_scalar(key)}: {_scalar(value)}\n")
        elif isinstance(value, list):
            lines.append(f"{indent}{_scalar(key)}:\n")
            for each in value:
                lines.extend(_item(each, indent + "  "))
        else:
            lines.append(f"{indent}{_scalar(key)}:\n")
            lines.extend(_lines(value, indent + "  "))
    return lines


def _item(item: Tree, indent: str) -> list[str]:
    if isinstance(item, dict):
        inner = _lines(item, indent + "  ")
        return [f"{indent}- {inner[0].lstrip()}", *inner[1:]]
    assert isinstance(item, str)
    return [f"{indent}- {_scalar(item)}\n"]


def _scalar(text: str) -> str:
    return text if _PLAIN.fullmatch(text) else quoted(text)

"""A phrase of the shop floor (``coldest part thermocouple reaches 340 degF``) as words, each with its place in the file."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.terms.errors import FileError, Place
from curewright.text.near import did_you_mean
from curewright.text.yaml import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.text.yaml import Node

_ENDS_A_NAME = """above after and as at before below between by for from in initial is minus must named not of or over
reaches rises falls revision starting the to with within"""
RESERVED = frozenset(_ENDS_A_NAME.split())

_TOKEN = re.compile(
    r'"(?P<quoted>(?:[^"\\]|\\.)*)"'
    r"|(?P<mark>[(),;]|\+/[-−](?!\d)|±)"
    r"|(?P<pair>\+\d+(?:\.\d+)?/[-−]\d+(?:\.\d+)?|[-−]\d+(?:\.\d+)?/\+\d+(?:\.\d+)?)"
    r"|(?P<number>[-+−]?\d+(?:\.\d+)?)(?=$|[\s(),;±+−%°]|[^\W\d_])"
    r'|(?P<word>[^\s"(),;±]+)'
    r'|(?P<stray>")'
)


@dataclass(frozen=True)
class Token:
    """One word, number or mark. ``kind``: ``quoted``, ``mark``, ``pair`` (``+15/-0``), ``number``, ``word`` or ``stray``."""

    text: str
    kind: str
    start: int
    end: int


def _tokens(text: str) -> list[Token]:
    found = []
    for match in _TOKEN.finditer(text):
        kind = str(match.lastgroup)
        inside = match.group(kind)
        if kind == "quoted":
            inside = re.sub(r"\\(.)", r"\1", inside)
        found.append(
            Token(inside.replace("−", "-") if kind in ("mark", "pair", "number") else inside, kind, *match.span())
        )
    return found


def quoted(text: str) -> str:
    """A text in quotation marks, as :meth:`Words.name` reads it back.

    >>> print(quoted('the "big" one'))
    "the \\"big\\" one"
    """
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def bare(name: str) -> str:
    """A name as written in a phrase: without quotation marks where it reads back the same, else with them.

    >>> bare("core maximum"), bare("up to 5")
    ('core maximum', '"up to 5"')
    """
    tokens = _tokens(name)
    plain = all(token.kind == "word" and token.text not in RESERVED for token in tokens)
    return name if tokens and plain and " ".join(token.text for token in tokens) == name else quoted(name)


class Words:
    """Reads a phrase word by word; every complaint says which word it is about and where that stands."""

    def __init__(self, scalar: Scalar) -> None:
        self.scalar = scalar
        self.tokens = _tokens(scalar.text)
        self.position = 0

    @property
    def next(self) -> Token | None:
        """The next word, or None at the end of the phrase."""
        return self.tokens[self.position] if self.position < len(self.tokens) else None

    @property
    def place(self) -> Place:
        """Where the next word stands (the end of the phrase where there is none)."""
        token = self.next
        return self.scalar.at(token.start if token else len(self.scalar.text))

    def sees(self, *words: str) -> bool:
        """Whether the next words are these."""
        ahead = self.tokens[self.position : self.position + len(words)]
        return [token.text for token in ahead if token.kind in ("word", "mark")] == list(words)

    def accept(self, *words: str) -> bool:
        """Passes these words if they come next, and says whether they did."""
        if not self.sees(*words):
            return False
        self.position += len(words)
        return True

    def accept_one_of(self, phrases: Iterable[str]) -> str | None:
        """Passes the longest of several phrases that comes next and gives it; None where none does."""
        for phrase in sorted(phrases, key=lambda phrase: -len(phrase.split())):
            if self.accept(*phrase.split()):
                return phrase
        return None

    def expect(self, *words: str) -> None:
        """Passes these words; raises :class:`FileError` where something else comes."""
        if not self.accept(*words):
            raise self.wrong(expected=f"'{' '.join(words)}'")

    def one_of(self, phrases: Iterable[str], what: str) -> str:
        """The longest of several phrases that comes next; raises :class:`FileError` with the nearest ones where none does."""
        known = list(phrases)
        found = self.accept_one_of(known)
        if found is None:
            raise self.wrong(expected=what, remedy=did_you_mean(self.next.text if self.next else "", known))
        return found

    def take(self, kind: str, what: str) -> str:
        """The next word if it is of this kind; raises :class:`FileError` where it is not."""
        token = self.next
        if token is None or token.kind != kind:
            raise self.wrong(expected=what)
        self.position += 1
        return token.text

    def name(self, what: str) -> str:
        """A name: in quotation marks, or words up to the next reserved word, bracket, comma or the end."""
        token = self.next
        if token is not None and token.kind == "quoted":
            self.position += 1
            return token.text
        first = self.position
        while (token := self.next) and token.kind in ("word", "number", "pair") and token.text not in RESERVED:
            self.position += 1
        if self.position == first:
            raise self.wrong(expected=what)
        start, end = self.tokens[first].start, self.tokens[self.position - 1].end
        return " ".join(self.scalar.text[start:end].split())

    def rest(self, what: str) -> str:
        """All that is left of the phrase, as written; raises :class:`FileError` where nothing is."""
        token = self.next
        if token is None:
            raise self.wrong(expected=what)
        self.position = len(self.tokens)
        return " ".join(self.scalar.text[token.start :].split())

    def wrong(self, *, expected: str, remedy: str = "") -> FileError:
        """The complaint about the next word, ready to be raised."""
        token = self.next
        found = f"'{self.scalar.text[token.start : token.end]}'" if token else f"the end of '{self.scalar.text}'"
        return FileError(found, expected=expected, where=self.place, remedy=remedy)

    def done(self) -> None:
        """Raises :class:`FileError` if something is left over."""
        if self.next is not None:
            raise self.wrong(expected=f"nothing more after '{self.scalar.text[: self.next.start].rstrip()}'")


def words_of(node: Node) -> Words:
    """The words of a scalar that is not empty; raises :class:`FileError` for a list, a mapping or nothing."""
    if not isinstance(node, Scalar):
        raise FileError("a list or a mapping", expected="a phrase", where=node.place)
    if not node.text.strip():
        raise FileError("nothing is written here", expected="a phrase", where=node.place)
    return Words(node)

"""The cells of one line of delimited text, each with the column at which it begins."""

from __future__ import annotations


def cells_of(line: str, separator: str) -> list[tuple[str, int]]:
    """The cells of one line with the column (from 1) at which each begins, quotes and surrounding blanks removed.

    >>> cells_of('21:40; "a;b" ;3', ";")
    [('21:40', 1), ('a;b', 9), ('3', 15)]
    """
    found, start, quoted = [], 0, False
    for i, sign in enumerate([*line, separator]):
        if sign == '"':
            quoted = not quoted
        elif sign == separator and (not quoted or i == len(line)):
            text = line[start:i]
            bare = text.strip()
            column = start + 1 + (len(text) - len(text.lstrip()))
            if len(bare) >= 2 and bare[0] == bare[-1] == '"':
                bare, column = bare[1:-1].replace('""', '"').strip(), column + 1
            found.append((bare, column))
            start = i + 1
    return found

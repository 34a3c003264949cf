"""Values that are cheap to make: a judgement makes a hundred thousand of them.

A frozen dataclass costs seven times a plain one, because it sets each field through a call. ``light`` is a frozen dataclass to the
type checker, which refuses every assignment, and a plain one (compared and hashed by its fields) when it runs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, TypeVar, overload

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as light
else:

    def light(*, frozen: bool = True, eq: bool = True) -> Callable[[type], type]:
        """A dataclass that nobody changes: ``frozen`` is for the type checker. Without ``eq`` each is equal to itself only."""
        return dataclass(eq=eq, unsafe_hash=frozen and eq)


__all__ = ["light", "made_once"]

Owner = TypeVar("Owner")
Found = TypeVar("Found")


class _MadeOnce(Generic[Owner, Found]):
    """A property that is worked out when it is first asked for and kept; without the lock of the standard one, which costs more
    than most of what is kept (two threads may both work it out, and find the same).
    """

    def __init__(self, make: Callable[[Owner], Found]) -> None:
        self.make, self.name, self.__doc__ = make, make.__name__, make.__doc__

    @overload
    def __get__(self, owner: None, kind: Any) -> _MadeOnce[Owner, Found]: ...
    @overload
    def __get__(self, owner: Owner, kind: Any) -> Found: ...
    def __get__(self, owner: Owner | None, kind: Any) -> _MadeOnce[Owner, Found] | Found:
        """What was worked out; from then on the instance's own dictionary answers."""
        if owner is None:
            return self
        found = owner.__dict__[self.name] = self.make(owner)
        return found


made_once = _MadeOnce

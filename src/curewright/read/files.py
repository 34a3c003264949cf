"""Files read beside a run sheet: each once, as bytes, with its hash; what is wrong in them is kept, to be told together."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING, Any, TypeVar

from curewright.read.recorder import Export, read_export
from curewright.terms.errors import CurewrightError, FileError, Place, flat, raise_all
from curewright.text.near import nearest_file

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from curewright.read.layout import Layout
    from curewright.read.recorder import Each

T = TypeVar("T")


@dataclass
class Files:
    """Reads files beside the run sheet and remembers what was read; errors are kept until :meth:`close`."""

    folder: Path
    each: Each = map
    read: dict[str, str] = field(default_factory=dict)
    sizes: dict[str, int] = field(default_factory=dict)
    errors: list[CurewrightError] = field(default_factory=list)
    given: dict[str, Path] = field(default_factory=dict)

    def name(self, path: Path) -> str:
        """The name of a file that was given beside the run sheet: the same wherever the folders lie on a machine."""
        inside = path.absolute().is_relative_to(self.folder.absolute())
        name = path.absolute().relative_to(self.folder.absolute()).as_posix() if inside else path.name
        if self.given.get(name, path) != path:
            name = f"{path.absolute().parent.name}/{name}"
        self.given[name] = path
        return name

    def path(self, name: str) -> Path:
        """Where a file lies."""
        return self.given.get(name, self.folder / name)

    def content(self, name: str) -> bytes:
        """The bytes of a file as they are at this moment; its hash is taken of just these."""
        found = self.bytes_of(name)
        self.read[name] = sha256(found).hexdigest()
        return found

    def bytes_of(self, name: str) -> bytes:
        """The bytes of a file whose hash is taken elsewhere. Raises :class:`FileError` for one that cannot be read."""
        try:
            found = self.path(name).read_bytes()
        except OSError as error:
            found_not = f"the file cannot be read ({error.strerror or error})"
            held = isinstance(error, PermissionError)
            remedy = "copy it while the recorder's program holds it" if held else self._other_name(name)
            raise FileError(found_not, where=Place(name), remedy=remedy) from None
        self.read[name] = ""  # its place among the files
        self.sizes[name] = len(found)
        return found

    def _other_name(self, name: str) -> str:
        """What to do about a name that leads nowhere, with the files beside it that are called nearly so."""
        near = self.near(name)
        return "check its name in the run sheet" + (f"; {near}" if near else "")

    def near(self, name: str, but: Iterable[str] = ()) -> str:
        """*Did you mean*, of the files that lie where this one should; nothing where none is near. ``but``: names that are taken."""
        path = self.path(name)
        taken = {self.path(other).name for other in but if self.path(other).parent == path.parent}
        beside = [one.name for one in path.parent.iterdir()] if path.parent.is_dir() else []
        return nearest_file(path.name, sorted(one for one in beside if one not in taken))

    def export(self, name: str, found: bytes, layout: Layout) -> Export:
        """An export under its layout; its hash is taken beside the reading."""

        def digest() -> None:
            self.read[name] = sha256(found).hexdigest()

        def read() -> Export:
            return read_export(found, name, layout, self.each)

        both: list[Any] = list(self.each(lambda call: call(), (digest, read)))
        made: Export = both[1]
        return made

    def try_it(self, read: Callable[[], T]) -> T | None:
        """What a reading gives; None where it is refused, with the error kept."""
        try:
            return read()
        except CurewrightError as error:
            self.errors.extend(flat(error))
            return None

    def close(self) -> None:
        """Raises all that was kept."""
        raise_all(self.errors)

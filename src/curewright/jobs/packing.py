"""Recordings that are too large to attach, packed beside all that comes before the print: begun before anything heavy is imported.

Reading, hashing and compressing leave the interpreter free, so that a second core does it while the first one gets the program ready.
"""

from __future__ import annotations

from concurrent.futures import Future
from dataclasses import dataclass
from hashlib import sha256
from threading import Thread
from typing import TYPE_CHECKING

from curewright.read.run_sheet import named_files, read_run_sheet
from curewright.record.container import container
from curewright.record.verdicts import shown
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

ATTACHED_RECORDINGS = 8 * 10**6  # bytes of recordings, together, that are attached; more go into the container


@dataclass(frozen=True)
class Packed:
    """The container of some recordings: name in the run sheet, content and SHA-256 of each as it was read for it, and its bytes."""

    recordings: tuple[tuple[str, bytes, str], ...]
    container: bytes


def packing_of(sheet: Path) -> Callable[[], Packed | None]:
    """Begins to pack the recordings of a run sheet; what is returned waits for it, None where they are small or cannot be read.

    Nothing is complained about here: whoever reads the run does it. A program that ends sooner does not wait.
    """
    found: Future[Packed | None] = Future()

    def pack() -> None:
        try:
            found.set_result(_packed(sheet, names))
        except OSError:
            found.set_result(None)
        except BaseException as error:  # told to whoever asks
            found.set_exception(error)

    try:
        names = _large(sheet)
    except (CurewrightError, OSError):
        names = []
    if not names:
        return lambda: None
    Thread(target=pack, name="packing", daemon=True).start()
    return found.result


def packed(recordings: Sequence[tuple[str, bytes]]) -> bytes | None:
    """The container of recordings (name, content); None where they are small enough to be attached."""
    large = sum(len(content) for _, content in recordings) > ATTACHED_RECORDINGS
    return container(recordings) if large else None


def _large(sheet: Path) -> list[str]:
    """The names of the recordings in a run sheet, where they are too large to attach."""
    names = list(dict.fromkeys(named_files(read_run_sheet(sheet.read_bytes(), sheet.name))["logs"]))
    sizes = [(sheet.parent / name).stat().st_size for name in names]
    return names if sum(sizes) > ATTACHED_RECORDINGS else []


def _packed(sheet: Path, names: list[str]) -> Packed | None:
    read = [(name, (sheet.parent / name).read_bytes()) for name in names]
    made = packed([(shown(name), content) for name, content in read])
    if made is None:
        return None
    return Packed(tuple((name, content, sha256(content).hexdigest()) for name, content in read), made)

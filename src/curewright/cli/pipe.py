"""Output into a pipe whose reader may leave before all is said (``| head``): the command then goes on without words, to its end."""

from __future__ import annotations

import errno
import io
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import TextIO

GONE = (errno.EPIPE, errno.EINVAL) if sys.platform == "win32" else (errno.EPIPE,)  # nobody reads any more


class Pipe(io.RawIOBase):
    """Bytes to a reader; once it is gone they go nowhere. Anything else that is wrong (a full disk) is raised as ever."""

    def __init__(self, raw: io.RawIOBase) -> None:
        super().__init__()
        self._raw = raw
        self._gone = False

    def writable(self) -> bool:
        """It is there to be written to."""
        return True

    def fileno(self) -> int:
        """The descriptor behind it."""
        return self._raw.fileno()

    def isatty(self) -> bool:
        """Whether a person looks at it."""
        return self._raw.isatty()

    def write(self, data: bytes | bytearray | memoryview) -> int:  # type: ignore[override]
        """Write what the reader takes; how many bytes are dealt with."""
        if not self._gone:
            try:
                return self._raw.write(data) or 0
            except OSError as error:
                if error.errno not in GONE:
                    raise
                self._gone = True
        return len(data)


def as_pipe(stream: TextIO) -> TextIO:
    """The same stream, without complaint once its reader is gone; a terminal, and what is no file at all, stay as they are."""
    buffer = getattr(stream, "buffer", None)
    raw = getattr(buffer, "raw", buffer)  # Python -u writes without a buffer
    if not isinstance(stream, io.TextIOWrapper) or not isinstance(raw, io.RawIOBase) or stream.isatty():
        return stream
    stream.flush()
    pipe = Pipe(raw)
    return io.TextIOWrapper(
        pipe if raw is buffer else io.BufferedWriter(pipe),  # type: ignore[type-var]
        encoding=stream.encoding,
        errors=stream.errors,
        line_buffering=stream.line_buffering,
        write_through=stream.write_through,
    )

"""The container beside a record: recordings that are too large to attach, in one ZIP file that is the same for the same files.

Every time stamp is that of the format's beginning (1 January 1980), every file is deflated at one level, and nothing of the machine
is written, so the same files give the same bytes with the same compression library.
"""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

NAME = "cure-record-recordings.zip"
EPOCH = (1980, 1, 1, 0, 0, 0)
LEVEL = 1  # a log of 82 MB in about a second; a higher level saves little on rows of numbers


def container(files: Iterable[tuple[str, bytes]]) -> bytes:
    """The bytes of a container with these files, in this order."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=LEVEL) as archive:
        for name, content in files:
            entry = zipfile.ZipInfo(name, EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 3  # the same on every system
            entry.external_attr = 0o444 << 16
            archive.writestr(entry, content, compresslevel=LEVEL)
    return out.getvalue()

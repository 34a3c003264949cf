"""A run read, its specifications understood and everything led back: what is done before judging, and all of a check."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from curewright.jobs.cores import in_threads
from curewright.read.folder import RunInputs, read_folder
from curewright.read.traceability import trace
from curewright.terms.errors import FileError, Place, each
from curewright.terms.finding import Finding
from curewright.understand.specification import understand

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from curewright.terms.load import Load
    from curewright.terms.requirement import Specification


@dataclass(frozen=True)
class RunFiles:
    """The folder of a run, or the files that are named by hand; what is not named is taken as ``run.yaml`` says."""

    folder: Path | None = None
    named: dict[str, Any] = field(default_factory=dict)

    @property
    def home(self) -> Path:
        """The folder that the run sheet lies in."""
        return self.named["run"].parent if self.named.get("run") else self.folder or Path()

    def read(self) -> RunInputs:
        """Everything but the specifications. Raises :class:`CurewrightError` with all that is wrong."""
        return read_folder(self.folder, **self.named, each=in_threads)


@dataclass(frozen=True)
class Understood:
    """A run with its specifications and what traceability found."""

    inputs: RunInputs
    specifications: tuple[Specification, ...]
    findings: tuple[Finding, ...]
    files: tuple[tuple[str, str], ...]


def understand_run(files: RunFiles) -> Understood:
    """Read a run and its specifications and lead everything back. Raises :class:`CurewrightError` with all that is wrong."""
    inputs = files.read()
    specifications, hashes = read_specifications(inputs.specifications)
    needs = needed_thermocouples(inputs.load, specifications)
    findings = trace(inputs.vessel, inputs.load, inputs.run, needs, inputs.rulings)
    findings += tuple(gaps_too_short(inputs, specifications))
    return Understood(inputs, specifications, findings, (*inputs.run.files, *hashes))


def gaps_too_short(inputs: RunInputs, specifications: Sequence[Specification]) -> Iterator[Finding]:
    """Specifications whose largest gap is shorter than the usual interval of the first recorder: nothing is joined under them."""
    followed = {(part.specification, part.specification_revision) for part in inputs.load.parts}
    interval = inputs.run.recordings[0].interval if inputs.run.recordings else 0
    for one, path in zip(specifications, inputs.specifications, strict=True):
        if (one.number, one.revision) in followed and one.largest_gap < interval:
            message = (
                f"the largest gap of {one.number} ({one.largest_gap / 1e9:g} s) is shorter than the recorder's usual interval "
                f"({interval / 1e9:g} s): every stretch between rows counts as unknown. To do: correct 'largest gap' if the paper says "
                "otherwise; else the recorder is too slow for it"
            )
            yield Finding("largest gap shorter than the interval", one.number, message, (Place(path.name),))


def read_specifications(
    files: Sequence[Path],
) -> tuple[tuple[Specification, ...], tuple[tuple[str, str], ...]]:
    """The specifications in some files, and name and SHA-256 of each file. Raises with the errors of all of them at once."""
    read = [(path, _content(path)) for path in files]
    hashes = tuple((path.name, sha256(content).hexdigest()) for path, content in read)
    return specifications_of(read), hashes


def _content(path: Path) -> bytes:
    """The bytes of a specification file. Raises :class:`FileError` for one that cannot be read."""
    try:
        return path.read_bytes()
    except OSError as error:
        raise FileError(
            f"the specification cannot be read ({error.strerror or error})",
            where=Place(path.name),
            remedy="check its name under 'specifications' in the run sheet, and that it lies there",
        ) from None


def specifications_of(read: Sequence[tuple[Path, bytes]]) -> tuple[Specification, ...]:
    """The specifications in some files; raises with the errors of all of them at once."""
    return each(lambda one: understand(one[1], one[0].name), read)


def needed_thermocouples(load: Load, specifications: Sequence[Specification]) -> dict[str, int]:
    """How many judging thermocouples each part needs, as its specification says."""
    by_name = {(one.number, one.revision): one.lost.per_part for one in specifications}
    needs = {part.serial: by_name.get((part.specification, part.specification_revision)) for part in load.parts}
    return {serial: count for serial, count in needs.items() if count is not None}

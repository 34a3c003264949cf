"""How the cost of judging grows with samples, channels and requirements."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench import measure
from bench.judging import ours
from bench.scenario import Size, scenario

if TYPE_CHECKING:
    from pathlib import Path

HOURS = (1, 3, 6, 12, 24)
PARTS = (2, 8, 20, 40, 80)
REQUIREMENTS = (5, 10, 20, 30, 60)
Curve = list[tuple[str, float, float]]


def run(size: Size, rounds: int, picture: Path | None = None) -> dict[str, Curve]:
    """Prints one table a curve; ``picture``: also draws them into this file."""
    print("\nCurves: processor time of one judgement (medians), the other two as above")
    found: dict[str, Curve] = {
        "hours": [_point(f"{hours} h", Size(size.parts, hours, size.every), 30, rounds) for hours in HOURS],
        "channels": [
            _point(f"{parts * 7 + 20} channels", Size(parts, size.hours, size.every), 30, rounds) for parts in PARTS
        ],
        "requirements": [_point(f"{count} requirements", size, count, rounds) for count in REQUIREMENTS],
    }
    for name, curve in found.items():
        print(measure.row(f"by {name}", "samples", "time", "per million"))
        for label, samples, seconds in curve:
            print(
                measure.row(
                    label, f"{samples / 1e6:.2f} M", measure.shown(seconds), measure.shown(seconds / samples * 1e6)
                )
            )
    if picture is not None:
        _draw(found, picture)
    return found


def _point(label: str, size: Size, requirements: int, rounds: int) -> tuple[str, float, float]:
    asked = scenario(size)
    call = ours(asked, requirements)
    call()
    return label, asked.samples, measure.median([measure.spent(call) for _ in range(rounds)], clock=1)


def _draw(found: dict[str, Curve], picture: Path) -> None:
    import matplotlib as mpl

    mpl.use("Agg")
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(1, len(found), figsize=(12, 4), sharey=True)
    for axis, (name, curve) in zip(axes, found.items(), strict=True):
        axis.plot([float(label.split()[0]) for label, _, _ in curve], [seconds for _, _, seconds in curve], marker="o")
        axis.set_xlabel(name)
        axis.set_ylim(bottom=0)
        axis.grid(visible=True, alpha=0.3)
    axes[0].set_ylabel("processor time of one judgement [s]")
    picture.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(picture, dpi=110, bbox_inches="tight")
    plt.close(figure)
    print(f"  drawn: {picture}")

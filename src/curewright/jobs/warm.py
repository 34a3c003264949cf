"""Compiles every kernel once and keeps the machine code, so that no later command waits for it (run by set-up)."""

from __future__ import annotations

from importlib import import_module

from curewright.physics.compiled import make_all

KERNELS = (
    "judge.kernels.crests",
    "judge.kernels.envelopes",
    "judge.kernels.even",
    "judge.kernels.extremes",
    "judge.kernels.groups",
    "judge.kernels.levels",
    "judge.kernels.logic",
    "judge.kernels.slopes",
    "judge.kernels.windows",
    "physics.kinetics.along_a_trace",
    "physics.kinetics.laws",
    "physics.shared_error",
    "physics.solve.march",
    "read.kernels.cells",
    "read.kernels.clock",
    "read.kernels.samples",
    "read.kernels.words",
)


def warm() -> int:
    """Imports every file with kernels and compiles what is not kept yet; returns how many kernels there are."""
    for name in KERNELS:
        import_module(f"curewright.{name}")
    return make_all()


if __name__ == "__main__":
    print(f"{warm()} kernels ready")

"""Compiles every kernel once and keeps the machine code, so that no later command waits for it."""

from __future__ import annotations

from curewright.judge.kernels import crests, envelopes, extremes, levels, logic, slopes, windows

KERNELS = (crests, envelopes, extremes, levels, logic, slopes, windows)

if __name__ == "__main__":
    print(f"{len(KERNELS)} kernel files ready")

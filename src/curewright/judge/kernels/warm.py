"""Compiles every kernel once and keeps the machine code, so that no later command waits for it."""

from __future__ import annotations

from curewright.judge.kernels import envelopes, extremes, levels, slopes, windows

KERNELS = (envelopes, extremes, levels, slopes, windows)

if __name__ == "__main__":
    print(f"{len(KERNELS)} kernel files ready")

"""One flat array for everything that a march works on, in rows of a length known when it is compiled.

Compiled loops over such rows need no look at run time whether two of them overlap, and an unsigned index none whether it is negative:
so they run several cells at a time. A row is named by where it begins; cell i of it is ``ws[ROW + i]``.
"""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np

Index: TypeAlias = Any  # a cell or a number of cells: np.uint64 where compiled

STRIDE = 1032  # places in a row, the most cells; an odd number of cache lines, so that rows do not push one another out
ONE = np.uint64(1)

ROWS = 48

(
    # state, and where stages are taken
    TEMPERATURE, ALPHA, STAGE_T, STAGE_A, NEW_T, NEW_A, BRANCH,
    # what cells are made of: capacity Δ C at T = 0, α = 0 and its slopes, 2 k / Δ likewise, heat of reaction × Δ, resistance below
    CAP_0, CAP_T, CAP_A, HALF_0, HALF_T, HALF_A, HEAT, BELOW,
    # what follows from it: capacity, halves, links to the cell below; the last two at a stage
    CAP, HALF, LINK, HALF_STAGE, LINK_STAGE,
    # rates and slopes, flows; at a stage and at the start of the step
    RATE, RATE_T, RATE_A, FLOW, FLOW_0, RATE_0,
    # the factorised matrix; 1 / (σ - r_a), alone and times the slope of the released heat over α; slopes of the flows over α where
    # properties depend on it
    DIAGONAL, LOWER, UPPER, ACROSS, PIVOT, INVERSE, OWN, HEATED, ON_OWN, ON_BELOW, ON_ABOVE,
    # right-hand sides, then the solution; the stages of T and of α
    RIGHT, RIGHT_A, K1, K2, K3, K4, L1, L2, L3, L4,
    # what a jump leaves to be put right
    PUT_RIGHT,
) = (np.uint64(row * STRIDE) for row in range(ROWS))  # fmt: skip

"""Rates of cure and their slopes for a row of cells at a time, in forms that run several cells at once.

Every law but Lee's is a sum of at most two terms::

    A exp(-E/RT) α^m (1 - α)^n / (1 + exp(D (α - (c0 + cT T))))        (D = 0: without the last factor)

and a term is one exponential of two logarithms, its slopes follow without another. Lee's has both its branches computed and one chosen.
A law that is neither goes cell by cell through its own functions. Checked against each law's own file in tests.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.compiled import compiled
from curewright.physics.elementary import exponential, fused, logarithm
from curewright.physics.kinetics.laws import (
    AUTOCATALYTIC,
    AUTOCATALYTIC_WITH_DIFFUSION,
    KAMAL_SOUROUR,
    LEE_1982,
    NTH_ORDER,
    TWO_RATES_WITH_DIFFUSION,
    rate,
    slopes,
)
from curewright.physics.kinetics.lee_1982 import GAS_CONSTANT
from curewright.physics.solve.workspace import BRANCH, FLOW, RATE, RATE_A, RATE_T, RIGHT, RIGHT_A, STAGE_A, STAGE_T

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from curewright.physics.solve.workspace import Index

ONE_TERM, TWO_TERMS, LEE, ANY = 1, 2, 8, 9  # forms: the number of terms; Lee's; through the law's own functions
TERM = 7  # A, E, m, n, D, c0, cT
MOST_VALUES = 2 * TERM
LOWEST = 1e-12  # α and 1 - α are not taken below this: slopes stay finite


def form_of(law: int, constants: tuple[float, ...]) -> tuple[int, tuple[float, ...]]:
    """The form in which a law is computed here, and its numbers in that form, MOST_VALUES of them."""
    if law == LEE_1982:
        return LEE, _filled(constants)
    terms = _terms(law, constants)
    if not terms:
        return ANY, _filled(constants)
    return len(terms), _filled(tuple(number for term in terms for number in term))


def _filled(numbers: tuple[float, ...]) -> tuple[float, ...]:
    return (*numbers, *(0.0,) * (MOST_VALUES - len(numbers)))


def _terms(law: int, c: tuple[float, ...]) -> tuple[tuple[float, ...], ...]:
    """A law as terms; none where it is no sum of them."""
    never = (0.0, 0.0, 0.0)
    if law == NTH_ORDER:
        return ((c[0], c[1], 0.0, c[2], *never),)
    if law == AUTOCATALYTIC:
        return ((*c[:4], *never),)
    if law == AUTOCATALYTIC_WITH_DIFFUSION:
        return (tuple(c[:7]),)
    if law == KAMAL_SOUROUR:
        return ((c[0], c[2], 0.0, c[5], *never), (c[1], c[3], c[4], c[5], *never))
    if law == TWO_RATES_WITH_DIFFUSION:
        return ((c[0], c[2], c[4], c[5], *never), (c[1], c[3], c[6], c[7], *c[8:11]))
    return ()


def _lee(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE by Lee's law."""
    A1, A2, A3, B = c[0], c[1], c[2], c[6]
    E1, E2, E3 = c[3] / GAS_CONSTANT, c[4] / GAS_CONSTANT, c[5] / GAS_CONSTANT
    above = 0.0
    for i in range(first, end):
        above += ws[BRANCH + i]
    if above == 0.0:
        for i in range(first, end):
            a, per_T = ws[STAGE_A + i], 1.0 / ws[STAGE_T + i]
            K1, K2 = A1 * exponential(-E1 * per_T), A2 * exponential(-E2 * per_T)
            ws[RATE + i] = (K1 + K2 * a) * (1.0 - a) * (B - a)
    elif above == float(end - first):
        for i in range(first, end):
            ws[RATE + i] = A3 * exponential(-E3 / ws[STAGE_T + i]) * (1.0 - ws[STAGE_A + i])
    else:
        for i in range(first, end):
            a, per_T = ws[STAGE_A + i], 1.0 / ws[STAGE_T + i]
            K1, K2, K3 = A1 * exponential(-E1 * per_T), A2 * exponential(-E2 * per_T), A3 * exponential(-E3 * per_T)
            low, high = (K1 + K2 * a) * (1.0 - a) * (B - a), K3 * (1.0 - a)
            ws[RATE + i] = low if ws[BRANCH + i] == 0.0 else high


def _lee_slopes(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE, RATE_T and RATE_A by Lee's law."""
    A1, A2, A3, B = c[0], c[1], c[2], c[6]
    E1, E2, E3 = c[3] / GAS_CONSTANT, c[4] / GAS_CONSTANT, c[5] / GAS_CONSTANT
    for i in range(first, end):
        a, per_T = ws[STAGE_A + i], 1.0 / ws[STAGE_T + i]
        K1, K2, K3 = A1 * exponential(-E1 * per_T), A2 * exponential(-E2 * per_T), A3 * exponential(-E3 * per_T)
        left, short = 1.0 - a, B - a
        both = left * short
        low, high = (K1 + K2 * a) * both, K3 * left
        low_T, high_T = (K1 * E1 + K2 * E2 * a) * both, high * E3
        low_a = K2 * both - (K1 + K2 * a) * (left + short)
        on_low = ws[BRANCH + i] == 0.0
        ws[RATE + i] = low if on_low else high
        ws[RATE_T + i] = (low_T if on_low else high_T) * per_T * per_T
        ws[RATE_A + i] = low_a if on_low else -K3


def _term(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE of one term."""
    A, E, m, n, D, c0, cT = c[0], c[1] / GAS_CONSTANT, c[2], c[3], c[4], c[5], c[6]
    for i in range(first, end):
        begun = logarithm(max(ws[STAGE_A + i], LOWEST))
        left = logarithm(max(1.0 - ws[STAGE_A + i], LOWEST))
        ws[RATE + i] = A * exponential(fused(m, begun, n * left) - E / ws[STAGE_T + i])
    if D != 0.0:
        for i in range(first, end):
            ws[RATE + i] /= 1.0 + exponential(D * (ws[STAGE_A + i] - fused(cT, ws[STAGE_T + i], c0)))


def _two_terms(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE of two terms, of which only the second may be slowed by diffusion: their logarithms are taken once."""
    A1, E1, m1, n1 = c[0], c[1] / GAS_CONSTANT, c[2], c[3]
    A2, E2, m2, n2, D, c0, cT = c[7], c[8] / GAS_CONSTANT, c[9], c[10], c[11], c[12], c[13]
    for i in range(first, end):
        per_T = 1.0 / ws[STAGE_T + i]
        begun = logarithm(max(ws[STAGE_A + i], LOWEST))
        left = logarithm(max(1.0 - ws[STAGE_A + i], LOWEST))
        ws[RATE + i] = A1 * exponential(fused(m1, begun, n1 * left) - E1 * per_T)
        ws[FLOW + i] = A2 * exponential(fused(m2, begun, n2 * left) - E2 * per_T)  # FLOW is made anew after the rates
    if D == 0.0:
        for i in range(first, end):
            ws[RATE + i] += ws[FLOW + i]
    else:
        for i in range(first, end):
            growth = exponential(D * (ws[STAGE_A + i] - fused(cT, ws[STAGE_T + i], c0)))
            ws[RATE + i] += ws[FLOW + i] / (1.0 + growth)


def _term_slopes(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE, RATE_T and RATE_A of one term."""
    A, E, m, n = c[0], c[1] / GAS_CONSTANT, c[2], c[3]
    for i in range(first, end):
        a, left, per_T = max(ws[STAGE_A + i], LOWEST), max(1.0 - ws[STAGE_A + i], LOWEST), 1.0 / ws[STAGE_T + i]
        one = A * exponential(fused(m, logarithm(a), n * logarithm(left)) - E * per_T)
        ws[RATE + i] = one
        ws[RATE_T + i] = one * (E * per_T * per_T)
        ws[RATE_A + i] = one * (m / a - n / left)


def _two_terms_slopes(ws: NDArray[np.float64], first: Index, end: Index, c: NDArray[np.float64]) -> None:
    """RATE, RATE_T and RATE_A of the second term; those of the first wait in FLOW, RIGHT and RIGHT_A, which are made anew later."""
    A1, E1, m1, n1 = c[0], c[1] / GAS_CONSTANT, c[2], c[3]
    A2, E2, m2, n2 = c[7], c[8] / GAS_CONSTANT, c[9], c[10]
    for i in range(first, end):
        a, left, per_T = max(ws[STAGE_A + i], LOWEST), max(1.0 - ws[STAGE_A + i], LOWEST), 1.0 / ws[STAGE_T + i]
        log_a, log_left, per_a, per_left = logarithm(a), logarithm(left), 1.0 / a, 1.0 / left
        one = A1 * exponential(fused(m1, log_a, n1 * log_left) - E1 * per_T)
        two = A2 * exponential(fused(m2, log_a, n2 * log_left) - E2 * per_T)
        ws[FLOW + i], ws[RATE + i] = one, two
        ws[RIGHT + i], ws[RATE_T + i] = one * (E1 * per_T * per_T), two * (E2 * per_T * per_T)
        ws[RIGHT_A + i] = one * (m1 * per_a - n1 * per_left)
        ws[RATE_A + i] = two * (m2 * per_a - n2 * per_left)


def _slowed(ws: NDArray[np.float64], first: Index, end: Index, D: float, c0: float, cT: float) -> None:
    """Slows RATE by diffusion, to RATE / (1 + exp(D (α - (c0 + cT T)))), and its slopes RATE_T and RATE_A with it."""
    for i in range(first, end):
        growth = exponential(D * (ws[STAGE_A + i] - fused(cT, ws[STAGE_T + i], c0)))
        rest = 1.0 / (1.0 + growth)
        one, slower = ws[RATE + i] * rest, D * growth * rest
        ws[RATE + i] = one
        ws[RATE_T + i] = fused(one, slower * cT, ws[RATE_T + i] * rest)
        ws[RATE_A + i] = fused(one, -slower, ws[RATE_A + i] * rest)


BLOCK = "void(float64[::1], uint64, uint64, float64[::1])"
lee = compiled(BLOCK)(_lee)
lee_slopes = compiled(BLOCK)(_lee_slopes)
term = compiled(BLOCK)(_term)
two_terms = compiled(BLOCK)(_two_terms)
term_slopes = compiled(BLOCK)(_term_slopes)
two_terms_slopes = compiled(BLOCK)(_two_terms_slopes)
slowed = compiled("void(float64[::1], uint64, uint64, float64, float64, float64)")(_slowed)


def _rates(ws: NDArray[np.float64], blocks: NDArray[np.uint64], values: NDArray[np.float64]) -> None:
    """RATE [1/s] at STAGE_T and STAGE_A of the cells that cure.

    ``blocks``, shape (b, 4): first cell, end, law, form; values: shape (b, MOST_VALUES).
    """
    for b in range(blocks.shape[0]):
        first, end, law, form = blocks[b, 0], blocks[b, 1], int(blocks[b, 2]), int(blocks[b, 3])
        if form == LEE:
            lee(ws, first, end, values[b])
        elif form == ONE_TERM:
            term(ws, first, end, values[b])
        elif form == TWO_TERMS:
            two_terms(ws, first, end, values[b])
        else:
            for i in range(first, end):
                a = min(max(ws[STAGE_A + i], 0.0), 1.0)
                ws[RATE + i] = rate(law, ws[STAGE_T + i], a, values[b], int(ws[BRANCH + i]))


def _rates_and_slopes(ws: NDArray[np.float64], blocks: NDArray[np.uint64], values: NDArray[np.float64]) -> None:
    """The same with RATE_T [1/s/K] and RATE_A [1/s]."""
    for b in range(blocks.shape[0]):
        first, end, law, form = blocks[b, 0], blocks[b, 1], int(blocks[b, 2]), int(blocks[b, 3])
        if form == LEE:
            lee_slopes(ws, first, end, values[b])
        elif form == ONE_TERM:
            term_slopes(ws, first, end, values[b])
            if values[b, 4] != 0.0:
                slowed(ws, first, end, values[b, 4], values[b, 5], values[b, 6])
        elif form == TWO_TERMS:
            two_terms_slopes(ws, first, end, values[b])
            if values[b, 11] != 0.0:
                slowed(ws, first, end, values[b, 11], values[b, 12], values[b, 13])
            for i in range(first, end):
                ws[RATE + i] += ws[FLOW + i]
                ws[RATE_T + i] += ws[RIGHT + i]
                ws[RATE_A + i] += ws[RIGHT_A + i]
        else:
            for i in range(first, end):
                T, a, branch = ws[STAGE_T + i], min(max(ws[STAGE_A + i], LOWEST), 1.0), int(ws[BRANCH + i])
                ws[RATE + i] = rate(law, T, a, values[b], branch)
                ws[RATE_T + i], ws[RATE_A + i] = slopes(law, T, a, values[b], branch)


rates = compiled("void(float64[::1], uint64[:,::1], float64[:,::1])")(_rates)
rates_and_slopes = compiled("void(float64[::1], uint64[:,::1], float64[:,::1])")(_rates_and_slopes)

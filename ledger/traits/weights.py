"""Fit how much each trait counts: conditional logistic regression (McFadden 1974) by Newton's method, in plain Python.

Each case offers candidates, one of them right; the chance of a candidate is the softmax of its weighted evidence. A
ridge draws every weight toward `middle`, so that a trait with few cases keeps near it. No weight goes below zero: no
reading of a trait may come to speak for the taxa it contradicts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# A weight of one holds for a trait that is independent of all others; correlated ones share less.
MIDDLE = 0.7
RIDGE = 10.0


@dataclass(frozen=True, slots=True)
class Choice:
    """One case: the traits read, by index, and their evidence (nats) per candidate. `right`: a candidate's index."""

    traits: tuple[int, ...]
    candidates: Sequence[Sequence[float]]
    right: int


def shortened(traits: Sequence[int], evidence: Sequence[Sequence[float]], right: int, keep: int) -> Choice:
    """A case with the `keep` candidates that have the most evidence, and the right one. `evidence` is by trait, by taxon."""
    sums = [math.fsum(column) for column in zip(*evidence, strict=True)]
    best = sorted(range(len(sums)), key=lambda taxon: (-sums[taxon], taxon))[:keep]
    if right not in best:
        best[-1] = right
    rows = [[trait[taxon] for trait in evidence] for taxon in best]
    return Choice(tuple(traits), rows, best.index(right))


def fit(
    cases: Sequence[Choice], count: int, *, ridge: float = RIDGE, middle: float = MIDDLE, steps: int = 12
) -> list[float]:
    """Weights of `count` traits that make the right candidates most likely, penalised by ridge * (w - middle)^2."""
    weights = [middle] * count
    for _ in range(steps):
        gradient = [2.0 * ridge * (w - middle) for w in weights]
        curvature = [[2.0 * ridge if i == j else 0.0 for j in range(count)] for i in range(count)]
        for case in cases:
            _add(case, weights, gradient, curvature)
        # Weights held at zero that would go below it stay out of the step.
        free = [i for i in range(count) if weights[i] > 0.0 or gradient[i] < 0.0]
        step = solve([[curvature[i][j] for j in free] for i in free], [gradient[i] for i in free])
        moved = 0.0
        for i, by in zip(free, step, strict=True):
            before = weights[i]
            weights[i] = max(0.0, before - by)
            moved = max(moved, abs(weights[i] - before))
        if moved < 1e-4:
            break
    return weights


def _add(case: Choice, weights: Sequence[float], gradient: list[float], curvature: list[list[float]]) -> None:
    """Add the slope and curvature of one case's negative log likelihood."""
    of_traits = [weights[t] for t in case.traits]
    sums = [sum(w * x for w, x in zip(of_traits, row, strict=True)) for row in case.candidates]
    best = max(sums)
    odds = [math.exp(one - best) for one in sums]
    whole = sum(odds)
    kept = [(one / whole, row) for one, row in zip(odds, case.candidates, strict=True) if one > 1e-6 * whole]
    size = len(case.traits)
    means = [sum(p * row[k] for p, row in kept) for k in range(size)]
    right = case.candidates[case.right]
    for k, trait in enumerate(case.traits):
        gradient[trait] += means[k] - right[k]
    for chance, row in kept:
        apart = [row[k] - means[k] for k in range(size)]
        for k, trait in enumerate(case.traits):
            line, here = curvature[trait], chance * apart[k]
            if here:
                for m, other in enumerate(case.traits):
                    line[other] += here * apart[m]


def solve(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """Solve a symmetric positive definite system by Cholesky's method."""
    size = len(right)
    lower = [[0.0] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            rest = matrix[i][j] - sum(lower[i][k] * lower[j][k] for k in range(j))
            lower[i][j] = math.sqrt(rest) if i == j else rest / lower[j][j]
    middle: list[float] = []
    for i in range(size):
        middle.append((right[i] - sum(lower[i][k] * middle[k] for k in range(i))) / lower[i][i])
    found = [0.0] * size
    for i in reversed(range(size)):
        found[i] = (middle[i] - sum(lower[k][i] * found[k] for k in range(i + 1, size))) / lower[i][i]
    return found


def temperature(cases: Sequence[tuple[Sequence[float], int]]) -> float:
    """The factor by which sums of evidence (nats, by candidate, with the index of the right one) are best scaled.

    Best: the right ones are most likely. The likelihood has one peak, found by golden section in 0.2 to 2.
    """
    inner = (math.sqrt(5.0) - 1.0) / 2.0
    low, high = 0.2, 2.0
    while high - low > 1e-3:
        left, right = high - inner * (high - low), low + inner * (high - low)
        if _loss(cases, left) < _loss(cases, right):
            high = right
        else:
            low = left
    return (low + high) / 2.0


def _loss(cases: Sequence[tuple[Sequence[float], int]], factor: float) -> float:
    loss = 0.0
    for sums, right in cases:
        best = max(sums)
        loss += math.log(sum(math.exp(factor * (one - best)) for one in sums)) - factor * (sums[right] - best)
    return loss

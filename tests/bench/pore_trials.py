"""Pictures drawn and counted, one after the other: what the report and the tuning look at."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from ledger.measuring.pores import PoreCount, PoresRefused, count_pores
from tests.bench.pore_images import Wanted, picture

TUNING, REPORTING = 60_000, 900_000  # seeds begin here; the two never meet


@dataclass(frozen=True)
class Trial:
    """One picture, what was wanted of it and what came out."""

    wanted: Wanted
    px_per_mm: float
    answer: PoreCount | PoresRefused

    @property
    def counted(self) -> bool:
        return isinstance(self.answer, PoreCount)

    @property
    def error(self) -> float:
        """Relative error of the count as a club would get it, the error of the scale included."""
        assert isinstance(self.answer, PoreCount)
        return self.answer.per_mm / self.wanted.per_mm - 1.0

    @property
    def own_error(self) -> float:
        """The same with the true scale."""
        true = self.wanted.per_mm * self.wanted.px_per_pore
        return (1.0 + self.error) * true / self.px_per_mm - 1.0

    @property
    def covered(self) -> bool:
        assert isinstance(self.answer, PoreCount)
        return abs(self.answer.per_mm - self.wanted.per_mm) <= 2.0 * self.answer.u_per_mm

    @property
    def own_covered(self) -> bool:
        """The same with the true scale, and without the scale's share of the uncertainty."""
        assert isinstance(self.answer, PoreCount)
        own = math.hypot(self.answer.spread_share, self.answer.method_share)
        return abs(math.log1p(self.own_error)) <= 2.0 * own


def drawn(kinds: Iterable[str], many: int, seed: int, finest: float, coarsest: float) -> Iterator[Wanted]:
    """`many` pictures of each kind: 2 to 9 per mm, `finest` to `coarsest` px per pore, patches 8 to 40 pores and at most
    800 px wide, the scale known to 0.2 to 1.5 %."""
    for kind in kinds:
        for k in range(many):
            rng = np.random.default_rng([seed, k, 17])
            px = math.exp(rng.uniform(math.log(finest), math.log(coarsest)))
            across = min(math.exp(rng.uniform(math.log(8), math.log(40))), 800 / px)
            yield Wanted(
                kind,
                seed + k,
                per_mm=rng.uniform(2.0, 9.0),
                px_per_pore=px,
                across=across,
                scale_error=rng.uniform(0.002, 0.015),
            )


def tried(wanted: Iterable[Wanted]) -> list[Trial]:
    out = []
    for one in wanted:
        shown = picture(one)
        answer = count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
        out.append(Trial(one, shown.px_per_mm, answer))
    return out

"""Carries finds through the collection by a pair of hands: looks, does what is missing, looks again. So for all ways."""

from collections import Counter
from typing import Protocol

from tests.vouchers.soak.plan import STOCKTAKE, Job, Next, Standing, next_step

# Steps of one find in a row that came to nothing: refused, cut off by a kill, or done by somebody else a moment before.
MOST_IN_VAIN = 60

# Of one find by one writer; the way has some twenty.
MOST_STEPS = 60


class Refused(Exception):
    """The ledger said no, in a sentence."""


class CutOff(Exception):
    """No answer came, or that it is "busy": whether the step was taken, only a look will tell."""


class Hands(Protocol):
    """One writer. `look` and `do` may raise Refused or CutOff; `stocktake` says whether the box needs no more."""

    def look(self, find: str) -> Standing: ...

    def do(self, step: Next) -> None: ...

    def stocktake(self, box: int) -> bool: ...


def carry(job: Job, hands: Hands, done: Counter[str], told: Counter[str]) -> None:
    """Take a find its whole way. `done` counts steps taken, `told` sentences of refusals and answers that did not come."""
    vain, taken = 0, 0
    while vain < MOST_IN_VAIN and taken < MOST_STEPS:
        step = None
        try:
            step = next_step(job, hands.look(job.find))
            if step is None:
                return
            hands.do(step)
        except (Refused, CutOff) as trouble:
            vain += 1
            told[_said(trouble, step.step if step else "look")] += 1
        else:
            vain, taken = 0, taken + 1
            done[step.step] += 1
    raise AssertionError(f"find {job.place} does not come on: {step}, {told.most_common(5)}")


def take_stock(box: int, hands: Hands, done: Counter[str], told: Counter[str]) -> bool:
    """Go on with the stocktake of a box, as far as it goes now; False where somebody must come back later."""
    for _ in range(MOST_IN_VAIN):
        try:
            is_over = hands.stocktake(box)
        except (Refused, CutOff) as trouble:
            told[_said(trouble, STOCKTAKE)] += 1
        else:
            done[STOCKTAKE] += is_over
            return is_over
    raise AssertionError(f"the stocktake of box {box} does not come on: {told.most_common(5)}")


def _said(trouble: Exception, step: str) -> str:
    if isinstance(trouble, CutOff):
        return "busy" if str(trouble) == "busy" else "cut off"
    return f"{step}: {trouble}"[:300]

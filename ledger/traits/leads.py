"""How often the taxon that leads is the right one, by how far it leads: whole descriptions, and the few readings of a find.

From this the lead is chosen at which the check says that a taxon fits best (`LEAD_DB` in lookalikes.py).
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.traits.evidence import DECIBANS_PER_NAT
from ledger.traits.trials import Trial, cross_scales

# Readings drawn from each description, as often as DRAWS each: a find in the hand has a few.
PARTS = (1, 2, 3, 4, 5, 6, 8)
DRAWS = 4
# Bounds of the report's table, in decibans.
STEPS_DB = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 15.0)


@dataclass(frozen=True, slots=True)
class Lead:
    """One ranking: how many decibans the first taxon is ahead of the second, and whether it is the right one."""

    ahead_db: float
    is_right: bool
    is_whole: bool


def leads(trials: Sequence[Trial]) -> list[Lead]:
    """All descriptions whole, and parts of each drawn by lot, the same ones in every run."""
    scales = cross_scales(trials)
    lots = random.Random(1)
    found = []
    for trial in trials:
        traits = sorted(trial.evidence)
        factor = DECIBANS_PER_NAT * scales[trial.fold]
        found.append(_lead(trial, traits, factor, is_whole=True))
        for many in PARTS:
            if many < len(traits):
                found += [
                    _lead(trial, lots.sample(traits, many), factor, is_whole=False) for _ in range(DRAWS)
                ]
    return found


def _lead(trial: Trial, traits: Sequence[str], factor: float, *, is_whole: bool) -> Lead:
    sums = trial.sums(frozenset(traits))
    order = sorted(range(len(sums)), key=lambda taxon: (-sums[taxon], taxon))
    return Lead(factor * (sums[order[0]] - sums[order[1]]), order[0] == trial.case.taxon, is_whole)

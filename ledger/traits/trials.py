"""Put the evidence to the test: each description ranked among all taxa by what was learned without its source.

Sources are dealt into folds. For a fold, everything learned as a whole (interchange, backgrounds, spreads, weights) comes
from the other folds only, the weights from leave-one-out cases among them. Then each description of the fold is
weighed; what its taxon is expected to show comes from all sources but its own (or, stricter, but all of its family).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.learning import DEFAULT, Constants, Learned
from ledger.traits.leave_out import Case, Material, Scales, learn_all
from ledger.traits.weights import MIDDLE, fit, shortened, temperature

FOLDS = 10
# Candidates of a case that the weights are fitted on; the others are far behind before any weighting.
KEPT = 30

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Trial:
    """A case with its evidence (nats) by trait and taxon, and the weights of its fold."""

    case: Case
    fold: int
    evidence: Mapping[str, Sequence[float]]
    weights: Mapping[str, float]

    def sums(self, traits: Collection[str] | None = None, *, equal: bool = False) -> list[float]:
        """Weighted sum for each taxon, of those traits (all by default); `equal`: every weight the same."""
        used = [trait for trait in self.evidence if traits is None or trait in traits]
        factors = [MIDDLE if equal else self.weights[trait] for trait in used]
        columns = zip(*(self.evidence[trait] for trait in used), strict=True)
        return [math.fsum(f * x for f, x in zip(factors, column, strict=True)) for column in columns] or [0.0]


def fit_weights(
    material: Material, learned: Mapping[str, Learned], left_out: Collection[str], constants: Constants
) -> dict[str, float]:
    """Weights of the traits, from all cases of sources not left out, each weighed without its own source."""
    traits = list(material.prints)
    place = {trait: index for index, trait in enumerate(traits)}
    scales = Scales(material, learned, left_out, constants)
    choices = []
    for case in material.cases:
        if case.source not in left_out:
            found = scales.evidence(case, {case.source})
            if found:
                rows = list(found.values())
                choices.append(shortened([place[trait] for trait in found], rows, case.taxon, KEPT))
    return dict(zip(traits, fit(choices, len(traits)), strict=True))


def run_trials(
    material: Material,
    *,
    by_family: bool = False,
    constants: Constants = DEFAULT,
    progress: Progress = lambda line: None,
) -> tuple[Trial, ...]:
    """All cases, each weighed with what was learned without its fold. `by_family`: whole families are left out."""
    group = material.families if by_family else {source: source for source in material.families}
    names = sorted({group[case.source] for case in material.cases})
    fold_of = {name: index % FOLDS for index, name in enumerate(names)}
    members: dict[str, set[str]] = {}
    for source, name in group.items():
        members.setdefault(name, set()).add(source)
    trials = []
    for fold in range(FOLDS):
        progress(f"leaving out {'families' if by_family else 'sources'}, fold {fold + 1} of {FOLDS}")
        left_out = {source for source, name in group.items() if fold_of.get(name) == fold}
        learned = learn_all(material, left_out, constants)
        weights = fit_weights(material, learned, left_out, constants)
        scales = Scales(material, learned, (), constants)
        for case in material.cases:
            if case.source in left_out:
                evidence = scales.evidence(case, members[group[case.source]])
                trials.append(Trial(case, fold, evidence, weights))
    return tuple(trials)


def rank(sums: Sequence[float], right: int) -> int:
    """Place of the right taxon, 1 the best. Ties count against it."""
    return sum(value >= sums[right] for value in sums)


def cross_scales(trials: Sequence[Trial]) -> list[float]:
    """For each fold the factor that suits the sums of all other folds best."""
    sums = [(trial.sums(), trial.case.taxon) for trial in trials]
    return [
        temperature([one for trial, one in zip(trials, sums, strict=True) if trial.fold != fold])
        for fold in range(FOLDS)
    ]


def share(flags: Iterable[bool]) -> float:
    """Share of true ones; NaN of none would hide a mistake, so there must be some."""
    found = list(flags)
    return sum(found) / len(found)

"""The calibration of the check: learn from the whole reference, and find out by leaving sources out how far to trust it.

`calibrate` gives the numbers that the check uses, learned from all sources, and the figures of the trials, where nothing
that judges a description has seen its source (see trials.py). The few figures chosen from trials (the scale of the
sum, the decisive traits, bands, the threshold of doubt) are in each fold chosen from the other folds.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.bands import Band, Held, bands, hold_all, is_outside, quantile
from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.documented import compile_rows, documented
from ledger.traits.evidence import DECIBANS_PER_NAT, probabilities
from ledger.traits.learning import DEFAULT, Constants, Learned, LearnedNumbers, LearnedStates
from ledger.traits.leave_out import learn_all, material
from ledger.traits.outcome import decide
from ledger.traits.reference import Reference
from ledger.traits.trials import FOLDS, Progress, Trial, cross_scales, fit_weights, rank, run_trials, share
from ledger.traits.vocabulary import Trait
from ledger.traits.weights import temperature

# A trait may rule a taxon out if the right taxon fell to it (wide band) in no more than this share of prints, seen in at
# least so many: less than the 1 % that all of them together may cost. Growth traits and seasons never may: one odd
# cap or one mild winter decides nothing.
DECISIVE_ERROR = 0.0075
DECISIVE_CASES = 50
# Doubtful below: the readings together at least halve the odds. Lower if more right taxa than DOUBTFUL fell below.
HALF_DB = 10.0 * math.log10(0.5)
DOUBTFUL = 0.15
BINS = 10


class TooFewCases(ValueError):
    """The reference holds too few whole descriptions to leave any out; the message counts them."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of the right taxon of one trial, by numbers chosen without its fold; `left`: taxa not ruled out."""

    trial: Trial
    place: int
    weights_db: tuple[float, ...]
    probabilities: tuple[float, ...]
    ruled_out_by: tuple[str, ...]
    doubtful: bool
    left: int
    in_question: int

    @property
    def first(self) -> int:
        """The taxon with the most weight."""
        return max(range(len(self.weights_db)), key=lambda taxon: (self.weights_db[taxon], -taxon))


@dataclass(frozen=True, slots=True)
class TraitFigures:
    """What leaving sources out shows of one trait. Error rates: the right taxon `outside`, band of 95 % and wide."""

    cases: int
    error_rate: float | None
    error_wide: float | None
    decisive: bool
    band: Band | None
    weight: float


@dataclass(frozen=True, slots=True)
class Run:
    """A whole calibration: the numbers to store, and the figures of the report."""

    calibration: Calibration
    taxa: tuple[str, ...]
    sources: Mapping[str, int]
    traits: Mapping[str, TraitFigures]
    verdicts: tuple[Verdict, ...]
    strict: tuple[Trial, ...]
    scales: tuple[float, float]


def calibrate(
    reference: Reference, *, constants: Constants = DEFAULT, progress: Progress = lambda line: None
) -> Run:
    """Calibrate a reference; its present calibration is not looked at. A minute or so; `progress` is told each step.

    TooFewCases if sources with whole descriptions, or families of them, cannot fill the folds.
    """
    bare = Reference.build(
        reference.vocabulary,
        reference.taxa.values(),
        reference.sources.values(),
        reference.ranges,
        Calibration({}, 1.0, 0.0),
    )
    stuff = material(bare.vocabulary, tuple(bare.taxa.values()), bare.sources, bare.ranges)
    families = {case.family for case in stuff.cases}
    if len(families) < FOLDS:
        raise TooFewCases(
            f"there are {len(stuff.cases)} whole descriptions by {len(families)} families of sources; "
            f"at least {FOLDS} families are needed"
        )
    progress("holding each source against the others")
    held = hold_all(bare)
    trials = run_trials(stuff, constants=constants, progress=progress)
    verdicts = tuple(judge(bare, trials, held))
    strict = run_trials(stuff, by_family=True, constants=constants, progress=progress)
    progress("learning from all sources")
    learned = learn_all(stuff, (), constants)
    weights = fit_weights(stuff, learned, (), constants)
    figures = trait_figures(bare, held, weights)
    scale = temperature([(trial.sums(), trial.case.taxon) for trial in trials])
    threshold = doubtful_below(
        [DECIBANS_PER_NAT * scale * trial.sums()[trial.case.taxon] for trial in trials]
    )
    stored = _stored(bare, learned, weights, figures, scale, threshold)
    strict_scale = temperature([(trial.sums(), trial.case.taxon) for trial in strict])
    per_taxon = {
        entry.name: len(
            {one.source for of_trait in stuff.prints.values() for one in of_trait if one.taxon == index}
        )
        for index, entry in enumerate(stuff.taxa)
    }
    return Run(stored, tuple(bare.taxa), per_taxon, figures, verdicts, strict, (scale, strict_scale))


def trait_figures(
    reference: Reference, held: Sequence[Held], weights: Mapping[str, float]
) -> dict[str, TraitFigures]:
    """Bands from all sources; error rates with bands from the folds that a print is not in."""
    made = bands(held)
    narrow, wide = error_rates(held), error_rates(held, wide=True)
    decisive = decisive_traits(held)
    cases = Counter(one.trait.code for one in held)
    return {
        code: TraitFigures(
            cases=cases[code],
            error_rate=narrow.get(code),
            error_wide=wide.get(code),
            decisive=code in decisive,
            band=made.get(code),
            weight=weights.get(code, 0.0),
        )
        for code in reference.vocabulary.traits
    }


def error_rates(held: Sequence[Held], *, wide: bool = False) -> dict[str, float]:
    """Share of prints called `outside` for their own taxon, by trait, each with bands from other folds of sources."""
    folds = {source: index % FOLDS for index, source in enumerate(sorted({one.source for one in held}))}
    verdicts: dict[str, list[bool]] = {}
    for fold in range(FOLDS):
        made = bands(held, {source for source, own in folds.items() if own == fold})
        for one in held:
            if folds[one.source] == fold:
                verdicts.setdefault(one.trait.code, []).append(is_outside(one, made, wide=wide))
    return {code: share(flags) for code, flags in verdicts.items()}


def decisive_traits(held: Sequence[Held]) -> frozenset[str]:
    """The traits that may rule a taxon out, by the prints given."""
    cases = Counter(one.trait.code for one in held if may_decide(one.trait))
    errors = error_rates(held, wide=True)
    return frozenset(
        code for code, many in cases.items() if many >= DECISIVE_CASES and errors[code] <= DECISIVE_ERROR
    )


def may_decide(trait: Trait) -> bool:
    """Whether an `outside` of the trait could rule out at all: not size, which grows, and not the season."""
    return not trait.growth and trait.kind != "months"


def doubtful_below(right_db: Sequence[float]) -> float:
    """The weight below which a taxon is doubtful, from the weights of right taxa."""
    # Strictly below the value, so no more than the share can fall.
    return min(HALF_DB, quantile(right_db, DOUBTFUL))


def judge(reference: Reference, trials: Sequence[Trial], held: Sequence[Held]) -> list[Verdict]:
    """Standing of the right taxon in each trial, with scale, bands, decisive traits and threshold of the other folds."""
    scales = cross_scales(trials)
    by_case: dict[tuple[str, str], list[Held]] = {}
    for one in held:
        by_case.setdefault((one.taxon, one.source), []).append(one)
    taxa = list(reference.taxa)
    verdicts = []
    for fold in range(FOLDS):
        mine = [trial for trial in trials if trial.fold == fold]
        out = {trial.case.source for trial in mine}
        made = bands(held, out)
        decisive = decisive_traits([one for one in held if one.source not in out])
        factor = DECIBANS_PER_NAT * scales[fold]
        threshold = doubtful_below(
            [factor * trial.sums()[trial.case.taxon] for trial in trials if trial.fold != fold]
        )
        for trial in mine:
            weights_db = tuple(factor * value for value in trial.sums())
            own = by_case.get((taxa[trial.case.taxon], trial.case.source), [])
            deciding = [one for one in own if one.trait.code in decisive]
            by = tuple(one.trait.code for one in deciding if is_outside(one, made, wide=True))
            standing = [_stands(reference, taxon, deciding, made) for taxon in taxa]
            standing[trial.case.taxon] = not by
            verdicts.append(
                Verdict(
                    trial=trial,
                    place=rank(weights_db, trial.case.taxon),
                    weights_db=weights_db,
                    probabilities=tuple(probabilities(weights_db)),
                    ruled_out_by=by,
                    doubtful=not by and weights_db[trial.case.taxon] < threshold,
                    left=sum(standing),
                    in_question=sum(
                        stands and weight >= threshold
                        for stands, weight in zip(standing, weights_db, strict=True)
                    ),
                )
            )
    return verdicts


def _stands(reference: Reference, taxon: str, deciding: Sequence[Held], made: Mapping[str, Band]) -> bool:
    """Whether no decisive reading rules the taxon out, by what all sources but the reading's own document of it."""
    for one in deciding:
        known = documented(reference, one.trait, None, None).get(taxon)
        if known is None:
            continue
        if any(row.source_id == one.source for row in known.rows):
            rest = tuple(row for row in known.rows if row.source_id != one.source)
            known = compile_rows(one.trait, rest, None, None) if rest else None
        band = made[one.trait.code].band98 if one.trait.code in made else 1.0
        if decide(one.seen, known, band) == "outside":
            return False
    return True


def _stored(
    reference: Reference,
    learned: Mapping[str, Learned],
    weights: Mapping[str, float],
    figures: Mapping[str, TraitFigures],
    scale: float,
    threshold: float,
) -> Calibration:
    """The numbers the check uses, to six digits, so that another machine's last digit changes no file."""
    traits = {}
    for code, measured in figures.items():
        of_trait, band = learned.get(code), measured.band
        traits[code] = TraitCalibration(
            cases=measured.cases,
            error_rate=_short(measured.error_rate),
            decisive=measured.decisive,
            band95=None if band is None else _short(band.band95),
            band98=None if band is None else _short(band.band98),
            spread=_short(math.sqrt(of_trait.top.within)) if isinstance(of_trait, LearnedNumbers) else None,
            interchange={s: _shorts(row) for s, row in of_trait.interchange.items()}
            if isinstance(of_trait, LearnedStates)
            else {},
            background=_shorts(of_trait.background) if isinstance(of_trait, LearnedStates) else {},
        )
    spreads = {
        code: {
            name: [_short(spread.centre), _short(spread.between), _short(spread.within)]
            for name, spread in (("top", one.top), ("width", one.width))
        }
        for code, one in learned.items()
        if isinstance(one, LearnedNumbers)
    }
    return Calibration(
        traits=traits,
        scale=_must(scale),
        doubtful_below_db=_must(threshold),
        reference_digest=reference.digest,
        tables={"weights": _shorts(weights), "numbers": spreads},
    )


def _shorts(row: Mapping[str, float]) -> dict[str, float]:
    return {name: _must(value) for name, value in row.items()}


def _short(value: float | None) -> float | None:
    return None if value is None else _must(value)


def _must(value: float) -> float:
    return float(f"{value:.6g}")

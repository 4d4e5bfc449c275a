"""What a check gives back. A result says agrees, speaks against, missing or cannot tell; it never names a find."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.traits.ranges import DocumentedRange

OUTCOMES = ("within", "edge", "outside", "cannot tell", "not read", "not applicable")
STANDINGS = ("fits", "open", "doubtful", "ruled out")


@dataclass(frozen=True, slots=True)
class Measured:
    """The reading as it was compared: numbers in `unit` with expanded uncertainty (k = 2), or the states seen."""

    text: str
    low: float | None = None
    high: float | None = None
    mean: float | None = None
    expanded_uncertainty: float | None = None
    n: int | None = None
    unit: str | None = None
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Slip:
    """A factor after which the measurement would be within. The value itself is never changed."""

    factor: float
    corrected: float
    sentence: str


@dataclass(frozen=True, slots=True)
class TraitOutcome:
    """One trait of the named taxon. `dissent` and `house_rule` are source ids; `decisive` is measured, not chosen."""

    trait: str
    outcome: str
    measured: Measured | None
    documented: tuple[DocumentedRange, ...]
    dissent: tuple[str, ...]
    why: str
    decisive: bool
    slip: Slip | None = None
    house_rule: str | None = None


@dataclass(frozen=True, slots=True)
class Against:
    """A reading that speaks against a taxon, in words."""

    trait: str
    text: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """A taxon against all readings: weight of evidence in decibans, and its share among all taxa of the reference."""

    taxon: str
    standing: str
    weight_db: float
    against: tuple[Against, ...]
    probability: float | None
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to the next look, and the taxa not ruled out that it would leave."""

    text: str
    leaves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextLook:
    """An unread trait, with the drop in entropy (bits) to be expected from reading it."""

    trait: str
    gain_bits: float
    effort: str
    fresh_only: bool
    answers: tuple[Answer, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The whole check of one specimen. `look_alikes` holds every other taxon, best weight first.

    `standing` is None when no taxon was named or the reference does not hold it. `weight_db`, `missing` and
    `probability` are those of the named taxon.
    """

    taxon: str | None
    standing: str | None
    traits: tuple[TraitOutcome, ...]
    look_alikes: tuple[Candidate, ...]
    next_look: tuple[NextLook, ...]
    id: object = None
    weight_db: float | None = None
    probability: float | None = None
    missing: tuple[str, ...] = ()
    note: str = ""

"""From outcomes to the standing of a taxon: ruled out, doubtful, fits or open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ledger.traits.documented import Documented, documented
from ledger.traits.outcome import Seen, band95, band98, decide, trait_calibration
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Trait

# Tables of shared outcomes that are kept, some 100 short words each; beyond that they are made anew.
_MOST_SHARED = 2000


@dataclass(slots=True)
class Tally:
    """What the readings say of one taxon: traits that speak against it, rule it out, or were judged and agree."""

    against: list[str] = field(default_factory=list)
    ruled_out: bool = False
    agreed: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Column:
    """One read and applicable trait, with what is documented of it for the reading's condition, by taxon.

    `outcomes` holds what has been decided of it already, by taxon; readings of the same states share one.
    """

    seen: Seen
    known: Mapping[str, Documented]
    band: float
    wide_band: float
    decisive: bool
    outcomes: dict[str, str] = field(default_factory=dict)

    def outcome(self, taxon: str, known: Documented) -> str:
        """The outcome for that taxon, of which `known` is documented."""
        found = self.outcomes.get(taxon)
        if found is None:
            found = self.outcomes[taxon] = decide(self.seen, known, self.band)
        return found


def column(reference: Reference, seen: Seen) -> Column:
    """Gather what is needed to judge all taxa by one reading."""
    measured = trait_calibration(reference, seen.trait.code)
    return Column(
        seen,
        documented(reference, seen.trait, seen.state, seen.age),
        band95(seen.trait, measured),
        band98(seen.trait, measured),
        measured.decisive,
        _shared_outcomes(reference, seen),
    )


def _shared_outcomes(reference: Reference, seen: Seen) -> dict[str, str]:
    """One table for all readings of the same states in the same condition: there are few, and they come again."""
    if not seen.states:
        return {}
    tables: dict[object, dict[str, str]] = reference.memo.setdefault("outcomes", {})
    if len(tables) > _MOST_SHARED:
        tables.clear()
    return tables.setdefault((seen.trait.code, seen.states, seen.state, seen.age), {})


def tally(columns: list[Column], taxon: str) -> Tally:
    """Judge one taxon by all columns. A decisive trait rules out only beyond the wider band."""
    made = Tally()
    for col in columns:
        known = col.known.get(taxon)
        if known is None:
            continue
        outcome = col.outcome(taxon, known)
        code = col.seen.trait.code
        if outcome == "outside":
            made.against.append(code)
            if col.decisive and not made.ruled_out:
                # States have no band; for numbers the wider one serves.
                made.ruled_out = not col.seen.points or decide(col.seen, known, col.wide_band) == "outside"
        elif outcome != "cannot tell":
            made.agreed.add(code)
    return made


def decisive_traits(reference: Reference) -> tuple[Trait, ...]:
    """The traits that calibration found decisive, in the order of the find."""
    found: tuple[Trait, ...] | None = reference.memo.get("decisive")
    if found is None:
        found = tuple(
            trait
            for trait in reference.vocabulary.traits.values()
            if trait_calibration(reference, trait.code).decisive
        )
        reference.memo["decisive"] = found
    return found


def missing(reference: Reference, taxon: str, made: Tally, not_applicable: frozenset[str]) -> tuple[str, ...]:
    """Decisive traits documented for the taxon and applicable here that no reading has judged yet."""
    return tuple(
        code
        for code in _documented_decisive(reference)[taxon]
        if code not in made.agreed and code not in made.against and code not in not_applicable
    )


def _documented_decisive(reference: Reference) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] | None = reference.memo.get("documented decisive")
    if found is None:
        found = {
            taxon: tuple(
                trait.code for trait in decisive_traits(reference) if reference.ranges_for(taxon, trait.code)
            )
            for taxon in reference.taxa
        }
        reference.memo["documented decisive"] = found
    return found


def standing(
    reference: Reference,
    made: Tally,
    weight_db: float,
    lacking: tuple[str, ...],
    house_rule_broken: bool = False,
) -> str:
    """`ruled out`, `doubtful`, `fits` or `open`.

    `fits` needs nothing against it, every documented decisive trait judged, and at least one of them agreeing: a
    taxon of which nothing decisive is documented stays `open`. A broken house rule is something against.
    """
    if made.ruled_out:
        return "ruled out"
    if weight_db < reference.calibration.doubtful_below_db:
        return "doubtful"
    if made.against or lacking or house_rule_broken:
        return "open"
    if any(trait.code in made.agreed for trait in decisive_traits(reference)):
        return "fits"
    return "open"

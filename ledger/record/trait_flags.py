"""From the check of a specimen to flags: what the traits give the curator to look at.

The season and the host are traits as well: their readings come from the date of the find and from the wood.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ledger.record.flags import Flag, FlagTable, Value
from ledger.record.wording import listed
from ledger.traits.check import check_specimen
from ledger.traits.documented import Documented, compile_rows
from ledger.traits.explain import names_text, source_name
from ledger.traits.outcome import is_too_coarse
from ledger.traits.ranges import DocumentedRange
from ledger.traits.readings import Specimen
from ledger.traits.reference import Reference
from ledger.traits.results import Candidate, CheckResult, TraitOutcome
from ledger.traits.units import number_text, with_unit
from ledger.words import lowered, say

_JUDGED = ("within", "edge", "outside")
# What may carry the flag that another taxon fits clearly better: readings that were judged against the named one, less
# those whose measuring error is wider than all that is documented. The lead is measured by these alone: where a reading
# could not be judged, a lead tells what books left out, not what was seen. And there must be one that speaks against the
# name, or as many as this: with fewer, all within, the page would say in one breath that nothing speaks against the name
# and that another is clearly better. Three is our judgement: most of the five that the short form asks of the fruit body.
_LEAST_CARRYING = 3
# The factor that would bring a measurement within, as people write it.
_FACTORS: Mapping[str, str] = {"10": "×10", "0.1": "÷10", "25.4": "×25.4", "0.03937": "÷25.4"}


def trait_flags(
    result: CheckResult,
    specimen: Specimen,
    reference: Reference,
    table: FlagTable,
    *,
    far_behind_db: float,
    host_known_by: str = "",
) -> tuple[Flag, ...]:
    """Flags of a named specimen, the worst first; none where no taxon was named or the reference lacks it.

    ``far_behind_db`` is how far, in decibans, the named taxon may stand behind the best look-alike that is not ruled
    out; `host_known_by` `guess` makes a host that is not documented a doubt only.
    """
    if result.taxon is None or result.standing is None:
        return ()
    found: list[Flag] = []
    for outcome in result.traits:
        found += _outcome_flags(outcome, result.taxon, specimen, reference, table, host_known_by)
    found += _dissent_flags(result, result.taxon, reference, table)
    found += _standing_flags(result, result.taxon, reference, table)
    if (
        result.standing != "ruled out"
    ):  # one cause, one flag: what rules a name out puts it behind others as well
        found += _rival_flags(result, specimen, reference, table, far_behind_db)
    return table.ordered(found)


def _outcome_flags(
    outcome: TraitOutcome,
    taxon: str,
    specimen: Specimen,
    reference: Reference,
    table: FlagTable,
    host_known_by: str,
) -> Iterator[Flag]:
    silent = outcome.outcome == "within" or outcome.outcome not in _JUDGED
    if outcome.measured is None or (silent and outcome.house_rule is None):
        return
    label = reference.vocabulary.traits[outcome.trait].label
    told: dict[str, Value] = {
        "measured": outcome.measured.text,
        "taxon": taxon,
        "documented": _documented(outcome.documented, outcome.trait, specimen, reference),
    }

    def flag(code: str, **more: Value) -> Flag:
        context = {
            name: value for name, value in {"trait": say(label), **more}.items() if name in wanted(code)
        }
        numbers = {**told, **{name: value for name, value in more.items() if name not in context}}
        return table.flag(code, numbers, subject=outcome.trait, context=context)

    def wanted(code: str) -> tuple[str, ...]:
        return table.kinds[code].context

    if outcome.outcome == "outside":
        # A slip explains, it does not excuse: any cap too large would be a tenth of itself "within".
        if outcome.slip is not None:
            unit = reference.vocabulary.traits[outcome.trait].unit
            yield flag(
                "unit_slip",
                corrected=with_unit(number_text(outcome.slip.corrected), unit),
                factor=_FACTORS.get(f"{outcome.slip.factor:.4g}", f"×{outcome.slip.factor:.4g}"),
            )
        yield flag(_outside_code(outcome, host_known_by))
    elif outcome.outcome == "edge":
        yield flag("trait_edge")
    if outcome.house_rule is not None:
        rule = tuple(row for row in outcome.documented if row.binding and row.source_id == outcome.house_rule)
        yield table.flag(
            "house_rule",
            {
                **told,
                "documented": _documented(rule, outcome.trait, specimen, reference),
                "source": source_name(reference.sources[outcome.house_rule]),
            },
            subject=outcome.trait,
            context={"trait": say(label)},
        )


def _dissent_flags(result: CheckResult, taxon: str, reference: Reference, table: FlagTable) -> Iterator[Flag]:
    """One note for all readings that one book allows and another does not: a note for each would be read by nobody."""
    within = [outcome for outcome in result.traits if outcome.outcome == "within" and outcome.dissent]
    if not within:
        return
    readings = tuple(
        say(
            "{trait} {measured}",
            trait=lowered(reference.vocabulary.traits[outcome.trait].label),
            measured=outcome.measured.text,
        )
        for outcome in within
        if outcome.measured
    )
    sources = dict.fromkeys(
        source_name(reference.sources[one]) for outcome in within for one in outcome.dissent
    )
    yield table.flag(
        "trait_dissent",
        {"taxon": taxon, "count": len(within), "readings": readings},
        context={"sources": names_text(sources)},
    )


def _outside_code(outcome: TraitOutcome, host_known_by: str) -> str:
    """The kind of flag for a trait outside."""
    if outcome.trait == "fruiting_months":
        return "season_outside"
    if outcome.trait == "host" and host_known_by == "guess":
        return "host_outside_guessed"
    if outcome.decisive:
        return "host_outside" if outcome.trait == "host" else "trait_outside_decisive"
    return "trait_outside"


def _documented(
    rows: tuple[DocumentedRange, ...], trait: str, specimen: Specimen, reference: Reference
) -> str:
    """The bounds or states that judge this reading, in words: the outermost over the sources."""
    return _judging(rows, trait, specimen, reference).text


def _judging(
    rows: tuple[DocumentedRange, ...], trait: str, specimen: Specimen, reference: Reference
) -> Documented:
    """The rows made ready for the condition of this reading."""
    reading = specimen.readings.get(trait)
    state = (reading.state if reading else None) or specimen.state
    age = (reading.age if reading else None) or specimen.age
    return compile_rows(reference.vocabulary.traits[trait], rows, state, age)


def _standing_flags(
    result: CheckResult, taxon: str, reference: Reference, table: FlagTable
) -> Iterator[Flag]:
    def labels(traits: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(lowered(reference.vocabulary.traits[code].label) for code in traits)

    outside = tuple(outcome for outcome in result.traits if outcome.outcome == "outside")
    if result.standing == "ruled out":
        decisive = tuple(outcome.trait for outcome in outside if outcome.decisive)
        told: dict[str, Value] = {"taxon": taxon, "count": len(decisive), "traits": labels(decisive)}
        yield table.flag("standing_ruled_out", told)
    elif result.standing == "doubtful":
        against = tuple(outcome.trait for outcome in outside)
        told = {
            "taxon": taxon,
            "weight_db": round(result.weight_db or 0.0),
            "count": len(against),
            "traits": labels(against),
        }
        named = say("Outside ({n}): {traits}", n=len(against), traits=listed(list(labels(against))))
        said = named if against else say("None of them is outside by itself")
        yield table.flag("standing_doubtful", told, context={"outside": said})
    judged = [outcome for outcome in result.traits if outcome.outcome in _JUDGED]
    if result.missing and not any(outcome.decisive for outcome in judged):
        told = {"read": len(judged), "taxon": taxon, "decisive": labels(result.missing)}
        yield table.flag("nothing_decisive", told)


def _rival_flags(
    result: CheckResult, specimen: Specimen, reference: Reference, table: FlagTable, far_behind_db: float
) -> Iterator[Flag]:
    """Another taxon that fits better by far, on readings that can carry such a word (see `_LEAST_CARRYING`)."""
    taxon = result.taxon
    if taxon is None or _best_lead(result, result) < far_behind_db:
        return
    carrying = {
        outcome.trait
        for outcome in result.traits
        if outcome.outcome in _JUDGED and not _proves_nothing(outcome, specimen, reference)
    }
    if len(carrying) < _LEAST_CARRYING and not any(one.outcome == "outside" for one in result.traits):
        return
    judged = result
    if not carrying.issuperset(specimen.readings):
        readings = {code: reading for code, reading in specimen.readings.items() if code in carrying}
        judged = check_specimen(reference, replace(specimen, readings=readings), for_flags=True)
    # Whole decibans: a tenth of one is no news, and would bring a settled flag back.
    behind = _best_lead(judged, result)
    best = _best(judged, result)
    if best is not None and behind >= far_behind_db:
        yield table.flag("behind_look_alike", {"taxon": taxon, "best": best.taxon, "behind_db": behind})


def _best(judged: CheckResult, result: CheckResult) -> Candidate | None:
    """The look-alike that weighs most by the readings judged, of those that all readings together leave open."""
    out = {one.taxon for one in result.look_alikes if one.standing == "ruled out"}
    return next(
        (one for one in judged.look_alikes if one.taxon not in out and one.standing != "ruled out"), None
    )


def _best_lead(judged: CheckResult, result: CheckResult) -> int:
    """Whole decibans by which the best look-alike leads the named taxon; 0 where there is none."""
    best = _best(judged, result)
    return round(best.weight_db - judged.weight_db) if best and judged.weight_db is not None else 0


def _proves_nothing(outcome: TraitOutcome, specimen: Specimen, reference: Reference) -> bool:
    """Whether it lies at the edge only because its measuring error is wider than all that is documented."""
    if outcome.outcome != "edge" or outcome.measured is None or outcome.measured.expanded_uncertainty is None:
        return False
    known = _judging(outcome.documented, outcome.trait, specimen, reference)
    return is_too_coarse(outcome.measured.expanded_uncertainty, known)

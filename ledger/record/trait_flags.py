"""From the check of a specimen to flags: what the traits give the curator to look at.

The season and the host are traits as well: their readings come from the date of the find and from the wood.
"""

from collections.abc import Iterator, Mapping

from ledger.record.flags import Flag, FlagTable, Value
from ledger.traits.documented import compile_rows
from ledger.traits.explain import names_text, source_name
from ledger.traits.ranges import DocumentedRange
from ledger.traits.readings import Specimen
from ledger.traits.reference import Reference
from ledger.traits.results import CheckResult, TraitOutcome
from ledger.traits.units import number_text, with_unit

_JUDGED = ("within", "edge", "outside")
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
        found += _rival_flags(result, result.taxon, table, far_behind_db)
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
        context = {name: value for name, value in {"trait": label, **more}.items() if name in wanted(code)}
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
            context={"trait": label},
        )


def _dissent_flags(result: CheckResult, taxon: str, reference: Reference, table: FlagTable) -> Iterator[Flag]:
    """One note for all readings that one book allows and another does not: a note for each would be read by nobody."""
    within = [outcome for outcome in result.traits if outcome.outcome == "within" and outcome.dissent]
    if not within:
        return
    readings = tuple(
        f"{reference.vocabulary.traits[outcome.trait].label.lower()} {outcome.measured.text}"
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
    reading = specimen.readings.get(trait)
    state = (reading.state if reading else None) or specimen.state
    age = (reading.age if reading else None) or specimen.age
    return compile_rows(reference.vocabulary.traits[trait], rows, state, age).text


def _standing_flags(
    result: CheckResult, taxon: str, reference: Reference, table: FlagTable
) -> Iterator[Flag]:
    def labels(traits: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(reference.vocabulary.traits[code].label.lower() for code in traits)

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
        yield table.flag("standing_doubtful", told)
    judged = [outcome for outcome in result.traits if outcome.outcome in _JUDGED]
    if result.missing and not any(outcome.decisive for outcome in judged):
        told = {"read": len(judged), "taxon": taxon, "decisive": labels(result.missing)}
        yield table.flag("nothing_decisive", told)


def _rival_flags(result: CheckResult, taxon: str, table: FlagTable, far_behind_db: float) -> Iterator[Flag]:
    best = next((one for one in result.look_alikes if one.standing != "ruled out"), None)
    if best is None or result.weight_db is None:
        return
    # Whole decibans: a tenth of one is no news, and would bring a settled flag back.
    behind = round(best.weight_db - result.weight_db)
    if behind >= far_behind_db:
        yield table.flag("behind_look_alike", {"taxon": taxon, "best": best.taxon, "behind_db": behind})

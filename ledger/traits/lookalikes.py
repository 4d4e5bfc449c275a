"""Every taxon of the reference through the same check, ordered by the weight of evidence."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ledger.traits import evidence
from ledger.traits.explain import measured
from ledger.traits.outcome import Seen
from ledger.traits.readings import Reading
from ledger.traits.reference import Reference
from ledger.traits.results import Against, Candidate
from ledger.traits.standing import Column, Tally, missing, standing, tally
from ledger.words import say

# A taxon is said to fit best only where it leads the next by so much. From here on the first was the right one in nine of
# ten rankings of descriptions and parts of them, just below in seven (fixtures/reports/calibration.md, "When one stands
# out"). Eight decibans are odds of six to one.
LEAD_DB = 8.0


def clear_first(candidates: Sequence[Candidate]) -> Candidate | None:
    """The first of them where it leads the second by `LEAD_DB` and nothing rules it out; otherwise nothing stands out.

    Weights count as they are shown, to a hundredth of a deciban. `candidates` come best weight first, as `rank` gives them.
    """
    if not candidates or candidates[0].standing in ("doubtful", "ruled out"):
        return None
    if len(candidates) == 1:
        return candidates[0]
    first, second = (round(one.weight_db, 2) for one in candidates[:2])
    return candidates[0] if first - second >= LEAD_DB else None


def rank(
    reference: Reference,
    columns: list[Column],
    weights_db: dict[str, float],
    not_applicable: frozenset[str],
    least_db: float = -math.inf,
) -> tuple[dict[str, Tally], tuple[Candidate, ...]]:
    """All taxa, best weight first (ties by name), and the tally of each; or only those that weigh `least_db` or more.

    The probability shares one among the taxa of the reference: it says nothing of taxa the reference does not hold.
    """
    shares = dict(zip(weights_db, evidence.probabilities(list(weights_db.values())), strict=True))
    texts = {col.seen.trait.code: (col, _told(col)) for col in columns}
    tallies: dict[str, Tally] = {}
    made = []
    for taxon, weight in weights_db.items():
        if weight < least_db:
            continue
        counted = tallies[taxon] = tally(columns, taxon)
        lacking = missing(reference, taxon, counted, not_applicable)
        against = []
        for code in counted.against:
            col, told = texts[code]
            against.append(
                Against(
                    code,
                    say(
                        "{trait}: {measured}, documented is {documented}",
                        **told,
                        documented=col.known[taxon].text,
                    ),
                )
            )
        place = standing(reference, counted, weight, lacking)
        made.append(Candidate(taxon, place, weight, tuple(against), shares[taxon], lacking))
    made.sort(key=lambda candidate: (-candidate.weight_db, candidate.taxon))
    return tallies, tuple(made)


def weigh(reference: Reference, seen: Iterable[tuple[Seen, Reading]]) -> dict[str, float]:
    """Weight of evidence of all readings together, in decibans, for every taxon of the reference."""
    tables = evidence_tables(reference)
    given = [
        evidence.observed(
            one.trait,
            states=one.states,
            months=one.months,
            numbers=one.numbers,
            # Low and high without a count may be a description's range rather than two caps in the hand.
            singles=bool(reading.values) or reading.n is not None,
        )
        for one, reading in seen
    ]
    weighed = {trait: column for trait, column in evidence.weigh(tables, given).items() if column}
    return dict(zip(tables.taxa, evidence.totals(tables, weighed), strict=True))


def evidence_tables(reference: Reference) -> evidence.EvidenceTables:
    """The compiled tables of the evidence, made on first use."""
    found: evidence.EvidenceTables | None = reference.memo.get("evidence")
    if found is None:
        found = evidence.compile_tables(
            reference.vocabulary, list(reference.taxa.values()), reference.ranges, reference.calibration
        )
        reference.memo["evidence"] = found
    return found


def _told(col: Column) -> dict[str, str]:
    return {"trait": say(col.seen.trait.label), "measured": measured(col.seen).text}

"""What the trade warns of before tissue is cut. Pure: counts and facts come in, sentences go out. Notes, never a refusal:
the curator decides case by case."""

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.words import say, together

# [practice.md 6: policies on destructive sampling] Not from taxa with fewer collections than that.
FEWEST_COLLECTIONS = 3


@dataclass(frozen=True, slots=True)
class Facts:
    """`collections`: vouchers of the taxon in the collection, this one counted; None where the name is no known taxon.

    `doubts`: why the name is not confirmed, each a phrase; none where it is. `granted_before`: earlier leaves for the same
    purpose on this specimen, each with its day. `tissue_tubes`: tubes of it that are there.
    """

    name: str
    collections: int | None
    doubts: Sequence[str] = ()
    granted_before: Sequence[str] = ()
    tissue_tubes: Sequence[str] = ()


def warnings(facts: Facts) -> list[str]:
    """The notes on a request, in the order in which they should be read."""
    told: list[str] = []
    if facts.doubts:
        told.append(
            say(
                "The name is not confirmed: {doubts}. Confirm it before anything is cut.",
                doubts=together(list(facts.doubts), "; "),
            )
        )
    if facts.collections is not None and facts.collections < FEWEST_COLLECTIONS:
        told.append(
            say(
                "Of {name} this is the only collection here; of fewer than {fewest} none should be cut."
                if facts.collections <= 1
                else "Of {name} there are only {n} collections here; of fewer than {fewest} none should be cut.",
                name=facts.name,
                n=facts.collections,
                fewest=FEWEST_COLLECTIONS,
            )
        )
    if facts.granted_before:
        told.append(
            say(
                "Leave for the same purpose was granted before: {leaves}. Ask for what came of it before more is cut.",
                leaves=together(list(facts.granted_before), ", "),
            )
        )
    if facts.tissue_tubes:
        told.append(
            say(
                "There is tissue of it already: {tubes}. Use that first.", tubes=", ".join(facts.tissue_tubes)
            )
        )
    return told

"""What the trade warns of before tissue is cut. Pure: counts and facts come in, sentences go out. Notes, never a refusal:
the curator decides case by case."""

from collections.abc import Sequence
from dataclasses import dataclass

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
    told = []
    if facts.doubts:
        told.append(
            f"The name is not confirmed: {'; '.join(facts.doubts)}. Confirm it before anything is cut."
        )
    if facts.collections is not None and facts.collections < FEWEST_COLLECTIONS:
        count = (
            "this is the only collection"
            if facts.collections <= 1
            else f"there are only {facts.collections} collections"
        )
        told.append(f"Of {facts.name} {count} here; of fewer than {FEWEST_COLLECTIONS} none should be cut.")
    if facts.granted_before:
        told.append(
            f"Leave for the same purpose was granted before: {', '.join(facts.granted_before)}. "
            "Ask for what came of it before more is cut."
        )
    if facts.tissue_tubes:
        told.append(f"There is tissue of it already: {', '.join(facts.tissue_tubes)}. Use that first.")
    return told

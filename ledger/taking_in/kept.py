"""What a file told of a find and the ledger has no box for, given back where finds are handed on (`handing_on.providers`).

A term is told while it still holds: a verdict on a name only for that name, a reader only of that reading. Where the
place is kept back here and was not where the file came from, free words that may tell it stay here.
"""

from collections.abc import Mapping, Sequence
from uuid import UUID

from ledger.exchange.media import RelationOut
from ledger.exchange.occurrence import OF_A_COARSE_PLACE
from ledger.finds.models import Find, Reading
from ledger.handing_on.choices import Choices
from ledger.handing_on.providers import FindFacts, Provider
from ledger.taking_in.models import State, TakenFind

# Of the cells that a provider may fill; words written freely are none of them.
_PLAIN = frozenset({"dwc:catalogNumber", "dwc:otherCatalogNumbers", "dwc:preparations", "dwc:disposition"})
_FREE = frozenset({"dwc:materialEntityRemarks"})
_OF_NAME = frozenset({"dwc:identificationVerificationStatus"})
_OF_PLACE = frozenset(OF_A_COARSE_PLACE)
_OF_DAY = frozenset({"dwc:eventDate", "dwc:year", "dwc:month", "dwc:day"})


def _of_finds(finds: Sequence[Find], choices: Choices) -> Mapping[UUID, FindFacts]:
    """Four queries, however many finds; one where none was ever taken in."""
    if not TakenFind.objects.exists():
        return {}
    by_key = {find.pk: find for find in finds}
    taken = list(
        TakenFind.objects.filter(find__in=list(by_key), taking_in__state=State.TAKEN_IN)
        .exclude(kept={})
        .select_related("taking_in")
        .order_by()
    )
    if not taken:
        return {}
    readers = _readers([row for row in taken if row.kept.get("read_by")])
    found = {}
    for row in taken:
        find, kept = by_key[row.find_id], row.kept
        is_free = find.blur_step_deg is None or bool(kept.get("came_coarse"))
        terms = {
            term: value
            for term, value in kept.get("terms", {}).items()
            if term in _PLAIN
            or (term in _FREE and is_free)
            or (term in _OF_PLACE and is_free and kept.get("coarse_at") == [find.latitude, find.longitude])
            or (term in _OF_NAME and kept.get("name") == find.current_determination_id)
            or (term in _OF_DAY and find.found_on is None)
        }
        found[row.find_id] = FindFacts(
            terms=terms,
            relations=[RelationOut(*one) for one in kept.get("relations", ())] if is_free else (),
            read_by={
                trait: name
                for trait, name in kept.get("read_by", {}).items()
                if (row.find_id, trait) in readers
            },
            measurements=kept.get("measurements", ()) if is_free else (),
        )
    return found


def _readers(taken: Sequence[TakenFind]) -> set[tuple[UUID, str]]:
    """Readings that are still those of the file: any made here since was entered after them."""
    last = {row.find_id: row.kept.get("last_reading", 0) for row in taken}
    rows = Reading.objects.filter(find__in=list(last), ended_at__isnull=True).order_by()
    return {(key, trait) for key, trait, pk in rows.values_list("find_id", "trait", "pk") if pk <= last[key]}


FACTS = Provider(of_finds=_of_finds)

"""What the box knows of this club, gathered from the tables."""

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from ledger.club.queries import the_club
from ledger.finds import naming, tables
from ledger.people.models import Member
from ledger.search.known import Fungi, Known, Person, trees_of
from ledger.search.terms import Tree
from ledger.taxa.queries import NoReference, current_reference


def known_now(now: datetime) -> Known:
    """Three small queries: the club, its members, the mark of the reference."""
    club = the_club()
    people = Member.objects.order_by("pk").values_list("pk", "full_name", "collector_code")
    return Known(
        today=now.astimezone(ZoneInfo(club.time_zone)).date(),
        prefix=club.accession_prefix,
        people=tuple(Person(*one) for one in people),
        fungi=_fungi(),
        flags={code: kind.label for code, kind in tables.flag_table().kinds.items()},
        southern=(club.area_latitude or 0.0) < 0,
        trees=_trees(),
    )


@lru_cache(maxsize=1)
def _trees() -> Mapping[str, Tree]:
    return trees_of(tables.host_table().names_of_trees)


def _fungi() -> Fungi:
    try:
        reference = current_reference()
    except NoReference:
        return Fungi()
    if "names searched" not in reference.memo:
        names = naming.known_names(reference)
        reference.memo["names searched"] = Fungi.build(names, reference.taxa.values())
    fungi: Fungi = reference.memo["names searched"]
    return fungi

"""What the box knows of this club, gathered from the tables."""

from datetime import datetime
from zoneinfo import ZoneInfo

from ledger.club.queries import the_club
from ledger.finds import naming, tables
from ledger.people.models import Member
from ledger.search.known import Fungi, Known, Person
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
    )


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

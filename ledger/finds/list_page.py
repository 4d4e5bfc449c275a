"""A find as one ruled row of a list: what is written is already what the member may see."""

from collections.abc import Iterable
from dataclasses import dataclass

from ledger.finds import access
from ledger.finds.models import Find, Status
from ledger.people.models import Member


@dataclass(frozen=True, slots=True)
class Row:
    """One find as a row."""

    find: Find
    place: str
    mark: str


def rows_for(finds: Iterable[Find], member: Member) -> list[Row]:
    """Finds as rows, each with its place as far as *member* may see it."""
    return [
        Row(
            find,
            access.place_for(find, member).short,
            "" if find.status == Status.LOGGED else find.status,
        )
        for find in finds
    ]

"""The pages of looking back, each told only where it is there and the member may open it."""

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse

from ledger.people.models import Member, Role
from ledger.words import later

# URL name, what it is called, what it shows, who may.
_WAYS = (
    (
        "map",
        later("Map"),
        later("Where the finds lie, by taxon, year and foray. Places that are kept back are areas."),
        Role.MEMBER,
    ),
    (
        "season",
        later("Season"),
        later("Finds by week of the year, against the documented season."),
        Role.MEMBER,
    ),
    (
        "checklist",
        later("Checklist"),
        later("What was found on a foray, in an area or in a year, and how much was looked."),
        Role.MEMBER,
    ),
    (
        "measured",
        later("Measurements"),
        later("The club’s own caps, pores and spores against the books."),
        Role.MEMBER,
    ),
    ("reports", later("Reports"), later("For owners of land, for the year, for a member."), Role.MEMBER),
    (
        "handing-on",
        later("Handing on"),
        later("Finds as files for others, and for thirty years on."),
        Role.CURATOR,
    ),
)


@dataclass(frozen=True, slots=True)
class Way:
    address: str
    word: str
    says: str


def ways(member: Member) -> list[Way]:
    found = []
    for name, word, says, role in _WAYS:
        try:
            address = reverse(name)
        except NoReverseMatch:
            continue
        if member.at_least(role):
            found.append(Way(address, word, says))
    return found

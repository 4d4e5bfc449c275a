"""What to do about a missing element of MIDS. Pure."""

from dataclasses import dataclass

from ledger.words import later
from vouchers.mids.levels import Element

# Where it is done: the find's form, the bench, the club's page, the member's own page, or nowhere yet.
FIND, BENCH, CLUB, MEMBER, PART, NOWHERE = "find", "bench", "club", "member", "part", ""

_HINTS = {
    "PhysicalSpecimenID": (NOWHERE, later("the register gives it")),
    "Organization": (CLUB, later("name the club on its page")),
    "Name": (BENCH, later("give it a name")),
    "ObjectType": (PART, later("its parts have all ended; add the one that is there")),
    "License": (CLUB, later("choose a licence on the club's page, once for all")),
    "Modified": (NOWHERE, later("the ledger gives it")),
    "QualitativeLocation": (FIND, later("write where it was, in words")),
    "QuantitativeLocation": (FIND, later("enter the position")),
    "CollectingAgent": (FIND, later("say who found it")),
    "DateCollected": (FIND, later("enter the day")),
    "CollectingNumber": (NOWHERE, later("the finder's row of numbers gives it")),
    "Media": (FIND, later("add a photo, also of the dry specimen")),
    "OrganizationID": (CLUB, later("enter the club's public identifier on its page, once for all")),
    "CollectingAgentID": (MEMBER, later("the finder enters an ORCID on their own page; a guest has none")),
    "IdentifiedAsID": (NOWHERE, later("the reference holds no public identifiers of names yet")),
    "IdentifiedByID": (MEMBER, later("the determiner enters an ORCID on their own page")),
    "GeographicalLocalityID": (FIND, later("enter datum and error beside the position")),
    "MediaID": (NOWHERE, later("photos have no address outside the club yet")),
}


@dataclass(frozen=True, slots=True)
class Hint:
    code: str
    label: str
    level: int
    where: str
    words: str


def hint_of(element: Element) -> Hint:
    where, words = _HINTS[element.code]
    return Hint(element.code, element.label, element.level, where, words)

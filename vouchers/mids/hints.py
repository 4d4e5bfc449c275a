"""What to do about a missing element of MIDS. Pure."""

from dataclasses import dataclass

from vouchers.mids.levels import Element

# Where it is done: the find's form, the bench, the club's page, the member's own page, or nowhere yet.
FIND, BENCH, CLUB, MEMBER, PART, NOWHERE = "find", "bench", "club", "member", "part", ""

_HINTS = {
    "PhysicalSpecimenID": (NOWHERE, "the register gives it"),
    "Organization": (CLUB, "name the club on its page"),
    "Name": (BENCH, "give it a name"),
    "ObjectType": (PART, "its parts have all ended; add the one that is there"),
    "License": (CLUB, "choose a licence on the club's page, once for all"),
    "Modified": (NOWHERE, "the ledger gives it"),
    "QualitativeLocation": (FIND, "write where it was, in words"),
    "QuantitativeLocation": (FIND, "enter the position"),
    "CollectingAgent": (FIND, "say who found it"),
    "DateCollected": (FIND, "enter the day"),
    "CollectingNumber": (NOWHERE, "the finder's row of numbers gives it"),
    "Media": (FIND, "add a photo, also of the dry specimen"),
    "OrganizationID": (CLUB, "enter the club's public identifier on its page, once for all"),
    "CollectingAgentID": (MEMBER, "the finder enters an ORCID on their own page; a guest has none"),
    "IdentifiedAsID": (NOWHERE, "the reference holds no public identifiers of names yet"),
    "IdentifiedByID": (MEMBER, "the determiner enters an ORCID on their own page"),
    "GeographicalLocalityID": (FIND, "enter datum and error beside the position"),
    "MediaID": (NOWHERE, "photos have no address outside the club yet"),
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

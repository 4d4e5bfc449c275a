"""The people of the tests, each with the reason for being there.

collector  a member who finds things; most finds of the tests are theirs
leader     leads the foray of the tests; sees exact places of that foray's finds, and of no other sensitive ones
curator    sees everything, settles, redetermines, accessions
keeper     a curator who also keeps accounts and settings
stranger   another member, who must not see the exact place of a sensitive find, nor change what is not theirs
nobody     a browser that has not signed in
"""

from ledger.people.models import Member, Role

PASSWORD = "chestnut-rain-41"

_PEOPLE = {
    "collector": ("Ada Thorne", "AT", Role.MEMBER),
    "leader": ("Lewis Marsh", "LM", Role.LEADER),
    "curator": ("Carys Bowen", "CB", Role.CURATOR),
    "keeper": ("Kit Penrose", "KP", Role.KEEPER),
    "stranger": ("Sam Oakley", "SO", Role.MEMBER),
}


def make_person(who: str) -> Member:
    """Create one of the named people; `who` is the sign-in name as well."""
    full_name, code, role = _PEOPLE[who]
    return Member.objects.create_member(who, PASSWORD, full_name=full_name, collector_code=code, role=role)

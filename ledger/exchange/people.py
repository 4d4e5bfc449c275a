"""How people are named in what leaves the club. Pure.

A member is named as they agreed: by their full name and public identifier, or else by their collecting code alone, which
stands in the numbers of their finds anyway. A guest, or somebody outside the club who gave a name, is named where it was
noted that they agreed, and else not at all.
"""

from collections.abc import Mapping
from typing import NamedTuple

NOT_NAMED = "not named here"
"""What stands for somebody outside the club who has not agreed to be named."""


class PersonOut(NamedTuple):
    """As somebody is named outside: `public_id` only where their name is told."""

    name: str
    public_id: str = ""


class PeopleOut(NamedTuple):
    """Members by key, and those outside the club who agreed by name, with their public identifiers."""

    members: Mapping[int, PersonOut]
    agreed: Mapping[str, str]

    def named(self, member: int, other: str = "") -> PersonOut:
        """The member, or `other` where that is somebody else."""
        if not other:
            return self.members[member]
        if other in self.agreed:
            return PersonOut(other, self.agreed[other])
        return PersonOut(NOT_NAMED)

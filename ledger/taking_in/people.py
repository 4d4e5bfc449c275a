"""Who is meant by a name in a file: a member by full name or collecting code, or somebody else."""

from collections import Counter

from ledger.exchange.people import NOT_NAMED
from ledger.people.models import Member


class People:
    """Everybody as they stand now; one query. A name that two members bear means neither."""

    def __init__(self) -> None:
        members = list(Member.objects.all())
        counted = Counter(member.full_name.casefold() for member in members)
        self._known = {
            member.full_name.casefold(): member
            for member in members
            if counted[member.full_name.casefold()] == 1
        }
        self._known |= {member.collector_code.casefold(): member for member in members}

    def member(self, name: str) -> Member | None:
        return self._known.get(" ".join(name.split()).casefold())

    def told(self, name: str) -> tuple[Member | None, str]:
        """The member, or the name of somebody else; that of nobody where nobody is told."""
        name = " ".join(name.split())
        found = self.member(name)
        return (found, "") if found is not None else (None, name or NOT_NAMED)

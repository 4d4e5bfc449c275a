"""How people are named in what leaves the club: members as they said on their own page, others as was noted."""

from ledger.exchange.people import PeopleOut, PersonOut
from ledger.handing_on.models import AgreedName
from ledger.people.models import Member


def person_leaving(member: Member) -> PersonOut:
    """One member as they agreed: by name and public identifier, or by their collecting code alone."""
    if member.named_outside:
        return PersonOut(member.full_name, member.public_id)
    return PersonOut(member.collector_code)


def people_leaving() -> PeopleOut:
    """Everybody; two queries."""
    fields = ("pk", "full_name", "collector_code", "public_id", "named_outside")
    members = Member.objects.only(*fields)
    agreed = AgreedName.objects.filter(ended_at__isnull=True)
    return PeopleOut(
        members={member.pk: person_leaving(member) for member in members},
        agreed=dict(agreed.values_list("name", "public_id")),
    )


def people_held() -> PeopleOut:
    """Everybody by their full names, for the club's own safe."""
    members = {member.pk: PersonOut(member.full_name, member.public_id) for member in Member.objects.all()}
    return PeopleOut(members=members, agreed=_Everybody())


class _Everybody(dict[str, str]):
    """Every name is in it, without a public identifier."""

    def __contains__(self, name: object) -> bool:
        return True

    def __missing__(self, name: str) -> str:
        return ""

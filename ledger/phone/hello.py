"""What a phone is told when it asks who it is: the member, and what the form needs of the club."""

from typing import Any

from django.utils import timezone

from ledger.club.queries import the_club
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.phone.own_finds import stamp_of
from ledger.taxa.queries import NoReference, current_pack

# The latest forays, and those to come; older ones are chosen where there is a signal.
MOST_FORAYS = 40


def greeting(member: Member, csrf: str) -> dict[str, Any]:
    """Values for JSON. Finders and foray names are what every member sees in the form already."""
    club = the_club()
    people = Member.objects.filter(is_active=True).order_by("full_name")
    return {
        "member": member.pk,
        "name": member.full_name,
        "code": member.collector_code,
        "role": member.role,
        "csrf": csrf,
        "now": timezone.now().isoformat(),
        "reference": _reference_digest(),
        "finds": stamp_of(member),
        "forays": [
            {
                "id": foray.pk,
                "name": foray.name,
                "held_on": foray.held_on.isoformat(),
                "permission": foray.permission,
            }
            for foray in Foray.objects.order_by("-held_on")[:MOST_FORAYS]
        ],
        "people": [
            {"id": person.pk, "name": person.full_name, "code": person.collector_code} for person in people
        ],
        "club": {"name": club.name, "country": club.country, "region": club.region},
    }


def _reference_digest() -> str:
    """Empty where the ledger has no reference yet: everything else on a phone works without one."""
    try:
        return current_pack()[1]
    except NoReference:
        return ""

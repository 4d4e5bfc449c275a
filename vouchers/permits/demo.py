"""The demo club's permits: two of those its forays went under, as their owners wrote them."""

from datetime import date, datetime

from ledger.forays.models import Foray
from ledger.people.models import Member
from vouchers.permits.actions import enter, link
from vouchers.permits.models import Permit

_PERMITS = (
    Permit(
        issuer="Ambry Estate",
        reference="WVB/3",
        holder="Wenlow Vale Bracket Club",
        area="Ambry Wood, all rides and compartments",
        valid_from=date(2024, 10, 1),
        valid_until=date(2027, 9, 30),
        limits="No digging; at most two fruit bodies of a kind.",
        source="letter of the estate office, 12 September 2024",
    ),
    Permit(
        issuer="Kestle Forestry",
        reference="KF 2025-117",
        holder="the leader of the day",
        area="Kestle plantations",
        valid_from=date(2025, 1, 1),
        valid_until=date(2026, 12, 31),
        limits="Fruit bodies only, no wood.",
        source="permit as a paper, kept in the club's folder",
    ),
)


def enter_permits(*, by: Member, now: datetime) -> None:
    """Enter each permit, and link the forays whose own words name it."""
    for permit in _PERMITS:
        # A copy: the command may be run more than once in one process.
        entered = enter(
            Permit(
                **{field.attname: getattr(permit, field.attname) for field in Permit._meta.concrete_fields}
            ),
            by=by,
            now=now,
        )
        for foray in Foray.objects.filter(permission__contains=permit.reference):
            link(entered.pk, foray=foray, by=by, now=now)

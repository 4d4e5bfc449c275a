"""A permit with what goes under it."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any

from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from vouchers.permits import actions
from vouchers.permits.models import Permit

NOW = datetime(2026, 10, 10, tzinfo=UTC)
WORDS = {
    "issuer": "Hollin Estate",
    "reference": "HE 12/2026",
    "holder": "Hollin Fungus Group",
    "area": "Hollin Wood, all compartments",
    "valid_from": date(2026, 4, 1),
    "valid_until": date(2027, 3, 31),
    "limits": "One fruit body of a species and visit.",
    "source": "letter of 3 March 2026 in the club's file",
}


def make_permit(
    by: Member, *, forays: Sequence[Foray] = (), finds: Sequence[Find] = (), **given: Any
) -> Permit:
    permit = actions.enter(Permit(**{**WORDS, **given}), by=by, now=NOW)
    for foray in forays:
        actions.link(permit.pk, foray=foray, by=by, now=NOW)
    for find in finds:
        actions.link(permit.pk, find=find, by=by, now=NOW)
    return permit

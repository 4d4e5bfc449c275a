"""Exchange: the only writers of it. Each is one transaction; what is refused has changed nothing.

Locks: the counter of the series, then vouchers by key, then parts by key, then the head of the register.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from ledger.days import day_text
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.words import say
from vouchers.exchange.models import Sending, SentDuplicate, ToldOfName
from vouchers.exchange.news import news
from vouchers.loans.actions import locked_parts, not_here, refuse
from vouchers.loans.numbers import SENDING
from vouchers.loans.series import next_number, open_series
from vouchers.parts.actions import end_part
from vouchers.parts.models import Part
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class SendingTerms:
    institution: str
    person: str
    address: str
    sent_on: date
    note: str


def send(given: SendingTerms, part_ids: Iterable[int], *, by: Member, now: datetime) -> Sending:
    """Send duplicates to another collection for good: each ends in ours. All of them go, or none.

    Refused: a part that is no duplicate, one that is on loan or ended, none at all.
    """
    keys = list(part_ids)
    open_series(SENDING, now)
    with transaction.atomic():
        number = next_number(SENDING, now)
        holding = Part.objects.filter(pk__in=keys).order_by().values("voucher_id")
        list(Voucher.objects.select_for_update().filter(pk__in=holding).order_by("pk"))
        parts = locked_parts(keys)
        refuse(
            [
                ""
                if parts
                else say(
                    "No duplicate was named, so there is nothing to send. Scan or type one code a line."
                ),
                *(_no_duplicate(part) for part in parts if part.kind != "duplicate"),
                say("They cannot have left on {day}, which is still to come.", day=day_text(given.sent_on))
                if given.sent_on > timezone.localtime(now).date()
                else "",
                *not_here(parts),
            ]
        )
        sending = Sending.objects.create(
            **number,
            institution=given.institution,
            person=given.person,
            address=given.address,
            sent_on=given.sent_on,
            note=given.note,
            made_at=now,
            made_by=by,
        )
        named = dict(
            Find.objects.filter(voucher__parts__in=parts).values_list(
                "voucher__pk", "current_determination_id"
            )
        )
        SentDuplicate.objects.bulk_create(
            SentDuplicate(sending=sending, part=part, named_id=named[part.voucher_id]) for part in parts
        )
        for part in parts:
            # In English: the register hashes it.
            end_part(part.pk, why=f"sent to {given.institution} in exchange, {sending}"[:200], by=by, now=now)
        return sending


@transaction.atomic
def note_told(duplicate_ids: Iterable[int], *, by: Member, now: datetime) -> list[SentDuplicate]:
    """Note that the receivers of these duplicates were told the name of today. Twice is once."""
    keys = list(duplicate_ids)
    rows = SentDuplicate.objects.filter(pk__in=keys)
    list(rows.select_for_update().order_by("pk"))
    refuse(["" if keys else say("Nobody was ticked, so nothing was noted. Tick whom you told.")])
    noted = []
    # Somebody else may have noted it since the list was opened: what is no news any more is passed over.
    for item in news(rows):
        ToldOfName.objects.create(duplicate=item.duplicate, determination=item.today, told_at=now, told_by=by)
        noted.append(item.duplicate)
    return noted


def _no_duplicate(part: Part) -> str:
    return say(
        "{number} is a {kind}, and only duplicates are sent in exchange. Take it off the list; where a share of it is to be "
        "sent, add a duplicate to the voucher first.",
        number=part.number,
        kind=part.kind_word,
    )

"""Loans in: the only writers of them. Each is one transaction; what is refused has changed nothing.

A borrowed specimen has the lender's number and no part, voucher or place of ours, so that it can never be lent, moved or
counted as one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from ledger.days import day_text
from ledger.moments import day_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import say
from vouchers.codes import ForeignCode, UnknownCode
from vouchers.loans.actions import WORDS, refuse
from vouchers.loans.due import refused_due
from vouchers.loans.models import BorrowedItem, Borrowing, Prolonging
from vouchers.loans.numbers import BORROWING
from vouchers.loans.series import next_number, open_series
from vouchers.register.lookup import read

MOST_ITEMS = 200
NUMBER_LENGTH = 60


@dataclass(frozen=True, slots=True)
class BorrowingTerms:
    """Who lends it to us, under which number of theirs, for what, on what terms."""

    institution: str
    person: str
    address: str
    their_number: str
    purpose: str
    terms: str
    received_on: date
    due_on: date


@dataclass(frozen=True, slots=True)
class ItemIn:
    """One borrowed specimen as it came: the number on its packet, its name there, how it looked."""

    their_number: str
    name: str = ""
    condition: str = ""


def item_of_line(line: str) -> ItemIn:
    """Read a line of the box: the number, then name and condition behind bars. `K(M) 21040 | Trametes gibbosa | sound`."""
    parts = [" ".join(part.split()) for part in line.split("|", 2)]
    number, name, condition = (*parts, "", "")[:3]
    return ItemIn(number, name, condition)


def borrow(given: BorrowingTerms, items: Sequence[ItemIn], *, by: Member, now: datetime) -> Borrowing:
    """Take borrowed specimens on the record. Refused: a number that reads as one of ours, a number twice, none at all."""
    open_series(BORROWING, now)
    with transaction.atomic():
        number = next_number(BORROWING, now)
        refuse(
            [
                *_wrong_items(items),
                say(
                    "They cannot have come on {day}, which is still to come.", day=day_text(given.received_on)
                )
                if given.received_on > timezone.localtime(now).date()
                else "",
                refused_due(given.due_on, after=given.received_on, after_words=say("the day they came")),
            ]
        )
        borrowing = Borrowing.objects.create(
            **number,
            institution=given.institution,
            person=given.person,
            address=given.address,
            their_number=given.their_number,
            purpose=given.purpose,
            terms=given.terms,
            received_on=given.received_on,
            due_on=given.due_on,
            made_at=now,
            made_by=by,
        )
        BorrowedItem.objects.bulk_create(
            BorrowedItem(
                borrowing=borrowing,
                their_number=item.their_number,
                name=one_line(item.name, WORDS),
                condition_in=one_line(item.condition, WORDS),
            )
            for item in items
        )
        return borrowing


@transaction.atomic
def give_back(
    borrowing_id: int, conditions: Mapping[int, str], *, by: Member, now: datetime
) -> list[BorrowedItem]:
    """Note that borrowed specimens went back to their lender: item -> its condition in words, which may be empty."""
    borrowing = Borrowing.objects.select_for_update().get(pk=borrowing_id)
    items = list(BorrowedItem.objects.filter(borrowing=borrowing, pk__in=conditions))
    refuse(
        [
            "" if conditions else say("Nothing was ticked, so nothing was noted. Tick what goes back."),
            say("One of those is not of this loan. Nothing was noted; open the page anew.")
            if len(items) < len(conditions)
            else "",
            *(
                say(
                    "{number} went back on {day} already. Nothing was noted.",
                    number=item,
                    day=day_of(item.returned_at),
                )
                for item in items
                if item.returned_at is not None
            ),
        ]
    )
    for item in items:
        item.returned_at, item.returned_by = now, by
        item.condition_back = one_line(conditions[item.pk], WORDS)
        item.save(update_fields=["returned_at", "returned_by", "condition_back"])
    return items


@transaction.atomic
def prolong_borrowing(borrowing_id: int, *, due_on: date, why: str, by: Member, now: datetime) -> Borrowing:
    """Note the later due date that the lender gave."""
    borrowing = Borrowing.objects.select_for_update().get(pk=borrowing_id)
    why = one_line(why, WORDS)
    refuse(
        [
            ""
            if BorrowedItem.objects.filter(borrowing=borrowing).here().exists()
            else say("Nothing of {borrowing} is here any more. Its due date was kept.", borrowing=borrowing),
            refused_due(due_on, after=borrowing.due_on, after_words=say("the present due date")),
            ""
            if why
            else say("The words are missing. The due date was kept; say who of the lender's gave more time."),
        ]
    )
    Prolonging.objects.create(
        borrowing=borrowing, from_due=borrowing.due_on, to_due=due_on, why=why, at=now, by=by
    )
    borrowing.due_on = due_on
    borrowing.save(update_fields=["due_on"])
    return borrowing


def _wrong_items(items: Sequence[ItemIn]) -> list[str]:
    if not items:
        return [
            say(
                "No specimen was named. Nothing was kept on record; write one number a line, as it stands on the packet."
            )
        ]
    if len(items) > MOST_ITEMS:
        return [
            say(
                "{n} specimens at once are too many; {most} go on one record. Make two of it.",
                n=len(items),
                most=MOST_ITEMS,
            )
        ]
    wrong = []
    seen: set[str] = set()
    for item in items:
        shown = item.their_number[:NUMBER_LENGTH]
        if not item.their_number:
            wrong.append(
                say("A line has no number before its first bar. Write the number that stands on the packet.")
            )
        elif len(item.their_number) > NUMBER_LENGTH:
            wrong.append(
                say(
                    "The number {number}… is longer than {most} signs. Write the number alone before the bar.",
                    number=shown,
                    most=NUMBER_LENGTH,
                )
            )
        elif item.their_number.casefold() in seen:
            wrong.append(
                say(
                    "{number} stands in the list twice. Leave one line of it, or add what tells the two apart.",
                    number=shown,
                )
            )
        elif not isinstance(read(item.their_number), ForeignCode | UnknownCode):
            wrong.append(
                say(
                    "{number} reads as a number of our own. A borrowed specimen has the lender's number; look at the "
                    "packet.",
                    number=shown,
                )
            )
        seen.add(item.their_number.casefold())
    return wrong

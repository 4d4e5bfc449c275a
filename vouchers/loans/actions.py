"""Loans out: the only writers of them. Each is one transaction; what is refused has changed nothing.

Locks: the counter of the series, then vouchers and parts by key, then the loan, then the head of the register.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from django.db import transaction
from django.utils import timezone

from ledger.days import day_text
from ledger.moments import day_of, local_day
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import say, together
from vouchers.loans.due import refused_due
from vouchers.loans.models import (
    Condition,
    Loan,
    LoanItem,
    Moment,
    Prolonging,
    SentReminder,
)
from vouchers.loans.numbers import LOAN
from vouchers.loans.refusals import LoanAsked, LoanRefused
from vouchers.loans.series import next_number, open_series
from vouchers.loans.warnings import warnings_of
from vouchers.parts.actions import end_part
from vouchers.parts.models import Part
from vouchers.register.models import Voucher
from vouchers.store.away import away_now

WORDS = 200
CONDITION_WORDS = 400


@dataclass(frozen=True, slots=True)
class LoanTerms:
    """Who borrows, for what, and on what terms. `person` asks for the institution; `used_by` studies it."""

    institution: str
    person: str
    address: str
    used_by: str
    purpose: str
    terms: str
    lent_on: date
    due_on: date


def lend(
    given: LoanTerms,
    part_ids: Iterable[int],
    *,
    by: Member,
    now: datetime,
    condition: str = "",
    read: Collection[str] | None = None,
) -> Loan:
    """Make a loan of these parts, with the next number of the year. All of them go, or none.

    Refused: a part that is away or ended, no part at all, a due date that is not after the day of lending. `condition`: how
    each of them looks as it leaves, in words that hold for all. `read`: the warnings (`warnings_of`) that whoever lends has
    read; LoanAsked where there are others. None: nobody is there to be asked.
    """
    open_series(LOAN, now)
    with transaction.atomic():
        number = next_number(LOAN, now)
        parts = locked_parts(part_ids)
        wrong = (
            []
            if parts
            else [say("No part was named, so there is nothing to lend. Scan or type one code a line.")]
        )
        wrong += wrong_days(given.lent_on, given.due_on, timezone.localtime(now).date()).values()
        wrong += not_here(parts)
        refuse(wrong)
        warned = warnings_of(parts, now) if read is not None else []
        if read is not None and set(warned) - set(read):
            raise LoanAsked(warned)
        loan = Loan.objects.create(
            **number,
            institution=given.institution,
            person=given.person,
            address=given.address,
            used_by=given.used_by,
            purpose=given.purpose,
            terms=given.terms,
            lent_on=given.lent_on,
            due_on=given.due_on,
            made_at=now,
            made_by=by,
        )
        items = LoanItem.objects.bulk_create(LoanItem(loan=loan, part=part) for part in parts)
        if words := one_line(condition, CONDITION_WORDS):
            Condition.objects.bulk_create(
                Condition(item=item, moment=Moment.OUT, words=words, noted_at=now, noted_by=by)
                for item in items
            )
        return loan


@transaction.atomic
def return_items(
    loan_id: int,
    part_conditions: Mapping[int, str],
    *,
    by: Member,
    now: datetime,
    came_on: date | None = None,
) -> list[LoanItem]:
    """Take parts of a loan back: part -> its condition in words. Some may stay out. All named come back, or none.

    `came_on`: the day they came, which may lie before the day of noting; None: just now. Refused: a part that is not on this
    loan, one that came back before, one without words on its condition, “as it left” where nobody noted how it left, a day
    before the loan or to come.
    """
    loan = Loan.objects.select_for_update().get(pk=loan_id)
    today = local_day(now)
    came_on = came_on or today
    items = {
        item.part_id: item
        for item in LoanItem.objects.filter(loan=loan, part__in=part_conditions).select_related(
            "part__voucher"
        )
    }
    strangers = Part.objects.with_number().filter(pk__in=set(part_conditions) - set(items)).order_by("pk")
    away = away_now(strangers)
    wrong = [_not_on_it(part, loan, away.get(part.pk, "")) for part in strangers]
    wrong += [_closed(item) for item in items.values() if not item.is_out]
    if not loan.lent_on <= came_on <= today:
        wrong.append(
            say(
                "They cannot have come back on {day}: the loan left on {left}, and the day must not be to come. Correct the "
                "day.",
                day=day_text(came_on),
                left=day_text(loan.lent_on),
            )
        )
    words = {part: one_line(text, CONDITION_WORDS) for part, text in part_conditions.items()}
    noted = set(
        Condition.objects.filter(item__in=list(items.values()), moment=Moment.OUT).values_list(
            "item__part", flat=True
        )
    )
    wrong += [
        say(
            "How {number} left was not noted, so “{words}” says nothing. Say how it looks now.",
            number=item.part.number,
            words=words[part],
        )
        for part, item in items.items()
        if item.is_out and part not in noted and _as_it_left(words[part])
    ]
    wrong += [
        say(
            "The condition of {number} is not said. Say how it came back, such as “as it left”.",
            number=item.part.number,
        )
        for item in items.values()
        if item.is_out and not words[item.part_id]
    ]
    if not part_conditions:
        wrong.append(say("Nothing was ticked or scanned, so nothing was noted. Tick or scan what came back."))
    refuse(wrong)
    # Of an earlier day nobody knows the hour: noon stands for it.
    returned_at = now if came_on == today else timezone.make_aware(datetime.combine(came_on, time(12)))
    for item in items.values():
        item.returned_at, item.returned_to = returned_at, by
        item.save(update_fields=["returned_at", "returned_to"])
        Condition.objects.create(
            item=item, moment=Moment.BACK, words=words[item.part_id], noted_at=now, noted_by=by
        )
    return list(items.values())


@transaction.atomic
def note_condition(item_id: int, moment: str, words: str, *, by: Member, now: datetime) -> Condition:
    """Say how an item looked when it left, or when it came back. What was said before stays."""
    item = LoanItem.objects.select_for_update(of=("self",)).select_related("part__voucher").get(pk=item_id)
    words = one_line(words, CONDITION_WORDS)
    if moment not in Moment.values:
        raise LoanRefused(say("It was not said whether it left or came back. Nothing was noted; choose one."))
    if not words:
        raise LoanRefused(
            say("The words are missing. Nothing was noted; say how {number} looked.", number=item.part.number)
        )
    if moment == Moment.BACK and item.returned_at is None:
        raise LoanRefused(
            say(
                "{number} has not come back. Nothing was noted; note its return first, or choose “as it left”.",
                number=item.part.number,
            )
        )
    return Condition.objects.create(item=item, moment=moment, words=words, noted_at=now, noted_by=by)


@transaction.atomic
def prolong(loan_id: int, *, due_on: date, why: str, by: Member, now: datetime) -> Loan:
    """Give a loan a later due date, on record. The reminders begin anew with it."""
    loan = Loan.objects.select_for_update().get(pk=loan_id)
    why = one_line(why, WORDS)
    wrong = []
    if not LoanItem.objects.filter(loan=loan).out().exists():
        wrong.append(
            say(
                "Nothing of loan {loan} is out any more. Its due date was kept; there is nothing to prolong.",
                loan=loan,
            )
        )
    wrong.append(refused_due(due_on, after=loan.due_on, after_words=say("the present due date")))
    if due_on <= timezone.localtime(now).date():
        wrong.append(
            say(
                "The due date {due} is over or today. Enter a day that is still to come.",
                due=day_text(due_on),
            )
        )
    if not why:
        wrong.append(
            say("The reason is missing. The due date was kept; say who asked for more time, and why.")
        )
    refuse(wrong)
    Prolonging.objects.create(loan=loan, from_due=loan.due_on, to_due=due_on, why=why, at=now, by=by)
    loan.due_on = due_on
    loan.save(update_fields=["due_on"])
    return loan


@transaction.atomic
def note_reminder(loan_id: int, *, sent_on: date, by: Member, now: datetime) -> SentReminder:
    """Note that a reminder was sent, by letter or mail. The next text is firmer."""
    loan = Loan.objects.select_for_update().get(pk=loan_id)
    if not LoanItem.objects.filter(loan=loan).out().exists():
        raise LoanRefused(say("Nothing of loan {loan} is out any more. No reminder was noted.", loan=loan))
    if not loan.lent_on <= sent_on <= timezone.localtime(now).date():
        raise LoanRefused(
            say(
                "A reminder of {day} cannot be: the loan left on {left}, and the day must not be to come. Nothing was "
                "noted; correct the day.",
                day=day_text(sent_on),
                left=day_text(loan.lent_on),
            )
        )
    return SentReminder.objects.create(loan=loan, for_due=loan.due_on, sent_on=sent_on, at=now, by=by)


@transaction.atomic
def note_lost(item_id: int, *, words: str, by: Member, now: datetime) -> LoanItem:
    """Note that a part will not come back from its loan. It ends in the collection; its number stays its own."""
    found = LoanItem.objects.select_related("part").get(pk=item_id)
    Voucher.objects.select_for_update().get(pk=found.part.voucher_id)
    part = Part.objects.with_number().select_for_update(of=("self",)).get(pk=found.part_id)
    loan = Loan.objects.select_for_update().get(pk=found.loan_id)
    item = LoanItem.objects.select_for_update(of=("self",)).select_related("part__voucher").get(pk=item_id)
    words = one_line(words, WORDS)
    if not item.is_out:
        raise LoanRefused(together([_closed(item), say("Nothing was changed.")]))
    if len(words) < 3:
        raise LoanRefused(
            say(
                "The words are missing. {number} stays on loan; say what the borrower wrote, or why it is given up.",
                number=part.number,
            )
        )
    item.lost_at, item.lost_words = now, words
    item.save(update_fields=["lost_at", "lost_words"])
    # In English: the register hashes it.
    end_part(part.pk, why=f"not returned from loan {loan}: {words}", by=by, now=now)
    return item


# --- shared with the rooms that send parts away ---


def locked_parts(part_ids: Iterable[int]) -> list[Part]:
    """The parts, locked by key until the caller's transaction ends."""
    rows = Part.objects.with_number().select_for_update(of=("self",)).filter(pk__in=list(part_ids))
    return list(rows.order_by("pk"))


def wrong_days(lent_on: date, due_on: date, today: date) -> dict[str, str]:
    """What cannot stand of the days of a loan: a sentence for each of `lent_on` and `due_on` that is wrong."""
    wrong = {}
    if lent_on > today:
        wrong["lent_on"] = say(
            "The loan cannot leave on {day}, which is still to come.", day=day_text(lent_on)
        )
    if told := refused_due(due_on, after=lent_on, after_words=say("the day of lending")):
        wrong["due_on"] = told
    return wrong


def not_here(parts: Iterable[Part]) -> list[str]:
    """A sentence for each of the locked parts that is not in the house to be sent out of it."""
    parts = list(parts)
    away = away_now(parts)
    return [
        say(
            "{number} ended on {day}: {why}. Take it off the list.",
            number=part.number,
            day=day_of(part.ended_at),
            why=part.ended_why,
        )
        for part in parts
        if part.ended_at
    ] + [
        say(
            "{number} is {away}. It cannot leave twice: note its return first, or take it off the list.",
            number=part.number,
            away=away[part.pk],
        )
        for part in parts
        if part.pk in away
    ]


def refuse(sentences: Iterable[str]) -> None:
    """Raise LoanRefused where there is a sentence; empty ones are none."""
    if wrong := [sentence for sentence in sentences if sentence]:
        raise LoanRefused(wrong)


def _as_it_left(words: str) -> bool:
    """Whether the words only point to how it left, in English or the reader's language."""
    return words.casefold().startswith((Moment.OUT.label.english, str(Moment.OUT.label).casefold()))


def _not_on_it(part: Part, loan: Loan, away: str) -> str:
    return together(
        [
            say("{number} is not on loan {loan}.", number=part.number, loan=loan),
            say("It is {away}.", away=away) if away else say("It is not on loan at all."),
            say("Look at the packet and at the loan's form again."),
        ]
    )


def _closed(item: LoanItem) -> str:
    number = item.part.number
    if item.returned_at is not None:
        return say("{number} came back on {day} already.", number=number, day=day_of(item.returned_at))
    assert item.lost_at is not None
    return say(
        "{number} was noted as lost on {day}: {words}.",
        number=number,
        day=day_of(item.lost_at),
        words=item.lost_words,
    )

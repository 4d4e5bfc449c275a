"""Collecting numbers: one for a find, or a block of them for a phone or paper slips, which may come back.

A number is given once, for life. A block is cut off the finder's row of serials in one locked statement, so two
phones without a signal never give the same number. What comes back unused is void: it is not given again.
"""

import uuid
from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import IntegrityError, connection, transaction
from django.db.models import OuterRef, Subquery
from django.utils import timezone

from ledger.collecting_numbers import MOST_SERIAL
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import Holder, NumberBlock, VoidNumber
from ledger.words import later, say

# A day's finds of one person, with room (common practice, no source); a sheet of slips holds four.
MOST_AT_ONCE = 200
# Of another finder, by one member, in a day.
MOST_OF_ANOTHER = 60
# How far a number that is typed may lie ahead of the finder's next one, and where a row may begin that was kept on paper
# for a lifetime (our judgement): beyond it the number is taken for one that was misread, which would end the row.
MOST_AHEAD = 10_000
MOST_AT_BEGINNING = 1_000_000
# Serials looked through at one time for one that no find has.
_LOOKED_THROUGH = 1000
GONE = later("This finder is no member any longer. No number was taken.")


class NumbersRefused(ValueError):
    """No numbers can be handed out or taken back as asked; the text says what was kept and what to do."""


def reserve_block(
    member: Member,
    *,
    holder: str,
    by: Member,
    many: int,
    request_id: uuid.UUID | None = None,
    label: str = "",
    phone: uuid.UUID | None = None,
    now: datetime | None = None,
) -> NumberBlock:
    """Reserve the next `many` serials of a finder. The same `request_id` gives the same block, and takes no more.

    NumbersRefused: fewer than 1 or more than MOST_AT_ONCE, a request of somebody else's under that identity, or a finder
    who is gone.
    """
    if holder not in Holder.values:
        raise NumbersRefused(
            say("Numbers go to a phone or to paper, not to {holder}. None was taken.", holder=repr(holder))
        )
    if not 1 <= many <= MOST_AT_ONCE:
        raise NumbersRefused(
            say(
                "{n} numbers cannot be reserved at once; ask for 1 to {most}. None was taken.",
                n=many,
                most=MOST_AT_ONCE,
            )
        )
    request_id, now = request_id or uuid.uuid4(), now or timezone.now()
    try:
        with transaction.atomic():
            # Held to the end of the block's making: a request sent twice at one moment finds the block of the first.
            finder = Member.objects.select_for_update().filter(pk=member.pk).first()
            if finder is None:
                raise NumbersRefused(say(GONE))
            known = NumberBlock.objects.select_related("member").filter(pk=request_id).first()
            if known is not None:
                # Before anything is held against it: what was given once is given again.
                return _own(known, member, by)
            _not_too_many_of_another(finder, holder, by, many, now)
            first = _hand_out(finder, many)
            return NumberBlock.objects.create(
                id=request_id,
                member=member,
                holder=holder,
                label=label[:80],
                phone=phone,
                first=first,
                last=first + many - 1,
                reserved_by=by,
                reserved_at=now,
            )
    except IntegrityError:
        # One request for two finders at one moment. The serials that the second had taken were rolled back with it.
        block = NumberBlock.objects.select_related("member").filter(pk=request_id).first()
        if block is None:
            raise
    return _own(block, member, by)


def _own(block: NumberBlock, member: Member, by: Member) -> NumberBlock:
    if block.member_id != member.pk or block.reserved_by_id != by.pk:
        raise NumbersRefused(say("This request was made for somebody else before. None was taken; ask anew."))
    return block


def _not_too_many_of_another(finder: Member, holder: str, by: Member, many: int, now: datetime) -> None:
    """One member cannot use up another's row: what a phone at a foray's table needs in a day, and no more."""
    if finder.pk == by.pk or holder != Holder.PHONE:
        return
    today = NumberBlock.objects.filter(
        member=finder, reserved_by=by, holder=Holder.PHONE, reserved_at__gt=now - timedelta(days=1)
    )
    taken = sum(last - first + 1 for first, last in today.order_by().values_list("first", "last"))
    if taken + many > MOST_OF_ANOTHER:
        raise NumbersRefused(
            say(
                "{n} numbers of {finder} were reserved by you within a day; {most} are the most. None was taken.",
                n=taken,
                finder=finder.full_name,
                most=MOST_OF_ANOTHER,
            )
        )


@transaction.atomic
def return_block(
    block: NumberBlock, *, by: Member, used: Collection[int] = (), now: datetime | None = None
) -> NumberBlock:
    """Take a block back. Its serials that no find has, and that are not told to be `used`, are recorded as void.

    A block returned twice stays as it was returned first. NumbersRefused: it is not theirs to return.
    """
    now = now or timezone.now()
    block = NumberBlock.objects.select_for_update().select_related("member").get(pk=block.pk)
    if by.pk not in (block.member_id, block.reserved_by_id) and not by.is_curator:
        raise NumbersRefused(
            say("This block is somebody else's. It was left as it is; ask its finder or a curator.")
        )
    if block.returned_at:
        return block
    taken = set(used) | serials_used(block)
    VoidNumber.objects.bulk_create(
        VoidNumber(member_id=block.member_id, serial=serial, block=block, voided_at=now)
        for serial in range(block.first, block.last + 1)
        if serial not in taken
    )
    block.returned_at = now
    block.save(update_fields=["returned_at"])
    return block


def serials_used(block: NumberBlock) -> set[int]:
    """The serials of a block that finds of the ledger have."""
    finds = Find.objects.filter(
        collecting_code=block.member.collector_code, collecting_serial__range=(block.first, block.last)
    )
    return set(finds.order_by().values_list("collecting_serial", flat=True))


def block_of(code: str, serial: int) -> NumberBlock | None:
    """The block that a number was handed out in, with `voided_at`: when it was recorded void, or None."""
    void = VoidNumber.objects.filter(block=OuterRef("pk"), serial=serial).values("voided_at")
    blocks = NumberBlock.objects.filter(member__collector_code=code, first__lte=serial, last__gte=serial)
    return blocks.select_related("reserved_by").annotate(voided_at=Subquery(void)).order_by("pk").first()


def is_on_paper(code: str, serial: int) -> bool:
    """Whether a number was printed on a paper slip."""
    blocks = NumberBlock.objects.filter(member__collector_code=code, first__lte=serial, last__gte=serial)
    return blocks.filter(holder=Holder.PAPER).exists()


def take_serial(finder: Member, typed: int | None, *, by: Member, phone: uuid.UUID | None = None) -> int:
    """Hand out the finder's next serial, or take the one written on a packet.

    The finder's own row goes on after a number they typed. What somebody else types for them moves nothing: when the row
    comes there, it passes over the number, since a find has it.
    NumbersRefused: so far ahead that it was misread, the row at its end, or waiting on another's phone.
    """
    if typed is None:
        return _hand_out(finder, 1)
    # Held until the find is written: whoever is given a number at this moment sees it.
    row = Member.objects.select_for_update().get(pk=finder.pk)
    _refuse_far_ahead(row, typed)
    _refuse_another_s(row, typed, by, phone)
    if by.pk == row.pk and row.next_serial <= typed:
        row.next_serial = typed + 1
        row.save(update_fields=["next_serial"])
    return typed


def _hand_out(finder: Member, many: int) -> int:
    """The one place where serials leave a finder's row: `many` of them, from the one returned on, that no find has.

    The statement locks the row, so that what is asked for at one moment never gets one number twice.
    NumbersRefused: the row is at its end.
    """
    first = _cut_off(finder.pk, many)
    while ahead := _ahead_of_taken(finder.collector_code, first, many):
        _cut_off(finder.pk, ahead)
        first += ahead
    return first


def _cut_off(member_id: int, many: int) -> int:
    with connection.cursor() as cursor:
        # Django's update() returns no value, and a read after it would be one statement more for every find.
        cursor.execute(
            f"UPDATE {Member._meta.db_table} SET next_serial = next_serial + %s"
            " WHERE id = %s AND next_serial <= %s RETURNING next_serial - %s",
            [many, member_id, MOST_SERIAL - many, many],
        )
        cut = cursor.fetchone()
    if cut is None:
        raise NumbersRefused(
            say("The row of collecting numbers is at its end. None was taken; tell the keeper.")
        )
    return int(cut[0])


def _ahead_of_taken(code: str, first: int, many: int) -> int:
    """How many serials on from `first` the next `many` in a row begin that no find has: 0 where they begin there."""
    finds = Find.objects.filter(collecting_code=code, collecting_serial__gte=first)
    near = finds.filter(collecting_serial__lt=first + many + _LOOKED_THROUGH).order_by()
    begin = first
    for serial in sorted(set(near.values_list("collecting_serial", flat=True))):
        if serial >= begin + many:
            break
        begin = serial + 1
    return begin - first


def next_number(member: Member) -> str:
    """The collecting number that the ledger would give this finder next: `AT 57`."""
    return f"{member.collector_code} {member.next_serial}"


def _refuse_far_ahead(finder: Member, serial: int) -> None:
    """NumbersRefused where a number lies so far ahead of the finder's row that it was misread or mistyped."""
    begun = finder.next_serial > 1
    if serial <= (finder.next_serial + MOST_AHEAD if begun else MOST_AT_BEGINNING):
        return
    raise NumbersRefused(
        say(
            "{number} is far ahead of {finder}'s next collecting number, {next}. No number was used. "
            "Read it again, or leave the box empty.",
            number=f"{finder.collector_code} {serial}",
            finder=finder.full_name,
            next=next_number(finder),
        )
    )


def _refuse_another_s(finder: Member, serial: int, by: Member, phone: uuid.UUID | None) -> None:
    """NumbersRefused where `by` gives a find of `finder` a number that waits on somebody else's phone.

    That phone gives it without a signal, and two packets would bear it. The finder and curators may: it then stands on a
    packet already, and is flagged. So may whoever reserved it, and whoever sends from that phone. Numbers on paper stand
    on the slip that comes with the find.
    """
    if by.pk == finder.pk or by.is_curator:
        return
    block = block_of(finder.collector_code, serial)
    if block is None or not block.is_out_on_a_phone or block.reserved_by_id == by.pk:
        return
    if phone is None or phone != block.phone:
        raise NumbersRefused(
            say(
                "{number} waits for a find on the phone of {holder}. No number was used. "
                "Read it again, or leave the box empty.",
                number=f"{finder.collector_code} {serial}",
                holder=block.reserved_by.full_name,
            )
        )


def accounted_serials(code: str, after: int, before: int) -> frozenset[int]:
    """Serials of that code between the two that are void or on a block still out: no gap in a row of numbers."""
    blocks = NumberBlock.objects.filter(member__collector_code=code, first__lt=before, last__gt=after)
    found: set[int] = set()
    for first, last in blocks.order_by().values_list("first", "last"):
        found.update(range(max(first, after + 1), min(last, before - 1) + 1))
    return frozenset(found)

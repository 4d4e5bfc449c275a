"""A mixed collection split: each share a find and a voucher of its own, with a link to what it came from."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from ledger.finds.models import Find
from ledger.finds.split import Share, SplitRefused, split_find
from ledger.people.models import Member
from ledger.words import say
from vouchers.parts.models import Part
from vouchers.register import entries
from vouchers.register.actions import locked_year, open_year, take_in
from vouchers.register.models import Voucher

__all__ = ["Share", "SplitRefused", "split"]


def split(find_id: UUID, shares: Sequence[Share], *, by: Member, now: datetime) -> list[Voucher]:
    """Split a find into shares, accession each, and return their vouchers. All or nothing.

    The mixture's packet ends; its number is not given again, and its other parts (a slide of the mixture) stay under it.
    A find without a voucher is split just so; then only its shares get numbers.
    """
    open_year(now)
    with transaction.atomic():
        counter = locked_year(now)
        find = Find.objects.select_for_update().get(pk=find_id)
        voucher = Voucher.objects.select_for_update().filter(find=find).first()
        if voucher is not None and voucher.deaccessioned_at is not None:
            raise SplitRefused(
                say(
                    "{voucher} was deaccessioned, so there is nothing to sort. Nothing was changed. If the specimen is here "
                    "after all, take it back first.",
                    voucher=voucher,
                )
            )
        came_from = str(voucher) if voucher else find.collecting_number
        made = [
            take_in(share, counter, by=by, now=now, facts={"split from": came_from})
            for share in split_find(find, shares, by=by, now=now)
        ]
        if voucher is not None:
            _end_packet(voucher, made, by, now)
        return made


def _end_packet(voucher: Voucher, made: Sequence[Voucher], by: Member, now: datetime) -> None:
    into = [str(one) for one in made]
    ended = Part.objects.there().filter(voucher=voucher, kind="packet").select_for_update()
    for part in ended:
        part.ended_at, part.ended_why = now, f"Split into {', '.join(into)}"[:200]
        part.save(update_fields=["ended_at", "ended_why"])
    facts = {"into": into, "parts": [f"{voucher} {part.suffix}".rstrip() for part in ended]}
    entries.append(entries.SPLIT, str(voucher), facts, by=by, now=now)

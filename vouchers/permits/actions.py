"""The only writers of permits and of what goes under them."""

from datetime import datetime

from django.db import transaction

from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import say
from vouchers.permits.models import Permit, PermitChange, PermitUse

# What a permit says; each change of it is kept with what it was before.
WORDS = ("issuer", "reference", "holder", "area", "valid_from", "valid_until", "limits", "source")
LEAST_WORDS = 3


class PermitRefused(ValueError):
    """Nothing was changed; the text says why and what to do."""


@transaction.atomic
def enter(permit: Permit, *, by: Member, now: datetime) -> Permit:
    """Enter a permit as it reads."""
    permit.entered_by, permit.entered_at = by, now
    permit.save(force_insert=True)
    return permit


@transaction.atomic
def change(permit: Permit, *, by: Member, now: datetime) -> Permit:
    """Keep what was changed of a permit; what it said before stays on record."""
    before = Permit.objects.select_for_update().get(pk=permit.pk)
    changes = [
        PermitChange(
            permit=permit, field=name, old=_text(before, name), new=_text(permit, name), at=now, by=by
        )
        for name in WORDS
        if getattr(before, name) != getattr(permit, name)
    ]
    permit.save(update_fields=WORDS)
    PermitChange.objects.bulk_create(changes)
    return permit


def _text(permit: Permit, name: str) -> str:
    value = getattr(permit, name)
    return "" if value is None else str(value)


@transaction.atomic
def link(
    permit_id: int, *, foray: Foray | None = None, find: Find | None = None, by: Member, now: datetime
) -> PermitUse:
    """Say that a foray, or a find alone, went under a permit. Linked already, it is refused."""
    permit = Permit.objects.select_for_update().get(pk=permit_id)
    if (foray is None) == (find is None):
        raise PermitRefused(
            say("Neither a foray nor a find was chosen, or both. Nothing was changed; choose one.")
        )
    if PermitUse.objects.in_force().filter(permit=permit, foray=foray, find=find).exists():
        raise PermitRefused(
            say("{what} goes under this permit already. Nothing was changed.", what=foray or find)
        )
    return PermitUse.objects.create(permit=permit, foray=foray, find=find, linked_at=now, linked_by=by)


@transaction.atomic
def end_use(use_id: int, *, why: str, by: Member, now: datetime) -> PermitUse:
    """Say that something was linked to a permit by mistake. The link stays on record, ended."""
    use = PermitUse.objects.select_for_update().get(pk=use_id)
    why = one_line(why, 200)
    if use.ended_at is not None:
        raise PermitRefused(say("That link was ended already. Nothing was changed."))
    if len(why) < LEAST_WORDS:
        raise PermitRefused(
            say("The reason is missing. The link was kept; say in a few words why it is wrong.")
        )
    use.ended_at, use.ended_by, use.ended_why = now, by, why
    use.save(update_fields=["ended_at", "ended_by", "ended_why"])
    return use

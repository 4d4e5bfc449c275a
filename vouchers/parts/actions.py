"""Parts of a voucher: the only writers of them, but for their place, which the store's move writes."""

from datetime import datetime

from django.db import transaction

from ledger.moments import day_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import say, together
from vouchers.codes import LETTER_OF_KIND, PART_KINDS, kind_word
from vouchers.parts.models import Part
from vouchers.register import entries
from vouchers.register.models import Voucher
from vouchers.store.away import away_now

NOTE_LENGTH = 200


class PartRefused(ValueError):
    """The part cannot be made or ended; the text says why, what was kept and what to do."""


def make_first_packet(voucher: Voucher, *, by: Member, now: datetime) -> Part:
    """The packet that every accession makes. Called by the register, in its transaction; its entry tells of it."""
    return Part.objects.create(voucher=voucher, kind="packet", made_at=now, made_by=by)


@transaction.atomic
def make_part(voucher_id: int, kind: str, *, note: str = "", by: Member, now: datetime) -> Part:
    """Take another part of a voucher on the record: the next number of its kind, never one that was given before."""
    # Locked, so that two slides made at one moment are S1 and S2.
    voucher = Voucher.objects.select_for_update().get(pk=voucher_id)
    letter = LETTER_OF_KIND.get(kind, "")
    if not letter:
        known = together([kind_word(kind.code) for kind in PART_KINDS if kind.letter], ", ")
        raise PartRefused(
            say(
                "{kind} is no kind of part that is added to a voucher. Nothing was changed. Choose one of: {known}. The "
                "packet itself comes with the accession.",
                kind=repr(kind[:40]),
                known=known,
            )
        )
    if voucher.deaccessioned_at is not None:
        raise PartRefused(
            say(
                "{voucher} was deaccessioned, so nothing can be added to it. Nothing was changed. If the specimen is here "
                "after all, take it back first.",
                voucher=voucher,
            )
        )
    taken = Part.objects.filter(voucher=voucher, suffix__startswith=letter).values_list("suffix", flat=True)
    serial = max((int(suffix[1:]) for suffix in taken), default=0) + 1
    part = Part.objects.create(
        voucher=voucher,
        kind=kind,
        suffix=f"{letter}{serial}",
        note=one_line(note, NOTE_LENGTH),
        made_at=now,
        made_by=by,
    )
    entries.append(
        entries.PART_MADE,
        str(voucher),
        {"part": part.number, "part kind": kind, "note": part.note},
        by=by,
        now=now,
    )
    return part


@transaction.atomic
def end_part(part_id: int, *, why: str, by: Member, now: datetime) -> Part:
    """Note that a part is no longer in the collection: used up, broken, sent to another collection. It stays on record."""
    # The voucher before its parts, as wherever both are locked.
    voucher = Voucher.objects.select_for_update().get(parts=part_id)
    part = Part.objects.select_for_update().get(pk=part_id)
    part.voucher = voucher
    why = one_line(why, NOTE_LENGTH)
    if part.ended_at is not None:
        raise PartRefused(
            say(
                "{number} ended on {day}: {why}. Nothing was changed.",
                number=part.number,
                day=day_of(part.ended_at),
                why=part.ended_why,
            )
        )
    if away := away_now([part]).get(part.pk):
        raise PartRefused(
            say(
                "{number} is {away}. It was kept as it is; note first that it came back, or that it is lost.",
                number=part.number,
                away=away,
            )
        )
    if len(why) < 3:
        raise PartRefused(
            say(
                "The reason why {number} is gone is missing. The part was kept as it is; say in a few words what became "
                "of it.",
                number=part.number,
            )
        )
    part.ended_at, part.ended_why = now, why
    part.save(update_fields=["ended_at", "ended_why"])
    entries.append(
        entries.PART_ENDED,
        str(part.voucher),
        {"part": part.number, "part kind": part.kind, "why": why},
        by=by,
        now=now,
    )
    return part

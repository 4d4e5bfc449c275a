"""The demo club's collection: what is done with a specimen once its number is given."""

from datetime import datetime, timedelta
from uuid import UUID

from ledger.people.models import Member
from vouchers.parts.actions import end_part, make_part
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import Voucher

# Every n-th number of a year has such a part.
_PARTS = (
    (3, "slide", "section through the tubes, in KOH"),
    (5, "duplicate", "for exchange"),
    (7, "tissue tube", "from the context"),
    (11, "spore print", "on white paper"),
)
# When this number of a year is given, beetles are found in that one.
_FOUND_AT, _EATEN = 9, 4


def take_in(find_id: UUID, by: Member, now: datetime) -> Voucher:
    """Accession a find of the demo, make the parts it has, and now and then end one."""
    voucher = accession(find_id, by=by, now=now)
    later = now + timedelta(minutes=2)
    for every, kind, note in _PARTS:
        if voucher.serial % every == 0:
            part = make_part(voucher.pk, kind, note=note, by=by, now=later)
            if kind == "slide" and voucher.serial % 9 == 0:
                end_part(part.pk, why="the cover glass broke", by=by, now=later + timedelta(minutes=1))
    if voucher.serial == _FOUND_AT:
        eaten = Voucher.objects.get(prefix=voucher.prefix, year=voucher.year, serial=_EATEN)
        words = "Eaten by beetles in the old box; frass burnt, label kept."
        deaccession(eaten.pk, reason="spoiled", words=words, by=by, now=later)
    return voucher

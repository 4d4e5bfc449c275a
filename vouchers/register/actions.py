"""Taking a specimen into the collection: its number is given once, in one locked transaction."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from ledger.club.queries import the_club
from ledger.finds.flagging import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find
from ledger.people.models import Member
from vouchers.register.models import RegisterYear, Voucher


class AccessionRefused(ValueError):
    """The find cannot be accessioned; the text says why and what to do."""


def accession(find_id: UUID, *, by: Member, now: datetime) -> Voucher:
    """Give the find the next accession number of the club's prefix and this year, and return its voucher.

    Gapless and never twice under any number of requests at one moment: the year's counter is locked, raised and
    used in one transaction, so a number exists exactly when its voucher does. A find that was accessioned a moment
    ago gives back the voucher it has. A find seen only, with no material taken, is refused.
    """
    club = the_club()
    # The counter's row is made before and outside the transaction that locks it: made inside, two first requests
    # of a year would each make one, and the loser's whole transaction would be lost with it.
    RegisterYear.objects.get_or_create(prefix=club.accession_prefix, year=now.year)
    with transaction.atomic():
        counter = RegisterYear.objects.select_for_update().get(prefix=club.accession_prefix, year=now.year)
        find = Find.objects.select_for_update().get(pk=find_id)
        voucher = Voucher.objects.filter(find=find).first()
        if voucher is not None:
            return voucher
        if not find.kept:
            raise AccessionRefused(
                f"{find.collecting_number} was seen only: no material was taken, so there is nothing to accession. "
                "Nothing was changed. If a specimen was kept after all, amend the find first."
            )
        counter.last_serial += 1
        counter.save(update_fields=["last_serial"])
        voucher = Voucher.objects.create(
            find=find,
            prefix=counter.prefix,
            year=counter.year,
            serial=counter.last_serial,
            accessioned_at=now,
            accessioned_by=by,
        )
        # What photos show of the packet is held against it by checks that know nothing of registers.
        find.accession_number = str(voucher)
        find.save(update_fields=["accession_number"])
        if find.photos.exclude(numbers_seen=[]).exists():
            recheck(find, now=now)
        record_change(find, field="accession number", old="", new=str(voucher), by=by, now=now)
        return voucher

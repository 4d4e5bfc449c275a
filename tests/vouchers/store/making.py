"""A small store, and packets in it, made straight as rows: tests of the store are not about accession."""

from datetime import UTC, datetime, timedelta

from ledger.club.models import Club
from ledger.club.queries import the_club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.parts.models import Part
from vouchers.register.models import RegisterYear, Voucher
from vouchers.store.models import StorePlace

NOW = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)
BEFORE = NOW - timedelta(days=400)


def club() -> Club:
    known = the_club()
    return known if known.pk else Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")


def place(name: str, kind: str = "box", parent: StorePlace | None = None, **given: object) -> StorePlace:
    last = StorePlace.objects.order_by("-number").values_list("number", flat=True).first() or 0
    made: StorePlace = StorePlace.objects.create(
        kind=kind, name=name, parent=parent, number=last + 1, **given
    )
    return made


def packets(count: int, *, by: Member, where: StorePlace | None = None) -> list[Part]:
    """So many first packets with numbers in a row, in that place, of finds in a row."""
    prefix = club().accession_prefix
    year, _ = RegisterYear.objects.get_or_create(prefix=prefix, year=2026)
    first = year.last_serial + 1
    finds = Find.objects.bulk_create(
        FindFactory.build(finder=by, logged_by=by, collecting_code="QA", collecting_serial=first + n)
        for n in range(count)
    )
    vouchers = Voucher.objects.bulk_create(
        Voucher(
            find=find,
            prefix=prefix,
            year=2026,
            serial=first + n,
            accessioned_at=BEFORE,
            accessioned_by=by,
        )
        for n, find in enumerate(finds)
    )
    parts = Part.objects.bulk_create(
        Part(voucher=voucher, kind="packet", made_at=BEFORE, made_by=by, place=where) for voucher in vouchers
    )
    year.last_serial += count
    year.save(update_fields=["last_serial"])
    return parts

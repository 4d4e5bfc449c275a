"""A ledger that had vouchers before the register had entries gets them, and its register is whole."""

from datetime import UTC, datetime, timedelta
from importlib import import_module

from django.apps import apps

from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.parts.models import Part
from vouchers.register.actions import accession
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.register.verification import verify_register

NOW = datetime(2025, 12, 30, 19, 30, tzinfo=UTC)


def test_they_are_entered_in_the_order_in_which_their_numbers_were_given(curator: Member) -> None:
    for year, serial, days in ((2026, 1, 9), (2025, 1, 0), (2026, 2, 30)):
        Voucher.objects.create(
            find=FindFactory(),
            prefix="BL",
            year=year,
            serial=serial,
            accessioned_at=NOW + timedelta(days=days),
            accessioned_by=curator,
        )
    for year, last in ((2025, 1), (2026, 2)):
        RegisterYear.objects.create(prefix="BL", year=year, last_serial=last)
    RegisterHead.objects.all().delete()  # that of the empty test ledger
    import_module("vouchers.migrations.0003_entries_of_earlier_vouchers").enter(apps, None)
    numbers = list(RegisterEntry.objects.values_list("accession_number", flat=True))
    assert numbers == ["BL 2025-0001", "BL 2026-0001", "BL 2026-0002"]
    assert Part.objects.filter(kind="packet").count() == 3
    assert verify_register().trouble is None
    assert str(accession(FindFactory().pk, by=curator, now=NOW.replace(year=2026))) == "BL 2026-0003"
    assert verify_register().trouble is None

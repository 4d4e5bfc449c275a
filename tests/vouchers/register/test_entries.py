"""Entries are appended with what they are about, in one transaction, and never changed."""

import json
from datetime import UTC, datetime

import pytest
from django.db import transaction

from ledger.finds.models import Change
from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, name_find
from vouchers.parts.models import Part
from vouchers.register import entries
from vouchers.register.actions import accession
from vouchers.register.models import EntryChanged, RegisterEntry, RegisterHead, Voucher

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


def test_an_accession_makes_an_entry_and_the_packet(curator: Member, collector: Member) -> None:
    find = name_find(FindFactory(finder=collector, collecting_serial=118), TaxonFactory()).find
    voucher = accession(find.pk, by=curator, now=NOW)
    entry = RegisterEntry.objects.get()
    assert json.loads(entry.body) == {
        "entry": 1,
        "kind": "accession",
        "accession number": "BL 2026-0001",
        "find": str(find.pk),
        "collecting number": "AT 118",
        "found by": "Ada Thorne",
        "found on": "2026-10-03",
        "name": "Trametes versicolor",
        "at": "2026-11-02T19:30:00.000000+00:00",
        "by": "Carys Bowen",
        "by member": curator.pk,
    }
    packet = voucher.parts.get()
    assert (packet.kind, packet.number, packet.place) == ("packet", "BL 2026-0001", None)


def test_each_entry_follows_the_one_before(curator: Member) -> None:
    for _ in range(3):
        accession(FindFactory().pk, by=curator, now=NOW)
    first, second, third = RegisterEntry.objects.all()
    assert (second.before, third.before) == (first.digest, second.digest)
    assert RegisterHead.objects.get().head.digest == third.digest


def test_accessioning_twice_makes_one_entry(curator: Member) -> None:
    find = FindFactory()
    accession(find.pk, by=curator, now=NOW)
    accession(find.pk, by=curator, now=NOW)
    assert (RegisterEntry.objects.count(), Part.objects.count()) == (1, 1)


def test_an_entry_that_fails_takes_the_accession_with_it(
    curator: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(entries, "append", broken)
    find = FindFactory()
    with pytest.raises(OSError, match="disk full"):
        accession(find.pk, by=curator, now=NOW)
    assert not Voucher.objects.exists() and not Part.objects.exists() and not Change.objects.exists()
    monkeypatch.undo()
    assert accession(find.pk, by=curator, now=NOW).serial == 1


@pytest.mark.django_db(transaction=True)
def test_an_entry_outside_a_transaction_is_refused() -> None:
    with pytest.raises(RuntimeError, match="transaction"):
        entries.append("accession", "BL 2026-0001", {}, by=Member(), now=NOW)


def test_no_code_changes_or_deletes_an_entry(curator: Member) -> None:
    accession(FindFactory().pk, by=curator, now=NOW)
    entry = RegisterEntry.objects.get()
    entry.kind = "split"
    for act in (
        entry.save,
        entry.delete,
        RegisterEntry.objects.all().delete,
        lambda: RegisterEntry.objects.update(kind="split"),
        lambda: RegisterEntry.objects.bulk_update([entry], ["kind"]),
    ):
        with pytest.raises(EntryChanged), transaction.atomic():
            act()
    assert RegisterEntry.objects.get().kind == "accession"

"""A backup made while four members log finds is of one moment, and nobody waits for it."""

import threading
import time
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from ledger.backup import making, tables
from ledger.backup.making import make
from ledger.backup.places import Folder
from ledger.finds import actions
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.factories import MemberFactory
from tests.ledger.backup.making import NOW, newest, prove
from tests.ledger.backup.test_backup_command import rows_in
from tests.ledger.finds.making import TWELVE, entry

WRITERS = 4


@pytest.mark.django_db(transaction=True)
def test_it_is_of_one_moment(place: Path, reference: Reference, monkeypatch: pytest.MonkeyPatch) -> None:
    members = [MemberFactory() for _ in range(WRITERS)]
    actions.log_find(entry(*TWELVE), by=members[0])
    ended, errors = threading.Event(), list[BaseException]()
    logged: list[int] = []
    begun = threading.Barrier(WRITERS + 1)

    def write(member: Member) -> None:
        try:
            begun.wait(30)
            while not ended.is_set():
                actions.log_find(entry(*TWELVE), by=member)
                logged.append(1)
        except BaseException as problem:
            errors.append(problem)
        finally:
            connection.close()

    # Between two tables time passes, so that writers get in where a moment was not held.
    in_order = tables.in_order

    def slowly(apps: Any) -> Any:
        for model in in_order(apps):
            if model._meta.label_lower in (
                "ledger.find",
                "ledger.reading",
                "ledger.flag",
                "ledger.determination",
            ):
                before = len(logged)
                waits_until = time.monotonic() + 20
                while len(logged) < before + WRITERS and not errors and time.monotonic() < waits_until:
                    time.sleep(0.01)
            yield model

    writers = [threading.Thread(target=write, args=(member,)) for member in members]
    for writer in writers:
        writer.start()
    begun.wait(30)
    monkeypatch.setattr(making.tables, "in_order", slowly)
    try:
        made = make(Folder(place), None, b"", now=NOW, say=lambda line: None)
    finally:
        monkeypatch.undo()
        ended.set()
        for writer in writers:
            writer.join(60)
    assert errors == []
    assert len(logged) >= 3 * WRITERS  # they went on meanwhile

    path = place / made.name
    prove(path)
    assert path == newest(place)
    finds = {row["id"]: row for row in rows_in(path, "ledger.find")}
    readings = rows_in(path, "ledger.reading")
    determinations = {row["id"]: row["find_id"] for row in rows_in(path, "ledger.determination")}
    assert 1 <= len(finds) < Find.objects.count()
    for find in finds.values():
        assert sum(row["find_id"] == find["id"] for row in readings) == len(TWELVE)
        assert determinations[find["current_determination_id"]] == find["id"]
    assert {row["find_id"] for row in readings} == set(finds)
    # The counter of each member's numbers is of the same moment as the numbers.
    for member in rows_in(path, "ledger.member"):
        own = [find["collecting_serial"] for find in finds.values() if find["finder_id"] == member["id"]]
        assert max(own, default=0) < member["next_serial"]

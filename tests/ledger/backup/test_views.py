"""What the keeper sees of the backups, and when a warning stands there."""

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ledger.backup import queries
from ledger.backup.actions import note_run
from ledger.people.models import Member

pytestmark = pytest.mark.django_db
Ran = Callable[..., None]


@pytest.fixture
def ran() -> Ran:
    def run(kind: str, days_ago: float, *, good: bool = True, said: str = "All is well.") -> None:
        now = timezone.now() - timedelta(days=days_ago)
        note_run(kind, now=now, good=good, said=said, place="/mnt/stick", made_at=now, rows=42)

    return run


@pytest.fixture
def warnings(monkeypatch: pytest.MonkeyPatch) -> Callable[[], str]:
    """The warnings in one text; but for that on the disk, which hangs on the machine."""
    monkeypatch.setattr(queries, "_same_disk", lambda: "")
    return lambda: " ".join(queries.state(timezone.now()).warnings)


def test_never_backed_up_and_never_rehearsed_is_said(warnings: Callable[[], str]) -> None:
    assert "No backup was ever made" in warnings() and "No backup was ever rehearsed" in warnings()


def test_a_fresh_backup_and_a_rehearsal_of_this_quarter_need_no_word(
    ran: Ran, warnings: Callable[[], str]
) -> None:
    ran("backup", 1)
    ran("rehearsal", 89.9)
    assert warnings() == ""


def test_a_rehearsal_older_than_90_days_is_warned_of(ran: Ran, warnings: Callable[[], str]) -> None:
    ran("backup", 1)
    ran("rehearsal", 91)
    assert warnings().startswith("The last rehearsal is 91 days old, more than 90.")


def test_a_backup_older_than_a_week_is_warned_of(ran: Ran, warnings: Callable[[], str]) -> None:
    ran("backup", 8.5)
    ran("rehearsal", 1)
    assert warnings().startswith("The last backup is 8 days old.")


def test_a_run_that_failed_is_told_until_one_goes_well(ran: Ran, warnings: Callable[[], str]) -> None:
    ran("backup", 2)
    ran("rehearsal", 2)
    ran("rehearsal", 1, good=False, said="One original is damaged.")
    assert "The last rehearsal failed" in warnings() and "One original is damaged." in warnings()
    ran("rehearsal", 0)
    assert warnings() == ""


def test_backups_beside_the_ledger_are_warned_of(settings: Any, tmp_path: Any) -> None:
    settings.BACKUPS = str(tmp_path / "backups")
    assert "one lost disk loses both" in " ".join(queries.state(timezone.now()).warnings)
    settings.BACKUPS = "s3://key:secret@store.example.org/club"
    assert "one lost disk loses both" not in " ".join(queries.state(timezone.now()).warnings)


@pytest.mark.parametrize("address", ["/club/", "/club/backups/"])
def test_both_pages_of_the_keeper_tell_the_last_of_each(
    address: str, ran: Ran, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    ran("backup", 1)
    ran("rehearsal", 100)
    page = re.sub(r"\s+", " ", browser_of(keeper).get(address).content.decode())
    assert "42 rows" in page and "/mnt/stick" in page
    assert "The last rehearsal is 100 days old" in page

"""Halves of photos: how many are kept, and how long. What the messages do stands in test_messages and test_replay."""

import hashlib
import os
import time
from pathlib import Path
from typing import Any

import pytest

from ledger.finds import photo_actions
from ledger.people.models import Member
from ledger.phone import photo_parts
from ledger.phone.photo_parts import KEPT_S, MOST_HALVES, CutShort, standing_of, take_part
from ledger.photos.errors import PhotoRefused
from ledger.traits.reference import Reference
from tests.factories import FindFactory, make_photo, picture


@pytest.fixture
def find(collector: Member) -> Any:
    return FindFactory(finder=collector, logged_by=collector)


def begin(number: int, find: Any, by: Member) -> None:
    """One part of a photo of which more is to come."""
    take_part(b"part", sha256=f"{number:064x}", find_id=find.pk, size=900, offset=0, view="", by=by)


def halves(settings: Any) -> list[Path]:
    return sorted(path for path in Path(settings.VAR).glob("incoming/*/*"))


def test_a_half_that_nobody_went_on_with_for_a_month_goes_when_another_begins(
    collector: Member, stranger: Member, find: Any, settings: Any
) -> None:
    begin(1, find, collector)
    [old] = halves(settings)
    before = time.time() - KEPT_S - 60
    os.utime(old, (before, before))
    theirs = FindFactory(finder=stranger, logged_by=stranger)
    begin(2, theirs, stranger)
    assert [path.parent.name for path in halves(settings)] == [str(stranger.pk)]


def test_beyond_the_room_of_a_member_the_oldest_half_gives_way(
    collector: Member, find: Any, settings: Any
) -> None:
    for number in range(MOST_HALVES):
        begin(number, find, collector)
        path = halves(settings)[-1]
        os.utime(path, (time.time() - 1000 + number, time.time() - 1000 + number))
    begin(MOST_HALVES, find, collector)
    names = [path.name.split(".")[0] for path in halves(settings)]
    assert names == [f"{number:064x}" for number in range(1, MOST_HALVES + 1)]


def test_a_photo_more_than_a_find_holds_is_refused_before_its_first_part(
    collector: Member, find: Any, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_actions, "MOST_PER_FIND", 1)
    make_photo(find=find, by=collector)
    with pytest.raises(PhotoRefused, match="photos at most"):
        begin(1, find, collector)
    assert halves(settings) == []


def test_a_photo_whose_half_gave_way_begins_anew(collector: Member, find: Any, settings: Any) -> None:
    begin(1, find, collector)
    halves(settings)[0].unlink()
    assert standing_of(f"{1:064x}", find_id=find.pk, by=collector).have == 0


def test_a_half_is_private_to_its_find_and_its_member(
    collector: Member, curator: Member, find: Any, settings: Any
) -> None:
    begin(1, find, collector)
    assert standing_of(f"{1:064x}", find_id=find.pk, by=curator).have == 0
    folder = halves(settings)[0].parent
    assert folder.stat().st_mode & 0o077 == 0


def test_what_is_said_to_be_here_was_written_through(
    collector: Member, find: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced = []
    real = os.fsync
    monkeypatch.setattr(photo_parts.os, "fsync", lambda handle: (synced.append(handle), real(handle)))
    begin(1, find, collector)
    assert synced


def test_an_empty_part_is_cut_short_and_costs_nothing_of_what_came_before(
    collector: Member, find: Any
) -> None:
    begin(1, find, collector)
    with pytest.raises(CutShort):
        take_part(b"", sha256=f"{1:064x}", find_id=find.pk, size=900, offset=4, view="", by=collector)
    assert standing_of(f"{1:064x}", find_id=find.pk, by=collector).have == 4


def test_an_empty_part_finishes_a_photo_whose_last_step_was_lost(
    collector: Member, find: Any, reference: Reference, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = picture()
    about: dict[str, Any] = {
        "sha256": hashlib.sha256(photo).hexdigest(),
        "find_id": find.pk,
        "size": len(photo),
        "view": "cap",
        "by": collector,
    }
    with monkeypatch.context() as lost, pytest.raises(RuntimeError):
        lost.setattr(photo_parts, "_finished", stop)
        take_part(photo, offset=0, **about)
    assert take_part(b"", offset=len(photo), **about).photo == find.photos.get()


def stop(*_: Any) -> None:
    raise RuntimeError("the ledger is stopped here")

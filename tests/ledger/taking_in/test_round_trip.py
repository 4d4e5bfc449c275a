"""Export, import into an empty club, export again: the same but for the days of the exports."""

import io
import zipfile
from datetime import UTC, datetime, timedelta

import pytest
from django.core.management import call_command

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.handing_on.actions import note_agreed
from ledger.handing_on.choices import Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from ledger.taking_in.actions import give, look_at, take_in, undo
from ledger.taking_in.models import TakenFind, TakingIn

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
FINDS = 40
LATER = NOW + timedelta(days=3)
# What says when the export was made.
OF_THE_EXPORT = {"eml.xml"}


def exported(now: datetime, *, photos: bool = False) -> bytes:
    return b"".join(stream(Choices(kind="archive", which="all", notes=True, photos=True), now=now))


def members_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist() if name not in OF_THE_EXPORT}


def empty_club() -> Member:
    """The ledger of another club, with the reference and one curator, and the same facts of the club itself."""
    facts = Club.objects.values().get()
    call_command("flush", interactive=False, verbosity=0)
    call_command("load_reference", verbosity=0)
    Club.objects.create(**facts)
    return Member.objects.create_member(
        "other", "chestnut-rain-41", full_name="Olwen Other", collector_code="ZZ", role="curator"
    )


@pytest.mark.django_db(transaction=True)
def test_a_club_comes_back_byte_for_byte() -> None:
    call_command("load_reference", verbosity=0)
    call_command("demo", finds=FINDS, plain_photos=True, stdout=io.StringIO())
    keeper = Member.objects.filter(role="keeper").first()
    note_agreed({"Dr Outside": "https://orcid.org/0000-0002-1825-0097"}, by=keeper, now=NOW)
    Member.objects.filter(pk=keeper.pk).update(named_outside=True)
    many = Find.objects.count()
    first = exported(NOW, photos=True)
    curator = empty_club()
    taking = give(first, "finds.zip", by=curator, now=LATER)
    report = look_at(taking, by=curator, now=LATER)
    assert [line.says for line in report.lines if line.state != "new"] == []
    assert not Find.objects.exists()
    take_in(taking, by=curator, now=LATER)
    assert Find.objects.count() == TakenFind.objects.count() == many > 0
    second = exported(LATER, photos=True)
    before, after = members_of(first), members_of(second)
    assert before.keys() == after.keys()
    for name, content in before.items():
        assert after[name] == content, name
    again = give(second, "again.zip", by=curator, now=LATER)
    assert {line.state for line in look_at(again, by=curator, now=LATER).lines} == {"here"}
    take_in(again, by=curator, now=LATER)
    assert Find.objects.count() == many
    assert members_of(exported(LATER, photos=True)) == after
    assert undo(TakingIn.objects.get(pk=taking.pk), by=curator, now=LATER) == many
    assert not Find.objects.exists()

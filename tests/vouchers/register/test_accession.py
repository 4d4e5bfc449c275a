"""Accession numbers: gapless, never twice, under 200 requests at one moment."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from ledger.club.models import Club
from ledger.finds.flagging import recheck
from ledger.finds.models import Change, Find
from ledger.people.models import Member
from tests.factories import FindFactory, FlagFactory, make_photo
from tests.people import make_person
from vouchers.register.actions import AccessionAsked, AccessionRefused, accession, accession_all
from vouchers.register.models import RegisterEntry, RegisterYear, Voucher
from vouchers.register.numbers import parse_accession_number

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
ROOT = Path(__file__).resolve().parents[3]


def test_the_first_number_of_a_year_is_one(curator: Member) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    assert str(accession(FindFactory().pk, by=curator, now=NOW)) == "HFG 2026-0001"


def test_serials_start_anew_with_the_year(curator: Member) -> None:
    accession(FindFactory().pk, by=curator, now=NOW)
    assert accession(FindFactory().pk, by=curator, now=NOW.replace(year=2027)).serial == 1


def test_a_find_accessioned_twice_keeps_its_number(curator: Member) -> None:
    find = FindFactory()
    first = accession(find.pk, by=curator, now=NOW)
    assert accession(find.pk, by=curator, now=NOW) == first
    assert RegisterYear.objects.get().last_serial == 1


def test_a_find_seen_only_is_refused_and_takes_no_number(curator: Member) -> None:
    with pytest.raises(AccessionRefused, match="seen only"):
        accession(FindFactory(kept=False).pk, by=curator, now=NOW)
    assert RegisterYear.objects.get().last_serial == 0
    assert accession(FindFactory().pk, by=curator, now=NOW).serial == 1


def test_the_number_stands_in_the_history_of_the_find(curator: Member) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    line = Change.objects.get()
    assert (line.field, line.new, line.by) == ("accession number", str(voucher), curator)


def test_the_find_is_told_its_number(curator: Member) -> None:
    find = FindFactory()
    voucher = accession(find.pk, by=curator, now=NOW)
    find.refresh_from_db()
    assert find.accession_number == str(voucher)


def test_the_mixture_of_a_split_find_gets_no_number(curator: Member) -> None:
    mixed = FindFactory(finder=curator, collecting_serial=118)
    share = FindFactory(finder=curator, collecting_serial=118, collecting_suffix="A", split_from=mixed)
    with pytest.raises(
        AccessionRefused, match=f"was split into {share.collecting_number}.*Enter it for its shares"
    ):
        accession(mixed.pk, by=curator, now=NOW)
    assert RegisterYear.objects.get().last_serial == 0


def test_an_open_stop_is_asked_about_before_a_number_is_given(curator: Member) -> None:
    find = FindFactory()
    stop = FlagFactory(find=find, code="date_future", severity="stop", sentence="Found on 24 Oct 2062.")
    with pytest.raises(AccessionAsked) as asked:
        accession(find.pk, by=curator, now=NOW)
    assert asked.value.stops == (stop,) and RegisterYear.objects.get().last_serial == 0
    assert accession(find.pk, by=curator, now=NOW, despite=[stop.pk]).serial == 1
    assert '"open stops":["date_future"]' in RegisterEntry.objects.get(kind="accession").body


def test_a_stop_raised_after_the_question_is_asked_about_as_well(curator: Member) -> None:
    find = FindFactory()
    stop = FlagFactory(find=find, code="date_future", severity="stop")
    FlagFactory(find=find, code="place_at_sea", severity="stop")
    with pytest.raises(AccessionAsked):
        accession(find.pk, by=curator, now=NOW, despite=[stop.pk])


@pytest.mark.parametrize("given", [{"severity": "doubt"}, {"severity": "stop", "withdrawn_at": NOW}])
def test_a_doubt_and_a_stop_no_longer_open_ask_nothing(given: dict[str, object], curator: Member) -> None:
    assert accession(FlagFactory(**given).find_id, by=curator, now=NOW).serial == 1


def test_of_several_finds_all_get_a_number_or_none(curator: Member) -> None:
    first, second = FindFactory(), FindFactory()
    seen_only = FindFactory(kept=False)
    with pytest.raises(AccessionRefused, match="seen only"):
        accession_all([first.pk, seen_only.pk], by=curator, now=NOW)
    assert not Voucher.objects.exists()
    assert [one.serial for one in accession_all([second.pk, first.pk], by=curator, now=NOW)] == [1, 2]


@pytest.mark.django_db(transaction=True)
def test_two_hundred_accessions_at_one_moment_give_two_hundred_consecutive_numbers() -> None:
    curator = make_person("curator")
    finds = [str(find.pk) for find in FindFactory.create_batch(200, finder=curator)]
    bursts = []
    for start in range(4):
        asked = {
            "database": str(connection.settings_dict["NAME"]),
            "by": curator.pk,
            "now": NOW.isoformat(),
            "threads": 8,
            "finds": finds[start::4],
        }
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.vouchers.register.accession_burst"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        assert process.stdin is not None
        process.stdin.write(json.dumps(asked))
        process.stdin.close()
        process.stdin = None
        bursts.append(process)
    answers = [process.communicate(timeout=300) for process in bursts]
    assert [process.returncode for process in bursts] == [0] * 4, [error for _, error in answers]
    given = sorted(parse_accession_number(number).serial for out, _ in answers for number in json.loads(out))
    assert given == list(range(1, 201))
    assert sorted(Voucher.objects.values_list("serial", flat=True)) == given
    assert Find.objects.filter(voucher__isnull=True).count() == 0


@pytest.mark.usefixtures("reference")
def test_a_photo_of_the_packet_is_right_from_the_moment_of_accession(curator: Member) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    find = FindFactory()
    make_photo(find=find, by=curator, taken_at=NOW, numbers_seen=["HFG 2026-0001"])
    recheck(find, now=NOW)
    assert find.flags.filter(code="number_in_frame_differs", withdrawn_at=None).exists()
    accession(find.pk, by=curator, now=NOW)
    assert not find.flags.filter(code="number_in_frame_differs", withdrawn_at=None).exists()


def test_on_new_year_s_morning_a_number_is_of_the_new_year(curator: Member) -> None:
    """By the ledger's own clock, which is hours ahead of the one that moments are stored by."""
    with timezone.override("Pacific/Auckland"):
        number = accession(FindFactory().pk, by=curator, now=datetime(2026, 12, 31, 12, 0, tzinfo=UTC)).number
    assert (number.year, number.serial) == (2027, 1)

"""The index is kept by the actions, and says at any moment what one made anew would say."""

import json
from collections.abc import Iterator
from datetime import date, timedelta
from importlib import import_module

import pytest
from django.apps import apps
from django.core.management import call_command
from django.utils import timezone

from ledger.bench import actions as bench
from ledger.finds import actions, sensitive, split
from ledger.finds.access import place_leaving
from ledger.finds.entries import NameGiven
from ledger.finds.finder import change_finder
from ledger.finds.models import Find, Status
from ledger.forays.actions import keep_foray
from ledger.people.models import Member
from ledger.search import keeping
from ledger.search.models import FindIndex, NameOfWord, SearchWord, WordUse
from ledger.taxa.actions import mark_sensitive
from ledger.taxa.models import Taxon
from tests.factories import ForayFactory, QuestionFactory
from tests.ledger.finds.making import TWELVE, entry
from tests.ledger.search.holding import kept, true
from vouchers.parts.splitting import split as split_voucher
from vouchers.register.actions import accession, deaccession, take_back

pytestmark = pytest.mark.django_db

PLACE = {
    "locality": "Łąka below Hollin Quarry",
    "region": "Somerset",
    "country": "England",
    "host": "Fagus sylvatica",
}


@pytest.fixture(autouse=True)
def _with_reference(reference: object) -> None:
    pass


@pytest.fixture
def find(collector: Member) -> Iterator[Find]:
    """A find in the ledger; at the end of the test the kept index is held against one made anew."""
    made = actions.log_find(entry(*TWELVE, **PLACE), by=collector)
    assert kept() == true() and _unnoted() == set()
    yield made
    assert kept() == true() and _unnoted() == set()
    FindIndex.objects.all().delete()
    list(keeping.rebuild())
    assert kept() == true() and _unnoted() == set()


def _unnoted() -> set[tuple[int, str]]:
    """Words of names with the names of finds that have them, where that is not on record."""
    uses = WordUse.objects.filter(word__kind="name").values_list("word", "entry__name_key")
    return set(uses) - set(NameOfWord.objects.values_list("word", "name_key"))


def _row(find: Find) -> FindIndex:
    return FindIndex.objects.get(find=find)


def _words(find: Find, kind: str, *, only_open: bool = False) -> set[str]:
    uses = WordUse.objects.filter(entry__find=find, word__kind=kind)
    uses = uses.filter(is_open=True) if only_open else uses
    return set(uses.values_list("word__word", flat=True))


def test_a_logged_find_is_entered_with_folded_words(find: Find) -> None:
    assert _words(find, "place") == {"laka", "below", "hollin", "quarry", "somerset", "england"}
    assert _words(find, "name") == {"trametes", "versicolor"}
    assert _words(find, "host") == {"fagus", "sylvatica"}
    assert _row(find).week == 40 and _row(find).year == 2026


def test_an_amended_day_moves_the_row_and_all_its_words(find: Find, collector: Member) -> None:
    before = _row(find).latest
    actions.amend_find(
        find.pk, entry(*TWELVE, **PLACE | {"found_on": date(2026, 9, 1)}), by=collector, version=1
    )
    assert _row(find).latest < before
    assert set(WordUse.objects.filter(entry__find=find).values_list("latest", flat=True)) == {
        _row(find).latest
    }


def test_an_amended_place_leaves_no_old_word(find: Find, collector: Member) -> None:
    given = entry(*TWELVE, **PLACE | {"locality": "Otter Mill", "latitude": 51.5, "longitude": -2.5})
    actions.amend_find(find.pk, given, by=collector, version=1)
    assert _words(find, "place") == {"otter", "mill", "somerset", "england"}


def test_an_amended_name_and_finder_are_followed(find: Find, collector: Member, stranger: Member) -> None:
    given = entry(*TWELVE, name="Ganoderma applanatum", **PLACE)
    actions.amend_find(find.pk, given, by=collector, version=1, finder=stranger)
    assert _row(find).finder == stranger
    assert "ganoderma" in _words(find, "name") and "trametes" not in _words(find, "name")


def test_a_redetermination_is_followed(find: Find, curator: Member) -> None:
    taxon = Taxon.objects.get(name="Trametes hirsuta")
    name = bench.NewName(
        "Trametes hirsuta", taxon, "", "hairs under the lens, cap hirsute", "", "", date(2026, 10, 5)
    )
    bench.redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())
    assert _row(find).taxon == taxon and _row(find).name_key == "trametes hirsuta"


def test_an_index_of_before_gets_the_names_of_its_words(find: Find) -> None:
    NameOfWord.objects.all().delete()
    assert len(_unnoted()) == 2
    import_module("ledger.migrations.0042_names_of_words").note_names(apps, None)


def test_flags_come_and_go_with_their_settling(find: Find, curator: Member) -> None:
    now = timezone.now()
    assert _words(find, "flag") == {flag.code for flag in find.flags.all()} != set()
    bench.settle(
        find.pk, version=find.version, reason="Looked at with the lens; it is right.", by=curator, now=now
    )
    assert _words(find, "flag") == set() and _row(find).status == Status.SETTLED


def test_a_question_and_its_answer_change_the_status(find: Find, curator: Member, collector: Member) -> None:
    asked = bench.send_back(
        find.pk, version=find.version, question="Was it white?", by=curator, now=timezone.now()
    )
    assert _row(find).status == Status.SENT_BACK
    actions.answer_question(asked, "It was white.", by=collector)
    assert _row(find).status == Status.HELD
    QuestionFactory(find=find)


def test_a_guest_as_finder_is_found_by_name(find: Find, collector: Member) -> None:
    find.refresh_from_db()
    change_finder(
        find.pk,
        finder=collector,
        found_by="Zoë Łukasz",
        by=collector,
        version=find.version,
        now=timezone.now(),
    )
    assert _words(find, "guest") == {"zoe", "lukasz"}


def test_a_sensitive_taxon_closes_the_words_of_the_place_and_coarsens_it(find: Find) -> None:
    mark_sensitive(Taxon.objects.get(name="Trametes versicolor"), 0.1)
    find = Find.objects.get(pk=find.pk)
    assert _words(find, "place", only_open=True) == {"somerset", "england"}
    row, left = _row(find), place_leaving(find)
    assert (row.open_latitude, row.open_longitude) == (left.latitude, left.longitude)
    assert row.open_latitude != row.latitude and row.step_deg == 0.1


def test_a_taxon_that_is_sensitive_no_longer_opens_them(find: Find) -> None:
    taxon = Taxon.objects.get(name="Trametes versicolor")
    mark_sensitive(taxon, 0.1)
    mark_sensitive(taxon, None)
    assert "hollin" in _words(find, "place", only_open=True)


def test_an_opened_place_is_open(find: Find, curator: Member) -> None:
    mark_sensitive(Taxon.objects.get(name="Trametes versicolor"), 0.1)
    sensitive.open_place(find.pk, reason="It is a public garden.", by=curator, now=timezone.now())
    assert "hollin" in _words(find, "place", only_open=True) and _row(find).step_deg is None


def test_flags_that_tell_the_place_of_a_sensitive_find_are_not_open(collector: Member, find: Find) -> None:
    mark_sensitive(Taxon.objects.get(name="Trametes versicolor"), 0.1)
    far = actions.log_find(entry(*TWELVE, **PLACE | {"latitude": 45.0, "longitude": -30.0}), by=collector)
    assert _words(far, "flag") - _words(far, "flag", only_open=True) != set()


def test_another_name_of_a_foray_reaches_its_finds(find: Find, collector: Member, leader: Member) -> None:
    foray = ForayFactory(leader=leader, name="Hollin Wood", place="Upper ride")
    given = entry(*TWELVE, **PLACE | {"foray": foray})
    of_foray = actions.log_find(given, by=collector)
    foray.name = "Bowl Barrow"
    keep_foray(foray)
    assert {"bowl", "barrow", "upper", "ride"} <= _words(of_foray, "place")


def test_accession_deaccession_and_taking_back(find: Find, curator: Member) -> None:
    now = timezone.now()
    voucher = accession(find.pk, by=curator, now=now)
    assert _row(find).accession_number == str(voucher)
    deaccession(voucher.pk, reason="lost", words="It was not on its shelf for years.", by=curator, now=now)
    assert kept() == true()
    take_back(voucher.pk, words="Found behind the drawer.", by=curator, now=now + timedelta(days=1))


def test_a_split_enters_each_share_and_a_sensitive_share_closes_the_others(
    find: Find, curator: Member
) -> None:
    now = timezone.now()
    taxon = Taxon.objects.get(name="Ganoderma applanatum")
    mark_sensitive(taxon, 0.1)
    accession(find.pk, by=curator, now=now)
    shares = [split.Share(NameGiven("Ganoderma applanatum", taxon)), split.Share(note="thin ones")]
    split_voucher(find.pk, shares, by=curator, now=now)
    assert FindIndex.objects.count() == 3
    assert set(FindIndex.objects.values_list("step_deg", flat=True)) == {0.1}


def test_a_second_find_with_the_same_words_makes_no_word_twice(find: Find, collector: Member) -> None:
    before = SearchWord.objects.exclude(kind="flag").count()
    actions.log_find(entry(*TWELVE, **PLACE), by=collector)
    assert SearchWord.objects.exclude(kind="flag").count() == before


def test_the_command_makes_it_anew_and_tells_how_many(find: Find, capsys: pytest.CaptureFixture[str]) -> None:
    WordUse.objects.all().delete()
    FindIndex.objects.update(status="settled")
    call_command("rebuild_search", json=True)
    assert json.loads(capsys.readouterr().out)["finds"] == 1


def test_an_index_that_is_missing_is_made_when_the_reference_is_loaded(find: Find) -> None:
    FindIndex.objects.all().delete()
    assert keeping.is_missing()
    call_command("load_reference", verbosity=0)
    assert not keeping.is_missing()

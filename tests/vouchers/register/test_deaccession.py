"""Out of the collection with a reason; the number is retired, and comes back only with its own specimen."""

from datetime import UTC, datetime, timedelta

import pytest

from ledger.finds.models import Change
from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.parts.actions import end_part, make_part
from vouchers.parts.models import Part
from vouchers.register.actions import AccessionRefused, DeaccessionRefused, accession, deaccession, take_back
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.verification import verify_register

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
LATER = NOW + timedelta(days=200)
WORDS = "Eaten by beetles; frass burnt."


@pytest.fixture
def voucher(curator: Member) -> Voucher:
    return accession(FindFactory().pk, by=curator, now=NOW)


def test_a_deaccession_ends_all_parts_and_stands_in_the_register(voucher: Voucher, curator: Member) -> None:
    make_part(voucher.pk, "slide", by=curator, now=NOW)
    out = deaccession(voucher.pk, reason="spoiled", words=WORDS, by=curator, now=LATER)
    assert (out.deaccessioned_at, out.deaccession_reason, out.deaccession_words) == (LATER, "spoiled", WORDS)
    assert not Part.objects.there().exists()
    assert RegisterEntry.objects.last().kind == "deaccession"
    assert Change.objects.filter(find=voucher.find, field="deaccessioned").exists()
    assert verify_register().trouble is None


def test_a_retired_number_is_not_given_again(voucher: Voucher, curator: Member) -> None:
    deaccession(voucher.pk, reason="lost", words=WORDS, by=curator, now=NOW)
    assert accession(FindFactory().pk, by=curator, now=NOW).serial == 2


def test_its_find_gets_no_second_number(voucher: Voucher, curator: Member) -> None:
    deaccession(voucher.pk, reason="lost", words=WORDS, by=curator, now=NOW)
    with pytest.raises(AccessionRefused, match="that number is retired"):
        accession(voucher.find_id, by=curator, now=NOW)


@pytest.mark.parametrize(
    ("reason", "words", "said"),
    [
        ("eaten", WORDS, "No reason was chosen"),
        ("", WORDS, "No reason was chosen"),
        ("lost", "gone \u200b\u200b\u200b\u200b", "too few"),
    ],
)
def test_a_reason_and_words_are_asked_for(
    reason: str, words: str, said: str, voucher: Voucher, curator: Member
) -> None:
    with pytest.raises(DeaccessionRefused, match=said):
        deaccession(voucher.pk, reason=reason, words=words, by=curator, now=NOW)
    voucher.refresh_from_db()
    assert voucher.deaccessioned_at is None and RegisterEntry.objects.count() == 1


def test_twice_is_refused(voucher: Voucher, curator: Member) -> None:
    deaccession(voucher.pk, reason="lost", words=WORDS, by=curator, now=NOW)
    with pytest.raises(DeaccessionRefused, match="on 2 November 2026 already"):
        deaccession(voucher.pk, reason="spoiled", words=WORDS, by=curator, now=LATER)


def test_a_specimen_found_again_comes_back_under_its_number_with_the_parts_that_left_with_it(
    voucher: Voucher, curator: Member
) -> None:
    slide = make_part(voucher.pk, "slide", by=curator, now=NOW)
    end_part(slide.pk, why="broken", by=curator, now=NOW)
    deaccession(voucher.pk, reason="lost", words=WORDS, by=curator, now=LATER)
    back = take_back(
        voucher.pk, words="It lay behind the cabinet.", by=curator, now=LATER + timedelta(days=9)
    )
    assert (back.deaccessioned_at, back.deaccession_reason) == (None, "")
    assert [part.kind for part in Part.objects.there()] == ["packet"]
    assert accession(voucher.find_id, by=curator, now=LATER) == voucher
    assert verify_register().trouble is None


def test_what_is_there_cannot_be_taken_back(voucher: Voucher, curator: Member) -> None:
    with pytest.raises(DeaccessionRefused, match="is in the collection"):
        take_back(voucher.pk, words="It lay behind the cabinet.", by=curator, now=NOW)

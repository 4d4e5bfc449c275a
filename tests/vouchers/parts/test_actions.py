"""Parts: each suffix once, made and ended on record."""

from datetime import UTC, datetime

import pytest
from django.utils import timezone

from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.parts.actions import PartRefused, end_part, make_part
from vouchers.parts.lookup import CodeRefused, part_of_code
from vouchers.parts.models import Part
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.verification import verify_register
from vouchers.store.scanned import told_of

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


@pytest.fixture
def voucher(curator: Member) -> Voucher:
    return accession(FindFactory().pk, by=curator, now=NOW)


@pytest.mark.parametrize(
    ("kind", "suffix"),
    [
        ("duplicate", "D1"),
        ("slide", "S1"),
        ("spore print", "P1"),
        ("tissue tube", "T1"),
        ("wood piece", "W1"),
    ],
)
def test_each_kind_has_its_letter(kind: str, suffix: str, voucher: Voucher, curator: Member) -> None:
    part = make_part(voucher.pk, kind, by=curator, now=NOW)
    assert part.number == f"BL 2026-0001 {suffix}"


def test_numbers_run_within_the_kind_and_are_not_given_again(voucher: Voucher, curator: Member) -> None:
    slides = [make_part(voucher.pk, "slide", by=curator, now=NOW) for _ in range(10)]
    make_part(voucher.pk, "duplicate", by=curator, now=NOW)
    end_part(slides[-1].pk, why="broken", by=curator, now=NOW)
    assert make_part(voucher.pk, "slide", by=curator, now=NOW).suffix == "S11"


def test_a_part_made_and_ended_is_two_entries(voucher: Voucher, curator: Member) -> None:
    slide = make_part(voucher.pk, "slide", note="tubes\u200b  in Melzer", by=curator, now=NOW)
    end_part(slide.pk, why="the cover glass broke", by=curator, now=NOW)
    assert list(RegisterEntry.objects.values_list("kind", flat=True)) == [
        "accession",
        "part made",
        "part ended",
    ]
    assert slide.note == "tubes in Melzer"
    assert list(Part.objects.there()) == [voucher.parts.get(kind="packet")]
    assert verify_register().trouble is None


@pytest.mark.parametrize("kind", ["packet", "tin", ""])
def test_a_packet_or_an_unknown_kind_is_not_added(kind: str, voucher: Voucher, curator: Member) -> None:
    with pytest.raises(PartRefused, match="Nothing was changed"):
        make_part(voucher.pk, kind, by=curator, now=NOW)
    assert Part.objects.count() == RegisterEntry.objects.count() == 1


def test_nothing_is_added_to_a_deaccessioned_voucher(voucher: Voucher, curator: Member) -> None:
    deaccession(voucher.pk, reason="lost", words="Not on the shelf since May.", by=curator, now=NOW)
    with pytest.raises(PartRefused, match="was deaccessioned"):
        make_part(voucher.pk, "slide", by=curator, now=NOW)


def test_a_part_ends_once_and_with_a_reason(voucher: Voucher, curator: Member) -> None:
    packet = voucher.parts.get()
    with pytest.raises(PartRefused, match="is missing"):
        end_part(packet.pk, why=" \u200b ", by=curator, now=NOW)
    end_part(packet.pk, why="used up", by=curator, now=NOW)
    with pytest.raises(PartRefused, match="ended on 2 November 2026: used up"):
        end_part(packet.pk, why="used up again", by=curator, now=NOW)
    packet.refresh_from_db()
    assert packet.ended_why == "used up"


def test_a_code_leads_to_its_part(voucher: Voucher, curator: Member) -> None:
    slide = make_part(voucher.pk, "slide", by=curator, now=NOW)
    assert part_of_code("bl 2026/1 s1") == slide
    assert part_of_code("BL 2026-0001").kind == "packet"


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("4006381333931", "no code of this collection"),
        ("", "Nothing is no code"),
        ("HFG 2026-0001", "the prefix HFG belongs to another collection"),
        ("BL PLACE 3", "is a place of the store, not a specimen"),
        ("BL TRAY 3", "is a tray, not a specimen"),
        ("BL 2026-0002", "was never given: the last of 2026 is BL 2026-0001"),
        ("BL 2019-0002", "was never given: no number of 2019 was given"),
        ("BL 2026-0001 T4", "has no part T4. Nothing was changed. On record: the packet."),
    ],
)
def test_a_code_that_names_no_part_is_refused_by_a_sentence(code: str, said: str, voucher: Voucher) -> None:
    with pytest.raises(CodeRefused, match=said):
        part_of_code(code)


def test_a_part_that_ended_after_midnight_ended_on_the_day_of_the_ledger_s_clock(
    voucher: Voucher, curator: Member
) -> None:
    packet, late = voucher.parts.get(), datetime(2027, 6, 30, 23, 30, tzinfo=UTC)
    end_part(packet.pk, why="used up", by=curator, now=late)
    with (
        timezone.override("Europe/London"),
        pytest.raises(PartRefused, match="ended on 1 July 2027"),
    ):
        end_part(packet.pk, why="used up again", by=curator, now=late)
    with timezone.override("Europe/London"):
        assert told_of(packet.number)["said"] == "It ended on 1 July 2027."

import pytest

from ledger.club.models import Club
from ledger.people.models import Member
from tests.vouchers.loans.making import make_voucher, other_part
from vouchers.loans.codes_box import lines_of, read_parts


def test_a_code_stands_on_a_line_or_between_commas() -> None:
    assert lines_of("A 2026-1\r\n\n  B   2026-2, C 2026-3;A 2026-1") == ["A 2026-1", "B 2026-2", "C 2026-3"]


@pytest.mark.django_db
class TestReadParts:
    def test_a_packet_scanned_and_typed_is_one(self, curator: Member) -> None:
        Club.objects.create(accession_prefix="HFG")
        voucher = make_voucher(curator)
        read = read_parts([str(voucher), str(voucher).lower().replace(" ", "")])
        assert [part.pk for part in read.parts] == [voucher.parts.get().pk]
        assert read.wrong == ()

    def test_each_line_that_names_no_part_is_told(self, curator: Member) -> None:
        Club.objects.create(accession_prefix="HFG")
        voucher = make_voucher(curator)
        slide = other_part(voucher, "slide", curator)
        read = read_parts([slide.number, "XYZ 2026-0001", "HFG 2026-0099", f"{voucher} T4", "4006381333931"])
        assert [part.pk for part in read.parts] == [slide.pk]
        assert [sentence.split(" ")[0] for sentence in read.wrong] == ["XYZ", "HFG", "HFG", "“4006381333931”"]
        assert "belongs to another collection" in read.wrong[0]
        assert "was never given" in read.wrong[1]
        assert "has no part T4" in read.wrong[2]

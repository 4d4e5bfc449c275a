from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from ledger.people.models import Member
from tests.vouchers.loans.making import LATER, NOW, make_loan, make_voucher, other_part, packet
from vouchers.loans.refusals import LoanRefused
from vouchers.parts.actions import end_part
from vouchers.parts.models import Part
from vouchers.printing.queries import cuts_by_voucher
from vouchers.register.actions import deaccession
from vouchers.sampling.actions import LeaveAsked, ask, decide, note_cut, note_result
from vouchers.sampling.models import Decision, SamplingLeave
from vouchers.sampling.queries import warnings_of
from vouchers.sampling.slip import cut_note

pytestmark = pytest.mark.django_db


def asked(by: Member, part: Part, **given: Any) -> SamplingLeave:
    usual: dict[str, Any] = {
        "institution": "University of Stone",
        "person": "Dr Kofi Lind",
        "address": "",
        "asked_on": date(2026, 11, 1),
        "purpose": "dna",
        "purpose_words": "ITS of Trametes in the county",
        "what": "5 mm² of the flesh",
    }
    return ask(LeaveAsked(**(usual | given)), part.pk, by=by, now=NOW)


def granted(by: Member, part: Part, **given: Any) -> SamplingLeave:
    return decide(asked(by, part, **given).pk, "granted", words="", by=by, now=NOW)


def cut(leave: SamplingLeave, **given: Any) -> SamplingLeave:
    usual: dict[str, Any] = {
        "cut_on": date(2026, 11, 20),
        "cut_by": "Carys Bowen",
        "cut_what": "4 mm² of the flesh",
    }
    return note_cut(leave.pk, **(usual | given), now=LATER)


class TestAsking:
    def test_grants_nothing(self, curator: Member) -> None:
        leave = asked(curator, packet(curator))
        assert (str(leave), leave.decision) == ("C2026-001", "")

    def test_of_what_is_gone_is_refused(self, curator: Member) -> None:
        part = packet(curator)
        end_part(part.pk, why="eaten by beetles", by=curator, now=NOW)
        with pytest.raises(LoanRefused, match="nothing to cut from"):
            asked(curator, part)
        assert not SamplingLeave.objects.exists()

    def test_for_no_known_purpose_or_from_tomorrow_is_refused(self, curator: Member) -> None:
        with pytest.raises(LoanRefused, match="not on the list"):
            asked(curator, packet(curator), purpose="soup")
        with pytest.raises(LoanRefused, match="still to come"):
            asked(curator, packet(curator), asked_on=date(2026, 11, 3))


class TestDeciding:
    def test_keeps_who_when_and_the_notes_that_were_read(self, curator: Member, keeper: Member) -> None:
        leave = decide(
            asked(curator, packet(curator)).pk, "granted", words="One piece only", by=keeper, now=LATER
        )
        leave.refresh_from_db()
        assert (leave.decision, leave.decided_by, leave.decided_at) == ("granted", keeper, LATER)
        assert leave.warned.splitlines()[1].startswith("Of Trametes versicolor this is the only collection")

    def test_is_done_once(self, curator: Member) -> None:
        leave = granted(curator, packet(curator))
        with pytest.raises(LoanRefused, match="was granted by Carys Bowen on 2 November 2026"):
            decide(leave.pk, "refused", words="after all not", by=curator, now=LATER)
        leave.refresh_from_db()
        assert leave.decision == Decision.GRANTED

    def test_against_it_needs_a_reason(self, curator: Member) -> None:
        leave = asked(curator, packet(curator))
        with pytest.raises(LoanRefused, match="reason is missing"):
            decide(leave.pk, "refused", words=" ", by=curator, now=LATER)

    @pytest.mark.parametrize("decision", ["", "perhaps"])
    def test_neither_way_is_refused(self, curator: Member, decision: str) -> None:
        leave = asked(curator, packet(curator))
        with pytest.raises(LoanRefused, match="waits still"):
            decide(leave.pk, decision, words="", by=curator, now=LATER)

    def test_for_what_is_gone_meanwhile_is_refused(self, curator: Member) -> None:
        part = packet(curator)
        leave = asked(curator, part)
        end_part(part.pk, why="eaten by beetles", by=curator, now=NOW)
        with pytest.raises(LoanRefused, match="is gone: eaten by beetles"):
            decide(leave.pk, "granted", words="", by=curator, now=LATER)


class TestCutting:
    def test_under_a_granted_leave_goes_onto_the_slip(self, curator: Member) -> None:
        part = packet(curator)
        leave = cut(granted(curator, part))
        note = cut_note(leave)
        assert note is not None
        assert (note.accession_number, note.what, note.cut_by, note.cut_on) == (
            str(part.voucher), "4 mm² of the flesh", "Carys Bowen", date(2026, 11, 20),
        )  # fmt: skip
        assert note.why == "DNA, a barcode or a few genes: ITS of Trametes in the county"
        assert note.asked_by == "Dr Kofi Lind, University of Stone"
        assert cuts_by_voucher([part.voucher]) == {part.voucher.pk: [(leave.pk, note)]}

    def test_nothing_stands_on_a_slip_before_it_is_cut(self, curator: Member) -> None:
        leave = granted(curator, packet(curator))
        assert cut_note(leave) is None
        assert cuts_by_voucher([leave.part.voucher]) == {}

    def test_without_leave_is_refused(self, curator: Member) -> None:
        leave = asked(curator, packet(curator))
        with pytest.raises(LoanRefused, match="was not decided on, so nothing may be cut"):
            cut(leave)

    def test_a_loan_does_not_imply_leave(self, curator: Member) -> None:
        part = packet(curator)
        make_loan(curator, part)
        leave = asked(curator, part)
        with pytest.raises(LoanRefused, match="nothing may be cut under it"):
            cut(leave)

    def test_under_a_refused_leave_is_refused_by_the_database_too(self, curator: Member) -> None:
        leave = decide(
            asked(curator, packet(curator)).pk, "refused", words="too little left", by=curator, now=NOW
        )
        with pytest.raises(LoanRefused, match="was refused, so nothing may be cut"):
            cut(leave)
        with pytest.raises(IntegrityError), transaction.atomic():
            SamplingLeave.objects.filter(pk=leave.pk).update(cut_on=date(2026, 11, 20))

    def test_twice_under_one_leave_is_refused(self, curator: Member) -> None:
        leave = cut(granted(curator, packet(curator)))
        with pytest.raises(LoanRefused, match="another cut needs another leave"):
            cut(leave)

    @pytest.mark.parametrize(
        ("given", "said"),
        [
            ({"cut_on": date(2026, 11, 1)}, "cannot be under this leave"),
            ({"cut_on": date(2026, 12, 3)}, "cannot be under this leave"),
            ({"cut_by": " "}, "Who cut is missing"),
            ({"cut_what": ""}, "What was cut is missing"),
        ],
    )
    def test_without_day_person_or_piece_is_refused(
        self, curator: Member, given: dict[str, Any], said: str
    ) -> None:
        leave = granted(curator, packet(curator))
        with pytest.raises(LoanRefused, match=said):
            cut(leave, **given)
        leave.refresh_from_db()
        assert leave.cut_on is None


class TestResult:
    def test_follows_the_cut_and_later_words_follow_earlier_ones(self, curator: Member) -> None:
        leave = cut(granted(curator, packet(curator)))
        note_result(leave.pk, result="extraction failed", now=LATER)
        leave = note_result(leave.pk, result="PX123456 at the second try", now=LATER)
        assert leave.result == "extraction failed; PX123456 at the second try"

    def test_before_the_cut_is_refused(self, curator: Member) -> None:
        leave = granted(curator, packet(curator))
        with pytest.raises(LoanRefused, match="note the cut first"):
            note_result(leave.pk, result="PX123456", now=LATER)

    def test_that_would_be_cut_short_is_refused(self, curator: Member) -> None:
        leave = cut(granted(curator, packet(curator)))
        note_result(leave.pk, result="a" * 300, now=LATER)
        with pytest.raises(LoanRefused, match="longer than 400 signs"):
            note_result(leave.pk, result="b" * 200, now=LATER)
        leave.refresh_from_db()
        assert leave.result == "a" * 300


class TestNotes:
    def test_collections_of_the_taxon_in_the_house_are_counted(self, curator: Member) -> None:
        leave = asked(curator, packet(curator, status="settled"))
        packet(curator, status="settled")
        gone = make_voucher(curator)
        make_voucher(curator, name="Trametes ochracea")
        deaccession(gone.pk, reason="lost", words="looked for everywhere", by=curator, now=NOW)
        (note,) = warnings_of(leave)
        assert "there are only 2 collections here" in note
        make_voucher(curator)
        assert warnings_of(leave) == []

    def test_a_name_that_is_not_settled_is_not_confirmed(self, curator: Member) -> None:
        notes = warnings_of(asked(curator, packet(curator)))
        assert "The name is not confirmed: the find is not settled." in notes[0]

    def test_a_find_without_a_name_says_so(self, curator: Member) -> None:
        (note,) = warnings_of(asked(curator, packet(curator, name="")))
        assert "it has none" in note

    def test_an_earlier_leave_for_the_same_purpose_is_told_one_for_another_is_not(
        self, curator: Member
    ) -> None:
        voucher = make_voucher(curator, status="settled")
        for _ in range(2):
            make_voucher(curator, status="settled")
        part = voucher.parts.get()
        granted(curator, part, purpose="microscopy")
        leave = asked(curator, part)
        assert warnings_of(leave) == []
        granted(curator, part)
        (note,) = warnings_of(leave)
        assert "granted before: C2026-003, DNA, a barcode or a few genes, on 2 November 2026" in note

    def test_tubes_that_are_there_are_told(self, curator: Member) -> None:
        voucher = make_voucher(curator, status="settled")
        for _ in range(2):
            make_voucher(curator)
        tube = other_part(voucher, "tissue tube", curator)
        (note,) = warnings_of(asked(curator, voucher.parts.get(kind="packet")))
        assert tube.number in note
        end_part(tube.pk, why="used up", by=curator, now=NOW + timedelta(days=1))
        assert warnings_of(SamplingLeave.objects.get()) == []

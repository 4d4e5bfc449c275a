from datetime import date
from typing import Any

import pytest

from ledger.bench.models import Determination
from ledger.people.models import Member
from tests.factories import TaxonFactory, name_find
from tests.vouchers.loans.making import LATER, NOW, make_loan, make_voucher, other_part
from vouchers.exchange.actions import SendingTerms, note_told, send
from vouchers.exchange.models import Sending, SentDuplicate, ToldOfName
from vouchers.exchange.news import news, news_of
from vouchers.loans.refusals import LoanRefused
from vouchers.parts.models import Part
from vouchers.register.models import RegisterEntry

pytestmark = pytest.mark.django_db


def sent(by: Member, *parts: Part, **given: Any) -> Sending:
    usual: dict[str, Any] = {
        "institution": "Museum of Ludlow",
        "person": "Dr Jo Hale",
        "address": "",
        "sent_on": date(2026, 11, 2),
        "note": "",
    }
    return send(SendingTerms(**(usual | given)), [part.pk for part in parts], by=by, now=NOW)


def duplicate(by: Member, **given: Any) -> Part:
    return other_part(make_voucher(by, **given), "duplicate", by)


def rename(part: Part, name: str, **given: Any) -> Determination:
    return name_find(part.voucher.find, TaxonFactory(name=name) if name else None, **given)


class TestSend:
    def test_a_duplicate_that_goes_ends_in_our_store(self, curator: Member) -> None:
        part = duplicate(curator)
        sending = sent(curator, part)
        part.refresh_from_db()
        assert str(sending) == "X2026-001"
        assert part.ended_why == "sent to Museum of Ludlow in exchange, X2026-001"
        assert RegisterEntry.objects.latest("number").kind == "part ended"

    def test_the_packet_stays(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        assert [one.kind for one in part.voucher.parts.there()] == ["packet"]

    def test_what_is_no_duplicate_is_refused_and_nothing_goes(self, curator: Member) -> None:
        part = duplicate(curator)
        with pytest.raises(LoanRefused, match="is a packet, and only duplicates are sent"):
            sent(curator, part, part.voucher.parts.get(kind="packet"))
        assert not Sending.objects.exists()
        assert part.voucher.parts.there().count() == 2

    def test_a_duplicate_on_loan_is_refused(self, curator: Member) -> None:
        part = duplicate(curator)
        make_loan(curator, part)
        with pytest.raises(LoanRefused, match="is on loan L2026-001"):
            sent(curator, part)

    def test_a_duplicate_goes_once(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        with pytest.raises(LoanRefused, match="ended on 2 November 2026: sent to Museum of Ludlow"):
            sent(curator, part)
        assert SentDuplicate.objects.count() == 1

    def test_a_duplicate_that_was_sent_is_not_lent(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        with pytest.raises(LoanRefused, match="in exchange, X2026-001"):
            make_loan(curator, part)

    def test_nothing_and_tomorrow_are_refused(self, curator: Member) -> None:
        with pytest.raises(LoanRefused, match="No duplicate was named"):
            sent(curator)
        with pytest.raises(LoanRefused, match="still to come"):
            sent(curator, duplicate(curator), sent_on=date(2026, 11, 3))


class TestNews:
    def test_the_name_it_was_sent_with_is_no_news(self, curator: Member) -> None:
        sent(curator, duplicate(curator))
        assert news() == []

    def test_another_name_is_news_for_each_receiver(self, curator: Member) -> None:
        voucher = make_voucher(curator)
        first, second = (other_part(voucher, "duplicate", curator) for _ in range(2))
        sent(curator, first)
        sent(curator, second, institution="Club of Brede")
        rename(first, "Trametes ochracea")
        told = [(item.duplicate.sending.institution, item.known, item.today.name_typed) for item in news()]
        assert [(where, known and known.name_typed, today) for where, known, today in told] == [
            ("Museum of Ludlow", "Trametes versicolor", "Trametes ochracea"),
            ("Club of Brede", "Trametes versicolor", "Trametes ochracea"),
        ]

    def test_the_same_name_confirmed_by_somebody_else_is_no_news(
        self, curator: Member, keeper: Member
    ) -> None:
        part = duplicate(curator)
        sent(curator, part)
        rename(part, "Trametes versicolor", determiner=keeper, basis="spores measured")
        assert news() == []

    def test_a_qualifier_that_came_or_went_is_news(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        rename(part, "Trametes versicolor", name_typed="Trametes cf. versicolor", qualifier="cf.")
        assert len(news_of(part.voucher)) == 1

    def test_a_first_name_is_news_where_it_was_sent_without_one(self, curator: Member) -> None:
        part = duplicate(curator, name="")
        sent(curator, part)
        assert news() == []
        rename(part, "Trametes versicolor")
        (item,) = news()
        assert item.known is None

    def test_who_was_told_is_off_the_list_and_on_record(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        today = rename(part, "Trametes ochracea")
        note_told([SentDuplicate.objects.get().pk], by=curator, now=LATER)
        assert news() == []
        told = ToldOfName.objects.get()
        assert (told.determination, told.told_by, told.told_at) == (today, curator, LATER)

    def test_a_further_name_is_news_again_and_back_to_the_first_too(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        key = SentDuplicate.objects.get().pk
        for name in ("Trametes ochracea", "Trametes versicolor"):
            rename(part, name)
            assert [item.today.name_typed for item in news()] == [name]
            note_told([key], by=curator, now=LATER)
        assert news() == []
        assert ToldOfName.objects.count() == 2

    def test_told_twice_is_noted_once(self, curator: Member) -> None:
        part = duplicate(curator)
        sent(curator, part)
        rename(part, "Trametes ochracea")
        key = SentDuplicate.objects.get().pk
        assert len(note_told([key], by=curator, now=LATER)) == 1
        assert note_told([key], by=curator, now=LATER) == []
        assert ToldOfName.objects.count() == 1

    def test_nobody_ticked_is_refused(self, curator: Member) -> None:
        with pytest.raises(LoanRefused, match="Nobody was ticked"):
            note_told([], by=curator, now=LATER)

    def test_the_list_takes_two_queries_however_many(
        self, curator: Member, django_assert_num_queries: Any
    ) -> None:
        for _ in range(3):
            part = duplicate(curator)
            sent(curator, part)
            rename(part, "Trametes ochracea")
        with django_assert_num_queries(2):
            assert len(news()) == 3

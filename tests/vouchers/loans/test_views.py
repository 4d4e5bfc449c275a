from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language

from ledger.club.models import Club
from ledger.people.models import Member
from tests.factories import picture
from tests.vouchers.loans.making import make_loan, make_voucher, other_part, packet
from vouchers.loans import views
from vouchers.loans.models import BorrowedItem, Condition, Loan, LoanItem, SentReminder
from vouchers.parts.models import Part

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _club(db: None) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")


@pytest.fixture
def browser(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(curator)


def typed(codes: str, **given: Any) -> dict[str, str]:
    today = timezone.localdate()
    usual = {
        "codes": codes,
        "institution": "Herbarium of Fenwick",
        "person": "Prof. Ines Dahl",
        "address": "4 Mill Lane",
        "used_by": "",
        "purpose": "Revision of Trametes",
        "condition": "whole, margins sound",
        "terms": "Kept dry.",
        "lent_on": today.isoformat(),
        "due_on": (today + timedelta(days=180)).isoformat(),
    }
    return usual | given


def lent(by: Member, *parts: Part, days: int = 10) -> Loan:
    """A loan that left a month ago and is due in some days, or was due some days ago."""
    today = timezone.localdate()
    return make_loan(
        by,
        *parts,
        now=timezone.now(),
        lent_on=today - timedelta(days=30),
        due_on=today + timedelta(days=days),
    )


class TestLending:
    def test_tells_everything_that_is_wrong_at_once(self, browser: Client, curator: Member) -> None:
        out, here = make_voucher(curator), make_voucher(curator)
        lent(curator, out.parts.get())
        day = timezone.localdate()
        sent = typed(
            f"{out}\n{here}\nxx", lent_on=day.isoformat(), due_on=(day - timedelta(days=3)).isoformat()
        )
        errors = browser.post(reverse("new-loan"), sent).context["form"].errors
        assert len(errors["codes"]) == 2 and "xx" in errors["codes"][0]
        assert errors["codes"][1].startswith(f"{out} is on loan")
        assert "is not after the day of lending" in errors["due_on"][0]

    def test_takes_codes_as_they_are_typed(self, browser: Client, curator: Member) -> None:
        voucher = make_voucher(curator)
        slide = other_part(voucher, "slide", curator)
        asked = browser.post(reverse("new-loan"), typed(f"{voucher}\n{slide.number.lower()}"))
        assert asked.status_code == 422 and not Loan.objects.exists()
        told = asked.context["asked"].sentences
        assert told[0].startswith(f"{voucher} is not frozen on record.") and len(told) == 1
        again = {"read": told[0]} | typed(f"{voucher}\n{slide.number.lower()}")
        answer = browser.post(reverse("new-loan"), again)
        loan = Loan.objects.get()
        assert answer["Location"] == reverse("loan", args=[loan])
        assert {item.part for item in loan.items.all()} == {voucher.parts.get(kind="packet"), slide}

    @pytest.mark.parametrize(
        ("code", "said"),
        [
            ("XYZ 2026-0001", "belongs to another collection"),
            ("HFG 2026-0999", "was never given"),
            ("HFG PLACE 3", "is a place of the store"),
            ("4006381333931", "is no code of this collection"),
        ],
    )
    def test_with_a_code_that_is_no_part_keeps_all_that_was_typed(
        self, browser: Client, curator: Member, code: str, said: str
    ) -> None:
        voucher = make_voucher(curator)
        answer = browser.post(reverse("new-loan"), typed(f"{voucher}\n{code}"))
        page = answer.content.decode()
        assert answer.status_code == 422
        assert said in page
        assert f"{voucher}\n{code}" in page
        assert "Prof. Ines Dahl" in page
        assert not Loan.objects.exists()

    def test_of_a_part_that_is_out_says_where_it_is(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        lent(curator, part)
        answer = browser.post(reverse("new-loan"), typed(part.number))
        assert answer.status_code == 422
        assert "is on loan L" in answer.content.decode()
        assert LoanItem.objects.count() == 1

    def test_proposes_six_months_and_the_usual_terms(self, browser: Client) -> None:
        page = browser.get(reverse("new-loan")).content.decode()
        assert "this loan does not imply it" in page
        assert page.count('type="date"') == 2 and "Condition as they leave" in page

    @pytest.mark.parametrize("due_on", ["soon", "2026-02-31", "0000-00-00", "", "99999-01-01"])
    def test_with_a_day_that_is_none_is_refused(self, browser: Client, curator: Member, due_on: str) -> None:
        answer = browser.post(reverse("new-loan"), typed(packet(curator).number, due_on=due_on))
        assert answer.status_code == 422
        assert not Loan.objects.exists()

    def test_begins_with_the_code_of_the_voucher_it_came_from(self, browser: Client) -> None:
        assert (
            "HFG 2026-0118</textarea>"
            in browser.get(reverse("new-loan"), {"code": "HFG 2026-0118"}).content.decode()
        )


class TestReturning:
    def test_by_a_tick_and_by_a_code_come_together(self, browser: Client, curator: Member) -> None:
        first, second, third = (packet(curator) for _ in range(3))
        loan = lent(curator, first, second, third)
        item = loan.items.get(part=first)
        browser.post(
            reverse("return-loan", args=[loan]),
            {
                f"back-{item.pk}": "on",
                f"condition-{item.pk}": "margin broken",
                "codes": second.number,
                "condition": "whole",
            },
        )
        assert [one.part for one in loan.items.out()] == [third]
        assert {one.item.part: one.words for one in Condition.objects.all()} == {
            first: "margin broken",
            second: "whole",
        }

    def test_of_what_was_not_lent_is_refused_and_keeps_the_ticks(
        self, browser: Client, curator: Member
    ) -> None:
        part, never = packet(curator), packet(curator)
        loan = lent(curator, part)
        item = loan.items.get()
        answer = browser.post(
            reverse("return-loan", args=[loan]),
            {
                f"back-{item.pk}": "on",
                f"condition-{item.pk}": "fine",
                "codes": never.number,
                "condition": "fine",
            },
        )
        page = answer.content.decode()
        assert answer.status_code == 422
        assert f"{never.number} is not on loan {loan}" in page
        assert "Nothing was noted" in page
        assert "checked" in page
        assert loan.items.out().count() == 1

    def test_asks_for_the_freezer(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        loan = lent(curator, part)
        answer = browser.post(
            reverse("return-loan", args=[loan]),
            {"codes": part.number, "condition": "whole"},
            follow=True,
        )
        assert "Freeze again before they go back" in answer.content.decode()

    def test_of_a_loan_that_is_back_says_so(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        loan = lent(curator, part)
        sent = {"codes": part.number, "condition": "whole"}
        browser.post(reverse("return-loan", args=[loan]), sent)
        assert browser.post(reverse("return-loan", args=[loan]), sent).status_code == 422
        assert (
            "Nothing of this loan is out" in browser.get(reverse("return-loan", args=[loan])).content.decode()
        )


class TestPages:
    def test_the_list_shows_the_overdue_first(self, browser: Client, curator: Member) -> None:
        lent(curator, packet(curator), days=5)
        lent(curator, packet(curator), days=-12)
        page = browser.get(reverse("loans")).content.decode()
        assert page.index("overdue by 12 days") < page.index("due in 5 days")

    @pytest.mark.parametrize("number", ["L2019-007", "B2026-001", "nonsense", "HFG-2026-0001"])
    def test_a_number_that_was_never_given_has_a_page_that_says_so(
        self, browser: Client, number: str
    ) -> None:
        answer = browser.get(reverse("loan", args=[number]))
        assert answer.status_code == 404
        assert f"There is no loan with the number {number}" in answer.content.decode()

    def test_the_form_comes_on_both_papers_and_on_no_other(self, browser: Client, curator: Member) -> None:
        loan = lent(curator, packet(curator))
        for paper in ("a4", "us-letter"):
            answer = browser.get(reverse("loan-form", args=[loan, paper]))
            assert answer.content.startswith(b"%PDF")
        assert browser.get(reverse("loan-form", args=[loan, "a3"])).status_code == 404

    def test_form_and_reminder_are_in_the_language_of_the_club_whoever_asks(
        self, browser: Client, curator: Member, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        loan = lent(curator, packet(curator), days=-10)
        asked_in: list[str | None] = []

        def noting(*given: Any, **more: Any) -> bytes:
            asked_in.append(get_language())
            return b"%PDF"

        monkeypatch.setattr(views, "print_form", noting)
        browser.cookies["ledger_language"] = "de"
        browser.get(reverse("loan-form", args=[loan, "a4"]))
        assert asked_in == ["en-gb"]
        page = browser.get(reverse("remind-borrower", args=[loan])).content.decode()
        assert '<html lang="de"' in page and "With kind regards," in page

    def test_a_form_that_cannot_be_printed_says_why_on_the_loan(
        self, browser: Client, curator: Member
    ) -> None:
        today = timezone.localdate()
        loan = make_loan(
            curator,
            packet(curator),
            now=timezone.now(),
            institution="敷島",
            lent_on=today,
            due_on=today + timedelta(days=9),
        )
        answer = browser.get(reverse("loan-form", args=[loan, "a4"]), follow=True)
        assert "which the print fonts cannot draw" in answer.content.decode()

    def test_a_reminder_is_copied_and_noted_as_sent(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        loan = lent(curator, part, days=-3)
        page = browser.get(reverse("remind-borrower", args=[loan])).content.decode()
        assert "Dear Prof. Ines Dahl," in page
        assert part.number in page
        browser.post(reverse("remind-borrower", args=[loan]), {"sent_on": timezone.localdate().isoformat()})
        assert SentReminder.objects.get().loan == loan
        assert "reminder 2" in browser.get(reverse("remind-borrower", args=[loan])).content.decode()

    def test_a_condition_comes_with_its_photos(self, browser: Client, curator: Member) -> None:
        item = lent(curator, packet(curator)).items.get()
        broken = SimpleUploadedFile("broken.jpg", b"no picture", "image/jpeg")
        good = SimpleUploadedFile("packet.jpg", picture(), "image/jpeg")
        answer = browser.post(
            reverse("loan-item", args=[item.pk]),
            {"moment": "out", "words": "two caps", "photos": [broken, good]},
            follow=True,
        )
        page = answer.content.decode()
        assert "The words were kept, one photo was not." in page
        photo = item.conditions.get().photos.get()
        assert reverse("condition-photo", args=[photo.pk, "thumb"]) in page

    def test_prolonged_it_is_late_no_more(self, browser: Client, curator: Member) -> None:
        loan = lent(curator, packet(curator), days=-3)
        later = timezone.localdate() + timedelta(days=90)
        browser.post(reverse("prolong-loan", args=[loan]), {"due_on": later.isoformat(), "why": "Dahl asked"})
        page = browser.get(reverse("loan", args=[loan])).content.decode()
        assert "Due in 90 days." in page
        assert "Dahl asked" in page

    def test_what_is_lost_ends(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        item = lent(curator, part).items.get()
        assert browser.post(reverse("lost-loan-item", args=[item.pk]), {"words": ""}).status_code == 422
        browser.post(reverse("lost-loan-item", args=[item.pk]), {"words": "lost in the post"})
        part.refresh_from_db()
        assert part.ended_at is not None


class TestThePageOfTheVoucher:
    def test_tells_a_leader_where_it_is_but_opens_no_loan(
        self, leader: Member, curator: Member, browser_of: Callable[[Member], Client]
    ) -> None:
        part = packet(curator)
        loan = lent(curator, part)
        page = browser_of(leader).get(reverse("voucher", args=[part.voucher.slug])).content.decode()
        assert "on loan to Herbarium of Fenwick" in page
        assert reverse("loan", args=[loan]) not in page
        assert reverse("new-loan") not in page
        assert "4 Mill Lane" not in page

    def test_lets_a_curator_lend_it(self, browser: Client, curator: Member) -> None:
        part = packet(curator)
        page = browser.get(reverse("voucher", args=[part.voucher.slug])).content.decode()
        assert "Never lent." in page
        assert reverse("new-loan") in page


class TestBorrowing:
    def test_from_the_form_to_the_way_back(self, browser: Client) -> None:
        today = timezone.localdate()
        answer = browser.post(
            reverse("new-borrowing"),
            {
                "institution": "Royal Fungarium",
                "person": "Dr Ola Reed",
                "purpose": "to compare",
                "items": "K(M) 21040 | Trametes gibbosa | sound\n\nK(M) 21041",
                "received_on": today.isoformat(),
                "due_on": (today + timedelta(days=90)).isoformat(),
            },
        )
        first, second = BorrowedItem.objects.order_by("id")
        assert (first.name, first.condition_in, second.their_number) == (
            "Trametes gibbosa",
            "sound",
            "K(M) 21041",
        )
        number = str(first.borrowing)
        assert answer["Location"] == reverse("borrowing", args=[number])
        browser.post(reverse("give-back", args=[number]), {f"back-{first.pk}": "on"})
        assert BorrowedItem.objects.here().get() == second

    def test_a_number_of_ours_keeps_all_that_was_typed(self, browser: Client) -> None:
        answer = browser.post(
            reverse("new-borrowing"),
            {
                "institution": "Royal Fungarium",
                "person": "Dr Ola Reed",
                "purpose": "to compare",
                "items": "HFG 2026-0001",
                "received_on": "2026-01-01",
                "due_on": "2026-05-01",
            },
        )
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "reads as a number of our own" in page
        assert "Royal Fungarium" in page


@pytest.mark.parametrize("page", ["new-loan", "new-borrowing", "new-sending", "ask-to-sample"])
def test_texts_with_half_signs_and_nulls_are_no_accident(browser: Client, page: str) -> None:
    sent = dict.fromkeys(("codes", "institution", "person", "items", "code"), "\x00\u202e" + "x" * 5000)
    assert (
        browser.post(reverse(page), sent | {"due_on": "\x00", "lent_on": date.max.isoformat()}).status_code
        == 422
    )


def test_the_parts_of_a_voucher_say_which_is_on_loan(browser: Client, curator: Member) -> None:
    part = packet(curator)
    end = reverse("end-part", args=[part.pk])
    address = reverse("voucher", args=[part.voucher.slug])
    assert end in browser.get(address).content.decode()
    loan = lent(curator, part)
    page = browser.get(address).content.decode()
    assert f"<b>on loan {loan} to Herbarium of Fenwick" in page
    assert end not in page


def test_the_list_counts_what_is_out_and_what_we_have_here(browser: Client, curator: Member) -> None:
    lent(curator, packet(curator), packet(curator), days=-2)
    browser.post(
        reverse("new-borrowing"),
        {
            "institution": "Royal Fungarium",
            "person": "Dr Ola Reed",
            "purpose": "to compare",
            "items": "K1",
            "received_on": timezone.localdate().isoformat(),
            "due_on": (timezone.localdate() + timedelta(days=90)).isoformat(),
        },
    )
    page = browser.get(reverse("loans")).content.decode()
    assert "2 of 2 out" in page
    assert "1 of 1 here" in page
    assert "Remind" in page

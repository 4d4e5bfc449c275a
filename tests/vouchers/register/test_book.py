"""The register book on paper: what it says, and what it does not."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse

from ledger.paper.papers import PAPERS
from ledger.paper.text import PaperError
from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, name_find
from vouchers.parts.actions import make_part
from vouchers.register.actions import accession, deaccession
from vouchers.register.book import Book, BookRow, print_book
from vouchers.register.book_rows import book_of
from vouchers.register.models import RegisterHead, Voucher

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
NEXT_YEAR = NOW.replace(year=2027)
DIGEST = "0123456789abcdef" * 4
ROW = BookRow(
    "TFG 2026-0001", "2 Nov 2026", "Carys Bowen", "AT 118", "Ada Thorne", "3 Oct 2026", "Hollin Wood"
)


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    try:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()
    return " ".join(text.replace("\u00a0", " ").replace("\u2011", "-").split())


def printed(*rows: BookRow, paper: str = "a4", institution: str = "Hollin Fungus Group") -> bytes:
    return print_book(Book(2026, institution, rows, entry=7, digest=DIGEST), paper, made_at=NOW)


@pytest.fixture
def voucher(curator: Member, collector: Member) -> Voucher:
    find = FindFactory(finder=collector, collecting_serial=118, region="Somerset")
    name_find(find, TaxonFactory())
    return accession(find.pk, by=curator, now=NOW)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_paper_is_the_one_asked_for(paper: str) -> None:
    document = pypdfium2.PdfDocument(printed(ROW, paper=paper))
    width, height = document[0].get_size()
    document.close()
    assert (width / 72 * 25.4, height / 72 * 25.4) == pytest.approx(
        (PAPERS[paper].width_mm, PAPERS[paper].height_mm), abs=0.1
    )


def test_every_number_of_a_full_year_stands_in_it_in_order() -> None:
    rows = [BookRow(f"TFG 2026-{n:04}", "2 Nov 2026", "C", "AT 1", "A", "", "") for n in range(1, 401)]
    numbers = re.findall(r"TFG 2026-(\d{4})", text_of(printed(*rows)))
    assert [int(number) for number in numbers] == list(range(1, 401))


def test_it_closes_with_the_last_entry_and_its_whole_digest() -> None:
    text = text_of(printed(ROW))
    assert "Last entry of the whole register: 7, with the digest" in text
    assert DIGEST in text.replace(" ", "")


def test_long_names_and_words_in_other_letters_are_whole() -> None:
    long = "Стереум жёстковолосистый на поваленном стволе " * 4
    row = BookRow(
        "TFG 2026-0001", "2 Nov 2026", "Ελένη Παπαδοπούλου", "AT 1", long, "", long, followed=(long, long)
    )
    text = text_of(printed(row))
    assert text.count(long.strip()) == 4 and "Ελένη Παπαδοπούλου" in text


def test_a_sign_that_cannot_be_drawn_is_refused_with_its_number() -> None:
    with pytest.raises(PaperError, match="under TFG 2026-0001, “日本” holds 日本"):
        printed(BookRow("TFG 2026-0001", "", "", "AT 1", "日本", "", ""))


def test_an_empty_year_says_so() -> None:
    assert "No number of this year was given." in text_of(printed())


def test_a_row_tells_gathering_and_name(voucher: Voucher, curator: Member) -> None:
    (row,) = book_of(2026, curator).rows
    assert (row.number, row.collecting_number, row.found_by) == ("BL 2026-0001", "AT 118", "Ada Thorne")
    assert "".join(text for text, _ in row.name) == "Trametes versicolor (L.) Lloyd"
    assert row.name[0] == ("Trametes versicolor", True)
    assert row.place == "Hollin Wood, below the quarry, Somerset"


def test_what_followed_stands_under_the_number_and_in_the_book_of_its_own_year(
    voucher: Voucher, curator: Member
) -> None:
    make_part(voucher.pk, "slide", note="tubes in Melzer", by=curator, now=NOW)
    words = "Eaten by beetles, frass burnt"
    deaccession(voucher.pk, reason="spoiled", words=words, by=curator, now=NEXT_YEAR)
    (row,) = book_of(2026, curator).rows
    assert row.followed[0] == "2 Nov 2026: Slide S1 made: tubes in Melzer (Carys Bowen)"
    assert row.is_out and words in row.followed[1]
    (line,) = book_of(2027, curator).earlier
    assert (line.number, book_of(2027, curator).rows) == ("BL 2026-0001", []) and words in line.said


def test_a_place_that_is_kept_back_is_not_told_by_the_book(curator: Member) -> None:
    find = FindFactory(own_blur_step_deg=0.1, locality="Split Oak Dingle", region="Somerset")
    voucher = accession(find.pk, by=curator, now=NOW)
    make_part(voucher.pk, "slide", note="from Split Oak Dingle", by=curator, now=NOW)
    deaccession(voucher.pk, reason="lost", words="Left in Split Oak Dingle", by=curator, now=NEXT_YEAR)
    for year in (2026, 2027):
        book = book_of(year, curator)
        assert "Dingle" not in str(book)
    assert book_of(2026, curator).rows[0].place == "Somerset"


@pytest.mark.parametrize("count", [1, 6])
def test_it_costs_the_same_however_many_numbers(
    count: int, curator: Member, django_assert_num_queries: Callable[[int], object]
) -> None:
    for _ in range(count):
        accession(name_find(FindFactory(), TaxonFactory()).find.pk, by=curator, now=NOW)
    with django_assert_num_queries(5):  # type: ignore[attr-defined]
        book_of(2026, curator)


def test_it_is_had_from_the_register_s_page(
    voucher: Voucher, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    desk = browser_of(curator)
    address = reverse("register-book", args=[2026])
    assert f"{address}?paper=us-letter" in desk.get(reverse("vouchers")).content.decode()
    answer = desk.get(address, {"paper": "us-letter"})
    assert answer["Content-Type"] == "application/pdf"
    assert RegisterHead.objects.get().digest in text_of(answer.content).replace(" ", "")


def test_it_is_in_the_language_of_the_club_whoever_prints_it(
    voucher: Voucher, curator: Member, browser_of: Callable[[Member], Client], settings: Any
) -> None:
    settings.LANGUAGE_CODE = "de"
    answer = browser_of(curator).get(reverse("register-book", args=[2026]), HTTP_ACCEPT_LANGUAGE="en")
    assert "Belegbuch 2026" in text_of(answer.content)


def test_an_old_name_is_followed_by_the_accepted_one(curator: Member) -> None:
    find = FindFactory()
    name_find(find, TaxonFactory(), name_typed="Coriolus versicolor")
    accession(find.pk, by=curator, now=NOW)
    (row,) = book_of(2026, curator).rows
    assert "".join(text for text, _ in row.name) == "Coriolus versicolor = Trametes versicolor (L.) Lloyd"

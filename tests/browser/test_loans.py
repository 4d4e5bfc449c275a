"""Lending and taking back with the camera: every code is drawn, held before it and decoded."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from ledger.club.models import Club
from ledger.people.models import Member
from tests.browser.camera import give_camera, show, start_camera
from tests.vouchers.loans.making import make_voucher, other_part
from vouchers.loans.models import Loan


def test_parts_are_lent_and_come_back_by_the_camera(curator: Member, open_page: Callable[..., Page]) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    voucher = make_voucher(curator)
    slide = other_part(voucher, "slide", curator)
    page = open_page(as_=curator)
    give_camera(page)
    page.goto("/loans/new/")
    start_camera(page)
    codes = page.get_by_label("Codes, one a line")
    for shown, listed in ((str(voucher), str(voucher)), (slide.number, f"{voucher}\n{slide.number}")):
        show(page, shown)
        expect(codes).to_have_value(listed)
    page.get_by_label("Institution").fill("Herbarium of Fenwick")
    page.get_by_label("Asked by").fill("Prof. Ines Dahl")
    page.get_by_label("Purpose").fill("Revision of Trametes")
    page.get_by_label("Condition as they leave").fill("whole, margins sound")
    page.get_by_role("button", name="Make the loan").click()
    expect(page.get_by_text("is not frozen on record")).to_be_visible()
    open_page.errors.clear()  # the browser's own word about a page that asks first
    page.get_by_role("button", name="Lend all the same").click()
    expect(page.get_by_role("heading", name="Loan to Herbarium of Fenwick")).to_be_visible()
    page.get_by_role("link", name="Note what came back").click()
    start_camera(page)
    show(page, slide.number)
    ticks = page.get_by_role("checkbox")
    expect(ticks.nth(1)).to_be_checked()
    expect(ticks.nth(0)).not_to_be_checked()
    page.get_by_label(f"Condition of {slide.number}").fill("as it left")
    page.get_by_role("button", name="Note as back").click()
    expect(page.get_by_text("1 part of loan")).to_be_visible()
    assert [item.part for item in Loan.objects.get().items.out()] == [voucher.parts.get(kind="packet")]

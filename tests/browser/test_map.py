"""The map in Chromium: keys move it, the address follows, and what is kept back is drawn as an area."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from ledger.search.keeping import keep
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp
from tests.browser.conftest import DESK
from tests.factories import DocumentedRangeFactory, FindFactory
from tests.ledger.bench.making import CALIBRATION
from tests.people import make_person


def test_keys_move_the_map_and_the_address_follows(
    transactional_db: None, monkeypatch: pytest.MonkeyPatch, open_page: Callable[..., Page]
) -> None:
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    DocumentedRangeFactory()
    finder = make_person("collector")
    for serial, step in ((1, None), (2, 0.1)):
        find = FindFactory(
            finder=finder,
            collecting_serial=serial,
            latitude=51.2143,
            longitude=-2.3371,
            own_blur_step_deg=step,
        )
        keep(find)
    page = open_page(as_=make_person("stranger"), viewport=DESK)
    page.goto("/year/map/")
    expect(page.locator(".map__find")).to_have_count(1)
    expect(page.locator(".map__area")).to_have_count(1)
    before = page.url
    page.locator("[data-frame]").focus()
    page.keyboard.press("+")
    page.keyboard.press("ArrowLeft")
    expect(page).not_to_have_url(before)
    expect(page.locator("[data-rows] tr")).to_have_count(2)

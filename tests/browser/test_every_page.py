"""Every page in Chromium: axe finds nothing and nothing overflows, by day and dusk, in letters twice the size, in German."""

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.utils import timezone
from playwright.sync_api import Page

from ledger.bench import actions as bench
from ledger.club.models import Club
from ledger.finds import actions
from ledger.handing_on.actions import ask, note_agreed
from ledger.handing_on.choices import Choices
from ledger.people.models import Member
from ledger.phone.numbers import reserve_block
from ledger.spores.actions import keep_spores
from ledger.taking_in.actions import give, look_at, map_columns
from ledger.taking_in.columns import Mapped
from ledger.traits.reference import Reference
from tests.browser.conftest import DESK, PHONE
from tests.factories import ForayFactory, make_photo, picture
from tests.ledger.finds.making import TWELVE, entry, numbers, states
from tests.ledger.spores.making import spores as measured_spores
from tests.vouchers.loans.scene import make_scene
from tests.vouchers.permits.making import make_permit
from tests.vouchers.preparation.making import NO_TIME, put_in
from vouchers.parts.actions import make_part
from vouchers.register.actions import accession
from vouchers.stocktake.actions import open_stocktake, type_sightings
from vouchers.store.actions import move
from vouchers.store.models import StorePlace

NARROW = {"width": 320, "height": 640}
# Dusk changes colours and nothing else.
CONTRAST = {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
PAGES = {
    "front": "/",
    "finds": "/finds/",
    "finds that were searched": "/finds/?q=trametes+at+wood+2026&sort=name",
    "no find matches": "/finds/?q=trametes+versicolro",
    "log": "/finds/log/",
    "find": "/finds/{held}/",
    "measure on a photo": "/photos/{photo}/measure/",
    "spores": "/finds/{settled}/spores/",
    "no spores": "/finds/{held}/spores/",
    "line of my card": "/paper/scale-card/small/line/",
    "photo of a clock": "/photos/{photo}/clock/",
    "settled find": "/finds/{settled}/",
    "amend": "/finds/{held}/amend/",
    "finder": "/finds/{held}/finder/",
    "backups": "/club/backups/",
    "forays": "/forays/",
    "foray": "/forays/{foray}/",
    "new foray": "/forays/new/",
    "change foray": "/forays/{foray}/change/",
    "taxa": "/taxa/",
    "taxon": "/taxa/trametes-versicolor/",
    "bench": "/bench/",
    "bench find": "/bench/{held}/",
    "vouchers": "/vouchers/",
    "voucher": "/vouchers/{voucher}/",
    "no such voucher": "/vouchers/HFG-2019-0007/",
    "deaccession": "/vouchers/{voucher}/deaccession/",
    "make a part": "/vouchers/{voucher}/part/",
    "end a part": "/parts/{part}/end/",
    "split": "/finds/{settled}/split/",
    "settled without a number": "/accession/",
    "labels": "/labels/",
    "labels of places": "/labels/places/",
    "loans": "/loans/",
    "lend": "/loans/new/",
    "loan": "/loans/{loan}/",
    "no such loan": "/loans/L2019-007/",
    "what came back": "/loans/{loan}/return/",
    "prolong a loan": "/loans/{loan}/prolong/",
    "reminder": "/loans/{loan}/remind/",
    "part on loan": "/loans/items/{loan item}/",
    "part lost on loan": "/loans/items/{loan item}/lost/",
    "voucher on loan": "/vouchers/{lent voucher}/",
    "what we borrow": "/borrowed/new/",
    "borrowed": "/borrowed/{borrowing}/",
    "exchange": "/exchange/",
    "send duplicates": "/exchange/new/",
    "sending": "/exchange/{sending}/",
    "leave to cut": "/sampling/",
    "a request to cut": "/sampling/ask/",
    "one leave to cut": "/sampling/{leave}/",
    "store": "/store/",
    "where is it": "/store/?q=HFG",
    "where is nothing": "/store/?q=nowhere",
    "place": "/store/2/",
    "new place": "/store/new/?in=2",
    "change place": "/store/2/change/",
    "move": "/store/move/?to=2",
    "stocktakes": "/stocktake/",
    "stocktake": "/stocktake/{walk}/",
    "walk the shelf": "/stocktake/walk/?stocktake={walk}",
    "nearly there": "/completeness/",
    "permits": "/permits/",
    "new permit": "/permits/new/",
    "permit": "/permits/{permit}/",
    "change permit": "/permits/{permit}/change/",
    "preparation": "/preparation/",
    "into the drier": "/preparation/drier/",
    "drying run": "/preparation/runs/{run}/",
    "tray": "/preparation/trays/5/",
    "preparation of a find": "/preparation/finds/{held}/",
    "paper slips": "/paper/",
    "quick entry": "/q/",
    "pocket sheets": "/pocket/",
    "pocket sheet": "/pocket/?taxon=trametes-versicolor",
    "pocket sheet as the phone keeps it": "/pocket/?taxon=trametes-versicolor&kept=1",
    "slip of somebody else": "/q/{slip}",
    "the year": "/year/",
    "map": "/year/map/",
    "measurements": "/year/measurements/",
    "measurements of a taxon": "/year/measurements/trametes-versicolor/?finds=all",
    "season": "/year/season/?taxon=trametes-versicolor",
    "checklist": "/year/checklist/?year=2026",
    "checklist of an area": "/year/checklist/?cell=51,-3,1",
    "map of a taxon": "/year/map/?taxon=trametes-versicolor&year=2026",
    "reports": "/reports/",
    "owner’s report": "/reports/foray/{foray}/?list=finds",
    "report of a year": "/reports/year/?year=2026",
    "own list": "/reports/member/{member}/?order=name",
    "taking in": "/taking-in/",
    "columns of a file": "/taking-in/{table}/",
    "what would become of a file": "/taking-in/{looked}/",
    "handing on": "/handing-on/",
    "file to hand on": "/handing-on/{handing}/",
    "who may be named": "/handing-on/people/",
    "people": "/people/",
    "end membership": "/people/{member}/end/",
    "club": "/club/",
    "me": "/me/",
    "password": "/me/password/",
    "form as the phone keeps it": "/phone/form/",
    "outbox": "/phone/outbox/",
    "foray table": "/phone/table/",
    "no signal": "/phone/no-signal/",
    "missing": "/no-such-page/",
}


@pytest.fixture
def scene(reference: Reference, collector: Member, keeper: Member) -> dict[str, Any]:
    """A held find, one settled and accessioned, one sent back, a foray: no page is empty."""
    Club.objects.create(
        name="Hollin Fungus Group", accession_prefix="HFG", poison_centre="Poison line 0800 000"
    )
    foray = ForayFactory(leader=keeper)
    now = timezone.now()
    held = actions.log_find(
        entry(*TWELVE[1:], states("underside", "smooth"), numbers("cap_thickness", 4.0), foray=foray),
        by=collector,
    )
    cap = make_photo(find=held, by=collector, view="cap", data=picture(colour="tan"), taken_at=now)
    make_photo(find=held, by=collector, view="underside", data=picture(colour="wheat"))
    settled = actions.log_find(entry(*TWELVE), by=collector)
    keep_spores(settled.pk, measured_spores(), by=collector)
    bench.settle(settled.pk, version=2, reason="Seen, agrees.", by=keeper, now=now)
    voucher = accession(settled.pk, by=keeper, now=now)
    slide = make_part(voucher.pk, "slide", note="Section through the tubes, in Melzer", by=keeper, now=now)
    asked = actions.log_find(entry(*TWELVE[:2], name="Stereum sp."), by=collector)
    bench.send_back(asked.pk, version=1, question="How many pores per mm?", by=keeper, now=now)
    permit = make_permit(keeper, forays=[foray], finds=[settled])
    run = put_in([held], keeper, at=now, trays={held.pk: 5}, why_not=NO_TIME)
    slips = reserve_block(collector, holder="paper", by=keeper, many=4)
    shelf = StorePlace.objects.create(kind="shelf", name="Shelf 1", number=1)
    box = StorePlace.objects.create(kind="box", name="Box 7", number=2, parent=shelf, capacity=1)
    move(voucher.parts.all(), box, by=keeper, now=now, why="dried and frozen")
    walk = open_stocktake(shelf, by=keeper, now=now)
    type_sightings(walk.pk, shelf, [str(voucher), "XYZ 2026-0009"], by=keeper, now=now)
    note_agreed(["Gwen Guest"], by=keeper, now=now)
    papers = make_scene(keeper, now)
    return {
        "photo": cap.pk,
        "table": give(TABLE, "old notebook.csv", by=keeper, now=now).pk,
        "looked": looked_at(keeper, now),
        "handing": ask(Choices(kind="archive"), by=keeper, now=now).pk,
        "slip": f"AT-{slips.first}",
        "held": held.pk,
        "settled": settled.pk,
        "voucher": voucher.slug,
        "part": slide.pk,
        "foray": foray.pk,
        "run": run.pk,
        "permit": permit.pk,
        "member": collector.pk,
        "walk": walk.pk,
        "lent voucher": papers["lent voucher"].slug,
        "loan": papers["loan"],
        "loan item": papers["loan item"].pk,
        **{name: papers[name] for name in ("borrowing", "sending", "leave")},
    }


TABLE = (
    b"Date;Species;Wood;Cap width (mm);Remarks\n3.10.2026;Trametes versicolor;beech;58,5;below the quarry\n"
    b"4.10.2026;Turkeytale;oak;;\n31.2.2026;Stereum hirsutum;oak;;a day that is none\n"
)


def looked_at(keeper: Member, now: Any) -> Any:
    """A table with a wrong line, a name that is not known and flags, as a dry run tells of it."""
    taking = give(TABLE, "notebook of 2026 as it was typed up in the winter.csv", by=keeper, now=now)
    columns = {0: "found_on", 1: "name_typed", 2: "host", 3: "trait:cap_width", 4: "note"}
    header = ("Date", "Species", "Wood", "Cap width (mm)", "Remarks")
    map_columns(taking, Mapped(columns, order="dmy", mark="comma"), header, by=keeper, now=now)
    look_at(taking, by=keeper, now=now)
    return taking.pk


def overflow(page: Page) -> int:
    width: int = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return width


def visit(page: Page, path: str, open_page: Any) -> None:
    page.goto(path)
    page.wait_for_load_state("networkidle")
    if path in (PAGES["missing"], PAGES["no such voucher"], PAGES["no such loan"]):
        open_page.errors.clear()  # the browser's own word about the 404 that was asked for


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_sound_at_every_width_by_day_and_dusk(
    name: str, scene: dict[str, Any], keeper: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=keeper, viewport=PHONE)
    visit(page, PAGES[name].format(**scene), open_page)
    for size in (PHONE, NARROW, DESK):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert overflow(page) <= 0, f"{name} at {size['width']} px"
        if size is NARROW:
            continue
        for scheme, options in (("light", {}), ("dark", CONTRAST)):
            page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            found = Axe().run(page, options=options)
            assert found.violations_count == 0, f"{size['width']} px, {scheme}: {found.generate_report()}"
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert overflow(page) <= 0, f"{name} in letters twice the size"
    # Its words are longer.
    page.context.add_cookies([{"name": "ledger_language", "value": "de", "url": page.url}])
    visit(page, PAGES[name].format(**scene), open_page)
    assert page.locator("html").get_attribute("lang") == "de"
    for size in (NARROW, DESK):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        assert overflow(page) <= 0, f"{name} in German at {size['width']} px"


@pytest.mark.parametrize("path", ["/", "/sign-in/", "/join/", "/join/cut-off/"])
def test_a_public_page_is_sound(path: str, db: None, open_page: Any) -> None:
    page = open_page(viewport=PHONE)
    visit(page, path, open_page)
    open_page.errors[:] = [error for error in open_page.errors if "410" not in error]
    assert overflow(page) <= 0
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()

"""The main job once through: from a find in the hand to a label whose code is read, by four people in four browsers."""

import io
import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import Page, expect

from ledger.bench.models import Determination
from ledger.club.models import Club
from ledger.demo.drawing import CapSpec, Shot, UndersideSpec, draw_cap, draw_underside
from ledger.finds.models import Find, Photo, Reading, Status
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import DESK, PHONE

ZONES = ((96, 66, 40), (168, 120, 70), (120, 84, 52), (200, 160, 110))
PLACE = "51.23450 N, 2.34560 W"


@pytest.fixture
def shots(tmp_path: Path) -> tuple[Path, Path]:
    """Two photographs as a phone would send them: the cap, and an underside without pores."""
    taken = Shot(
        taken_at=datetime.combine(date.today() - timedelta(days=1), datetime.min.time()).replace(hour=11),
        utc_offset_minutes=0,
        latitude=51.2345,
        longitude=-2.3456,
        error_m=8,
    )
    cap, underside = tmp_path / "cap.jpg", tmp_path / "underside.jpg"
    cap.write_bytes(draw_cap(CapSpec(width_mm=52, length_mm=31, zone_colours=ZONES), 7, taken))
    underside.write_bytes(draw_underside(UndersideSpec(kind="smooth", width_mm=52, length_mm=31), 8, taken))
    return cap, underside


def tap(page: Page, name: str, value: str) -> None:
    """Tap the chip of that field; the input itself lies under its picture, as under a finger."""
    page.locator(f'label:has(> input[name="{name}"][value="{value}"])').click()


def log(page: Page, shots: tuple[Path, Path]) -> None:
    page.goto("/")
    page.get_by_role("main").get_by_role("link", name="Log a find").click()
    page.locator('input[name="photo-cap"]').set_input_files(shots[0])
    expect(page.locator("[data-phone-photo]")).to_have_count(1)
    page.locator('input[name="photo-underside"]').set_input_files(shots[1])
    expect(page.locator("[data-phone-photo]")).to_have_count(2)
    tap(page, "specimen_state", "fresh")
    tap(page, "specimen_age", "mature")
    tap(page, "r-underside-states", "smooth")
    tap(page, "r-zonation-states", "zoned")
    tap(page, "r-cap_surface-states", "hairy")
    widths = page.locator('input[name="r-cap_width-values"]')
    widths.nth(0).fill("38")
    widths.nth(1).fill("52,5")
    tap(page, "r-host-states", "hardwood")
    tap(page, "r-substrate_state-states", "fallen log")
    page.locator('input[name="host"]').fill("Fagus sylvatica")
    page.get_by_text("Host known by, where on it").click()
    tap(page, "host_known_by", "bark")
    page.locator('input[name="position_typed"]').fill(PLACE)
    page.locator('input[name="uncertainty_m"]').fill("9")
    page.locator('input[name="found_on"]').fill((date.today() - timedelta(days=1)).isoformat())
    page.locator('input[name="locality"]').fill("Hollin Wood, below the quarry")
    page.locator('input[name="name_typed"]').fill("Trametes versicolor")


def test_a_find_goes_from_the_hand_to_a_label_on_the_packet(
    reference: Reference,
    collector: Member,
    leader: Member,
    curator: Member,
    keeper: Member,
    shots: tuple[Path, Path],
    open_page: Callable[..., Page],
) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG", country="England")

    # In the wood, on a phone.
    phone = open_page(as_=collector, viewport=PHONE)
    log(phone, shots)
    check = phone.locator("#check")
    expect(check).to_contain_text("ruled out")
    expect(check).to_contain_text("Stereum")
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(re.compile(r"/finds/[0-9a-f-]{36}/$"))
    expect(phone.get_by_role("main")).to_contain_text("held")

    find = Find.objects.get()
    assert find.status == Status.HELD
    assert (find.latitude, find.longitude, find.uncertainty_m) == (51.2345, -2.3456, 9)
    assert Reading.objects.filter(find=find).count() == 6
    assert Reading.objects.get(trait="cap_width").values == [38, 52.5]
    assert sorted(Photo.objects.filter(find=find).values_list("view", flat=True)) == ["cap", "underside"]
    for photo, sent in zip(Photo.objects.order_by("view"), shots, strict=True):
        assert photo.original.read() == sent.read_bytes()
        photo.original.close()

    # At the bench, at a desk.
    desk = open_page(as_=curator, viewport=DESK)
    desk.goto("/bench/")
    desk.get_by_role("link", name=re.compile("Begin with")).click()
    expect(desk.get_by_role("main")).to_contain_text("Underside")
    expect(desk.locator("[data-keys]")).to_be_visible()  # the keys work from here on
    desk.keyboard.press("r")
    desk.locator("#redetermine-form").get_by_label("Name", exact=False).first.fill("Stereum subtomentosum")
    # Another genus: the bench asks on what grounds.
    desk.locator("#redetermine-form").get_by_label("On what grounds").fill("underside smooth under a lens")
    desk.locator("#redetermine-form").get_by_role("button", name="Write this name").last.click()
    desk.wait_for_load_state()
    names = list(Determination.objects.order_by("made_at").values_list("name_typed", flat=True))
    assert names == ["Trametes versicolor", "Stereum subtomentosum"]

    # The voucher.
    desk.goto(f"/finds/{find.pk}/")
    desk.get_by_role("button", name="Accession").click()
    number = f"HFG {date.today().year}-0001"
    expect(desk.get_by_role("main")).to_contain_text(number)

    # The label, printed by the leader.
    desk = open_page(as_=leader, viewport=DESK)
    desk.goto("/labels/")
    desk.get_by_label(re.compile(number)).check()
    desk.get_by_label("Packet labels, 96 × 92 mm").check()
    answer = desk.request.post(
        "/labels/",
        form={
            "csrfmiddlewaretoken": desk.locator("main input[name=csrfmiddlewaretoken]").first.input_value(),
            "vouchers": desk.locator("input[name=vouchers]:checked").input_value(),
            "sheet": "labels-96x92",
            "paper": "a4",
        },
    )
    assert answer.headers["content-type"] == "application/pdf"
    page = pypdfium2.PdfDocument(io.BytesIO(answer.body()))[0]
    text = re.sub(r"\s+", " ", page.get_textpage().get_text_range())
    for said in (
        "Hollin Fungus Group".upper(),
        "Stereum subtomentosum",
        "Fagus sylvatica",
        "Ada Thorne",
        "AT 1",
    ):
        assert said.lower() in text.lower()
    codes = zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())
    assert [code.text for code in codes] == [number]

    # The keeper finds everybody on the page of people.
    office = open_page(as_=keeper, viewport=DESK)
    office.goto("/people/")
    for member in (collector, leader, curator, keeper):
        expect(office.get_by_role("rowheader", name=member.full_name)).to_be_visible()

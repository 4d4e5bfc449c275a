"""A shelf of 500 packets walked with the camera, errors planted; and moves by scanning. Every code is drawn and decoded."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.camera import give_camera, show, show_all, start_camera
from tests.browser.on_phone import until
from tests.vouchers.store.making import NOW, club, packets, place
from vouchers.parts.models import Part
from vouchers.stocktake.actions import open_stocktake
from vouchers.stocktake.models import Sighting, Stocktake
from vouchers.stocktake.queries import standing
from vouchers.store.models import Move, StorePlace

BOXES, IN_EACH = 10, 50
SAID = "#walk-said"
CONTROLLED = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""


@pytest.fixture
def shelf(db: None) -> StorePlace:
    club()
    return place("Shelf 1", "shelf", place("Cabinet 2", "cabinet"))


def number(serial: int) -> str:
    return f"HFG 2026-{serial:04d}"


def label(box: StorePlace) -> str:
    return f"HFG PLACE {box.number}"


def walk_page(open_page: Callable[..., Page], member: Member, walk: Stocktake, **options: Any) -> Page:
    page = open_page(as_=member, **options)
    give_camera(page)
    page.goto(f"/stocktake/walk/?stocktake={walk.pk}")
    expect(page.get_by_text("Stocktake of")).to_be_visible()
    return page


def all_sent(page: Page) -> None:
    expect(page.get_by_text("All that was seen is on the ledger.")).to_be_visible()


def test_twelve_planted_errors_among_500_packets_are_found_and_no_other(
    shelf: StorePlace, leader: Member, curator: Member, open_page: Callable[..., Page]
) -> None:
    boxes = [place(f"Box {n + 1}", parent=shelf, capacity=IN_EACH) for n in range(BOXES)]
    far = place("Box in another room")
    layout = {box.pk: [part.number for part in packets(IN_EACH, by=curator, where=box)] for box in boxes}
    from_far, no_place = (packets(1, by=curator, where=where)[0].number for where in (far, None))
    walk = open_stocktake(shelf, by=curator, now=NOW)

    lies = {box.pk: list(layout[box.pk]) for box in boxes}
    first, second, third, fourth, last = (boxes[n].pk for n in (0, 1, 2, 3, 9))
    planted = {
        # three are not there
        ("missing", lies[first].pop(10)),
        ("missing", lies[fourth].pop(0)),
        ("missing", lies[last].pop(-1)),
        # three are in the wrong place: of the next box, of another room, of none on record
        ("misplaced", lies[second][5]),
        ("misplaced", from_far),
        ("misplaced", no_place),
        # three that are none of ours
        ("unknown", "XYZ 2026-0004"),
        ("unknown", "HFG 2026-9999"),
        ("unknown", "HTTP://SHOP.EXAMPLE/4006381"),
        # three numbers on two packets each: in one box, in two boxes, in a box and the next
        ("twice", layout[first][3]),
        ("twice", layout[third][7]),
        ("twice", layout[last][20]),
    }
    lies[third].insert(12, lies[second].pop(5))
    lies[fourth].insert(30, from_far)
    lies[last].insert(1, no_place)
    lies[first].insert(25, "XYZ 2026-0004")
    lies[second].insert(40, "HFG 2026-9999")
    lies[last].insert(33, "HTTP://SHOP.EXAMPLE/4006381")
    lies[first].insert(30, layout[first][3])
    lies[boxes[7].pk].insert(9, layout[third][7])
    lies[boxes[8].pk].insert(49, layout[last][20])
    assert sum(map(len, lies.values())) == 500 - 3 + 2 + 3 + 3

    page = walk_page(open_page, leader, walk)
    start_camera(page)
    for box in boxes:
        show_all(page, [label(box), *lies[box.pk]], said=SAID)
    all_sent(page)

    found = {(one.kind, one.text) for one in standing(walk).open}
    assert found == planted
    assert len(standing(walk).open) == 12
    assert Sighting.objects.filter(by=leader).count() == 505 + BOXES
    page.goto(f"/stocktake/{walk.pk}/?missing=1")
    for kind, text in planted:
        row = page.locator(".difference").filter(has=page.locator(f".number:text-is('{text}')"))
        expect(row).to_have_count(1)
        expect(row).to_contain_text({"twice": "Seen twice"}.get(kind, kind.capitalize()))


def test_without_a_signal_the_walk_goes_on_and_is_sent_when_there_is_one(
    reference: Reference, shelf: StorePlace, leader: Member, curator: Member, open_page: Any
) -> None:
    box = place("Box 1", parent=shelf)
    packets(3, by=curator, where=box)
    walk = open_stocktake(box, by=curator, now=NOW)
    page = walk_page(open_page, leader, walk, service_workers="allow")
    page.evaluate(CONTROLLED)
    page.context.set_offline(True)
    page.goto(f"/stocktake/walk/?stocktake={walk.pk}")
    expect(page.get_by_text("Stocktake of Cabinet 2 › Shelf 1 › Box 1")).to_be_visible()
    start_camera(page)
    show_all(page, [number(1), number(2)], said=SAID)
    expect(page.get_by_text("2 to be sent.")).to_be_visible()
    # Closed and opened again: nothing is lost.
    page.reload()
    expect(page.locator("#walk-count")).to_have_text("2 of 3")
    assert not Sighting.objects.exists()
    page.context.set_offline(False)
    all_sent(page)
    assert sorted(Sighting.objects.values_list("text", flat=True)) == [number(1), number(2)]
    assert [one.text for one in standing(walk).open] == [number(3)]
    open_page.errors.clear()  # the browser's own word about what it could not fetch


def test_typing_is_the_equal_way_and_a_code_is_taken_back(
    shelf: StorePlace, leader: Member, curator: Member, open_page: Callable[..., Page]
) -> None:
    box = place("Box 1", parent=shelf)
    packets(2, by=curator, where=box)
    walk = open_stocktake(shelf, by=curator, now=NOW)
    page = walk_page(open_page, leader, walk)
    for typed in ("hfg 2026/1", label(box).lower(), "2026-1", "xyz 2026-5"):
        page.get_by_label("Or type the code").fill(typed)
        page.keyboard.press("Enter")
    expect(page.locator(SAID)).to_contain_text("XYZ 2026-0005 is a code of another collection")
    page.get_by_role("button", name="Take it back").click()
    expect(page.locator(SAID)).to_contain_text("is taken back")
    all_sent(page)
    assert [(one.kind, one.text) for one in standing(walk).open] == [("missing", number(2))]


def test_the_same_code_held_on_is_taken_once_and_another_packet_by_a_tap(
    shelf: StorePlace, leader: Member, curator: Member, open_page: Callable[..., Page]
) -> None:
    box = place("Box 1", parent=shelf)
    packets(1, by=curator, where=box)
    walk = open_stocktake(box, by=curator, now=NOW)
    page = walk_page(open_page, leader, walk)
    start_camera(page)
    show(page, number(1))
    expect(page.locator(SAID)).to_contain_text(number(1))
    page.wait_for_timeout(600)
    page.evaluate("window.testCamera.show(null)")
    page.wait_for_timeout(2700)
    show(page, number(1))
    expect(page.locator(SAID)).to_contain_text("is taken already")
    assert standing(walk).open == () or Sighting.objects.count() <= 1
    page.get_by_role("button", name="It is another packet").click()
    expect(page.locator(SAID)).to_contain_text("seen twice")

    def is_told_twice() -> bool:
        return [(one.kind, one.text) for one in standing(walk).open] == [("twice", number(1))]

    # That all is on the ledger stood there before, of the first sight of it.
    until(page, is_told_twice)


def test_without_a_camera_the_page_says_so_and_typing_works(
    shelf: StorePlace, leader: Member, curator: Member, open_page: Callable[..., Page]
) -> None:
    walk = open_stocktake(shelf, by=curator, now=NOW)
    page = open_page(as_=leader)
    page.add_init_script(
        "navigator.mediaDevices.getUserMedia = async () => { throw new DOMException('', 'NotAllowedError'); }"
    )
    page.goto(f"/stocktake/walk/?stocktake={walk.pk}")
    page.get_by_role("button", name="Start the camera").click()
    expect(page.get_by_text("The camera is not allowed here")).to_be_visible()
    expect(page.get_by_label("Or type the code")).to_be_visible()


def test_a_box_and_its_packets_are_moved_by_scanning(
    shelf: StorePlace, leader: Member, open_page: Callable[..., Page]
) -> None:
    box = place("Box 1", parent=shelf)
    packets(3, by=leader)
    page = open_page(as_=leader)
    give_camera(page)
    page.goto("/store/move/")
    start_camera(page)
    show_all(page, [label(box), number(1), number(3)], said="#said")
    expect(page.locator("#count")).to_have_text("2 on the list.")
    show(page, "XYZ 2026-0001")
    expect(page.locator("#said")).to_contain_text("XYZ 2026-0001 is not one of ours")
    expect(page.locator("#count")).to_have_text("2 on the list.")
    page.get_by_role("button", name="Move", exact=True).click()
    expect(page.get_by_text("Into Box 1: 2 packets and other parts.")).to_be_visible()
    assert set(Part.objects.filter(place=box).values_list("voucher__serial", flat=True)) == {1, 3}


def test_another_box_scanned_is_moved_with_all_in_it_only_when_said(
    shelf: StorePlace, leader: Member, open_page: Callable[..., Page]
) -> None:
    box = place("Box 1")
    packets(1, by=leader, where=box)
    page = open_page(as_=leader)
    give_camera(page)
    page.goto("/store/move/")
    start_camera(page)
    show_all(page, [label(shelf), label(box)], said="#said")
    page.get_by_role("button", name="Move it too, with all in it").click()
    expect(page.locator("#count")).to_have_text("1 on the list.")
    page.get_by_role("button", name="Move", exact=True).click()
    expect(page.get_by_text("1 place with all in them.")).to_be_visible()

    def stands_there() -> bool:
        return StorePlace.objects.get(pk=box.pk).parent_id == shelf.pk

    until(page, stands_there)
    assert not Move.objects.exists()

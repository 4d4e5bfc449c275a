"""Rooms that others call without knowing them: each that has the module is on the list, and each on the list has it."""

from importlib import import_module
from pathlib import Path

from vouchers.register import panels
from vouchers.store import away

ROOMS = Path(__file__).resolve().parents[2] / "vouchers"


def with_module(name):
    return {path.parent.name for path in ROOMS.glob(f"*/{name}.py")}


def test_each_room_with_a_panel_stands_on_the_page_of_a_voucher():
    assert sorted(panels.ROOMS) == sorted(with_module("panel"))


def test_each_room_has_one_panel_with_an_anchor_of_its_own():
    shown = panels.known_panels()
    assert len({panel.code for panel in shown}) == len(panels.ROOMS)


def test_each_room_that_sends_parts_out_is_asked_what_is_away():
    # The store's own module of that name is the one that asks.
    assert set(away.ROOMS) == with_module("away") - {"store"}
    assert all(callable(import_module(f"vouchers.{room}.away").away_times) for room in away.ROOMS)

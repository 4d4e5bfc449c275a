"""The page of a voucher, put together from one panel per room.

A room that has something to say of a voucher has a module `panel.py` with one `PANEL`; its template lies beside the
room's others. Nothing else need be touched: the rooms are read here in their order on the page.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from ledger.people.models import Member
from vouchers.register.models import Voucher

# In the order of the page: what it consists of, what became of it, what was said of it, how it came here.
ROOMS = (
    "parts",
    "preparation",
    "loans",
    "exchange",
    "sampling",
    "mids",
    "permits",
    "stocktake",
    "printing",
    "register",
)


@dataclass(frozen=True, slots=True)
class VoucherPanel:
    """What one room shows of a voucher.

    `code` is the anchor of its section, `title` its heading. `values` gives what the template gets as `panel`, or None
    where the room has nothing to say of this voucher to this member. `template` is included with `panel`, `voucher`,
    `find` and `user` in reach, and renders what stands below the heading.
    """

    code: str
    title: str
    template: str
    values: Callable[[Voucher, Member], Mapping[str, Any] | None]


@dataclass(frozen=True, slots=True)
class ShownPanel:
    code: str
    title: str
    template: str
    values: Mapping[str, Any]


def known_panels() -> list[VoucherPanel]:
    """The panels of all rooms that have one, in the order of the page."""
    # Imported here: a panel leans on its room, and most rooms lean on the register.
    names = [f"vouchers.{room}.panel" for room in ROOMS if find_spec(f"vouchers.{room}") is not None]
    return [import_module(name).PANEL for name in names if find_spec(name) is not None]


def panels_of(voucher: Voucher, member: Member) -> list[ShownPanel]:
    """What the page of *voucher* shows *member*. The voucher comes by `queries.for_page`."""
    shown = []
    for panel in known_panels():
        values = panel.values(voucher, member)
        if values is not None:
            shown.append(ShownPanel(panel.code, panel.title, panel.template, values))
    return shown

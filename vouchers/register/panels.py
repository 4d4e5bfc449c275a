"""The page of a voucher, put together from one panel per room.

A room that has something to say of a voucher has a module `panel.py` with one `PANEL`; its template lies beside the
room's others. The room is named in ROOMS, which is the order on the page; a test names a panel that is not.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
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
    return [import_module(f"vouchers.{room}.panel").PANEL for room in ROOMS]


def panels_of(voucher: Voucher, member: Member) -> list[ShownPanel]:
    """What the page of *voucher* shows *member*. The voucher comes by `queries.for_page`."""
    shown = []
    for panel in known_panels():
        values = panel.values(voucher, member)
        if values is not None:
            shown.append(ShownPanel(panel.code, panel.title, panel.template, values))
    return shown

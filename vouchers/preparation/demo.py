"""The demo club's drier and freezer: what became of the latest vouchers, and what lies on the racks tonight."""

from datetime import datetime, timedelta

from ledger.finds.models import Find
from ledger.people.models import Member
from vouchers.preparation import order
from vouchers.preparation.actions import Details, RunFacts, WhyNot, put_in_drier, record
from vouchers.register.models import Voucher

_VOUCHERS, _ON_THE_RACKS, _FREEZING = 6, 5, 2
_UNREAD = WhyNot(all="read on the phone in the wood as far as it went")


def dry_and_freeze(*, by: Member, now: datetime) -> None:
    """Log the way of the latest vouchers to their packets, two finds in the freezer, and a run due out tonight."""
    for voucher in Voucher.objects.filter(deaccessioned_at=None).order_by("-accessioned_at")[:_VOUCHERS]:
        _to_its_packet(voucher, by=by)
    earlier = now - timedelta(days=6)
    taken = Find.objects.filter(kept=True, voucher=None, shares=None, found_on__lte=earlier.date())
    at_hand = [find.pk for find in taken.order_by("-found_on", "pk")[: _ON_THE_RACKS + _FREEZING]]
    racks, cold = at_hand[:_ON_THE_RACKS], at_hand[_ON_THE_RACKS:]
    if not cold:
        return
    facts = RunFacts("club drier", temperature=40, planned_hours=48)
    put_in_drier(cold, facts, at=earlier, by=by, now=earlier, first_tray=1, why_not=_UNREAD)
    for kind, days, details in (
        (order.OUT_OF_DRIER, 4, Details()),
        (order.INTO_FREEZER, 3, Details(temperature=-20, days=7)),
    ):
        then = now - timedelta(days=days)
        record(cold, kind, at=then, by=by, now=then, details=details)
    yesterday = now - timedelta(hours=44)
    put_in_drier(racks, facts, at=yesterday, by=by, now=yesterday, first_tray=1, why_not=_UNREAD)


def _to_its_packet(voucher: Voucher, *, by: Member) -> None:
    """The steps between the find and the day its number was given, evenly parted."""
    finds = [voucher.find_id]
    found = voucher.find.logged_at
    step = (voucher.accessioned_at - found) / 6
    put_in_drier(
        finds,
        RunFacts("club drier", temperature=40, planned_hours=24),
        at=found + step,
        by=by,
        now=found + step,
        why_not=_UNREAD,
    )
    for number, kind in enumerate(
        (order.OUT_OF_DRIER, order.INTO_FREEZER, order.OUT_OF_FREEZER, order.PACKET), start=2
    ):
        then = found + step * number
        details = Details(temperature=-20) if kind == order.INTO_FREEZER else None
        record(finds, kind, at=then, by=by, now=then, details=details)

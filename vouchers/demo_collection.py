"""What the demo club did with its collection, room by room, once all numbers are given."""

from datetime import datetime

from ledger.people.models import Member
from vouchers.loans.demo import lend_and_send
from vouchers.permits.demo import enter_permits
from vouchers.preparation.demo import dry_and_freeze
from vouchers.store.demo import put_away


def keep_collection(*, by: Member, now: datetime) -> None:
    """Permits, preparation, store, then loans: what is lent has its place in the store first."""
    enter_permits(by=by, now=now)
    dry_and_freeze(by=by, now=now)
    put_away(by=by, now=now)
    lend_and_send(by=by, now=now)

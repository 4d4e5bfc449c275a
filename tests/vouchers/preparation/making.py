"""Finds that were prepared so far and no further."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.preparation import actions, order
from vouchers.preparation.actions import Details, RunFacts, WhyNot
from vouchers.preparation.models import DryingRun

# The finds of the factories are of 3 October 2026.
EVENING = datetime(2026, 10, 3, 20, 0, tzinfo=UTC)
DEHYDRATOR = RunFacts("blue dehydrator", temperature=40, planned_hours=12)
NO_TIME = WhyNot(all="no time before it would spoil")


def dry_kept(**given: Any) -> Find:
    """A find that was dry when found: nothing fresh-only is asked of it."""
    find: Find = FindFactory(**{"specimen_state": "air-dry", **given})
    return find


def put_in(
    finds: Sequence[Find], by: Member, *, at: datetime = EVENING, facts: RunFacts = DEHYDRATOR, **given: Any
) -> DryingRun:
    return actions.put_in_drier([find.pk for find in finds], facts, at=at, by=by, now=at, **given)


def step(finds: Sequence[Find], kind: str, by: Member, at: datetime, **details: Any) -> None:
    actions.record([find.pk for find in finds], kind, at=at, by=by, now=at, details=Details(**details))


def prepared(find: Find, by: Member, *, start: datetime = EVENING) -> None:
    """Through the whole order: twelve hours dry, seven days frozen, into the packet."""
    put_in([find], by, at=start)
    step([find], order.OUT_OF_DRIER, by, start + timedelta(hours=12))
    step([find], order.INTO_FREEZER, by, start + timedelta(hours=13), temperature=-20.0, days=7.0)
    step([find], order.OUT_OF_FREEZER, by, start + timedelta(days=8))
    step([find], order.PACKET, by, start + timedelta(days=9))

"""What must hold of the collection once the writers are through, however often they were killed."""

import re
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path
from uuid import uuid4

from django.utils import timezone

from ledger.finds.models import Find
from ledger.people.models import Member
from tests.vouchers.soak import plan
from vouchers.exchange.models import Sending, SentDuplicate
from vouchers.loans.models import Condition, Loan, LoanItem
from vouchers.parts.models import Part
from vouchers.preparation import order
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.printing.models import PrintedLabel
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.verification import verify_register
from vouchers.stocktake.actions import open_stocktake, sign_off, take_sightings
from vouchers.stocktake.message import Told
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.stocktake.queries import standing
from vouchers.store.models import Move, StorePlace


def each_step_was_taken_by(people: Sequence[Member]) -> None:
    """Somebody of these did each step, some of the time: whoever did it stands on record."""
    steps = {
        plan.ACCESSION: Voucher.objects.filter(accessioned_by__in=people),
        plan.PREPARE: PreparationStep.objects.filter(entered_by__in=people),
        plan.ADD: Part.objects.exclude(kind="packet").filter(made_by__in=people),
        plan.LABEL: PrintedLabel.objects.filter(printed_by__in=people),
        plan.STORE: Move.objects.filter(by__in=people),
        plan.SPLIT: Voucher.objects.exclude(find__split_from=None).filter(accessioned_by__in=people),
        plan.SEND: Sending.objects.filter(made_by__in=people),
        plan.LEND: Loan.objects.filter(made_by__in=people),
        plan.TAKE_BACK: LoanItem.objects.filter(returned_to__in=people),
        plan.DEACCESSION: Voucher.objects.filter(deaccessioned_by__in=people),
        plan.STOCKTAKE: Stocktake.objects.filter(signed_by__in=people),
    }
    assert set(steps) == set(plan.STEPS)
    assert [step for step, rows in steps.items() if not rows.exists()] == []


def the_register_is_whole(jobs: Sequence[plan.Job]) -> None:
    """It verifies; no number is missing or twice; each find was accessioned, split, deaccessioned as often as it should."""
    split = [job for job in jobs if job.splits]
    vouchers = len(jobs) + 2 * len(split)
    verified = verify_register()
    assert verified.trouble is None, verified.trouble
    assert verified.vouchers == vouchers
    by_year: dict[int, list[int]] = {}
    for year, serial in Voucher.objects.values_list("year", "serial"):
        by_year.setdefault(year, []).append(serial)
    assert all(sorted(serials) == list(range(1, len(serials) + 1)) for serials in by_year.values()), by_year
    assert sum(map(len, by_year.values())) == vouchers
    kinds = Counter(RegisterEntry.objects.values_list("kind", flat=True))
    assert (kinds["accession"], kinds["split"]) == (vouchers, len(split))
    shares = Counter(map(str, Find.objects.exclude(split_from=None).values_list("split_from", flat=True)))
    assert shares == {job.find: 2 for job in split}
    gone = set(map(str, Voucher.objects.exclude(deaccessioned_at=None).values_list("find", flat=True)))
    assert gone == {job.find for job in jobs if job.leaves}
    assert kinds["deaccession"] == len(gone)


def every_packet_is_in_exactly_one_place() -> None:
    """Each voucher has one packet; what is there lies where its last move put it, and each move starts where one ended."""
    assert set(Counter(Part.objects.filter(kind="packet").values_list("voucher", flat=True)).values()) == {1}
    assert Part.objects.filter(kind="packet").count() == Voucher.objects.count()
    assert not Part.objects.there().filter(place=None).exists()
    lies: dict[int, int | None] = {}
    for move in Move.objects.order_by("id"):
        assert move.from_place_id == lies.get(move.part_id), f"{move.part} went from where it was not"
        lies[move.part_id] = move.to_place_id
    assert lies == dict(Part.objects.filter(place__isnull=False).values_list("pk", "place"))


def each_lies_in_its_own_box(jobs: Sequence[plan.Job]) -> None:
    """Where it was to go in the end; of a mixed collection its shares, of what left the collection nothing."""
    for job in jobs:
        whose = Find.objects.filter(split_from=job.find) if job.splits else Find.objects.filter(pk=job.find)
        there = Part.objects.there().filter(voucher__find__in=whose)
        lie = set(there.values_list("place__number", flat=True))
        assert lie == (set() if job.leaves else {job.boxes[1]}), job


_AGAIN = r"(((, )?freezer in, freezer out)+, packet)*"
_FROZEN_AGAIN, _FROZEN_AND_ENDED = re.compile(_AGAIN), re.compile(_AGAIN + "(, freezer in(, freezer out)?)?")


def each_was_dried_once_and_lies_in_its_packet(jobs: Sequence[plan.Job]) -> None:
    """Each went its first steps in their order, once; what was lent was frozen again, and all ends in the packet."""
    steps: dict[str, list[PreparationStep]] = {}
    for step in PreparationStep.objects.exclude(kind=order.LEFT_OUT):
        steps.setdefault(str(step.find_id), []).append(step)
    assert set(steps) == {job.find for job in jobs}
    for job in jobs:
        taken = sorted(steps[job.find], key=lambda step: (step.at, step.pk))
        kinds = tuple(step.kind for step in taken)
        again = kinds[len(plan.FIRST) :]
        assert kinds[: len(plan.FIRST)] == plan.FIRST, kinds
        # Two people may freeze it one after the other; neither by half, unless the first has ended it in the meantime.
        pattern = _FROZEN_AND_ENDED if job.leaves else _FROZEN_AGAIN
        assert pattern.fullmatch(", ".join(again)) and bool(again) is not job.splits, (job, kinds)
        assert job.leaves or order.replay(step.step for step in taken).where == order.IN_PACKET
    # Nobody's drying run was left empty by a kill.
    assert DryingRun.objects.count() == len(jobs)


def what_was_lent_came_back(jobs: Sequence[plan.Job]) -> None:
    """Each loan has a packet, came back once with its condition, and has the next number; none was made by half.

    Two writers that looked at one moment may lend a packet one after the other, as two people may.
    """
    lent = set(map(str, LoanItem.objects.values_list("part__voucher__find", flat=True)))
    assert lent == {job.find for job in jobs if not job.splits}
    assert not LoanItem.objects.out().exists()
    items = sorted(LoanItem.objects.values_list("pk", flat=True))
    for moment in ("out", "back"):
        assert sorted(Condition.objects.filter(moment=moment).values_list("item", flat=True)) == items
    _numbered(LoanItem.objects.values_list("loan__year", "loan__serial"), Loan.objects.count())


def what_was_sent_has_ended(jobs: Sequence[plan.Job]) -> None:
    """Each duplicate went once, ended in ours, and stands on one sending; only those of mixed collections stayed."""
    sent = list(SentDuplicate.objects.values_list("part", flat=True))
    assert len(set(sent)) == len(sent)
    stay = {job.find for job in jobs if job.splits}
    duplicates = Part.objects.filter(kind="duplicate")
    assert set(sent) == set(duplicates.exclude(voucher__find__in=stay).values_list("pk", flat=True))
    assert not duplicates.there().exclude(voucher__find__in=stay).exists()
    assert {str(find) for find in duplicates.values_list("voucher__find", flat=True)} == {
        job.find for job in jobs
    }
    rows = Sending.objects.values_list("year", "serial")
    _numbered(rows, SentDuplicate.objects.values("sending").distinct().count())


def _numbered(rows: object, many: int) -> None:
    """Numbers of a series, by year: each once, none left out, as many as there should be."""
    by_year: dict[int, list[int]] = {}
    for year, serial in rows:  # type: ignore[attr-defined]
        by_year.setdefault(year, []).append(serial)
    for serials in by_year.values():
        assert sorted(serials) == list(range(1, len(serials) + 1))
    assert sum(map(len, by_year.values())) == many


def no_label_was_lost(papers: Counter[str], folder: Path, *, served_lost: int, shells_lost: int) -> None:
    """Each voucher has a label on record and on paper. What is only on one of them was cut off by a kill: no more than
    were under way in the workers and shells that were killed."""
    on_record = Counter(
        str(row.voucher) for row in PrintedLabel.objects.filter(kind="packet").select_related("voucher")
    )
    printed = Counter(path.name[: -len("-.pdf") - 36].replace("-", " ", 1) for path in folder.glob("*.pdf"))
    on_paper = papers + printed
    numbers = {str(voucher) for voucher in Voucher.objects.all()}
    assert set(on_record) == set(on_paper) == numbers
    assert sum((on_record - on_paper).values()) <= served_lost
    assert sum((on_paper - on_record).values()) <= shells_lost


def the_stocktakes_add_up(boxes: Sequence[StorePlace]) -> None:
    """Each box was taken stock of, once; what was signed then is what the record says of it today."""
    walks = list(Stocktake.objects.filter(given_up_at=None))
    assert sorted(walk.place_id for walk in walks) == sorted(box.pk for box in boxes)
    for walk in walks:
        assert walk.signed_at is not None
        stands = standing(walk)
        counted = stands.tally
        assert not stands.open and not counted.unseen and counted.meanwhile >= 0, (stands.open, counted)
        assert (walk.expected, walk.seen) == (counted.expected, counted.in_place), counted
        assert Sighting.objects.filter(stocktake=walk).exists()
    keys = list(Settlement.objects.values_list("stocktake", "key"))
    assert len(set(keys)) == len(keys)


def the_whole_room_is_as_it_stands_on_record(room: StorePlace, by: Member) -> int:
    """Take stock of all there is, now that nothing moves: everything expected is seen, and nothing differs."""
    now = timezone.now() + timedelta(seconds=1)
    walk = open_stocktake(room, by=by, now=now)
    lie = Part.objects.there().with_number().select_related("place")
    told = [Told(uuid4(), part.number, part.place.number, now, False) for part in lie]
    for first in range(0, len(told), 500):
        taken = take_sightings(
            walk.pk, told[first : first + 500], by=by, now=_after(now), sent_at=_after(now)
        )
        assert taken.refused == {}
    signed = sign_off(walk.pk, words="the whole room", by=by, now=_after(now))
    assert signed.expected == signed.seen == len(told)
    return len(told)


def _after(now: datetime) -> datetime:
    return now + timedelta(seconds=1)

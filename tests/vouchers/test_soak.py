"""The collection under many writers that are killed at random statements: nothing is lost, doubled or half done.

An ordinary run is a sample. The whole is 1,000 vouchers, 64 writers and 50 kills: `make soak`. A run prints its seed;
SOAK_SEED draws the same kills again, though not the same order of the writers.
"""

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection

from ledger.finds.models import Find
from ledger.taxa.actions import load_reference
from ledger.traits.reference_files import read_reference
from tests.factories import FindFactory
from tests.people import make_person
from tests.vouchers.soak_writer import SPLIT_AT, SPLIT_EVERY
from vouchers.loans.models import Condition, Loan, LoanItem
from vouchers.parts.models import Part
from vouchers.preparation import order
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.verification import verify_register
from vouchers.store.actions import make_places
from vouchers.store.models import Move

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Size:
    vouchers: int
    processes: int
    threads: int
    kills: int


SIZE = Size(1000, 4, 16, 50) if os.environ.get("SOAK") == "whole" else Size(60, 2, 8, 4)
# A find takes some 60 statements; a process dies while it still has much to do.
DIES_WITHIN = 25 * SIZE.vouchers
# Those whose place in the order is drawn to be split become two more vouchers each.
SPLIT = len(range(SPLIT_AT, SIZE.vouchers, SPLIT_EVERY))
VOUCHERS = SIZE.vouchers + 2 * SPLIT
SEED = int(os.environ.get("SOAK_SEED") or random.SystemRandom().randrange(10**9))


@pytest.mark.django_db(transaction=True)
def test_many_writers_killed_at_random_leave_a_whole_register_and_each_packet_in_one_place(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # Written to the rows: the writers are processes of their own, and ask it what only fresh material shows.
    load_reference(read_reference(Path(settings.FIXTURES)))
    curator = make_person("curator")
    finds = [str(find.pk) for find in FindFactory.create_batch(SIZE.vouchers, finder=curator)]
    (room,) = make_places("room", "Herbarium", None)
    boxes = [box.pk for box in make_places("cabinet", "Cabinet", room, count=7)]
    asked = {
        "database": str(connection.settings_dict["NAME"]),
        "by": curator.pk,
        "by_name": curator.full_name,
        "now": NOW.isoformat(),
        "threads": SIZE.threads,
        "finds": finds,
        "boxes": boxes,
    }
    connection.close()
    ends = run(asked)
    with capsys.disabled():
        sys.stdout.write(
            f"\nSoak: SOAK_SEED={SEED} {SIZE} ends {dict(ends.codes)}, waited again {ends.waited} times.\n"
        )
    assert ends.codes[-signal.SIGKILL] == SIZE.kills, ends.errors
    assert ends.codes[0] == SIZE.processes and len(ends.codes) == 2, ends.errors
    the_register_is_whole()
    every_packet_is_in_exactly_one_place()
    each_was_dried_once_and_lies_in_its_packet(finds)
    what_was_lent_came_back()


@dataclass
class Ends:
    codes: Counter[int]
    waited: int
    errors: list[str]


def run(asked: dict[str, Any]) -> Ends:
    """Keep the processes going, one that was killed with another in its place, until all kills are spent and all is done."""
    drawn = random.Random(SEED)
    ends = Ends(Counter(), 0, [])
    armed: dict[subprocess.Popen[str], bool] = {}
    finished = 0
    reach = [40, 400, DIES_WITHIN]
    while finished < SIZE.processes:
        while len(armed) < SIZE.processes - finished:
            dies_at = None
            if ends.codes[-signal.SIGKILL] + sum(armed.values()) < SIZE.kills:
                # Also at the first statements: what a process does when it starts is done by many at once.
                dies_at = drawn.randrange(1, drawn.choice(reach))
            process = start(asked, dies_at, before=drawn.random() < 0.5, order=drawn.randrange(10**9))
            armed[process] = dies_at is not None
        done = next((one for one in armed if one.poll() is not None), None)
        if done is None:
            time.sleep(0.02)
            continue
        out, error = done.communicate()
        outlived = armed.pop(done) and done.returncode == 0
        if done.returncode == 0:
            ends.waited += json.loads(out)["waited"]
        if outlived:
            reach = [40, 400]  # little is left to do: it came to its end before the statement that was drawn
            continue
        ends.codes[done.returncode] += 1
        if done.returncode not in (0, -signal.SIGKILL):
            ends.errors.append(error)
        finished += done.returncode != -signal.SIGKILL
    return ends


def start(asked: dict[str, Any], dies_at: int | None, *, before: bool, order: int) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.vouchers.soak_writer"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert process.stdin is not None
    process.stdin.write(json.dumps(asked | {"dies_at": dies_at, "before": before, "order": order}))
    process.stdin.close()
    process.stdin = None
    return process


def the_register_is_whole() -> None:
    verified = verify_register()
    assert verified.trouble is None, verified.trouble
    assert verified.vouchers == VOUCHERS
    assert sorted(Voucher.objects.values_list("serial", flat=True)) == list(range(1, VOUCHERS + 1))
    kinds = Counter(RegisterEntry.objects.values_list("kind", flat=True))
    assert kinds["accession"] == VOUCHERS
    assert kinds["split"] == SPLIT
    assert set(
        Counter(Find.objects.exclude(split_from=None).values_list("split_from", flat=True)).values()
    ) == {2}
    assert kinds["deaccession"] == Voucher.objects.filter(deaccessioned_at__isnull=False).count()


def every_packet_is_in_exactly_one_place() -> None:
    """Each voucher has one packet; what is there lies where its last move put it, and each move starts where one ended."""
    assert (
        Counter(Part.objects.filter(kind="packet").values_list("voucher", flat=True)).most_common(1)[0][1]
        == 1
    )
    assert Part.objects.filter(kind="packet").count() == VOUCHERS
    assert not Part.objects.there().filter(kind="packet", place=None).exists()
    lies: dict[int, int | None] = {}
    for move in Move.objects.order_by("id"):
        assert move.from_place_id == lies.get(move.part_id), f"{move.part} went from where it was not"
        lies[move.part_id] = move.to_place_id
    assert lies == dict(Part.objects.filter(place__isnull=False).values_list("pk", "place"))


def each_was_dried_once_and_lies_in_its_packet(finds: list[str]) -> None:
    """Every second find went the whole way, each step once; nobody's drying run was left empty by a kill."""
    kinds = [order.INTO_DRIER, order.OUT_OF_DRIER, order.INTO_FREEZER, order.OUT_OF_FREEZER, order.PACKET]
    steps: dict[str, list[PreparationStep]] = {}
    for step in PreparationStep.objects.exclude(kind=order.LEFT_OUT):
        steps.setdefault(str(step.find_id), []).append(step)
    assert set(steps) == set(finds[::2])
    for taken in steps.values():
        assert [step.kind for step in sorted(taken, key=lambda step: step.at)] == kinds
        assert order.replay(step.step for step in taken).where == order.IN_PACKET
    assert DryingRun.objects.count() == len(steps)


def what_was_lent_came_back() -> None:
    """Each loan has a packet, came back once with its condition, and has the next number; none was made by half.

    Two writers that looked at one moment may lend a packet one after the other, as two people may.
    """
    lent = set(LoanItem.objects.values_list("part__voucher__find", flat=True))
    assert len(lent) == len(range(0, SIZE.vouchers, 5))
    assert not LoanItem.objects.out().exists()
    assert sorted(Condition.objects.values_list("item", flat=True)) == sorted(
        LoanItem.objects.values_list("pk", flat=True)
    )
    numbers = sorted(LoanItem.objects.values_list("loan__serial", flat=True))
    assert numbers == list(range(1, Loan.objects.count() + 1))

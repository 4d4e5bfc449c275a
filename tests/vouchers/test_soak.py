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
from django.db import connection

from tests.factories import FindFactory
from tests.people import make_person
from vouchers.parts.models import Part
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
SEED = int(os.environ.get("SOAK_SEED") or random.SystemRandom().randrange(10**9))


@pytest.mark.django_db(transaction=True)
def test_many_writers_killed_at_random_leave_a_whole_register_and_each_packet_in_one_place(
    capsys: pytest.CaptureFixture[str],
) -> None:
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
    assert verified.vouchers == SIZE.vouchers
    assert sorted(Voucher.objects.values_list("serial", flat=True)) == list(range(1, SIZE.vouchers + 1))
    kinds = Counter(RegisterEntry.objects.values_list("kind", flat=True))
    assert kinds["accession"] == SIZE.vouchers
    assert kinds["deaccession"] == Voucher.objects.filter(deaccessioned_at__isnull=False).count()


def every_packet_is_in_exactly_one_place() -> None:
    """Each voucher has one packet; what is there lies where its last move put it, and each move starts where one ended."""
    assert (
        Counter(Part.objects.filter(kind="packet").values_list("voucher", flat=True)).most_common(1)[0][1]
        == 1
    )
    assert Part.objects.filter(kind="packet").count() == SIZE.vouchers
    assert not Part.objects.there().filter(kind="packet", place=None).exists()
    lies: dict[int, int | None] = {}
    for move in Move.objects.order_by("id"):
        assert move.from_place_id == lies.get(move.part_id), f"{move.part} went from where it was not"
        lies[move.part_id] = move.to_place_id
    assert lies == dict(Part.objects.filter(place__isnull=False).values_list("pk", "place"))

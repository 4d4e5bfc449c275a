"""A process of its own with many writers that carry vouchers through the collection; it may be killed at any statement.

What to do comes as JSON on standard input; settings and database by the environment, as for any process of the ledger.
Each step looks first whether it was done: who comes after a crash does not know how far the one before came.
"""

import json
import os
import random
import signal
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

TRIES = 5
# One in so many finds is a mixed collection that becomes two; none of these is lent or deaccessioned as well.
SPLIT_EVERY, SPLIT_AT = 25, 7


class Fate:
    """Counts statements and commits of all writers, and ends the process at the one that was drawn, before or after it."""

    def __init__(self, dies_at: int | None, *, before: bool) -> None:
        self.left, self.before = dies_at, before
        self._lock = threading.Lock()

    def met(self) -> bool:
        with self._lock:
            if self.left is None:
                return False
            self.left -= 1
            return self.left == 0

    def around(self, act: Callable[[], Any]) -> Any:
        is_met = self.met()
        if is_met and self.before:
            os.kill(os.getpid(), signal.SIGKILL)
        done = act()
        if is_met:
            os.kill(os.getpid(), signal.SIGKILL)
        return done


def main() -> None:
    asked = json.load(sys.stdin)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    import django

    django.setup()
    from django.conf import settings
    from django.db import OperationalError, connection

    settings.DATABASES["default"]["NAME"] = asked["database"]
    connection.settings_dict["NAME"] = asked["database"]
    fate = Fate(asked["dies_at"], before=asked["before"])
    waited = 0

    def watched(work: Callable[[], None]) -> None:
        """Run on this writer's own connection, every statement and commit of which may be the last."""
        commit = connection.commit

        def statement(execute: Any, *given: Any) -> Any:
            return fate.around(lambda: execute(*given))

        connection.commit = lambda: fate.around(commit)
        try:
            with connection.execute_wrapper(statement):
                work()
        finally:
            del connection.commit
            connection.close()

    def one(found: tuple[int, str]) -> None:
        nonlocal waited
        for step in steps(*found, asked):
            for attempt in range(TRIES):
                try:
                    watched(step)
                    break
                except OperationalError:
                    # So busy that the database gave up waiting: whoever pressed the button presses it again.
                    waited += 1
                    if attempt == TRIES - 1:
                        raise
                    time.sleep(0.2)

    finds = list(enumerate(asked["finds"]))
    random.Random(asked["order"]).shuffle(finds)
    with ThreadPoolExecutor(asked["threads"]) as pool:
        for _ in pool.map(one, finds):
            pass
    json.dump({"waited": waited}, sys.stdout)


def steps(place: int, find_id: str, asked: dict[str, Any]) -> list[Callable[[], None]]:
    """What is done with one find, in order. Several processes do the same with it at one moment."""
    from ledger.finds.models import Find
    from ledger.people.models import Member
    from vouchers.loans.actions import LoanTerms, lend, return_items
    from vouchers.loans.models import LoanItem
    from vouchers.loans.refusals import LoanRefused
    from vouchers.parts.actions import PartRefused, end_part, make_part
    from vouchers.parts.models import Part
    from vouchers.parts.splitting import Share, SplitRefused, split
    from vouchers.preparation import order
    from vouchers.preparation.actions import PreparationRefused, RunFacts, WhyNot, put_in_drier, record
    from vouchers.preparation.models import PreparationStep
    from vouchers.register.actions import AccessionRefused, DeaccessionRefused, accession, deaccession
    from vouchers.register.models import Voucher
    from vouchers.store.actions import StoreRefused, move
    from vouchers.store.models import StorePlace

    by = Member(pk=asked["by"], full_name=asked["by_name"])
    now = datetime.fromisoformat(asked["now"]).astimezone(UTC)
    find = UUID(find_id)

    # What another process has done a moment ago is refused by a sentence, as it would be to a person; that is no failure.
    refused = suppress(
        AccessionRefused,
        DeaccessionRefused,
        LoanRefused,
        PartRefused,
        PreparationRefused,
        SplitRefused,
        StoreRefused,
    )

    def take_in() -> None:
        with refused:
            accession(find, by=by, now=now)

    def add(kind: str) -> Callable[[], None]:
        def made() -> None:
            if not Part.objects.filter(voucher__find=find, kind=kind).exists():
                with refused:
                    make_part(Voucher.objects.get(find=find).pk, kind, by=by, now=now)

        return made

    def store() -> None:
        to = StorePlace.objects.get(pk=asked["boxes"][place % len(asked["boxes"])])
        with refused:
            move(list(Part.objects.there().filter(voucher__find=find)), to, by=by, now=now, why="soak")

    def send_away() -> None:
        for part in Part.objects.there().filter(voucher__find=find, kind="duplicate"):
            with refused:
                end_part(part.pk, why="sent in exchange", by=by, now=now)

    def take_out() -> None:
        voucher = Voucher.objects.get(find=find)
        with refused:
            deaccession(voucher.pk, reason="spoiled", words="Mould in the whole drawer.", by=by, now=now)

    def prepared(kind: str, hours_ago: int) -> Callable[[], None]:
        def done() -> None:
            if PreparationStep.objects.filter(find=find, kind=kind).exists():
                return
            at = now - timedelta(hours=hours_ago)
            why = WhyNot(all="sample of the soak")
            with refused:
                if kind == order.INTO_DRIER:
                    put_in_drier([find], RunFacts("drier"), at=at, by=by, now=now, why_not=why)
                else:
                    record([find], kind, at=at, by=by, now=now, why_not=why)

        return done

    def lent() -> None:
        if LoanItem.objects.filter(part__voucher__find=find).exists():
            return
        terms = LoanTerms(
            "Herbarium", "Dr Hale", "", "", "revision", "", now.date(), now.date() + timedelta(180)
        )
        packets = Part.objects.there().filter(voucher__find=find, kind="packet")
        with refused:
            lend(terms, [part.pk for part in packets], by=by, now=now)

    def come_back() -> None:
        for item in LoanItem.objects.out().filter(part__voucher__find=find):
            with refused:
                return_items(item.loan_id, {item.part_id: "whole"}, by=by, now=now)

    def sort_out() -> None:
        if not Find.objects.filter(split_from=find).exists():
            with refused:
                split(find, [Share(note="the upper"), Share(note="the lower")], by=by, now=now)

    def store_shares() -> None:
        to = StorePlace.objects.get(pk=asked["boxes"][0])
        with refused:
            move(list(Part.objects.there().filter(voucher__find__split_from=find)), to, by=by, now=now)

    chosen = [take_in, store]
    if place % 2 == 0:
        kinds = (order.INTO_DRIER, order.OUT_OF_DRIER, order.INTO_FREEZER, order.OUT_OF_FREEZER, order.PACKET)
        chosen[1:1] = [prepared(kind, hours) for kind, hours in zip(kinds, range(6, 0, -1), strict=False)]
    if place % 3 == 0:
        chosen[1:1] = [add("slide"), add("tissue tube")]
    if place % 4 == 0:
        chosen += [add("duplicate"), store, send_away]
    if place % 5 == 0:
        chosen += [lent, come_back]
    if place % 10 == 0:
        chosen.append(take_out)
    if place % SPLIT_EVERY == SPLIT_AT:
        chosen += [sort_out, store_shares]
    return chosen


if __name__ == "__main__":
    main()

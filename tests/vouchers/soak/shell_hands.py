"""Hands that work in `manage.py shell`: they look at the rows and call the actions, as a keeper does there."""

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

from django.db import OperationalError
from django.utils import timezone

from ledger.club.queries import the_club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.vouchers.soak import plan
from tests.vouchers.soak.carrying import CutOff, Refused
from tests.vouchers.soak.plan import Next, Standing
from vouchers.exchange.actions import SendingTerms, send
from vouchers.loans.actions import LoanTerms, lend, return_items
from vouchers.loans.models import LoanItem
from vouchers.parts.actions import make_part
from vouchers.parts.models import Part
from vouchers.parts.splitting import Share, split
from vouchers.preparation import order
from vouchers.preparation.actions import RunFacts, WhyNot, put_in_drier, record
from vouchers.preparation.models import PreparationStep
from vouchers.printing import items
from vouchers.printing.actions import keep_print, print_items
from vouchers.printing.models import PrintedLabel
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import Voucher
from vouchers.register.queries import for_labels
from vouchers.stocktake.actions import open_stocktake, settle, sign_off, take_sightings
from vouchers.stocktake.message import Told
from vouchers.stocktake.models import Stocktake
from vouchers.stocktake.queries import standing
from vouchers.store.moving import WrongCodes, move_codes
from vouchers.store.queries import place_of_code

SETTLED_BY = {"missing": "in place", "misplaced": "noted", "twice": "same", "unknown": "no specimen"}


class ShellHands:
    """One person at a shell. `began`: when the soak began; `papers`: the folder to which PDFs are printed."""

    def __init__(self, by: int, began: datetime, papers: Path) -> None:
        self.by = Member.objects.get(pk=by)
        self.began, self.papers = began, papers

    def _at_the_prompt(self, act: Callable[[], Any]) -> Any:
        """What the house refuses, it refuses by a ValueError. Where the database was too busy, whoever typed it types it
        again, after another look."""
        try:
            return act()
        except OperationalError as trouble:
            time.sleep(0.2)
            raise CutOff("busy") from trouble
        except (ValueError, WrongCodes) as refusal:
            raise Refused(str(refusal)) from refusal

    # Looking.

    def look(self, find: str) -> Standing:
        return self._at_the_prompt(lambda: self._look(UUID(find)))

    def _look(self, find: UUID) -> Standing:
        voucher = Voucher.objects.filter(find=find).first()
        shares = (
            Find.objects.filter(split_from=find).order_by("collecting_suffix").values_list("pk", flat=True)
        )
        if voucher is None:
            return Standing(str(find))
        parts = list(voucher.parts.select_related("place"))
        lent = LoanItem.objects.filter(part__voucher=voucher)
        out = lent.out().select_related("loan").first()
        steps = PreparationStep.objects.in_force().filter(find=find).exclude(kind=order.LEFT_OUT)
        return Standing(
            str(find),
            number=str(voucher),
            steps=tuple(step.kind for step in sorted(steps, key=lambda step: (step.at, step.pk))),
            parts={
                part.suffix: part.place.number if part.place else 0 for part in parts if not part.ended_at
            },
            had=frozenset(part.suffix[:1] for part in parts),
            labels=frozenset(PrintedLabel.objects.filter(voucher=voucher).values_list("kind", flat=True)),
            was_lent=lent.exists(),
            loan=str(out.loan) if out else "",
            is_gone=voucher.deaccessioned_at is not None,
            shares=tuple(self._look(share) for share in shares),
        )

    # Doing.

    def do(self, step: Next) -> None:
        acts = {
            plan.ACCESSION: self._accession,
            plan.PREPARE: self._prepare,
            plan.ADD: self._add,
            plan.LABEL: self._label,
            plan.STORE: self._store,
            plan.SPLIT: self._split,
            plan.SEND: self._send,
            plan.LEND: self._lend,
            plan.TAKE_BACK: self._take_back,
            plan.DEACCESSION: self._deaccession,
        }
        self._at_the_prompt(lambda: acts[step.step](step, timezone.now()))

    def _accession(self, step: Next, now: datetime) -> None:
        accession(UUID(step.of.find), by=self.by, now=now)

    def _prepare(self, step: Next, now: datetime) -> None:
        finds, why = [UUID(step.of.find)], WhyNot(all="sample of the soak")
        at = first_at(self.began, len(step.of.steps)) or now
        if step.what == order.INTO_DRIER:
            put_in_drier(finds, RunFacts("shell drier"), at=at, by=self.by, now=now, why_not=why)
        else:
            record(finds, step.what, at=at, by=self.by, now=now, why_not=why)

    def _add(self, step: Next, now: datetime) -> None:
        make_part(self._voucher(step.of).pk, step.what, by=self.by, now=now)

    def _label(self, step: Next, now: datetime) -> None:
        vouchers = for_labels([self._voucher(step.of).pk])
        sheets = ["labels-96x92", "duplicates"] if "D1" in step.of.parts else ["labels-96x92"]
        run = print_items(
            items.of_vouchers(vouchers, sheets, club=the_club(), member=self.by), paper="a4", now=now
        )
        if run.pdf is None or run.refused:
            raise Refused("; ".join(run.reasons) or "no PDF")
        # On paper first: who is cut off in between prints it again, and two papers are better than none.
        (self.papers / f"{self._voucher(step.of).slug}-{uuid4()}.pdf").write_bytes(run.pdf)
        keep_print(run, by=self.by, now=now)

    def _store(self, step: Next, now: datetime) -> None:
        move_codes(f"PLACE {step.box}", step.numbers, by=self.by, now=now, why="soak")

    def _split(self, step: Next, now: datetime) -> None:
        shares = [Share(note="the upper"), Share(note="the lower")]
        split(UUID(step.of.find), shares, by=self.by, now=now)

    def _send(self, step: Next, now: datetime) -> None:
        terms = SendingTerms("Herbarium of Fenwick", "Dr Hale", "", timezone.localdate(now), "")
        send(terms, [part.pk for part in self._parts(step)], by=self.by, now=now)

    def _lend(self, step: Next, now: datetime) -> None:
        day = timezone.localdate(now)
        terms = LoanTerms(
            "Herbarium of Fenwick", "Dr Hale", "", "", "revision", "Not cut.", day, day + timedelta(180)
        )
        lend(terms, [part.pk for part in self._parts(step)], by=self.by, now=now, condition="whole")

    def _take_back(self, step: Next, now: datetime) -> None:
        item = LoanItem.objects.out().filter(part__in=self._parts(step)).first()
        if item is None:
            raise Refused("it is back already")
        return_items(item.loan_id, {item.part_id: "as it left"}, by=self.by, now=now)

    def _deaccession(self, step: Next, now: datetime) -> None:
        words = "Mould in the whole drawer."
        deaccession(self._voucher(step.of).pk, reason="spoiled", words=words, by=self.by, now=now)

    def _voucher(self, of: Standing) -> Voucher:
        return Voucher.objects.get(find=of.find)

    def _parts(self, step: Next) -> list[Part]:
        parts = {part.number: part for part in Part.objects.with_number().filter(voucher__find=step.of.find)}
        return [parts[number] for number in step.numbers]

    # Stocktake of one box.

    def stocktake(self, box: int) -> bool:
        return self._at_the_prompt(lambda: self._stocktake(box))

    def _stocktake(self, box: int) -> bool:
        place = place_of_code(f"PLACE {box}")
        walks = Stocktake.objects.filter(place=place)
        if walks.filter(signed_at__isnull=False).exists():
            return True
        if not Part.objects.there().filter(place=place).exists():
            return False
        walk = walks.filter(given_up_at__isnull=True).first()
        if walk is None:
            walk = open_stocktake(place, by=self.by, now=timezone.now())
        if not walk.sightings.exists():
            now = timezone.now()
            lie = Part.objects.there().with_number().filter(place=place)
            if not (told := [Told(uuid4(), part.number, box, now, False) for part in lie]):
                return False  # what lay in it when the walk was opened has left it since
            take_sightings(walk.pk, told, by=self.by, now=timezone.now(), sent_at=now)
        for one in standing(walk).open:
            settle(
                walk.pk,
                one.key,
                way=SETTLED_BY[one.kind],
                reason="looked again",
                by=self.by,
                now=timezone.now(),
            )
        sign_off(walk.pk, words="soak", by=self.by, now=timezone.now())
        return True


def first_at(began: datetime, steps: int) -> datetime | None:
    """When a step of the first preparation was done, by how many came before it; None for those after a loan: now."""
    left = len(plan.FIRST) - steps
    return began.replace(second=0, microsecond=0) - timedelta(hours=left) if left > 0 else None

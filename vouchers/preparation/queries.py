"""What the preparation's screens show: where each find's material is, and what is due."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.utils import timezone

from ledger.finds.assess import reading_value
from ledger.finds.models import Find, Reading
from ledger.taxa.queries import vocabulary
from ledger.words import Said, lowered, say, say_n
from vouchers.loans.models import LoanItem
from vouchers.preparation import order
from vouchers.preparation.missed import missed_fresh_only
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.preparation.thickness import Thick, thick_among, thickest_mm
from vouchers.register.models import Voucher

MOVES = (order.INTO_DRIER, order.OUT_OF_DRIER, order.INTO_FREEZER, order.OUT_OF_FREEZER, order.PACKET)
# A night on the table is gone by six; until then what falls due is due "tonight".
MORNING = time(6)
# [practice.md 6] Start within hours, dry within 24 h at most.
DRY_WITHIN = timedelta(hours=24)
# What was never dried after so long is dry or gone: it is no news any more, and stands in the list of the drier alone.
NEWS_FOR = timedelta(days=30)
_MOST_SAID = 200


@dataclass
class InHand:
    """A find with its steps in force, the earliest first; those of the collection it was split from are among them."""

    find: Find
    steps: list[PreparationStep]

    @cached_property
    def state(self) -> order.State:
        return order.replay(step.step for step in self.steps)

    @cached_property
    def into_drier(self) -> PreparationStep | None:
        return self._last(order.INTO_DRIER)

    @cached_property
    def into_freezer(self) -> PreparationStep | None:
        return self._last(order.INTO_FREEZER)

    @property
    def run(self) -> DryingRun | None:
        return self.into_drier.run if self.into_drier else None

    @property
    def tray(self) -> int | None:
        return self.into_drier.tray if self.into_drier else None

    @property
    def due_at(self) -> datetime | None:
        """When it is to come out of where it lies, as planned by whoever put it there; None where nobody planned."""
        if self.state.where == order.IN_FREEZER and self.into_freezer and self.into_freezer.days is not None:
            return self.into_freezer.at + timedelta(days=self.into_freezer.days)
        if self.state.where != order.IN_DRIER or self.into_drier is None:
            return None
        planned = self.run.planned_hours if self.run else None
        longer = [
            step.hours
            for step in self.steps
            if step.kind == order.LONGER and step.hours and step.at >= self.into_drier.at
        ]
        if planned is None and not longer:
            return None
        return self.into_drier.at + timedelta(hours=(planned or 0) + sum(longer))

    def _last(self, kind: str) -> PreparationStep | None:
        return next((step for step in reversed(self.steps) if step.kind == kind), None)


@dataclass(frozen=True, slots=True)
class Load:
    """What lies in the drier of one run now, the earliest due first."""

    run: DryingRun | None
    rows: Sequence[InHand]
    thick: Sequence[Thick]


def steps_of(finds: Iterable[Find]) -> list[InHand]:
    """The finds with their steps, in the order given: three queries however many."""
    finds = list(finds)
    parents = {find.pk: find.split_from_id for find in finds if find.split_from_id}
    above = dict(
        Find.objects.filter(pk__in=set(parents.values()), split_from__isnull=False).values_list(
            "pk", "split_from_id"
        )
    )
    lines = {find.pk: _line(find.pk, parents, above) for find in finds}
    wanted = {pk for line in lines.values() for pk in line}
    by_find: dict[UUID, list[PreparationStep]] = {}
    rows = PreparationStep.objects.in_force().filter(find_id__in=wanted)
    for step in rows.select_related("run", "entered_by").order_by("at", "id"):
        by_find.setdefault(step.find_id, []).append(step)
    return [
        InHand(
            find,
            sorted(
                (step for pk in lines[find.pk] for step in by_find.get(pk, ())),
                key=lambda step: (step.at, step.pk),
            ),
        )
        for find in finds
    ]


def _line(pk: UUID, parents: dict[UUID, UUID], above: dict[UUID, UUID]) -> list[UUID]:
    line = [pk]
    if parent := parents.get(pk):
        line.append(parent)
        if grandparent := above.get(parent):
            line.append(grandparent)
    return line


def in_hand(find: Find) -> InHand:
    return steps_of([find])[0]


def missed_of(row: InHand) -> tuple[str, ...]:
    """The fresh-only steps not done; the find's current readings should be fetched with it (`with_readings`)."""
    find = row.find
    current = [one for one in find.readings.all() if one.ended_at is None]
    readings = {one.trait: reading_value(one) for one in current}
    return missed_fresh_only(vocabulary(), readings, find.specimen_state, row.state)


def subject_words(subject: str) -> Said:
    """`cap_width` is cap width; what is no trait says itself."""
    trait = vocabulary().traits.get(subject)
    return lowered(trait.label) if trait else say(order.SUBJECT_WORDS.get(subject, subject))


def kept_finds() -> QuerySet[Find]:
    """Finds with material, their names and finders; those that were split are told by their shares."""
    rows: QuerySet[Find] = Find.objects.for_list()
    return rows.filter(kept=True).filter(~Exists(Find.objects.filter(split_from=OuterRef("pk"))))


def with_readings(finds: QuerySet[Find]) -> QuerySet[Find]:
    return finds.prefetch_related(Prefetch("readings", Reading.objects.filter(ended_at__isnull=True)))


def _own() -> Q:
    """Steps of the find of the outer query, and of what it was split from."""
    return (
        Q(find=OuterRef("pk"))
        | Q(find=OuterRef("split_from_id"))
        | Q(find=OuterRef("split_from__split_from_id"))
    )


def with_last_move(finds: QuerySet[Find], kind: str) -> QuerySet[Find]:
    """Those whose last move is of this kind. Only what ever was moved so is looked at, with the shares of it."""
    moved = PreparationStep.objects.filter(kind=kind).order_by().values("find_id")
    shares = Find.objects.filter(split_from__isnull=False).order_by()
    of_line = moved.union(
        shares.filter(split_from__in=moved).values("pk"),
        shares.filter(split_from__split_from__in=moved).values("pk"),
    )
    # One set of them: of three an "or" would read every find.
    finds = finds.filter(pk__in=of_line)
    moves = PreparationStep.objects.in_force().filter(_own(), kind__in=MOVES).order_by("-at", "-id")
    return finds.annotate(
        last_move=Subquery(moves.values("kind")[:1]), last_move_at=Subquery(moves.values("at")[:1])
    ).filter(last_move=kind)


def lying(kind: str) -> list[InHand]:
    """Finds whose last move was of this kind, that moved earliest first."""
    finds = with_last_move(kept_finds(), kind).order_by("last_move_at", "collecting_serial")
    return steps_of(finds)


def loads() -> list[Load]:
    """What is in the driers now, by run, the run with the earliest due first; those without a plan last."""
    by_run: dict[int, list[InHand]] = {}
    finds = with_last_move(kept_finds(), order.INTO_DRIER)
    for row in steps_of(with_readings(finds)):
        by_run.setdefault(row.into_drier.run_id if row.into_drier else 0, []).append(row)
    made = []
    for rows in by_run.values():
        rows.sort(key=_due_first)
        made.append(Load(rows[0].run, rows, thick_of(rows)))
    return sorted(made, key=lambda load: _due_first(load.rows[0]))


def _due_first(row: InHand) -> tuple[bool, datetime, int]:
    due = row.due_at
    at = due or (row.into_drier.at if row.into_drier else timezone.now())
    return (due is None, at, row.find.collecting_serial)


def thick_of(rows: Sequence[InHand]) -> list[Thick]:
    """The thick brackets among these, by what was read of their caps' thickness."""
    measured = {}
    for row in rows:
        for one in row.find.readings.all():
            if one.trait == "cap_thickness" and one.ended_at is None and one.looked == "read":
                mm = thickest_mm(one.values, one.high)
                if mm is not None:
                    measured[row.find.collecting_number] = mm
    return thick_among(measured)


def morning_after(now: datetime) -> datetime:
    """When tonight ends: the next six o'clock in the ledger's own time."""
    local = timezone.localtime(now)
    day = local.date() if local.time() < MORNING else local.date() + timedelta(days=1)
    return timezone.make_aware(datetime.combine(day, MORNING))


def for_drier(finds: QuerySet[Find]) -> QuerySet[Find]:
    """Of these, what was never in a drier and is said by nobody to need none; in no freezer and no packet."""
    stopped = (
        PreparationStep.objects.in_force()
        .filter(_own())
        .filter(Q(kind__in=MOVES) | Q(kind=order.LEFT_OUT, subjects__contains=order.DRYING))
    )
    return finds.filter(~Exists(stopped))


def waiting_too_long(now: datetime) -> QuerySet[Find]:
    """Kept finds of the last month without a number that are in no drier a day after they were found, the latest first.

    Where the hour of finding is not known, the day counts from its end; where no day is known, from the log. One that is
    accessioned has its packet: somebody dried it, here or before this log was kept.
    """
    by_day, without_day = _late(now)
    return _waiting(by_day | without_day).order_by("-found_on", "collecting_code", "collecting_serial")


def _late(now: datetime) -> tuple[Q, Q]:
    """Found a day ago and within the last month, by the day of the find; and logged so where no day is known."""
    limit, first = timezone.localtime(now) - DRY_WITHIN, timezone.localtime(now) - NEWS_FOR
    is_over = Q(found_on__lt=limit.date()) | Q(found_at_time__lte=limit.time())
    return (
        Q(found_on__range=(first.date(), limit.date())) & is_over,
        Q(found_on__isnull=True, logged_at__range=(first, limit)),
    )


def _waiting(late: Q) -> QuerySet[Find]:
    unnumbered = ~Exists(Voucher.objects.filter(find=OuterRef("pk")))
    return for_drier(kept_finds().filter(late, unnumbered))


_NUMBERED = ("collecting_code", "collecting_serial", "collecting_suffix")


def waiting_sentence(now: datetime) -> str:
    """For curators: what was kept and is in no drier a day after it was found; empty where nothing is."""
    finds: list[Find] = []
    # Each in the order of an index, so that of very many only the latest are looked at.
    for late in _late(now):
        rows = _waiting(late).order_by("-found_on", "-logged_at").select_related(None).only(*_NUMBERED)
        finds += rows[: _MOST_SAID + 1 - len(finds)]
    many = len(finds)
    if not many:
        return ""
    named = ", ".join(find.collecting_number for find in finds[:5])
    if 5 < many <= _MOST_SAID:
        named = say("{numbers} and {n} more", numbers=named, n=many - 5)
    if many > _MOST_SAID:
        return say(
            "More than {n} finds were kept and are in no drier a day after they were found: {numbers}.",
            n=_MOST_SAID,
            numbers=named,
        )
    return say_n(
        "{n} find was kept and is in no drier a day after it was found: {numbers}.",
        "{n} finds were kept and are in no drier a day after they were found: {numbers}.",
        many,
        numbers=named,
    )


def on_tray(tray: int) -> list[InHand]:
    """What lies on the tray with this tag now."""
    finds = Find.objects.for_list().filter(
        pk__in=PreparationStep.objects.in_force().filter(kind=order.INTO_DRIER, tray=tray).values("find_id")
    )
    return [row for row in steps_of(finds) if row.state.where == order.IN_DRIER and row.tray == tray]


def trays_in_use() -> dict[int, list[str]]:
    """Tray numbers with the collecting numbers that lie on them now."""
    used: dict[int, list[str]] = {}
    for row in lying(order.INTO_DRIER):
        if row.tray is not None:
            used.setdefault(row.tray, []).append(row.find.collecting_number)
    return used


def finds_of_run(run: DryingRun) -> list[InHand]:
    """Everything that ever was in this run and was not withdrawn, by tray and number."""
    inside = PreparationStep.objects.in_force().filter(run=run, kind=order.INTO_DRIER).values("find_id")
    rows = steps_of(with_readings(Find.objects.for_list().filter(pk__in=inside)))
    return sorted(rows, key=lambda row: (row.tray or 0, row.find.collecting_code, row.find.collecting_serial))


def steps_on_record(find: Find) -> list[PreparationStep]:
    """Every row of the find and of what it was split from, withdrawn ones too, in the order they were done."""
    line = {find.pk, find.split_from_id, find.split_from.split_from_id if find.split_from else None} - {None}
    rows = PreparationStep.objects.filter(find_id__in=line).exclude(kind=order.WITHDRAWN)
    return list(
        rows.select_related("run", "entered_by", "find", "withdrawal__entered_by").order_by("at", "id")
    )


# Slides, prints and tubes are no food for what a loan may bring home.
BEETLES_EAT = ("packet", "duplicate", "wood piece")


def back_from_loan(of: Find | None = None) -> list[InHand]:
    """Finds whose packet came back from a loan and was not frozen since, the longest back first. `of`: that find alone.

    What ever came back only grows; steps are read of what is left when those frozen since are taken off.
    """
    back: dict[UUID, datetime] = {}
    frozen_since = PreparationStep.objects.in_force().filter(
        find=OuterRef("part__voucher__find"),
        kind__in=(order.INTO_FREEZER, order.OUT_OF_FREEZER),
        at__gte=OuterRef("returned_at"),
    )
    returned = LoanItem.objects.filter(
        ~Exists(frozen_since),
        returned_at__isnull=False,
        part__ended_at__isnull=True,
        part__kind__in=BEETLES_EAT,
    )
    if of is not None:
        returned = returned.filter(part__voucher__find=of)
    for find_id, at in returned.values_list("part__voucher__find_id", "returned_at"):
        back[find_id] = max(at, back.get(find_id, at))
    rows = steps_of(kept_finds().filter(pk__in=back))
    waiting = [
        row
        for row in rows
        if row.state.where not in (order.IN_DRIER, order.IN_FREEZER)
        and (row.state.frozen_at is None or row.state.frozen_at < back[row.find.pk])
    ]
    return sorted(waiting, key=lambda row: back[row.find.pk])

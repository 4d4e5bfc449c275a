"""What the templates of the preparation get: rows with everything said already, so that they decide nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Case, Count, QuerySet, When
from django.http import QueryDict
from django.utils import timezone

from ledger.finds.access import may_amend, with_foray_shown
from ledger.finds.models import LATEST_FIRST, Find
from ledger.forays.models import Foray
from ledger.moments import local_day
from ledger.people.models import Member
from ledger.row_keys import key_of
from ledger.words import say
from vouchers.preparation import order, queries
from vouchers.preparation.forms import PutInForm, StepForm
from vouchers.preparation.models import DryingRun

MOST_ROWS = 60


@dataclass(frozen=True, slots=True)
class Row:
    """One find in a list with a box to tick."""

    find: Find
    tray: int | None
    due_at: datetime | None
    is_due: bool
    since: datetime | None
    picked: bool


@dataclass(frozen=True, slots=True)
class Section:
    """One form of the page: what lies in one place, and the steps that can follow."""

    code: str
    title: str
    rows: Sequence[Row]
    buttons: Sequence[tuple[str, str]]
    form: StepForm
    run: DryingRun | None = None
    said: Sequence[str] = ()
    lead: str = ""

    @property
    def asks(self) -> frozenset[str]:
        return frozenset(kind for kind, _ in self.buttons)


@dataclass(frozen=True, slots=True)
class Due:
    """One line of the list for tonight: what comes out of where, and by when."""

    at: datetime
    anchor: str
    words: str
    numbers: Sequence[str]
    is_late: bool


def sections(now: datetime, bound: StepForm | None = None) -> list[Section]:
    """What is in driers and freezers, and what waits for the next step; the bound form stands where it was sent from."""
    made = []
    for load in queries.loads():
        code = f"run-{load.run.pk}" if load.run else "run"
        made.append(
            _section(
                code,
                str(load.run),
                load.rows,
                ((order.OUT_OF_DRIER, say("Take out")), (order.LONGER, say("Leave in longer"))),
                now,
                bound,
                run=load.run,
                said=[thick.sentence for thick in load.thick],
            )
        )
    freezer, packet = (order.INTO_FREEZER, say("Into the freezer")), (order.PACKET, say("Into the packet"))
    lists = (
        ("dried", say("Dried, not frozen"), queries.lying(order.OUT_OF_DRIER), (freezer, packet), ""),
        ("freezer", say("In the freezer"), queries.lying(order.INTO_FREEZER),
         ((order.OUT_OF_FREEZER, say("Take out")),),
         say("Open bags at room temperature only, or water settles on what is cold.")),
        ("frozen", say("Frozen, not in the packet"), queries.lying(order.OUT_OF_FREEZER), (packet, freezer), ""),
        ("loan", say("Back from a loan, not frozen since"), queries.back_from_loan(), (freezer,), ""),
    )  # fmt: skip
    for code, title, rows, buttons, lead in lists:
        if rows:
            made.append(_section(code, title, rows, buttons, now, bound, lead=lead))
    return made


def section_of(run: DryingRun, now: datetime) -> Section | None:
    """What lies in the drier of that run, with the steps that can follow; None where all of it is out."""
    made = next((section for section in sections(now) if section.run == run), None)
    return replace(made, title=say("In it now"), run=None, said=()) if made else None


def _section(
    code: str,
    title: str,
    rows: Sequence[queries.InHand],
    buttons: Sequence[tuple[str, str]],
    now: datetime,
    bound: StepForm | None,
    *,
    run: DryingRun | None = None,
    said: Sequence[str] = (),
    lead: str = "",
) -> Section:
    form = bound if bound is not None and bound.section == code else StepForm(section=code)
    morning = queries.morning_after(now)
    shown = []
    for row in rows:
        due_tonight = row.due_at is not None and row.due_at <= morning
        # Ticked where its time is over; what is due later tonight stands in the list above, and is ticked by hand.
        is_over = row.due_at is not None and row.due_at <= now
        picked = row.find.pk in form.finds if form.is_bound else is_over
        tray = row.tray if row.state.where == order.IN_DRIER else None
        shown.append(Row(row.find, tray, row.due_at, due_tonight, row.state.since, picked))
    return Section(code, title, shown, buttons, form, run, said, lead)


def tonight(made: Sequence[Section], now: datetime) -> list[Due]:
    """What is due out until tomorrow's morning, the earliest first; what was due before stands first."""
    lines: dict[tuple[datetime, str], Due] = {}
    for section in made:
        for row in section.rows:
            if not row.is_due or row.due_at is None:
                continue
            numbers = [
                *getattr(lines.get((row.due_at, section.code)), "numbers", ()),
                row.find.collecting_number,
            ]
            words = str(section.run) if section.run else say("Freezer")
            lines[row.due_at, section.code] = Due(row.due_at, section.code, words, numbers, row.due_at < now)
    return sorted(lines.values(), key=lambda line: line.at)


@dataclass(frozen=True, slots=True)
class PutInRow:
    """One find that could go into the drier. `missed` are words for what only fresh material shows and nobody read."""

    find: Find
    missed: Sequence[str]
    picked: bool
    tray: str
    why: str
    is_asked: bool
    may_amend: bool


class PutInPage:
    """Which finds are offered for the drier: those of a foray, those that wait too long, one alone, or the latest."""

    def __init__(self, member: Member, query: QueryDict, now: datetime) -> None:
        self.member, self.now = member, now
        self.foray = Foray.objects.filter(pk=key_of(query.get("foray"))).first()
        self.late = not self.foray and query.get("late") == "1"
        self.typed = query.get("q", "").strip()[:40]
        self.asked_find = query.get("find", "")

    @property
    def finds(self) -> QuerySet[Find]:
        if self.late:
            return queries.waiting_too_long(self.now)
        finds = queries.for_drier(queries.kept_finds())
        if self.foray:
            finds = with_foray_shown(finds.filter(foray=self.foray), self.member)
            return finds.order_by("collecting_code", "collecting_serial", "collecting_suffix")
        if self.typed:
            return finds.filter(collecting_code__iexact=self.code, **self.serial).order_by(*LATEST_FIRST)
        # A day that is still to come is a slip: such a find is not the latest.
        to_come = Case(When(found_on__gt=local_day(self.now), then=1), default=0)
        return finds.order_by(to_come, *LATEST_FIRST)

    @property
    def code(self) -> str:
        return self.typed.rstrip("0123456789 ").upper()

    @property
    def serial(self) -> dict[str, int]:
        digits = self.typed[len(self.code) :].strip()
        return {"collecting_serial": int(digits)} if digits.isdecimal() and len(digits) < 10 else {}

    @property
    def forays(self) -> QuerySet[Foray]:
        """Forays of late with finds that wait for the drier, the latest first, with how many this member may know of."""
        waiting = with_foray_shown(queries.for_drier(queries.kept_finds()), self.member).values("pk")
        since = timezone.localdate(self.now) - queries.NEWS_FOR
        rows = Foray.objects.filter(finds__in=waiting, held_on__gte=since).annotate(
            waiting=Count("finds", distinct=True)
        )
        return rows.order_by("-held_on", "name")[:8]

    def rows(self, form: PutInForm, asked: Mapping[UUID, Sequence[str]]) -> list[PutInRow]:
        """The finds offered, and those ticked before that are not among them; ticked at once where a foray was chosen."""
        offered = list(queries.with_readings(self.finds)[:MOST_ROWS])
        known = {find.pk for find in offered}
        extra = [one for one in [*form.finds, *self._asked_for()] if one not in known]
        if extra:
            offered = [*queries.with_readings(queries.kept_finds().filter(pk__in=extra)), *offered]
        wanted = set(self._asked_for())
        rows = []
        for row in queries.steps_of(offered):
            pk = row.find.pk
            picked = pk in form.finds if form.is_bound else (self.foray is not None or pk in wanted)
            missed = order.asked_before(order.INTO_DRIER, row.state, queries.missed_of(row))
            rows.append(
                PutInRow(
                    find=row.find,
                    missed=[queries.subject_words(subject) for subject in missed],
                    picked=picked,
                    tray=form.data.get(f"tray-{pk}", "") if form.is_bound else "",
                    why=form.data.get(f"why-{pk}", "") if form.is_bound else "",
                    is_asked=pk in asked,
                    may_amend=may_amend(row.find, self.member),
                )
            )
        return rows

    def _asked_for(self) -> list[UUID]:
        try:
            return [UUID(self.asked_find)] if self.asked_find else []
        except ValueError:
            return []


def runs_under_way(now: datetime) -> list[DryingRun]:
    """Runs with something in them, and those of the last three days."""
    loads = {load.run.pk: load.run for load in queries.loads() if load.run}
    recent = DryingRun.objects.filter(started_at__gte=now - timedelta(days=3))
    return sorted({**{run.pk: run for run in recent}, **loads}.values(), key=lambda run: run.pk, reverse=True)


def first_words() -> Mapping[str, object]:
    """What the form of a new load opens with: the drier, temperature and hours of the last one."""
    last = DryingRun.objects.order_by("-started_at", "-pk").first()
    if last is None:
        return {}
    return {
        "drier": last.drier,
        "temperature": last.temperature,
        "temperature_unit": last.temperature_unit,
        "planned_hours": last.planned_hours,
    }

"""The only writers of preparation: a step for one or many finds at once, a drying run, a withdrawal. All or nothing."""

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ledger.days import day_text
from ledger.finds.models import Find
from ledger.moments import local_day, moment_text
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import say
from vouchers.parts.models import Part
from vouchers.preparation import order, queries, units
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.store.away import away_times

# How far a clock may be ahead before a time is said to lie in the future.
CLOCK_SLACK = timedelta(minutes=5)
LEAST_WORDS = 3
WORDS = 200
MOST_FINDS = 400
BIGGEST_TRAY = 9999


class PreparationRefused(ValueError):
    """Nothing was recorded. `sentences` say why, find by find."""

    is_early = False

    def __init__(self, *sentences: str) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


class TooEarly(PreparationRefused):
    """Something is asked first: it comes out before the planned hours are over."""

    is_early = True


class NotYet(PreparationRefused):
    """Something is asked first: do it now, or say why not. `asked` holds what, by find."""

    def __init__(self, asked: Mapping[UUID, tuple[str, ...]]) -> None:
        super().__init__(
            say(
                "Nothing was recorded yet: something was not done that cannot be done afterwards. Do it now, or say why not."
            )
        )
        self.asked = dict(asked)


@dataclass(frozen=True, slots=True)
class Details:
    """What a step carries beside its kind and time; what does not belong to the kind is left empty."""

    run: DryingRun | None = None
    trays: Mapping[UUID, int] = field(default_factory=dict)
    temperature: float | None = None
    temperature_unit: str = units.CELSIUS
    hours: float | None = None
    days: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class WhyNot:
    """Why something was left out: in words for one find, or for all that have none of their own."""

    of: Mapping[UUID, str] = field(default_factory=dict)
    all: str = ""

    def words(self, find: UUID) -> str:
        for text in (self.of.get(find, ""), self.all):
            words = one_line(text, WORDS)
            if len(words) >= LEAST_WORDS:
                return words
        return ""


@dataclass(frozen=True, slots=True)
class RunFacts:
    """A drying run as entered. Temperature and hours are None where nobody entered them."""

    drier: str
    temperature: float | None = None
    temperature_unit: str = units.CELSIUS
    planned_hours: float | None = None
    note: str = ""


@transaction.atomic
def record(
    find_ids: Sequence[UUID],
    kind: str,
    *,
    at: datetime,
    by: Member,
    now: datetime,
    details: Details | None = None,
    why_not: WhyNot | None = None,
    ask_if_early: bool = False,
) -> list[PreparationStep]:
    """Record one step of each find. Either all are recorded or none; a refusal names each find that stands against it.

    NotYet: something that should come before was not done and no word was given why. With a word, that is recorded as
    left out beside the step. TooEarly, with `ask_if_early`: it comes out of drier or freezer before the planned time.
    """
    details, why_not = details or Details(), why_not or WhyNot()
    _check_details(kind, details)
    rows = _locked(find_ids, at, now)
    if ask_if_early and kind in (order.OUT_OF_DRIER, order.OUT_OF_FREEZER):
        _ask_if_early(rows, at)
    refused: list[str] = []
    asked: dict[UUID, tuple[str, ...]] = {}
    left_out: list[PreparationStep] = []
    made: list[PreparationStep] = []
    for row in rows:
        find = row.find
        try:
            before = _with_new_step(row, kind, at)
        except order.OrderError as error:
            refused.append(
                say(
                    "{number} cannot go “{step}”: {why}.",
                    number=find.collecting_number,
                    step=order.WORDS.get(kind, kind),
                    why=error.args[0],
                )
            )
            continue
        missed = order.asked_before(kind, before, queries.missed_of(row) if kind == order.INTO_DRIER else ())
        common = {"find": find, "at": at, "entered_at": now, "entered_by": by}
        if missed:
            words = why_not.words(find.pk)
            if not words:
                asked[find.pk] = missed
            left_out.append(
                PreparationStep(kind=order.LEFT_OUT, subjects="|".join(missed), words=words, **common)
            )
        made.append(_step(kind, details, row, common))
    if refused:
        raise PreparationRefused(say("Nothing was recorded."), *refused)
    if asked:
        raise NotYet(asked)
    # What was left out first: its number is the smaller, so that it stands before the step in the list.
    PreparationStep.objects.bulk_create(left_out)
    return PreparationStep.objects.bulk_create(made)


@transaction.atomic
def put_in_drier(
    find_ids: Sequence[UUID],
    run: DryingRun | RunFacts,
    *,
    at: datetime,
    by: Member,
    now: datetime,
    trays: Mapping[UUID, int] | None = None,
    first_tray: int | None = None,
    why_not: WhyNot | None = None,
) -> DryingRun:
    """Put many finds into one run of a drier, a new one or one that is under way.

    `first_tray` numbers the trays of those without one in order from there, leaving out tags that are in use.
    """
    if isinstance(run, RunFacts):
        run = _start_run(run, at=at, by=by)
    given = dict(trays or {})
    if first_tray is not None:
        given |= _numbered_from(first_tray, [one for one in find_ids if one not in given], given.values())
    details = Details(run=run, trays=given)
    record(find_ids, order.INTO_DRIER, at=at, by=by, now=now, details=details, why_not=why_not)
    return run


@transaction.atomic
def leave_out(
    find_ids: Sequence[UUID], subjects: Iterable[str], *, words: str, by: Member, now: datetime
) -> list[PreparationStep]:
    """Say that something is not done with these finds, and why: dried before this log was kept, too small for a print."""
    words = one_line(words, WORDS)
    if len(words) < LEAST_WORDS:
        raise PreparationRefused(say("The reason is missing. Nothing was recorded; say why in a few words."))
    rows = _locked(find_ids, now, now, in_hand=False)
    common = {"at": now, "entered_at": now, "entered_by": by, "words": words, "subjects": "|".join(subjects)}
    return PreparationStep.objects.bulk_create(
        PreparationStep(find=row.find, kind=order.LEFT_OUT, **common) for row in rows
    )


@transaction.atomic
def withdraw(step_id: int, *, words: str, by: Member, now: datetime) -> PreparationStep:
    """Withdraw a wrong step by a later row that says why. What was left out together with it is withdrawn too."""
    step = PreparationStep.objects.select_related("find").get(pk=step_id)
    Find.objects.select_for_update().get(pk=step.find_id)
    words = one_line(words, WORDS)
    if step.kind == order.WITHDRAWN or not PreparationStep.objects.in_force().filter(pk=step.pk).exists():
        raise PreparationRefused(say("That step is withdrawn already. Nothing was changed."))
    if len(words) < LEAST_WORDS:
        raise PreparationRefused(
            say("The reason is missing. The step stands as it is; say in a few words what was wrong with it.")
        )
    together = [step]
    if step.kind != order.LEFT_OUT:
        together += PreparationStep.objects.in_force().filter(
            find=step.find_id, kind=order.LEFT_OUT, entered_at=step.entered_at, at=step.at
        )
    _refuse_where_others_rest_on_it(step, {one.pk for one in together})
    withdrawals = PreparationStep.objects.bulk_create(
        PreparationStep(
            find_id=one.find_id,
            kind=order.WITHDRAWN,
            at=now,
            entered_at=now,
            entered_by=by,
            words=words,
            withdraws=one,
        )
        for one in together
    )
    return withdrawals[0]


def _locked(
    find_ids: Sequence[UUID], at: datetime, now: datetime, *, in_hand: bool = True
) -> list[queries.InHand]:
    """The finds, locked in one order for all, with their steps; refused where one has nothing to prepare.

    `in_hand`: something is done with the material, so that it must be in the house at that time.
    """
    wanted = list(dict.fromkeys(find_ids))
    if not wanted:
        raise PreparationRefused(say("No find was chosen. Nothing was recorded; tick those it is for."))
    if len(wanted) > MOST_FINDS:
        raise PreparationRefused(
            say(
                "{n} finds at once are more than the {most} that one step takes. Nothing was recorded; do it in two goes.",
                n=len(wanted),
                most=MOST_FINDS,
            )
        )
    if at > now + CLOCK_SLACK:
        raise PreparationRefused(
            say(
                "{time} has not come yet. Nothing was recorded; give the time when it was done.",
                time=moment_text(at),
            )
        )
    # Locked first and alone: PostgreSQL locks no rows of an outer join.
    held = list(
        Find.objects.select_for_update().filter(pk__in=wanted).order_by("pk").values_list("pk", flat=True)
    )
    finds = {find.pk: find for find in queries.with_readings(Find.objects.for_list().filter(pk__in=held))}
    if len(finds) < len(wanted):
        raise PreparationRefused(
            say("One of the finds is not in the ledger. Nothing was recorded; load the page anew.")
        )
    split = set(Find.objects.filter(split_from__in=held).values_list("split_from_id", flat=True))
    rows = queries.steps_of([finds[one] for one in wanted])
    refused = [sentence for row in rows if (sentence := _nothing_to_prepare(row.find, split, at))]
    refused += _away(rows, at, now) if in_hand else []
    if refused:
        raise PreparationRefused(say("Nothing was recorded."), *refused)
    return rows


def _ask_if_early(rows: Sequence[queries.InHand], at: datetime) -> None:
    early = [row for row in rows if row.due_at is not None and at < row.due_at - CLOCK_SLACK]
    if early:
        raise TooEarly(
            say(
                "Nothing was recorded yet: the planned time is not over. Press the same button again to take it out all the "
                "same."
            ),
            *(
                say(
                    "{number} is due out on {time}.",
                    number=row.find.collecting_number,
                    time=moment_text(row.due_at),
                )
                for row in early
                if row.due_at
            ),
        )


def _away(rows: Sequence[queries.InHand], at: datetime, now: datetime) -> list[str]:
    """A sentence for each find whose packet was out of the house at that time."""
    parts = Part.objects.select_related("voucher__find").there().filter(kind="packet")
    packets = list(parts.filter(voucher__find__in=[row.find.pk for row in rows]))
    times = away_times([part.pk for part in packets], since=at)
    told: list[str] = []
    for part in packets:
        number = part.voucher.find.collecting_number
        for away in times.get(part.pk, ()):
            # Loans are entered by the day: what was done earlier on the day it left may be entered afterwards.
            is_before = local_day(at) == local_day(away.since) and at < now - CLOCK_SLACK
            if at < away.since or is_before:
                continue
            if away.until is None:
                told.append(
                    say(
                        "{number}: its packet {part} is {away}. Note its return first.",
                        number=number,
                        part=part.number,
                        away=away.words,
                    )
                )
            elif at < away.until:
                told.append(
                    say(
                        "{number}: its packet {part} was away at that time, {away}.",
                        number=number,
                        part=part.number,
                        away=away.words,
                    )
                )
    return told


def _nothing_to_prepare(find: Find, split: set[UUID], at: datetime) -> str:
    if not find.kept:
        return say("{number} was seen only: no material was taken.", number=find.collecting_number)
    if find.pk in split:
        return say("{number} was split: enter it for its shares.", number=find.collecting_number)
    day: date = timezone.localtime(at).date()
    # A day of grace: the club's clock and the finder's may stand on two sides of midnight.
    if find.found_on and day < find.found_on - timedelta(days=1):
        return say(
            "{number} was found on {day}, after the time that was given.",
            number=find.collecting_number,
            day=day_text(find.found_on),
        )
    return ""


def _with_new_step(row: queries.InHand, kind: str, at: datetime) -> order.State:
    """The state just before the new step; OrderError where it, or a later step on record, cannot follow."""
    local = timezone.localtime(at)
    steps = [step.step for step in row.steps]
    before = order.replay(step for step in steps if step.at <= local)
    order.after(before, order.Step(kind, local))
    order.replay([*steps, order.Step(kind, local, number=sys.maxsize)])
    return before


def _check_details(kind: str, details: Details) -> None:
    if kind not in order.WORDS or kind in (order.LEFT_OUT, order.WITHDRAWN):
        raise PreparationRefused(
            say("{step} is no step that is recorded here. Nothing was recorded.", step=repr(kind[:20]))
        )
    if kind == order.INTO_DRIER and details.run is None:
        raise PreparationRefused(say("No drying run was chosen. Nothing was recorded; say which drier."))
    if kind == order.LONGER and not details.hours:
        raise PreparationRefused(say("How much longer is missing. Nothing was recorded; give the hours."))
    _check_hours(details.hours)
    _check_days(details.days)
    _check_temperature(details.temperature, details.temperature_unit)
    for tray in details.trays.values():
        _check_tray(tray)


def _check_tray(tray: int) -> None:
    if not 1 <= tray <= BIGGEST_TRAY:
        raise PreparationRefused(
            say(
                "{n} is no number of a tray. Nothing was recorded; trays go from 1 to {most}.",
                n=tray,
                most=BIGGEST_TRAY,
            )
        )


def _check_hours(hours: float | None) -> None:
    if hours is not None and not 0 < hours <= units.MOST_HOURS:
        raise PreparationRefused(
            say(
                "{n} hours cannot be meant. Nothing was recorded; give a number above 0, up to {most}.",
                n=f"{hours:g}",
                most=f"{units.MOST_HOURS:g}",
            )
        )


def _check_days(days: float | None) -> None:
    if days is not None and not 0 < days <= units.MOST_DAYS:
        raise PreparationRefused(
            say(
                "{n} days cannot be meant. Nothing was recorded; give a number above 0, up to {most}.",
                n=f"{days:g}",
                most=f"{units.MOST_DAYS:g}",
            )
        )


def _check_temperature(temperature: float | None, unit: str) -> None:
    if temperature is not None and not units.is_possible(temperature, unit):
        raise PreparationRefused(
            say(
                "{temperature} cannot be meant. Nothing was recorded; check number and unit.",
                temperature=f"{temperature:g} {units.UNITS.get(unit, unit[:2])}",
            )
        )


def _step(kind: str, details: Details, row: queries.InHand, common: dict[str, object]) -> PreparationStep:
    step = PreparationStep(kind=kind, words=one_line(details.words, WORDS), **common)
    if kind == order.INTO_DRIER:
        step.run, step.tray = details.run, details.trays.get(step.find_id)
    if kind in (order.LONGER, order.OUT_OF_DRIER):
        step.run = row.run
    if kind == order.LONGER:
        step.hours = details.hours
    if kind == order.INTO_FREEZER:
        step.days = details.days
        if details.temperature is not None:
            step.temperature, step.temperature_unit = details.temperature, details.temperature_unit
    return step


def _start_run(facts: RunFacts, *, at: datetime, by: Member) -> DryingRun:
    drier = one_line(facts.drier, 80)
    if not drier:
        raise PreparationRefused(
            say("Which drier is missing. Nothing was recorded; name it, also where it is only a table.")
        )
    _check_temperature(facts.temperature, facts.temperature_unit)
    _check_hours(facts.planned_hours)
    return DryingRun.objects.create(
        drier=drier,
        temperature=facts.temperature,
        temperature_unit=facts.temperature_unit,
        planned_hours=facts.planned_hours,
        note=one_line(facts.note, WORDS),
        started_at=at,
        started_by=by,
    )


def _numbered_from(first: int, finds: Sequence[UUID], given: Iterable[int]) -> dict[UUID, int]:
    _check_tray(first)
    used = {*queries.trays_in_use(), *given}
    numbered, tray = {}, first
    for find in finds:
        while tray in used:
            tray += 1
        numbered[find] = tray
        tray += 1
    return numbered


def _refuse_where_others_rest_on_it(step: PreparationStep, gone: set[int]) -> None:
    """A later step that only makes sense after this one must be withdrawn before it, by whoever knows why."""
    find = step.find
    shares = list(Find.objects.for_list().filter(split_from=find))
    for row in queries.steps_of([find, *shares]):
        try:
            order.replay(one.step for one in row.steps if one.pk not in gone)
        except order.OrderError as error:
            raise PreparationRefused(
                say(
                    "“{step}” of {number} cannot be withdrawn alone: without it a later step makes no sense ({why}). "
                    "Nothing was changed; withdraw the later one first.",
                    step=step.get_kind_display(),
                    number=row.find.collecting_number,
                    why=error.args[0],
                )
            ) from None

"""A file's finds as rows, one by one through the action of logging. Called by the actions of this room, which commit or roll
back."""

import uuid
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from django.db import transaction
from django.db.models import Max

from ledger.bench.models import Determination
from ledger.exchange.media import SHARE_OF
from ledger.finds import sensitive
from ledger.finds.actions import FindRefused, log_find
from ledger.finds.entries import NameGiven
from ledger.finds.models import Find, Reading
from ledger.handing_on.actions import note_agreed
from ledger.handing_on.models import AgreedName
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.search import keeping
from ledger.taking_in import files
from ledger.taking_in.drafts import Draft
from ledger.taking_in.forays_named import Forays
from ledger.taking_in.leave import Leave, leave_of
from ledger.taking_in.models import TakenFind, TakingIn
from ledger.taking_in.people import People
from ledger.taking_in.photographs import Originals, keep_photos
from ledger.taking_in.report import WRONG, Line, Report
from ledger.taking_in.sorting import in_ledger, line_of, sorted_out, taken_in_before
from ledger.taking_in.standing import standing_of
from ledger.words import say, say_n, sentence_of

_AT_ONCE = 500
_MICROSECOND = timedelta(microseconds=1)


def written(taking: TakingIn, data: bytes, originals: Originals, *, by: Member, now: datetime) -> Report:
    """Everything of a file as rows; the caller commits or rolls back. `originals` is told of each file of a photograph."""
    report = Report()
    drafts = sorted_out(files.drafts(taking, data, report.notes), report)
    people, forays = People(), Forays(by)
    leave = leave_of(drafts, people)
    report.notes.extend(leave.said())
    wanted = [draft.share_of for draft in drafts if draft.share_of is not None]
    # A find that was logged here is split here, by whoever has it in hand.
    shares = {draft.id for draft in drafts} | taken_in_before(wanted)
    logged_here = in_ledger(wanted) - shares
    there = files.photos_there(data) if any(draft.photos for draft in drafts) else frozenset()
    made: list[tuple[Draft, Line]] = []
    for draft in drafts:
        line = line_of(draft, report)
        try:
            with transaction.atomic():
                _one(draft, line, people, forays, shares, logged_here, there, data, originals, by=by, now=now)
        except (FindRefused, PhotoRefused) as refusal:
            line.state = WRONG
            line.says.append(sentence_of(refusal))
            continue
        made.append((draft, line))
    unnamed = sum(1 for draft in drafts if not draft.finder.strip())
    if unnamed:
        report.notes.append(
            say_n(
                "1 line does not say who found it: kept as found by somebody who is not named, and numbered as yours.",
                "{n} lines do not say who found it: kept as found by somebody who is not named, and numbered as yours.",
                unnamed,
            )
        )
    report.lines.sort(key=lambda line: line.line)
    _finish(taking, made, forays, leave, by=by, now=now)
    return report


def _one(
    draft: Draft,
    line: Line,
    people: People,
    forays: Forays,
    shares: set[uuid.UUID],
    logged_here: set[uuid.UUID],
    there: frozenset[str],
    data: bytes,
    originals: Originals,
    *,
    by: Member,
    now: datetime,
) -> None:
    """One find by the action of logging, and what comes beside it."""
    finder, found_by = people.told(draft.finder)
    record = dict(draft.entry.record)
    record["found_by"] = found_by
    if draft.foray is not None:
        record["foray"] = forays.named(*draft.foray, line)
    views = keep_photos(draft, line, there, data, originals, by=by, now=now)
    current = next((one for one in draft.names if one.is_current), None)
    entry = replace(
        draft.entry,
        record=record,
        name=_given(current.given, current.by, people) if current else NameGiven(),
        split_from=draft.share_of if draft.share_of in shares else None,
        # Not by the name of the file: every member reads the history, and files are called after places.
        came_by=say("taken in from a file, line {line}", line=draft.line),
        photo_views=views,
    )
    if draft.share_of is not None and draft.share_of not in shares:
        line.says.append(
            say(
                "It is told to be a share of a find that was logged here; that is kept beside it, and the other find is "
                "left as it is."
                if draft.share_of in logged_here
                else "It is told to be a share of a record that is not here; that is kept beside it, and the other find is "
                "left as it is."
            )
        )
        relation = [f"{draft.id}:share", str(draft.id), SHARE_OF, str(draft.share_of), "", ""]
        draft.kept.setdefault("relations", []).append(relation)
    find = log_find(entry, by=by, find_id=draft.id, finder=finder or by, now=now)
    line.label, line.find = find.collecting_number, str(find.pk)
    line.flags = [(flag.severity, flag.in_words) for flag in find.flags.order_by("id")]
    _put_right(find, draft, people, by=by, now=now)


def _given(name: NameGiven, by: str, people: People) -> NameGiven:
    _, other = people.told(by)
    return replace(name, determiner_name=other)


def _put_right(find: Find, draft: Draft, people: People, *, by: Member, now: datetime) -> None:
    """What logging cannot say: further names, who gave each, the days of readings, and when it was changed last."""
    current = find.current_determination
    place = next((n for n, one in enumerate(draft.names) if one.is_current), 0)
    made: list[Determination] = []
    for n, one in enumerate(draft.names):
        member, other = people.told(one.by)
        # In their order, a microsecond apart; never that of logging, by which a name of the same day would be known.
        made_at = now.replace(microsecond=0) + (n + 1) * _MICROSECOND
        if n == place and current is not None:
            current.made_at, current.determiner, current.determiner_name = made_at, member or by, other
            current.save(update_fields=["made_at", "determiner", "determiner_name"])
            continue
        given = one.given
        made.append(
            Determination(
                find=find,
                name_typed=given.typed,
                vernacular_typed=given.vernacular_typed,
                taxon=given.taxon,
                qualifier=given.qualifier,
                determiner=member or by,
                determiner_name=other,
                determined_on=given.determined_on,
                basis=given.basis,
                note=given.note,
                made_at=made_at,
            )
        )
        sensitive.note_name(find, given.typed, given.taxon)
    Determination.objects.bulk_create(made)
    if draft.changed_at is not None and draft.changed_at <= now and draft.changed_at.year > 1:
        find.changed_at = draft.changed_at
    find.save(update_fields=["named_blur_step_deg", "place_opened", "changed_at"])
    if find.split_from_id is not None:
        sensitive.note_own_step(find)
    by_day: dict[str, list[str]] = {}
    for trait, on in draft.read_on.items():
        by_day.setdefault(on, []).append(trait)
    for on, traits in by_day.items():
        try:
            day = date.fromisoformat(on)
        except ValueError:
            continue
        moment = datetime.combine(day, time(12), UTC)
        Reading.objects.filter(find=find, trait__in=traits).update(read_at=moment)


def _finish(
    taking: TakingIn,
    made: Sequence[tuple[Draft, Line]],
    forays: Forays,
    leave: Leave,
    *,
    by: Member,
    now: datetime,
) -> None:
    before = set(AgreedName.objects.filter(ended_at__isnull=True).values_list("pk", flat=True))
    note_agreed(leave.agreed, by=by, now=now)
    after = set(AgreedName.objects.filter(ended_at__isnull=True).values_list("pk", flat=True))
    taking.made = {"forays": forays.made, "agreed": sorted(after - before)}
    keys = [draft.id for draft, _ in made]
    # Once more, now that further names stand: what they keep back is kept back in the index too.
    keeping.keep_ids(keys)
    stood = standing_of(keys)
    _note_what_kept_rests_on([draft for draft, _ in made])
    TakenFind.objects.bulk_create(
        [
            TakenFind(
                taking_in=taking,
                find_id=draft.id,
                line=draft.line,
                identity=draft.identity,
                digest=draft.digest,
                stood=stood[draft.id],
                kept=draft.kept,
            )
            for draft, _ in made
        ],
        batch_size=_AT_ONCE,
    )


def _note_what_kept_rests_on(drafts: Sequence[Draft]) -> None:
    """Beside what is kept: the name it was said of, and the last reading that came with it."""
    told = {draft.id: draft for draft in drafts if draft.kept}
    keys = list(told)
    for start in range(0, len(keys), _AT_ONCE):
        rows = Find.objects.filter(pk__in=keys[start : start + _AT_ONCE]).order_by()
        for key, name, last in rows.annotate(last=Max("readings__pk")).values_list(
            "pk", "current_determination", "last"
        ):
            told[key].kept.update(name=name, last_reading=last or 0)

"""The only writers of this room: keep a file that was given, look at it, take it in, undo it. One transaction each."""

import hashlib
import uuid
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.db.models import Count, Max, ProtectedError, Q

from ledger.bench.models import Determination
from ledger.exchange.media import PhotoOut
from ledger.exchange.people import NOT_NAMED
from ledger.finds import photo_actions, sensitive
from ledger.finds.actions import FindRefused, log_find
from ledger.finds.entries import NameGiven
from ledger.finds.models import Find, Photo, Reading
from ledger.forays.actions import keep_foray
from ledger.forays.models import Foray
from ledger.handing_on.actions import end_agreed, note_agreed
from ledger.handing_on.models import AgreedName
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.photos.view_table import VIEWS
from ledger.search import keeping
from ledger.taking_in import files
from ledger.taking_in.columns import Mapped, header_digest
from ledger.taking_in.drafts import Draft, WrongLine
from ledger.taking_in.models import RememberedColumns, State, TakenFind, TakingIn
from ledger.taking_in.people import People
from ledger.taking_in.refused import NOTHING, FileRefused

_AT_ONCE = 500
_NAMED = 5
_MICROSECOND = timedelta(microseconds=1)


class TakingInRefused(ValueError):
    """What was asked cannot be done with this file; the text says what was kept and what to do."""


NEW, HERE, WRONG = "new", "here", "wrong"


@dataclass(slots=True)
class Line:
    """One line of the report. `flags`: severity and sentence of each that is raised."""

    line: int
    state: str
    label: str = ""
    name: str = ""
    says: list[str] = field(default_factory=list)
    flags: list[tuple[str, str]] = field(default_factory=list)
    find: str = ""

    def as_json(self) -> dict[str, Any]:
        made = {
            "line": self.line,
            "state": self.state,
            "label": self.label,
            "name": self.name,
            "says": self.says,
        }
        return made | {"flags": [list(flag) for flag in self.flags], "find": self.find}


@dataclass(slots=True)
class Report:
    """What was, or would be, made of a file. `notes`: of the file as a whole."""

    lines: list[Line] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def many(self, state: str) -> int:
        return sum(1 for line in self.lines if line.state == state)

    def as_json(self) -> dict[str, Any]:
        counts = {state: self.many(state) for state in (NEW, HERE, WRONG)}
        counts["held"] = sum(
            1 for line in self.lines if any(flag[0] in ("doubt", "stop") for flag in line.flags)
        )
        return {"counts": counts, "notes": self.notes, "lines": [line.as_json() for line in self.lines]}


class _RolledBack(Exception):
    """Carries the report out of a dry run, whose rows go with the transaction."""


def give(
    data: bytes, name: str, *, by: Member, now: datetime, encoding: str = "", sheet: str = ""
) -> TakingIn:
    """Keep a file that was given, to be looked at. Its columns are understood as those of the same header were the last
    time. Raises FileRefused: nothing is kept."""
    if len(data) > files.MOST_BYTES:
        raise FileRefused(
            f"The file has {len(data) // 1_000_000:,} MB; {files.MOST_BYTES // 1_000_000:,} MB are the most. {NOTHING} "
            "Part it into several files."
        )
    taking = TakingIn(
        name=(" ".join(name.split()) or "file without a name")[:200],
        kind=files.kind_of(data),
        sha256=hashlib.sha256(data).hexdigest(),
        byte_size=len(data),
        encoding=encoding,
        sheet=sheet,
        given_by=by,
        given_at=now,
    )
    if taking.kind == files.ARCHIVE:
        for _ in files.drafts(taking, data, []):
            pass  # read to its end, so that what is broken is said before anything is kept
    else:
        grid = files.read_grid(taking, data)
        known = RememberedColumns.objects.filter(header=header_digest(grid.header)).first()
        if known is not None:
            taking.mapped = known.mapped
    files.keep(files.path_of(taking.pk), data)
    taking.save(force_insert=True)
    return taking


@transaction.atomic
def map_columns(
    taking: TakingIn, mapped: Mapped, header: Sequence[str], *, by: Member, now: datetime
) -> None:
    """Keep what the columns are, for this file and for the next with the same header."""
    taking.mapped = mapped.as_json()
    taking.report = {}
    taking.save(update_fields=["mapped", "report"])
    RememberedColumns.objects.update_or_create(
        header=header_digest(header), defaults={"mapped": taking.mapped, "kept_by": by, "kept_at": now}
    )


def add_waypoints(taking: TakingIn, data: bytes, name: str) -> int:
    """Keep a GPX file beside the table; returns how many waypoints it has. Raises FileRefused."""
    points = files.read_waypoints(data)
    files.keep(files.waypoints_path_of(taking.pk), data)
    taking.waypoints, taking.report = (name or "waypoints")[:200], {}
    taking.save(update_fields=["waypoints", "report"])
    return len(points)


def look_at(taking: TakingIn, *, by: Member, now: datetime) -> Report:
    """A dry run: everything is done as when it is taken in, and rolled back. Only the report is kept.

    Raises FileRefused."""
    data = stored(taking)
    try:
        with transaction.atomic():
            raise _RolledBack(_written(taking, data, by=by, now=now, dry=True))
    except _RolledBack as done:
        report: Report = done.args[0]
    taking.report = report.as_json()
    taking.save(update_fields=["report"])
    return report


@transaction.atomic
def take_in(taking: TakingIn, *, by: Member, now: datetime) -> Report:
    """Take the whole file in, or nothing of it. Raises TakingInRefused, FileRefused."""
    row = TakingIn.objects.select_for_update().get(pk=taking.pk)
    if row.state != State.LOOKED_AT:
        raise TakingInRefused(f"{row.name} was {row.state} already. Nothing was changed.")
    report = _written(row, stored(row), by=by, now=now, dry=False)
    wrong = report.many(WRONG)
    if wrong:
        many = "1 line of it cannot" if wrong == 1 else f"{wrong} lines of it cannot"
        raise TakingInRefused(
            f"{row.name} was not taken in: {many} be read, and a file is taken in whole or not at all. {NOTHING} "
            "Mend the file, and give it again."
        )
    row.state, row.accepted_by, row.accepted_at, row.report = State.TAKEN_IN, by, now, report.as_json()
    row.save(update_fields=["state", "accepted_by", "accepted_at", "report", "made"])
    transaction.on_commit(lambda: files.drop(row.pk))
    return report


def stored(taking: TakingIn) -> bytes:
    """The file as it was given. Raises TakingInRefused where it is gone."""
    try:
        data = files.path_of(taking.pk).read_bytes()
    except FileNotFoundError:
        data = b""
    if hashlib.sha256(data).hexdigest() != taking.sha256:
        raise TakingInRefused(
            f"{taking.name} is no longer kept here: a file waits {files.KEPT_DAYS} days to be taken in. {NOTHING} "
            "Give it again."
        )
    return data


def _written(taking: TakingIn, data: bytes, *, by: Member, now: datetime, dry: bool) -> Report:
    """Everything of a file as rows; the caller commits or rolls back."""
    report = Report()
    drafts = _sorted_out(files.drafts(taking, data, report.notes), report)
    people, forays = People(), _Forays(by)
    shares = {draft.id for draft in drafts} | _in_ledger(
        [d.share_of for d in drafts if d.share_of is not None]
    )
    there = files.photos_there(data) if any(draft.photos for draft in drafts) else frozenset()
    made: list[tuple[Draft, Line]] = []
    for draft in drafts:
        line = _line_of(draft, report)
        try:
            with transaction.atomic():
                _one(draft, line, taking, people, forays, shares, there, data, by=by, now=now, dry=dry)
        except (FindRefused, PhotoRefused) as refusal:
            line.state = WRONG
            line.says.append(str(refusal))
            continue
        made.append((draft, line))
    report.lines.sort(key=lambda line: line.line)
    _finish(taking, made, forays, by=by, now=now)
    return report


def _sorted_out(rows: Iterator[Draft | WrongLine], report: Report) -> list[Draft]:
    """The finds that are new; of the others the line of the report says why they are not taken in."""
    drafts: list[Draft] = []
    seen: dict[uuid.UUID, Draft] = {}
    for row in rows:
        if isinstance(row, WrongLine):
            report.lines.append(Line(row.line, WRONG, says=list(row.why)))
            continue
        first = seen.get(row.id)
        if first is None:
            seen[row.id] = row
            drafts.append(row)
        elif first.digest == row.digest:
            report.lines.append(
                Line(
                    row.line,
                    HERE,
                    row.label,
                    _name_of(row),
                    [f"The same as line {first.line}; taken in once."],
                )
            )
        else:
            why = f"It has the identity of line {first.line}, {row.identity[:60]}, and says something else. Mend one."
            report.lines.append(Line(row.line, WRONG, row.label, _name_of(row), [why]))
    here = _in_ledger(list(seen))
    known = _taken(here)
    new = []
    for draft in drafts:
        if draft.id not in here:
            new.append(draft)
            continue
        says = ["It is in the ledger; nothing is changed."]
        if draft.id in known and known[draft.id] != draft.digest:
            says = [
                "It is in the ledger, taken in from a line that said something else. The find is left as it is."
            ]
        report.lines.append(Line(draft.line, HERE, draft.label, _name_of(draft), says, find=str(draft.id)))
    return new


def _in_ledger(keys: Sequence[uuid.UUID]) -> set[uuid.UUID]:
    found: set[uuid.UUID] = set()
    for start in range(0, len(keys), _AT_ONCE):
        found |= set(
            Find.objects.filter(pk__in=keys[start : start + _AT_ONCE]).order_by().values_list("pk", flat=True)
        )
    return found


def _taken(keys: Collection[uuid.UUID]) -> dict[uuid.UUID, str]:
    wanted, found = list(keys), {}
    for start in range(0, len(wanted), _AT_ONCE):
        rows = TakenFind.objects.filter(find__in=wanted[start : start + _AT_ONCE]).order_by()
        found.update(rows.values_list("find_id", "digest"))
    return found


def _line_of(draft: Draft, report: Report) -> Line:
    line = Line(draft.line, NEW, draft.label, _name_of(draft), list(draft.says))
    report.lines.append(line)
    return line


def _name_of(draft: Draft) -> str:
    return next((one.given.typed for one in draft.names if one.is_current), "")


def _one(
    draft: Draft,
    line: Line,
    taking: TakingIn,
    people: People,
    forays: "_Forays",
    shares: set[uuid.UUID],
    there: frozenset[str],
    data: bytes,
    *,
    by: Member,
    now: datetime,
    dry: bool,
) -> None:
    """One find by the action of logging, and what comes beside it."""
    finder, found_by = people.told(draft.finder)
    record = dict(draft.entry.record)
    record["found_by"] = found_by
    if draft.foray is not None:
        record["foray"] = forays.named(*draft.foray, line)
    views = _photos(draft, line, there, data, by=by, now=now, dry=dry)
    current = next((one for one in draft.names if one.is_current), None)
    entry = replace(
        draft.entry,
        record=record,
        name=_given(current.given, current.by, people) if current else NameGiven(),
        split_from=draft.share_of if draft.share_of in shares else None,
        came_by=f"taken in from {taking.name[:60]}, line {draft.line}",
        photo_views=views,
    )
    if draft.share_of is not None and draft.share_of not in shares:
        line.says.append("It is a share of a record that is neither in the file nor in the ledger.")
    find = log_find(entry, by=by, find_id=draft.id, finder=finder or by, now=now)
    line.label, line.find = find.collecting_number, str(find.pk)
    line.flags = [(flag.severity, flag.sentence) for flag in find.flags.order_by("id")]
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
    if draft.changed_at is not None:
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


def _photos(
    draft: Draft, line: Line, there: frozenset[str], data: bytes, *, by: Member, now: datetime, dry: bool
) -> Mapping[str, str]:
    """Keep photographs that came along, under the find's identity. In a dry run they are only counted."""
    wanted: dict[str, PhotoOut] = {}
    for photo in draft.photos:
        if photo.path in there:
            wanted[photo.path] = photo
        else:
            line.says.append(f"Photograph {photo.path[:80]} did not come along; it is left out.")
    if not wanted or dry:
        return {}
    views = {}
    for place, (path, content) in enumerate(files.photo_bytes(data, set(wanted))):
        told = wanted[path]
        if told.sha256 and hashlib.sha256(content).hexdigest() != told.sha256:
            raise PhotoRefused(
                "damaged", f"Photograph {path[:80]} is not the one the archive tells of: its sum differs."
            )
        upload = SimpleUploadedFile(path.rpartition("/")[2] or "photo.jpeg", content)
        view = told.view if told.view in VIEWS else ""
        key = _uuid(told.id)
        if key is not None and Photo.objects.filter(pk=key).exists():
            key = None
        made = photo_actions.add_photo(upload, draft_id=draft.id, by=by, view=view, photo_id=key, now=now)
        # In their order, which is that of their arrival.
        arrived = now + place * _MICROSECOND
        Photo.objects.filter(pk=made.pk).update(
            taken_at=_taken_at(told.taken) or made.taken_at, uploaded_at=arrived
        )
        views[str(made.pk)] = view
    return views


def _uuid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None


def _taken_at(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text).replace(tzinfo=UTC) if text else None
    except ValueError:
        return None


class _Forays:
    """Forays by name and day, made where they are missing; which were made is kept, to be undone."""

    def __init__(self, by: Member) -> None:
        self.by, self.made = by, []  # type: ignore[var-annotated]
        self._known = {(foray.name, foray.held_on): foray for foray in Foray.objects.all()}

    def named(self, name: str, on: date | None, line: Line) -> Foray | None:
        name = " ".join(name.split())
        if on is None:
            found = [
                foray for (known, _), foray in self._known.items() if known.casefold() == name.casefold()
            ]
            if len(found) == 1:
                return found[0]
            line.says.append(f"There is no one foray called “{name[:60]}”; the find is of none.")
            return None
        foray = self._known.get((name, on))
        if foray is None:
            foray = keep_foray(Foray(name=name[:120], held_on=on, leader=self.by))
            self._known[name, on] = foray
            self.made.append(foray.pk)
        return foray


def _finish(
    taking: TakingIn, made: Sequence[tuple[Draft, Line]], forays: _Forays, *, by: Member, now: datetime
) -> None:
    agreed: dict[str, str] = {}
    people = People()
    for draft, _ in made:
        for name, public in draft.agreed.items():
            if people.member(name) is None and name != NOT_NAMED:
                agreed[" ".join(name.split())] = agreed.get(name) or public
    before = set(AgreedName.objects.filter(ended_at__isnull=True).values_list("pk", flat=True))
    note_agreed(agreed, by=by, now=now)
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


def standing_of(keys: Sequence[uuid.UUID]) -> dict[uuid.UUID, str]:
    """A digest of what people did to each find: changes, names, readings, photos, flags settled, questions, shares,
    spores, an accession number."""
    parts: dict[uuid.UUID, list[object]] = {key: [] for key in keys}
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        for key, version, accession, changed in (
            Find.objects.filter(pk__in=some)
            .order_by()
            .values_list("pk", "version", "accession_number", "changed_at")
        ):
            parts[key] += [version, accession, changed.isoformat()]
        settled = Q(flags__settled_at__isnull=False)
        for relation, which in (
            *(
                (name, None)
                for name in ("changes", "determinations", "readings", "photos", "questions", "shares")
            ),
            *(("spore_sets", None), ("flags", settled)),
        ):
            rows = Find.objects.filter(pk__in=some).order_by()
            counted = rows.annotate(many=Count(relation, filter=which))
            for key, many in counted.values_list("pk", "many"):
                parts[key].append((relation, many))
        for key, many in (
            Find.objects.filter(pk__in=some)
            .order_by()
            .annotate(many=Count("photos__measurements"))
            .values_list("pk", "many")
        ):
            parts[key].append(("measurements", many))
    return {key: hashlib.sha256(repr(told).encode()).hexdigest() for key, told in parts.items()}


@transaction.atomic
def undo(taking: TakingIn, *, by: Member, now: datetime) -> int:
    """Take back all that came by a file, as one act. Returns how many finds went. Raises TakingInRefused where somebody
    has done something to one of them since."""
    row = TakingIn.objects.select_for_update().get(pk=taking.pk)
    if row.state != State.TAKEN_IN:
        raise TakingInRefused(f"{row.name} is {row.state}, so there is nothing to undo. Nothing was changed.")
    taken = list(row.finds.order_by("line"))
    keys = [one.find_id for one in taken]
    finds = {}
    for start in range(0, len(keys), _AT_ONCE):
        some = Find.objects.select_for_update().filter(pk__in=keys[start : start + _AT_ONCE]).order_by("pk")
        finds.update({find.pk: find for find in some})
    stands = standing_of(keys)
    changed = [str(finds[one.find_id]) for one in taken if stands[one.find_id] != one.stood]
    if changed:
        raise TakingInRefused(_changed_since(row, changed))
    photos = list(Photo.objects.filter(find__in=keys)) if keys else []
    row.finds.all().delete()
    try:
        with transaction.atomic():
            keeping.forget(list(finds.values()))
            _deleted(keys, photos)
    except ProtectedError:
        raise TakingInRefused(
            f"{row.name} was not undone: something else in the ledger rests on one of its finds, such as a permit or a step "
            "of drying. Nothing was changed. Take that back first."
        ) from None
    _undo_beside(row, now=now)
    row.state, row.undone_by, row.undone_at = State.UNDONE, by, now
    row.save(update_fields=["state", "undone_by", "undone_at"])
    sums = {photo.sha256 for photo in photos}
    still = set(Photo.objects.filter(sha256__in=sums).values_list("sha256", flat=True))
    gone = [photo for photo in photos if photo.sha256 not in still]
    transaction.on_commit(lambda: [photo.original.storage.delete(photo.original.name) for photo in gone])
    return len(keys)


def _changed_since(row: TakingIn, changed: Sequence[str]) -> str:
    told = ", ".join(changed[:_NAMED]) + (
        f" and {len(changed) - _NAMED} more" if len(changed) > _NAMED else ""
    )
    was = "was" if len(changed) == 1 else "were"
    return (
        f"{row.name} was not undone: {told} {was} changed, accessioned, measured or settled since, and that would be lost. "
        "Nothing was changed. Put right by hand what is wrong with its finds."
    )


def _deleted(keys: Sequence[uuid.UUID], photos: Sequence[Photo]) -> None:
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        Photo.objects.filter(find__in=some).delete()
        # Find and name point at each other, and shares at their gathering.
        Find.objects.filter(pk__in=some).update(current_determination=None, split_from=None)
    for start in range(0, len(keys), _AT_ONCE):
        Find.objects.filter(pk__in=keys[start : start + _AT_ONCE]).delete()


def _undo_beside(row: TakingIn, *, now: datetime) -> None:
    for key in row.made.get("agreed", []):
        if AgreedName.objects.filter(pk=key).exists():
            end_agreed(key, now=now)
    for key in row.made.get("forays", []):
        if not Find.objects.filter(foray=key).exists():
            try:
                with transaction.atomic():
                    Foray.objects.filter(pk=key).delete()
            except ProtectedError:
                continue  # a permit names it by now: it stays


def forget_file(taking: TakingIn) -> None:
    """Let go of a file that was looked at and is not wanted."""
    with transaction.atomic():
        row = TakingIn.objects.select_for_update().get(pk=taking.pk)
        if row.state != State.LOOKED_AT:
            raise TakingInRefused(f"{row.name} was {row.state}; that stays on record. Nothing was changed.")
        row.delete()
    files.drop(taking.pk)

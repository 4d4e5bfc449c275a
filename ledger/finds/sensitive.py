"""Which finds keep their place back because of a name, and how a curator opens one. The names decide, all of them.

A name that is only near a sensitive taxon's, or its genus alone, asks for the same: otherwise a typo tells the place.
"""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet

from ledger.bench.models import Determination
from ledger.finds import naming
from ledger.finds.history import record_change
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search import keeping
from ledger.taxa.models import Taxon
from ledger.taxa.queries import NoReference
from ledger.words import say

_AT_ONCE = 500


class PlaceStaysKept(ValueError):
    """The place cannot be opened; the text says why and what to do."""


def step_asked(typed: str, taxon: Taxon | None, steps: Mapping[str, float] | None = None) -> float | None:
    """Return the step in degrees that one name asks for, or None. `steps` are the sensitive taxa by name.

    A known taxon asks for its own step. A name that is not known asks for the coarsest among the taxa it may mean:
    those proposed for it, and those of its genus.
    """
    if taxon is not None:
        return taxon.blur_step_deg
    if not typed:
        return None
    steps = sensitive_steps() if steps is None else steps
    if not steps:
        return None
    try:
        proposals = set(naming.read(typed).proposals)
    except NoReference:
        proposals = set()
    words = {word.strip(".,?()").capitalize() for word in typed.split()}
    meant = [step for name, step in steps.items() if name in proposals or name.split()[0] in words]
    return max(meant, default=None)


def sensitive_steps() -> dict[str, float]:
    """Every sensitive taxon with its step; one query."""
    return dict(Taxon.objects.filter(blur_step_deg__isnull=False).values_list("name", "blur_step_deg"))


def kept_back_because(find: Find) -> str:
    """Why the place of *find* is kept back now, as words after "because"; empty where it is not.

    `find` comes with its determinations and their taxa. A name that is not known costs one query.
    """
    reasons = [say("it was chosen so for this find")] if find.own_blur_step_deg else []
    if not find.place_opened:
        rows = list(find.determinations.all())
        unknown = any(row.taxon is None and row.name_typed for row in rows)
        steps = sensitive_steps() if unknown else {}
        asking = [row for row in rows if step_asked(row.name_typed, row.taxon, steps) is not None]
        names = {_name_of(row): row.pk == find.current_determination_id for row in asking}
        reasons += [
            say("it is named {name}", name=name) if is_now else say("it was once named {name}", name=name)
            for name, is_now in names.items()
        ]
        if not names and find.named_blur_step_deg:
            reasons.append(say("a name that it, or another share of its gathering, was given asks for it"))
    return f" {say('and')} ".join(reasons)


def _name_of(determination: Determination) -> str:
    return determination.taxon.name if determination.taxon else determination.name_typed


def note_name(find: Find, typed: str, taxon: Taxon | None) -> None:
    """Let a name just given keep the place back. Sets fields of *find*; the caller saves them. Never opens a place.

    Other shares of a mixed collection are of the same place, so theirs is kept back with it, and written here.
    """
    asked = step_asked(typed, taxon)
    if asked is None:
        return
    find.named_blur_step_deg = max(asked, find.named_blur_step_deg or 0.0)
    find.place_opened = False
    closer = Q(named_blur_step_deg__isnull=True) | Q(named_blur_step_deg__lt=asked)
    _close_others(find, closer, named_blur_step_deg=asked, place_opened=False)


def note_own_step(find: Find) -> None:
    """Let the step that was chosen for one share keep back the place of the others as well; they are of the same place."""
    step = find.own_blur_step_deg
    if step is not None:
        closer = Q(own_blur_step_deg__isnull=True) | Q(own_blur_step_deg__lt=step)
        _close_others(find, closer, own_blur_step_deg=step)


def _close_others(find: Find, which: Q, **closed: object) -> None:
    others = list(_other_shares(find).filter(which).order_by().values_list("pk", flat=True))
    if others:
        Find.objects.filter(pk__in=others).update(**closed)
        keeping.keep_ids(others)


def _other_shares(find: Find) -> QuerySet[Find]:
    """The rest of the gathering of *find*: what it was split from, and all that was split from that. Mostly none."""
    if find._state.adding:
        return Find.objects.none()
    top = find
    while top.split_from is not None:
        top = top.split_from
    return Find.objects.filter(pk__in=_gathering(top.pk)).exclude(pk=find.pk)


def _gathering(top: UUID) -> list[UUID]:
    known, layer = [top], [top]
    while layer:
        layer = list(Find.objects.filter(split_from__in=layer).order_by().values_list("pk", flat=True))
        known += layer
    return known


@transaction.atomic
def follow_taxa() -> int:
    """Bring every find in line with the taxa as they are marked now, and return how many changed.

    Called when a taxon is marked sensitive, or no longer. A place that must be kept back more than before is closed
    again even where a curator had opened it.
    """
    steps = sensitive_steps()
    wanted: dict[UUID, float] = {}
    for find_id, step in Determination.objects.filter(taxon__blur_step_deg__isnull=False).values_list(
        "find_id", "taxon__blur_step_deg"
    ):
        wanted[find_id] = max(step, wanted.get(find_id, 0.0))
    unknown = Determination.objects.filter(taxon__isnull=True).exclude(name_typed="")
    asked = {
        typed: step_asked(typed, None, steps)
        for typed in unknown.values_list("name_typed", flat=True).distinct()
    }
    for find_id, typed in unknown.values_list("find_id", "name_typed"):
        if asked[typed] is not None:
            wanted[find_id] = max(asked[typed] or 0.0, wanted.get(find_id, 0.0))
    # Shares of one gathering are of one place: what the name of one asks for holds for all.
    for top in Find.objects.filter(shares__isnull=False, split_from=None).order_by().distinct():
        shares = _gathering(top.pk)
        if coarsest := max((wanted.get(pk, 0.0) for pk in shares), default=0.0):
            wanted |= dict.fromkeys(shares, coarsest)
    stored = dict(
        Find.objects.filter(named_blur_step_deg__isnull=False).values_list("pk", "named_blur_step_deg")
    )
    changed = [pk for pk in {*wanted, *stored} if wanted.get(pk) != stored.get(pk)]
    for start in range(0, len(changed), _AT_ONCE):
        finds = list(Find.objects.filter(pk__in=changed[start : start + _AT_ONCE]))
        for find in finds:
            before, find.named_blur_step_deg = find.named_blur_step_deg, wanted.get(find.pk)
            if (find.named_blur_step_deg or 0.0) > (before or 0.0):
                find.place_opened = False
        Find.objects.bulk_update(finds, ["named_blur_step_deg", "place_opened"])
    keeping.keep_ids(changed)
    return len(changed)


@transaction.atomic
def open_place(find_id: UUID, *, reason: str, by: Member, now: datetime) -> Find:
    """Tell the place of one find to every member although a name of it asks otherwise. On record, with the reason."""
    if len(reason.strip()) < 10:
        raise PlaceStaysKept(
            say("The reason is too short. The place stays kept back; say in a few words why it may be told.")
        )
    find = Find.objects.select_for_update().get(pk=find_id)
    find.place_opened = True
    find.version, find.changed_at = find.version + 1, now
    find.save(update_fields=["place_opened", "version", "changed_at"])
    record_change(find, field="place opened", old="", new=reason.strip(), by=by, now=now)
    keeping.keep(find)
    return find

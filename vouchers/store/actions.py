"""The only writers of places and of where parts lie. Each is one transaction; what is refused has changed nothing.

Locks: places before parts, each by key. Whoever changes the shape of the tree locks all of it, so that two moves at one
moment cannot make a circle of it; a store has some hundreds of places.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import Max

from ledger.moments import day_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import Said, lowered, say, together
from vouchers.parts.models import Part
from vouchers.store.away import away_now
from vouchers.store.kinds import MAY_STAND_IN, within
from vouchers.store.missing import missing_since
from vouchers.store.models import Move, PlaceKind, PlaceMove, StorePlace
from vouchers.store.words import parts_word, places_word

MOST_AT_ONCE = 60  # places made in one step
_TRIES = 5


class StoreRefused(ValueError):
    """The step cannot be taken; the text says what is wrong, that nothing was changed, and what to do."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What a move did: parts moved, those that lay there before, and sentences to be read."""

    moved: tuple[Part, ...]
    there_before: tuple[Part, ...]
    told: tuple[str, ...]


def make_places(
    kind: str, name: str, parent: StorePlace | None, *, capacity: int | None = None, count: int = 1
) -> list[StorePlace]:
    """Make a place, or several that are numbered behind the name: Box 1, Box 2 ... Returns them."""
    name = one_line(name, 80)
    if not name:
        raise StoreRefused(
            say("The place has no name. Nothing was made; say what stands on it, such as Box 12.")
        )
    if not 1 <= count <= MOST_AT_ONCE:
        raise StoreRefused(
            say(
                "{n} places at once are refused. Nothing was made; ask for 1 to {most}.",
                n=count,
                most=MOST_AT_ONCE,
            )
        )
    for last_try in (*[False] * (_TRIES - 1), True):
        try:
            with transaction.atomic():
                return _make(kind, name, parent, capacity, count)
        except IntegrityError:
            # Somebody made one at the same moment and has the number.
            if last_try:
                raise
    raise AssertionError


def _make(
    kind: str, name: str, parent: StorePlace | None, capacity: int | None, count: int
) -> list[StorePlace]:
    if parent is not None:
        parent = StorePlace.objects.select_for_update().get(pk=parent.pk)
        _refuse_closed(parent, say("Nothing was made."))
    _refuse_kind(kind, name, parent)
    names = [name] if count == 1 else [f"{name} {n}" for n in range(1, count + 1)]
    taken = StorePlace.objects.open().filter(parent=parent, name__in=names).first()
    if taken is not None:
        raise StoreRefused(
            say(
                "There is a {name} in {place} already. Nothing was made; choose another name.",
                name=taken.name,
                place=parent.name,
            )
            if parent
            else say(
                "There is a {name} at the top of the store already. Nothing was made; choose another name.",
                name=taken.name,
            )
        )
    last = StorePlace.objects.aggregate(last=Max("number"))["last"] or 0
    return [
        StorePlace.objects.create(kind=kind, name=one, parent=parent, capacity=capacity, number=last + n)
        for n, one in enumerate(names, start=1)
    ]


@transaction.atomic
def change_place(place_id: int, *, name: str, capacity: int | None) -> StorePlace:
    """Write another name or capacity. The number, which stands on the label, stays for life; and so does the kind."""
    place = StorePlace.objects.select_for_update().get(pk=place_id)
    name = one_line(name, 80)
    if not name:
        raise StoreRefused(say("The name is missing. {place} was kept as it is.", place=place.name))
    namesake = StorePlace.objects.open().filter(parent=place.parent_id, name=name).exclude(pk=place.pk)
    if place.closed_at is None and namesake.exists():
        raise StoreRefused(
            say(
                "There is a {name} beside it already. {place} was kept as it is; choose another name.",
                name=name,
                place=place.name,
            )
        )
    place.name, place.capacity = name, capacity
    place.save(update_fields=["name", "capacity"])
    return place


@transaction.atomic
def move_place(
    place_id: int, to: StorePlace | None, *, by: Member, now: datetime, why: str = ""
) -> StorePlace:
    """Put a place with all in it into another, or at the top of the store (None)."""
    tree = {place.pk: place for place in StorePlace.objects.select_for_update().order_by("pk")}
    place = tree[place_id]
    target = tree[to.pk] if to is not None else None
    _refuse_closed(place, say("Nothing was moved."))
    if target is not None:
        _refuse_closed(target, say("Nothing was moved."))
        if target.pk == place.pk:
            raise StoreRefused(
                say(
                    "{place} cannot be put into itself. Nothing was moved; scan the place it goes to.",
                    place=place.name,
                )
            )
        parents = {one.pk: one.parent_id for one in tree.values()}
        if target.pk in within(place.pk, parents):
            raise StoreRefused(
                say(
                    "{other} stands in {place} itself, so {place} cannot go into it. Nothing was moved; scan another place.",
                    other=target.name,
                    place=place.name,
                )
            )
    if place.parent_id == (target.pk if target else None):
        raise StoreRefused(
            say("{place} stands in {other} already. Nothing was moved.", place=place.name, other=target.name)
            if target
            else say("{place} stands at the top of the store already. Nothing was moved.", place=place.name)
        )
    _refuse_kind(place.kind, place.name, target)
    PlaceMove.objects.create(
        place=place, from_parent_id=place.parent_id, to_parent=target, at=now, by=by, why=one_line(why, 200)
    )
    place.parent = target
    place.save(update_fields=["parent"])
    return place


@transaction.atomic
def close_place(place_id: int, *, now: datetime) -> StorePlace:
    """Close an empty place: nothing goes into it any more. Its number is not given again."""
    place = StorePlace.objects.select_for_update().get(pk=place_id)
    _refuse_closed(place, say("Nothing was changed."))
    inside = place.inside.open().count()
    parts = Part.objects.there().filter(place=place).count()
    if inside or parts:
        raise StoreRefused(
            say(
                "{place} still holds {things}, lent ones counted. It stays open; move them first, then close it.",
                place=place.name,
                things=_inside(inside, parts),
            )
        )
    place.closed_at = now
    place.save(update_fields=["closed_at"])
    return place


@transaction.atomic
def open_place_again(place_id: int) -> StorePlace:
    tree = {place.pk: place for place in StorePlace.objects.select_for_update().order_by("pk")}
    place = tree[place_id]
    if place.closed_at is None:
        raise StoreRefused(say("{place} is open. Nothing was changed.", place=place.name))
    if place.parent_id is not None:
        _refuse_closed(tree[place.parent_id], say("{place} stays closed.", place=place.name))
    place.closed_at = None
    place.save(update_fields=["closed_at"])
    return place


@transaction.atomic
def move(parts: Iterable[Part], to: StorePlace | None, *, by: Member, now: datetime, why: str = "") -> Moved:
    """Put parts into a place; None: out of the store, with no place on record. All of them or, where one is refused, none.

    A place that holds more than it should is said, not refused: whoever stands at the shelf knows what fits.
    """
    if to is not None:
        to = StorePlace.objects.select_for_update().get(pk=to.pk)
        _refuse_closed(to, say("Nothing was moved."))
    keys = {part.pk for part in parts}
    locked = list(
        Part.objects.with_number().select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk")
    )
    away = away_now(locked)
    wrong = [
        say(
            "{number} ended on {day}, so it has no place any more.",
            number=part.number,
            day=day_of(part.ended_at),
        )
        for part in locked
        if part.ended_at
    ] + [
        say("{number} is away: {away}. Note its return first.", number=part.number, away=away[part.pk])
        for part in locked
        if part.pk in away
    ]
    if wrong:
        raise StoreRefused(together([*wrong, say("Nothing was moved.")]))
    target = to.pk if to is not None else None
    # What was missing and is put into its own place was in somebody's hand: that is on record as a move.
    missing = missing_since(keys)
    going = [part for part in locked if part.place_id != target or part.pk in missing]
    words = one_line(why, 200)
    Move.objects.bulk_create(
        Move(
            part=part,
            from_place_id=part.place_id,
            to_place=to,
            at=now,
            by=by,
            why=words or ("found again" if part.pk in missing else ""),
        )
        for part in going
    )
    Part.objects.filter(pk__in=[part.pk for part in going]).update(place=to)
    told = [_over_full(to)] if to is not None else []
    return Moved(
        tuple(going),
        tuple(part for part in locked if part.place_id == target and part.pk not in missing),
        tuple(sentence for sentence in told if sentence),
    )


def _over_full(place: StorePlace) -> str:
    if place.capacity is None:
        return ""
    there = Part.objects.there().filter(place=place).count()
    if there <= place.capacity:
        return ""
    return say(
        "{place} is over-full: it is for {capacity} and has {n} on record now.",
        place=place.name,
        capacity=place.capacity,
        n=there,
    )


def _inside(places: int, parts: int) -> Said:
    if places and parts:
        return say("{places} and {parts}", places=places_word(places), parts=parts_word(parts))
    return places_word(places) if places else parts_word(parts)


def _refuse_closed(place: StorePlace, kept: str) -> None:
    if place.closed_at is not None:
        raise StoreRefused(
            say(
                "{place} was closed on {day}. {kept} Open it again, or take another place.",
                place=place.name,
                day=day_of(place.closed_at),
                kept=kept,
            )
        )


def _refuse_kind(kind: str, name: str, parent: StorePlace | None) -> None:
    if kind not in MAY_STAND_IN:
        raise StoreRefused(
            say(
                "{kind} is no kind of place. Nothing was changed; choose one of the list.",
                kind=repr(kind[:20]),
            )
        )
    if parent is not None and parent.kind not in MAY_STAND_IN[kind]:
        raise StoreRefused(
            say(
                "A {kind} does not stand in a {other_kind}: {name} cannot go into {other}. Nothing was changed; choose "
                "another place for it.",
                kind=lowered(PlaceKind(kind).label),
                other_kind=lowered(PlaceKind(parent.kind).label),
                name=name,
                other=parent.name,
            )
        )

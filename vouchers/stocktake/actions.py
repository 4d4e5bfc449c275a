"""The only writers of stocktakes. Each is one transaction that locks the stocktake first; a refusal changes nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.db import transaction

from ledger.moments import day_of
from ledger.people.models import Member
from ledger.record.visible import one_line
from ledger.words import english_of, kept_of, say
from vouchers.codes import PartCode, VoucherCode
from vouchers.parts.models import Part
from vouchers.register.lookup import read
from vouchers.stocktake import compare
from vouchers.stocktake.message import TEXT_LENGTH, Told
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.stocktake.queries import Standing, standing
from vouchers.stocktake.ways import IN_PLACE, way_of
from vouchers.store.actions import StoreRefused, move
from vouchers.store.models import StorePlace
from vouchers.store.queries import Tree, parts_by_key, place_of_code

LEAST_REASON = 3  # signs
REASON_LENGTH = 300
# A phone's clock is put right by its time of sending; below this the difference is the way of the message.
CLOCK_IS_RIGHT = timedelta(minutes=2)


class StocktakeRefused(ValueError):
    """The step cannot be taken; the text says what is wrong, what was kept and what to do."""


class StocktakeEnded(StocktakeRefused):
    """The stocktake is signed off or given up."""


@dataclass(frozen=True, slots=True)
class Taken:
    """Of sightings that were sent: the keys of those that are on the ledger now, and of those refused, why.

    `again`: how many of what was typed had been seen in that place before, and are not written a second time.
    """

    taken: tuple[UUID, ...]
    refused: dict[UUID, str]
    again: int = 0


@transaction.atomic
def open_stocktake(place: StorePlace, *, by: Member, now: datetime) -> Stocktake:
    """Begin a stocktake of a place and all inside it. One place is never in two open ones."""
    # The shape of the tree holds still meanwhile, and two openings wait for one another.
    tree = Tree(StorePlace.objects.select_for_update().order_by("pk"))
    place = tree.places[place.pk]
    if place.closed_at is not None:
        raise StocktakeRefused(
            say("{place} is closed. No stocktake was opened; choose an open place.", place=place.name)
        )
    scope = sorted(key for key in tree.within(place.pk) if tree.places[key].closed_at is None)
    for other in Stocktake.objects.filter(signed_at__isnull=True, given_up_at__isnull=True):
        both = set(scope) & set(other.scope)
        if both:
            raise StocktakeRefused(
                say(
                    "{place} is in the stocktake of {other} already, which was opened on {day}. No other was opened; go on "
                    "with that one, or end it first.",
                    place=tree.words(min(both)),
                    other=tree.words(other.place_id),
                    day=day_of(other.opened_at),
                )
            )
    return Stocktake.objects.create(place=place, scope=scope, opened_at=now, opened_by=by)


@transaction.atomic
def take_sightings(
    stocktake_id: int, told: Sequence[Told], *, by: Member, now: datetime, sent_at: datetime | None = None
) -> Taken:
    """Write sightings as a phone sent them. Sent again they change nothing; one taken back stays so.

    `sent_at`: the phone's clock when it sent, to put the times right where that clock is wrong.
    """
    stocktake = _locked(stocktake_id)
    off = now - sent_at if sent_at is not None else timedelta()
    off = off if abs(off) >= CLOCK_IS_RIGHT else timedelta()
    places = {
        place.number: place for place in StorePlace.objects.filter(number__in={one.place for one in told})
    }
    parts = _parts_of(one.text for one in told)
    known = {row.pk: row for row in Sighting.objects.filter(pk__in=[one.id for one in told])}
    new: dict[UUID, Sighting] = {}
    back: set[UUID] = set()
    refused: dict[UUID, str] = {}
    for one in told:
        row = known.get(one.id) or new.get(one.id)
        if row is not None and row.stocktake_id != stocktake.pk:
            refused[one.id] = say("It belongs to another stocktake.")
        elif row is not None and one.is_taken_back and not (row.by_id == by.pk or by.is_curator):
            refused[one.id] = say("Somebody else saw it. It stays; they or a curator take it back.")
        elif row is None and one.place not in places:
            refused[one.id] = say("There is no place {number} in the store.", number=one.place)
        else:
            if row is None:
                new[one.id] = Sighting(
                    id=one.id,
                    stocktake=stocktake,
                    text=one.text,
                    part=parts.get(one.text),
                    place=places[one.place],
                    seen_at=_seen_at(one.at, off, now),
                    by=by,
                    received_at=now,
                )
            if one.is_taken_back:
                back.add(one.id)
    Sighting.objects.bulk_create(new.values())
    Sighting.objects.filter(pk__in=back, taken_back_at__isnull=True).update(taken_back_at=now)
    return Taken(tuple(dict.fromkeys(one.id for one in told if one.id not in refused)), refused)


def _seen_at(at: datetime, off: timedelta, now: datetime) -> datetime:
    """The phone's time put right. Never later than now: what comes after it must not seem to come before."""
    try:
        return min(at + off, now)
    except OverflowError:
        return now  # by a clock that was set over thousands of years in between


@transaction.atomic
def type_sightings(
    stocktake_id: int, place: StorePlace, texts: Iterable[str], *, by: Member, now: datetime
) -> Taken:
    """Write codes that were typed on the page of the stocktake, in that place.

    What was seen there before is no second packet: a number is soon typed again. Two packets of one number in one box are
    told apart by the camera, which meets each of them.
    """
    wanted = list(dict.fromkeys(text[:TEXT_LENGTH] for text in texts))
    _locked(stocktake_id)
    there = Sighting.objects.filter(stocktake=stocktake_id, place=place, taken_back_at__isnull=True)
    parts_there, texts_there = (
        set(there.values_list("part", flat=True)),
        set(there.values_list("text", flat=True)),
    )
    parts = _parts_of(wanted)
    new: dict[object, str] = {}
    for text in wanted:
        part = parts.get(text)
        if (part.pk not in parts_there) if part else (text not in texts_there):
            new.setdefault(part.pk if part else text, text)
    told = [Told(uuid4(), text, place.number, now, False) for text in new.values()]
    taken = take_sightings(stocktake_id, told, by=by, now=now)
    return replace(taken, again=len(wanted) - len(new))


def _parts_of(texts: Iterable[str]) -> dict[str, Part]:
    keys = {}
    for text in set(texts):
        code = read(text)
        if isinstance(code, VoucherCode | PartCode):
            suffix = code.suffix if isinstance(code, PartCode) else ""
            keys[text] = (code.number.prefix, code.number.year, code.number.serial, suffix)
    found = parts_by_key(set(keys.values()))
    return {text: found[key] for text, key in keys.items() if key in found}


@transaction.atomic
def settle(
    stocktake_id: int, key: str, *, way: str, reason: str, to: str = "", by: Member, now: datetime
) -> Settlement:
    """Decide on one difference, with a reason. Some ways move the part on record; a move that is refused settles nothing.

    `to`: the code of a place, for the way that asks for one.
    """
    stocktake = _locked(stocktake_id)
    shown = standing(stocktake).open_finding(key)
    if shown is None:
        raise StocktakeRefused(
            say(
                "That difference is no longer there: it was settled meanwhile, or something more was seen. "
                "Nothing was changed; look at the list as it stands now."
            )
        )
    chosen = way_of(shown.kind, way)
    if chosen is None:
        raise StocktakeRefused(
            say(
                "It was not said how {number} is settled. It stays on the list; choose a way.",
                number=shown.text,
            )
        )
    reason = one_line(reason, REASON_LENGTH)
    if len(reason) < LEAST_REASON:
        raise StocktakeRefused(
            say(
                "The reason is missing. {number} stays on the list; say in a few words what was found.",
                number=shown.text,
            )
        )
    if chosen.moves:
        try:
            target = (
                place_of_code(to) if chosen.moves == "typed" else StorePlace.objects.get(pk=shown.places[-1])
            )
            why = f"Stocktake: {reason}"
            move([shown.part], target, by=by, now=now, why=why)
        except StoreRefused as refusal:
            raise StocktakeRefused(
                say("{refusal} {number} stays on the list.", refusal=str(refusal), number=shown.text)
            ) from refusal
        if chosen.moves == "typed":
            reason = one_line(f"{reason} (now in {target})", REASON_LENGTH)
    if chosen is IN_PLACE:
        # As good as a sighting: the next stocktake knows when it was there.
        Sighting.objects.create(
            stocktake=stocktake,
            text=shown.text,
            part=shown.part,
            place_id=shown.finding.recorded,
            seen_at=now,
            by=by,
            received_at=now,
        )
    return Settlement.objects.create(
        stocktake=stocktake,
        key=key,
        kind=shown.kind,
        text=shown.text,
        said=english_of(shown.said)[:400],
        said_of=kept_of(shown.said),
        part=shown.part,
        way=chosen.code,
        reason=reason,
        by=by,
        at=now,
    )


@transaction.atomic
def sign_off(stocktake_id: int, *, words: str, by: Member, now: datetime) -> Stocktake:
    """Close a stocktake whose every difference is settled, with the date and the person."""
    stocktake = _locked(stocktake_id)
    shown: Standing = standing(stocktake)
    if shown.why_not_signed:
        raise StocktakeRefused(shown.why_not_signed)
    stocktake.signed_at, stocktake.signed_by = now, by
    stocktake.signed_words = one_line(words, REASON_LENGTH)
    stocktake.expected, stocktake.seen = shown.tally.expected, shown.tally.in_place
    stocktake.record = compare.told(shown.record)
    stocktake.save(update_fields=["signed_at", "signed_by", "signed_words", "expected", "seen", "record"])
    return stocktake


@transaction.atomic
def give_up(stocktake_id: int, *, why: str, now: datetime) -> Stocktake:
    """End a stocktake that was begun by mistake or cannot be finished. What was seen stays on record."""
    stocktake = _locked(stocktake_id)
    why = one_line(why, REASON_LENGTH)
    if len(why) < LEAST_REASON:
        raise StocktakeRefused(
            say("The reason is missing. The stocktake stays open; say why it is given up.")
        )
    stocktake.given_up_at, stocktake.given_up_why = now, why
    stocktake.save(update_fields=["given_up_at", "given_up_why"])
    return stocktake


def _locked(stocktake_id: int) -> Stocktake:
    stocktake = Stocktake.objects.select_for_update().get(pk=stocktake_id)
    if stocktake.signed_at is not None:
        raise StocktakeEnded(
            say(
                "This stocktake was signed off on {day}. Nothing was changed; what was seen since belongs to the next one.",
                day=day_of(stocktake.signed_at),
            )
        )
    if stocktake.given_up_at is not None:
        raise StocktakeEnded(
            say(
                "This stocktake was given up on {day}. Nothing was changed; open another.",
                day=day_of(stocktake.given_up_at),
            )
        )
    return stocktake

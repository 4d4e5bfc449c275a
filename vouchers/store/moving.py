"""A list of codes moved into one place: parts, and places with all in them, in one transaction."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from ledger.people.models import Member
from ledger.words import Said, say, say_n
from vouchers.codes import PlaceCode
from vouchers.register.lookup import read
from vouchers.store import actions
from vouchers.store.queries import parts_of_codes, place_of_code
from vouchers.store.words import parts_word, places_word


class WrongCodes(ValueError):
    """Some of the codes name nothing that can be moved; `sentences` has one for each."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = list(sentences)


@transaction.atomic
def move_codes(to: str, codes: Sequence[str], *, by: Member, now: datetime, why: str = "") -> list[str]:
    """Move all that *codes* name into the place *to* names. Returns sentences: what was done first, then what else to know.

    Raises WrongCodes or StoreRefused; nothing is moved then.
    """
    target = place_of_code(to)
    numbers = {code: known.place for code in codes if isinstance(known := read(code), PlaceCode)}
    parts, wrong = parts_of_codes(code for code in codes if code not in numbers)
    boxes = []
    for code, number in numbers.items():
        try:
            boxes.append(place_of_code(code))
        except actions.StoreRefused:
            wrong.append(say("There is no place {number} in this store.", number=number))
    if wrong:
        raise WrongCodes(wrong)
    for box in boxes:
        actions.move_place(box.pk, target, by=by, now=now, why=why)
    moved = actions.move(parts, target, by=by, now=now, why=why)
    told: list[str] = [_done(target.name, len(moved.moved), len(boxes))]
    if (moved.moved or boxes) and moved.there_before:
        told.append(
            say_n("{n:,} one lay there already.", "{n:,} more lay there already.", len(moved.there_before))
        )
    return [*told, *moved.told]


def _done(into: str, parts: int, boxes: int) -> Said:
    if parts and boxes:
        return say(
            "Into {place}: {parts} and {places} with all in them.",
            place=into,
            parts=parts_word(parts),
            places=places_word(boxes),
        )
    if boxes:
        return say("Into {place}: {places} with all in them.", place=into, places=places_word(boxes))
    if parts:
        return say("Into {place}: {parts}.", place=into, parts=parts_word(parts))
    return say("All of it lies in {place} already.", place=into)

"""A list of codes moved into one place: parts, and places with all in them, in one transaction."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from ledger.people.models import Member
from vouchers.codes import PlaceCode
from vouchers.register.lookup import read
from vouchers.store import actions
from vouchers.store.queries import parts_of_codes, place_of_code
from vouchers.store.words import many, parts_word


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
    place_codes = [code for code in codes if isinstance(read(code), PlaceCode)]
    parts, wrong = parts_of_codes(code for code in codes if code not in place_codes)
    boxes = []
    for code in dict.fromkeys(place_codes):
        try:
            boxes.append(place_of_code(code))
        except actions.StoreRefused as refusal:
            wrong.append(str(refusal).split(" Nothing was changed")[0])
    if wrong:
        raise WrongCodes(wrong)
    for box in boxes:
        actions.move_place(box.pk, target, by=by, now=now, why=why)
    moved = actions.move(parts, target, by=by, now=now, why=why)
    done = [parts_word(len(moved.moved))] if moved.moved else []
    done += [f"{many(len(boxes), 'place', 'places')} with all in them"] if boxes else []
    told = [f"Into {target}: {' and '.join(done)}." if done else f"All of it lies in {target} already."]
    if done and moved.there_before:
        told.append(f"{many(len(moved.there_before), 'one lay', 'more lay')} there already.")
    return [*told, *moved.told]

"""What one code says to whoever has just scanned it."""

from typing import Any

from ledger.moments import day_of
from ledger.words import Said, say, together
from vouchers.codes import PartCode, PlaceCode, VoucherCode
from vouchers.parts.lookup import CodeRefused, part_of_code
from vouchers.parts.models import Part
from vouchers.register.lookup import not_a_part, read
from vouchers.store.actions import StoreRefused
from vouchers.store.away import away_now
from vouchers.store.missing import missing_since, missing_words
from vouchers.store.queries import Tree, place_of_code


def told_of(text: str) -> dict[str, Any]:
    """{"kind": "part" | "place" | "none", "text": the code as it is printed, "said": a sentence, "fine": whether it can be
    moved}."""
    code = read(text)
    if isinstance(code, PlaceCode):
        try:
            place = place_of_code(text)
        except StoreRefused as refusal:
            return {"kind": "none", "text": code.text, "said": str(refusal), "fine": False}
        told = [f"{Tree.load().words(place.pk)}."]
        if place.closed_at:
            told.append(say("It is closed."))
        said = together(told)
        return {"kind": "place", "text": code.text, "said": said, "fine": not place.closed_at}
    if not isinstance(code, VoucherCode | PartCode):
        return {"kind": "none", "text": code.text, "said": not_a_part(code), "fine": False}
    try:
        part = part_of_code(text)
    except CodeRefused as refusal:
        return {"kind": "none", "text": code.text, "said": str(refusal), "fine": False}
    if part.ended_at is not None:
        said = say("It ended on {day}.", day=day_of(part.ended_at))
        return {"kind": "part", "text": part.number, "said": said, "fine": False}
    if away := away_now([part]).get(part.pk):
        return {"kind": "part", "text": part.number, "said": say("It is {away}.", away=away), "fine": False}
    named = part.voucher.find.current_determination
    name = f"{named.name_typed}, " if named and named.name_typed else ""
    return {"kind": "part", "text": part.number, "said": f"{name}{_where(part)}.", "fine": True}


def _where(part: Part) -> Said:
    place = Tree.load().words(part.place_id) if part.place_id else ""
    missing = missing_words(missing_since([part.pk]).get(part.pk))
    if not missing:
        return say("now in {place}", place=place) if place else say("no place on record yet")
    if not place:
        return say("{missing}, found by moving it; no place on record yet", missing=missing)
    return say("{missing}, found by moving it; on record in {place}", missing=missing, place=place)

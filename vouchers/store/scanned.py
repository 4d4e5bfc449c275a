"""What one code says to whoever has just scanned it."""

from typing import Any

from ledger.moments import day_of
from vouchers.codes import PartCode, PlaceCode, VoucherCode
from vouchers.parts.lookup import CodeRefused, part_of_code
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
        closed = " It is closed." if place.closed_at else ""
        said = f"{Tree.load().words(place.pk)}.{closed}"
        return {"kind": "place", "text": code.text, "said": said, "fine": not closed}
    if not isinstance(code, VoucherCode | PartCode):
        return {"kind": "none", "text": code.text, "said": not_a_part(code), "fine": False}
    try:
        part = part_of_code(text)
    except CodeRefused as refusal:
        return {"kind": "none", "text": code.text, "said": str(refusal), "fine": False}
    if part.ended_at is not None:
        said = f"It ended on {day_of(part.ended_at)}."
        return {"kind": "part", "text": part.number, "said": said, "fine": False}
    if away := away_now([part]).get(part.pk):
        return {"kind": "part", "text": part.number, "said": f"It is {away}.", "fine": False}
    where = f"now in {Tree.load().words(part.place_id)}" if part.place_id else "no place on record yet"
    if missing := missing_words(missing_since([part.pk]).get(part.pk)):
        where = f"{missing}, found by moving it; {where.replace('now in', 'on record in')}"
    named = part.voucher.find.current_determination
    name = f"{named.name_typed}, " if named and named.name_typed else ""
    return {"kind": "part", "text": part.number, "said": f"{name}{where}.", "fine": True}

"""From rows to the plain values a label prints. Places come by the same door as everywhere: `finds.access`."""

from collections.abc import Iterable
from datetime import date

from ledger.bench.models import Determination
from ledger.club.models import Club
from ledger.finds import tables
from ledger.finds.access import place_for
from ledger.finds.models import Find, Reading
from ledger.finds.wood_words import WHERE, host_is_latin
from ledger.names.errors import TaxonNameError
from ledger.names.format import name_parts
from ledger.names.parse import parse_name
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from vouchers.labels.content import AnnotationSlip, PacketLabel, Pieces
from vouchers.printing.wording import LabelReading, by_condition
from vouchers.register.models import Voucher

KNOWN_BY = {
    "bark": "by bark",
    "leaves": "by leaves",
    "wood": "by wood",
    "guess": "a guess",
    "told": "as told",
}


def packet_label(voucher: Voucher, club: Club, member: Member) -> PacketLabel:
    """Return the packet label of *voucher* as *member* may print it: a kept-back place is told as its cell."""
    find = voucher.find
    determined = find.current_determination
    place = place_for(find, member)
    current = [row for row in find.readings.all() if row.ended_at is None and row.looked == "read"]
    fresh, dry = by_condition([_label_reading(row, find) for row in _in_order(current)])
    if find.smell:
        fresh = (*fresh, f"smell: {find.smell}")
    return PacketLabel(
        accession_number=str(voucher),
        institution=club.heading,
        **_named(determined),
        place=tuple(part for part in (place.country, place.region, place.locality) if part),
        position=place.text,
        altitude=f"{place.altitude_m:g} m" if place.altitude_m is not None else "",
        habitat=f"near {place.trees_nearby}" if place.trees_nearby else "",
        substrate=_substrate(find, current),
        host=host_pieces(find.host),
        host_basis=KNOWN_BY.get(find.host_known_by, "") if find.host else "",
        decay_class=_decay(find),
        fresh=fresh,
        dry=dry,
        collector=find.finder.full_name,
        collecting_number=find.collecting_number,
        collected_on=date_text(find.found_on) if find.found_on else "",
        permit=place.permission or (find.foray.permission if find.foray and place.exact else ""),
    )


def determination_slip(determination: Determination, voucher: Voucher, club: Club) -> AnnotationSlip:
    return AnnotationSlip(accession_number=str(voucher), institution=club.heading, **_named(determination))


def date_text(day: date) -> str:
    """Return a date with its month in letters, which no country reads the other way round."""
    return f"{day.day} {day:%b %Y}"


def host_pieces(host: str) -> Pieces:
    """Return a typed host in pieces: a Latin name in italics, a common name upright."""
    return ((host, host_is_latin(host, tables.host_genera())),) if host else ()


def _named(determination: Determination | None) -> dict[str, object]:
    if determination is None or not determination.name_typed:
        return {"name": (("not named", False),)}
    name, typed_authority = _pieces(determination.name_typed)
    return {
        "name": name,
        "authority": determination.taxon.authority if determination.taxon else typed_authority,
        "determined_by": determination.determiner_name or determination.determiner.full_name,
        "determined_on": date_text(determination.determined_on),
        "determined_basis": determination.basis,
    }


def _pieces(typed: str) -> tuple[Pieces, str]:
    """Return a typed name in pieces without its authority, and the authority; what cannot be read stands as typed."""
    try:
        name = parse_name(typed)
    except TaxonNameError:
        return ((typed, False),), ""
    return name_parts(name, authority=""), name.authority


def _in_order(readings: Iterable[Reading]) -> list[Reading]:
    order = {code: place for place, code in enumerate(vocabulary().traits)}
    return sorted(readings, key=lambda row: (order.get(row.trait, 99), row.pk))


def _label_reading(row: Reading, find: Find) -> LabelReading:
    trait = vocabulary().traits.get(row.trait)
    words = {state.code: state.label.lower() for state in trait.states} if trait else {}
    return LabelReading(
        trait=row.trait,
        values=tuple(row.values),
        low=row.low,
        high=row.high,
        n=row.n,
        unit=row.unit,
        states=tuple(words.get(code, code) for code in row.states),
        state=row.state or find.specimen_state,
    )


def _substrate(find: Find, readings: Iterable[Reading]) -> str:
    traits = vocabulary().traits
    said = [
        traits[row.trait].state(code).label.lower()
        for row in readings
        if row.trait == "substrate_state"
        for code in row.states
    ]
    return ", ".join(part for part in (*said, WHERE.get(find.wood_position, find.wood_position)) if part)


def _decay(find: Find) -> str:
    scale = tables.decay_scales().get(find.decay_scale)
    if not find.decay_class:
        return ""
    return f"decay class {find.decay_class}" + (f" ({scale.label})" if scale else "")

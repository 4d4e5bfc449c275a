"""From rows to the plain values a label prints. Places come by the same door as everywhere: `finds.access`."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from ledger.bench.models import Determination
from ledger.club.models import Club
from ledger.days import short_day_text
from ledger.finds import tables
from ledger.finds.access import Place, place_for, place_leaving, sees_exact_place
from ledger.finds.models import Find, Reading
from ledger.finds.wood_words import WHERE, host_is_latin
from ledger.languages import of_the_club
from ledger.names.format import NamePart
from ledger.paper.text import Pieces
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.templatetags.names import cited_name
from ledger.words import later, lowered, say
from vouchers.labels.annotation import AnnotationSlip
from vouchers.labels.content import DeterminationSlip, PacketLabel
from vouchers.labels.tags import Tag, TubeLabel
from vouchers.parts.models import Part
from vouchers.printing.history import earlier_name
from vouchers.printing.wording import LabelReading, by_state
from vouchers.register.models import Voucher
from vouchers.sampling.slip import CutNote

KNOWN_BY = {
    "bark": later("by bark"),
    "leaves": later("by leaves"),
    "wood": later("by wood"),
    "guess": later("a guess"),
    "told": later("as told"),
}
Asked = ParamSpec("Asked")
Made = TypeVar("Made")


def _in_the_clubs_language(make: Callable[Asked, Made]) -> Callable[Asked, Made]:
    """A label stays with the specimen: it is in the club's language, whoever prints it."""

    @wraps(make)
    def made(*args: Asked.args, **named: Asked.kwargs) -> Made:
        with of_the_club():
            return make(*args, **named)

    return made


@_in_the_clubs_language
def packet_label(voucher: Voucher, club: Club, member: Member) -> PacketLabel:
    """Return the packet label of *voucher* as *member* may print it: a kept-back place is told as its cell."""
    return _whole_label(voucher, club, place_for(voucher.find, member))


@_in_the_clubs_language
def duplicate_label(part: Part, club: Club, permission: str) -> PacketLabel:
    """Return the label of a duplicate: that of its packet with the part's own number, the place as it leaves the club.

    `permission`: under which leave it was taken, or that none is on record, by `permits.queries.permission_texts`.
    """
    whole = _whole_label(part.voucher, club, place_leaving(part.voucher.find))
    return replace(whole, accession_number=part.number, what=say("Duplicate"), permit=permission)


def _whole_label(voucher: Voucher, club: Club, place: Place) -> PacketLabel:
    find = voucher.find
    determined = find.current_determination
    current = [row for row in find.readings.all() if row.ended_at is None and row.looked == "read"]
    readings = [_label_reading(row, find) for row in _in_order(current)]
    if find.smell:
        readings.append(LabelReading("smell", states=(find.smell,), state=find.specimen_state))
    read = by_state(readings)
    return PacketLabel(
        accession_number=str(voucher),
        institution=club.heading,
        **_named(determined, freely=place.exact),
        earlier=_earlier(find),
        place=tuple(part for part in (place.country, place.region, place.locality) if part),
        position=place.text,
        altitude=f"{place.altitude_m:g} m" if place.altitude_m is not None else "",
        near=place.trees_nearby,
        substrate=_substrate(current),
        host=host_pieces(find.host),
        host_basis=str(KNOWN_BY.get(find.host_known_by, "")) if find.host else "",
        part=_part(find, current),
        decay_class=_decay(find),
        fresh=read.fresh,
        moist=read.moist,
        dry=read.dry,
        noted=read.noted,
        collector=find.found_by_name,
        collecting_number=find.collecting_number,
        collected_on=short_day_text(find.found_on),
        permit=place.permission or (find.foray.permission if find.foray and place.exact else ""),
    )


@_in_the_clubs_language
def determination_slip(
    voucher: Voucher, club: Club, determination: Determination, member: Member
) -> DeterminationSlip:
    """Return the slip of one of the find's later determinations, `history.later_determinations`."""
    find = voucher.find
    return DeterminationSlip(
        accession_number=str(voucher),
        institution=club.heading,
        **_named(determination, freely=sees_exact_place(find, member)),
        collector=find.found_by_name,
        collecting_number=find.collecting_number,
        collected_on=short_day_text(find.found_on),
    )


@_in_the_clubs_language
def annotation_slip(voucher: Voucher, club: Club, note: CutNote, member: Member) -> AnnotationSlip:
    """Return the annotation slip of a piece that was cut from the voucher, named as it is now.

    Whoever may not know the place gets it without the words that were typed: what was cut is then a piece.
    """
    find = voucher.find
    freely = sees_exact_place(find, member)
    cut = note.what if freely else say("a piece")
    if note.part != note.accession_number:
        cut = say("{what}, from {part}", what=cut, part=note.part)
    why = str(note.why if freely else note.purpose)
    if note.asked_by:
        why = say("{why}; asked by {who}", why=why, who=note.asked_by)
    named = _named(find.current_determination, freely=freely)
    return AnnotationSlip(
        **{
            key: named[key] for key in ("name", "authority", "determined_by", "determined_on") if key in named
        },
        accession_number=note.accession_number,
        institution=club.heading,
        cut=cut,
        cut_by=note.cut_by,
        cut_on=short_day_text(note.cut_on),
        why=why,
        leave=note.leave,
        result=note.result if freely else "",
        collector=find.found_by_name,
        collecting_number=find.collecting_number,
        collected_on=short_day_text(find.found_on),
    )


def tube_label(part: Part) -> TubeLabel:
    """Return the small label of a part with a suffix: numbers only, as names change and a tube is not opened for it."""
    find = part.voucher.find
    return TubeLabel(
        accession_number=str(part.voucher), suffix=part.suffix, collecting_number=find.collecting_number
    )


def specimen_tag(voucher: Voucher, club: Club) -> Tag:
    """Return the tag that lies by the specimen in the drier: the number its finder knows it by, in large type."""
    find = voucher.find
    return Tag(
        number=str(voucher),
        title=((find.collecting_number or str(voucher), False),),
        institution=club.heading,
        lines=((later("Coll."), find.found_by_name),),
    )


def host_pieces(host: str) -> Pieces:
    """Return a typed host in pieces: a Latin name in italics, a common name upright."""
    return ((host, host_is_latin(host, tables.host_genera())),) if host else ()


def _named(determination: Determination | None, *, freely: bool) -> dict[str, Any]:
    """The name with who gave it and when; `freely`: and on what grounds, which people write as they like."""
    if determination is None or not determination.name_typed:
        return {"name": ((say("not named"), False),)}
    cited = cited_name(determination)
    return {
        "name": _pieces(cited.parts),
        "authority": cited.authority,
        "accepted": _pieces(cited.accepted),
        "determined_by": determination.determiner_name or determination.determiner.full_name,
        "determined_on": short_day_text(determination.determined_on),
        "determined_basis": say(determination.basis) if freely and determination.basis else "",
    }


def _earlier(find: Find) -> Pieces:
    """Return the name before the current one: `Trametes versicolor, L. Crabbe, 14 Nov 2026`."""
    before = earlier_name(find)
    if before is None:
        return ()
    who = before.determiner_name or before.determiner.full_name
    who_when = ", ".join(filter(None, (who, short_day_text(before.determined_on))))
    return (*_pieces(cited_name(before).parts), (f", {who_when}", False))


def _pieces(parts: Iterable[NamePart]) -> Pieces:
    return tuple((part.text, part.italic) for part in parts)


def _in_order(readings: Iterable[Reading]) -> list[Reading]:
    order = {code: place for place, code in enumerate(vocabulary().traits)}
    return sorted(readings, key=lambda row: (order.get(row.trait, 99), row.pk))


def _label_reading(row: Reading, find: Find) -> LabelReading:
    trait = vocabulary().traits.get(row.trait)
    words = {state.code: lowered(state.label) for state in trait.states} if trait else {}
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


# A label says "… of Betula pendula" behind it, which wants a noun.
_AS_A_NOUN = {"dead standing": later("dead standing tree")}


def _substrate(readings: Iterable[Reading]) -> str:
    state = vocabulary().traits["substrate_state"].state
    return ", ".join(str(_AS_A_NOUN.get(code) or lowered(state(code).label)) for code in _wood(readings))


def _part(find: Find, readings: Iterable[Reading]) -> str:
    """Return the side or part of the wood, unless the state of the wood says it: a root, on a root."""
    if find.wood_position == "root" and "root" in _wood(readings):
        return ""
    return str(WHERE.get(find.wood_position, find.wood_position))


def _wood(readings: Iterable[Reading]) -> list[str]:
    return [code for row in readings if row.trait == "substrate_state" for code in row.states]


def _decay(find: Find) -> str:
    """Return the class with its scale; a class of no known scale, or not in its scale, means nothing on paper."""
    scale = tables.decay_scales().get(find.decay_scale)
    if scale is None or find.decay_class not in scale.classes:
        return ""
    return say("decay class {decay_class} ({scale})", decay_class=find.decay_class, scale=say(scale.label))

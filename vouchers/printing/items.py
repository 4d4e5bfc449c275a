"""What could be printed of the chosen vouchers, places and trays: one item per label, or why there is none."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.club.models import Club
from ledger.days import short_day_text
from ledger.finds.access import sees_exact_place
from ledger.languages import of_the_club
from ledger.moments import short_day_of
from ledger.people.models import Member
from ledger.words import later, say, together
from vouchers.codes import PlaceCode, TrayCode
from vouchers.labels.prepare import Label
from vouchers.labels.refusals import Refusal
from vouchers.labels.sizes import CALLED
from vouchers.labels.tags import Tag
from vouchers.parts.models import Part
from vouchers.permits.queries import permission_texts
from vouchers.printing.gather import (
    annotation_slip,
    determination_slip,
    duplicate_label,
    packet_label,
    specimen_tag,
    tube_label,
)
from vouchers.printing.history import later_determinations, slip_refusal
from vouchers.printing.kinds import KIND_OF
from vouchers.printing.open_flags import open_flags, stop_refusal
from vouchers.printing.queries import cuts_by_voucher, parts_by_voucher
from vouchers.register.models import Voucher
from vouchers.sampling.slip import CutNote
from vouchers.store.models import StorePlace

_NO_DUPLICATE = later(
    "{number} has no duplicate on record, so no label was printed. Add the part on the page of the voucher."
)
_NO_PART = later(
    "{number} has no tube, slide, print or piece of wood on record, so no label was printed. Add the part on the page of "
    "the voucher."
)
_NO_CUT = later(
    "{number} has no annotation slip: nothing is on record as cut from it. Note the cut under its leave, then print."
)
# Labels that say more than numbers: an open stop flag bars them, since the paper would outlast the decision.
_TELL_OF_THE_FIND = frozenset({"packet", "box", "slip", "duplicate"})


@dataclass(frozen=True, slots=True)
class Item:
    """One label to print on `sheet`, or why it cannot be. `key` says of what it is the label, whatever the sheet.

    `about` tells labels of one number apart, for a row of the page. `exact`: whoever prints may know the exact place.
    """

    sheet: str
    kind: str
    key: str
    number: str
    label: Label | None = None
    refusal: Refusal | None = None
    voucher: Voucher | None = None
    about: str = ""
    exact: bool = True

    @property
    def called(self) -> str:
        """`packet label`, `determination slip of 2 Nov 2026`."""
        return together([CALLED[self.kind], self.about]) if self.about else say(CALLED[self.kind])


def of_vouchers(
    vouchers: Sequence[Voucher], sheets: Iterable[str], *, club: Club, member: Member
) -> list[Item]:
    """The labels of the vouchers on those sheets, sheet by sheet, in the order of the vouchers.

    A slip is printed for each later determination, a label of a duplicate or another part for each that is here.
    """
    sheets = list(sheets)
    kinds = {KIND_OF[sheet] for sheet in sheets}
    parts = parts_by_voucher(vouchers) if kinds & {"duplicate", "part"} else {}
    with of_the_club():  # what stands on labels
        cuts = cuts_by_voucher(vouchers) if "annotation" in kinds else {}
        # A duplicate leaves the club, and says under which leave it was taken.
        permissions = permission_texts(vouchers) if "duplicate" in kinds else {}
    made: list[Item] = []
    for sheet in sheets:
        for voucher in vouchers:
            made += _of_voucher(
                voucher,
                sheet,
                parts=parts.get(voucher.pk, []),
                cuts=cuts.get(voucher.pk, []),
                permission=permissions.get(voucher.pk, ""),
                club=club,
                member=member,
            )
    return made


def _of_voucher(
    voucher: Voucher,
    sheet: str,
    *,
    parts: Sequence[Part],
    cuts: Sequence[tuple[int, CutNote]],
    permission: str,
    club: Club,
    member: Member,
) -> list[Item]:
    kind, number = KIND_OF[sheet], str(voucher)
    exact = sees_exact_place(voucher.find, member)

    def item(key: int, text: str, label: Label, about: str = "") -> Item:
        return Item(sheet, kind, f"{kind} {key}", text, label, None, voucher, about, exact)

    def refused(line: str, sentence: str) -> Item:
        refusal = Refusal(number, line, sentence)
        return Item(sheet, kind, f"{kind} {number}", number, None, refusal, voucher, "", exact)

    if voucher.deaccessioned_at is not None:
        sentence = say(
            "{number} was not printed: it was deaccessioned on {day}. A specimen that is here after all is taken back "
            "first.",
            number=number,
            day=short_day_of(voucher.deaccessioned_at),
        )
        return [refused("Register", sentence)]
    if kind in _TELL_OF_THE_FIND and (sentence := stop_refusal(open_flags(voucher.find, member), number)):
        return [refused("Flags", sentence)]
    if kind in ("packet", "box"):
        return [item(voucher.pk, number, packet_label(voucher, club, member))]
    if kind == "tag":
        return [item(voucher.pk, number, specimen_tag(voucher, club))]
    if kind == "slip":
        slips = [
            item(
                row.pk,
                number,
                determination_slip(voucher, club, row, member),
                say("of {day}", day=short_day_text(row.determined_on)) if row.determined_on else "",
            )
            for row in later_determinations(voucher.find)
        ]
        sentence = slip_refusal(voucher.find, number)
        return [*slips, refused("Det.", sentence)] if sentence else slips
    if kind == "annotation":
        return [
            item(
                key,
                number,
                annotation_slip(voucher, club, note, member),
                say("of {day}", day=short_day_text(note.cut_on)),
            )
            for key, note in cuts
        ] or [refused("Cut", say(_NO_CUT, number=number))]
    if kind == "duplicate":
        there = [part for part in parts if part.kind == "duplicate"]
        return [item(part.pk, part.number, duplicate_label(part, club, permission)) for part in there] or [
            refused("Part", say(_NO_DUPLICATE, number=number))
        ]
    there = [part for part in parts if part.suffix and part.kind != "duplicate"]
    return [
        item(part.pk, part.number, tube_label(part), say("of a {kind}", kind=part.kind_word))
        for part in there
    ] or [refused("Part", say(_NO_PART, number=number))]


def of_places(places: Iterable[StorePlace], paths: Mapping[int, str], *, club: Club) -> list[Item]:
    """The labels of places of the store. `paths`: by the key of a place, the places it stands in, in words."""
    made = []
    for place in places:
        code = PlaceCode(club.accession_prefix, place.number).text
        with of_the_club():
            holds = say("holds {n}", n=place.capacity) if place.capacity else ""
        label = Tag(
            number=code,
            title=((place.name, False),),
            institution=club.heading,
            lines=(("In", paths.get(place.pk, "")), (later("Holds"), holds)),
        )
        made.append(Item("places", "place", f"place {place.pk}", code, label, about=place.name))
    return made


def of_trays(numbers: Iterable[int], *, club: Club) -> list[Item]:
    """The tags of the drier's trays of those numbers."""
    made = []
    for tray in numbers:
        code = TrayCode(club.accession_prefix, tray).text
        with of_the_club():
            title = say("Tray {n}", n=tray)
        label = Tag(number=code, title=((title, False),), institution=club.heading)
        made.append(Item("tags", "tray", f"tray {code}", code, label))
    return made

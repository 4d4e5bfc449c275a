"""The store for screens: the tree, what lies where, and where something is."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

from django.db.models import Count, Q, QuerySet

from ledger.bench.models import Determination
from ledger.collecting_numbers import read_collecting_number
from ledger.words import Said, say
from vouchers.codes import Code, ForeignCode, PartCode, PlaceCode, TrayCode, VoucherCode
from vouchers.parts.models import Part
from vouchers.register.lookup import read
from vouchers.register.numbers import read_year_and_serial
from vouchers.register.search import names_holding
from vouchers.store.actions import StoreRefused
from vouchers.store.away import away_now
from vouchers.store.kinds import way_up, within
from vouchers.store.missing import missing_since, missing_words
from vouchers.store.models import Move, StorePlace


@dataclass(frozen=True, slots=True)
class Node:
    """A place in the tree as it is listed: how deep it stands, and what lies in it and in all inside it."""

    place: StorePlace
    depth: int
    parts: int
    parts_inside: int

    @property
    def is_over_full(self) -> bool:
        return self.place.capacity is not None and self.parts > self.place.capacity


class Tree:
    """All places, read once."""

    def __init__(self, places: Iterable[StorePlace]) -> None:
        self.places = {place.pk: place for place in places}
        self.parents = {place.pk: place.parent_id for place in self.places.values()}

    @classmethod
    def load(cls) -> Self:
        return cls(StorePlace.objects.all())

    def path(self, place_id: int | None) -> tuple[StorePlace, ...]:
        """The places from the outermost down to that one."""
        if place_id is None:
            return ()
        return tuple(self.places[key] for key in way_up(place_id, self.parents))

    def words(self, place_id: int | None) -> str:
        """Herbarium room › Cabinet 2 › Box 7."""
        return " › ".join(place.name for place in self.path(place_id)) or say("no place on record")

    def within(self, place_id: int) -> frozenset[int]:
        return within(place_id, self.parents)

    def nodes(self, *, top: int | None = None, closed: bool = False) -> list[Node]:
        """The places in or below *top* (None: all), each under the one it stands in, by name as people count."""
        here = dict(
            Part.objects.there()
            .filter(place__isnull=False)
            .values_list("place")
            .annotate(n=Count("pk"))
            .order_by()
        )
        below: dict[int | None, list[StorePlace]] = {}
        for place in self.places.values():
            if closed or place.closed_at is None:
                below.setdefault(place.parent_id, []).append(place)
        listed: list[Node] = []

        def walk(place: StorePlace, depth: int) -> None:
            total = sum(here.get(key, 0) for key in self.within(place.pk))
            listed.append(Node(place, depth, here.get(place.pk, 0), total))
            for inner in sorted(below.get(place.pk, ()), key=as_counted):
                walk(inner, depth + 1)

        for place in sorted(below.get(top, ()), key=as_counted):
            walk(place, 0)
        return listed


def as_counted(place: StorePlace) -> tuple[object, ...]:
    """Box 2 before Box 10."""
    words = place.name.casefold().split()
    return tuple(
        (0, int(word), "") if word.isascii() and word.isdecimal() else (1, 0, word) for word in words
    )


def place_of_code(text: str) -> StorePlace:
    """The place whose code was read or typed; its bare number will do, or its name where only one open place has it."""
    typed = " ".join(text.split())
    code = read(typed)
    if isinstance(code, PlaceCode):
        number = code.place
    elif typed.isascii() and typed.isdecimal() and 0 < len(typed) < 8:
        number = int(typed)
    else:
        named = list(StorePlace.objects.open().filter(name__iexact=typed)[:2]) if typed else []
        if len(named) == 1:
            return named[0]
        if named:
            raise StoreRefused(
                say(
                    "Several places are called {name}. Nothing was changed; give the code on its label instead.",
                    name=typed[:60],
                )
            )
        if isinstance(code, VoucherCode | PartCode):
            raise StoreRefused(
                say(
                    "{code} is a specimen, not a place. Nothing was changed; scan the box or shelf.",
                    code=code.text,
                )
            )
        raise StoreRefused(
            say(
                "“{name}” is no place of this store. Nothing was changed. A place's code looks like PLACE 17; all of them "
                "stand under Store.",
                name=typed[:60],
            )
            if typed
            else say("No place was given. Nothing was changed; scan or type the code of the box or shelf.")
        )
    place = StorePlace.objects.filter(number=number).first()
    if place is None:
        raise StoreRefused(
            say(
                "There is no place {number} in this store. Nothing was changed; look at its label again.",
                number=number,
            )
        )
    return place


def parts_of_codes(texts: Iterable[str]) -> tuple[list[Part], list[str]]:
    """The parts these codes name, each once, and a sentence for each code that names none; two queries."""
    wrong: list[str] = []
    wanted: dict[tuple[str, int, int, str], str] = {}
    for text in texts:
        code = read(text)
        if isinstance(code, VoucherCode | PartCode):
            suffix = code.suffix if isinstance(code, PartCode) else ""
            wanted[(code.number.prefix, code.number.year, code.number.serial, suffix)] = code.text
        else:
            wrong.append(_no_part(code))
    found = parts_by_key(wanted)
    wrong += [
        say("{number} was never given.", number=text) for key, text in wanted.items() if key not in found
    ]
    return list(found.values()), wrong


def parts_by_key(keys: Iterable[tuple[str, int, int, str]]) -> dict[tuple[str, int, int, str], Part]:
    """Parts by prefix, year, serial and suffix; in the order asked for."""
    wanted = list(keys)
    serials: dict[tuple[str, int], set[int]] = {}
    for prefix, year, serial, _ in wanted:
        serials.setdefault((prefix, year), set()).add(serial)
    found: dict[tuple[str, int, int, str], Part] = {}
    for (prefix, year), some in serials.items():
        rows = Part.objects.with_number().filter(
            voucher__prefix=prefix, voucher__year=year, voucher__serial__in=some
        )
        for part in rows:
            voucher = part.voucher
            found[(voucher.prefix, voucher.year, voucher.serial, part.suffix)] = part
    return {key: found[key] for key in wanted if key in found}


def _no_part(code: Code) -> Said:
    """What is wrong with one of many codes; that nothing was changed is said once for all."""
    if isinstance(code, ForeignCode):
        return say(
            "{code} is not one of ours: the prefix {prefix} belongs to another collection.",
            code=code.text,
            prefix=code.prefix,
        )
    if isinstance(code, PlaceCode):
        return say("{code} is a place of the store, not a specimen.", code=code.text)
    if isinstance(code, TrayCode):
        return say("{code} is a tray, not a specimen.", code=code.text)
    if not code.text:
        return say("Nothing is no code of this collection.")
    return say("“{code}” is no code of this collection.", code=code.text)


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part in a list: its way in the store, and what else to know."""

    part: Part
    way: tuple[StorePlace, ...]
    away: str = ""
    missing: str = ""  # "missing since 26 Nov 2026"


def part_rows(parts: Iterable[Part], tree: Tree) -> list[PartRow]:
    rows = list(parts)
    away = away_now(rows)
    missing = missing_since(part.pk for part in rows)
    return [
        PartRow(part, tree.path(part.place_id), away.get(part.pk, ""), missing_words(missing.get(part.pk)))
        for part in rows
    ]


def with_names(parts: QuerySet[Part]) -> QuerySet[Part]:
    return parts.select_related(
        "voucher__find__current_determination__taxon", "voucher__find__finder", "place"
    )


def parts_in(places: Iterable[int]) -> QuerySet[Part]:
    rows = Part.objects.there().filter(place__in=list(places))
    return with_names(rows).order_by("voucher__prefix", "voucher__year", "voucher__serial", "pk")


def where_is(typed: str) -> QuerySet[Part]:
    """Parts answering to what was typed: a number with or without prefix or suffix, a collecting number, a name ever given.

    Ended parts too: that it is gone is an answer.
    """
    rows = with_names(Part.objects.all()).order_by(
        "-voucher__year", "voucher__prefix", "-voucher__serial", "pk"
    )
    code = read(typed)
    if isinstance(code, VoucherCode | PartCode):
        number = code.number
        rows = rows.filter(
            voucher__prefix=number.prefix, voucher__year=number.year, voucher__serial=number.serial
        )
        return rows.filter(suffix=code.suffix) if isinstance(code, PartCode) else rows
    asked = Q()
    for column, values in names_holding(typed).items():
        named = Determination.objects.filter(**{f"{column}__in": values})
        asked |= Q(voucher__find__in=named.values("find"))
    if collected := read_collecting_number(typed):
        collector, serial, share = collected
        whole = Q(voucher__find__collecting_code=collector, voucher__find__collecting_serial=serial)
        asked |= (whole & Q(voucher__find__collecting_suffix=share)) if share else whole
    if numbered := read_year_and_serial(typed):
        year, serial = numbered
        asked |= Q(voucher__year=year, voucher__serial=serial)
    return rows.filter(asked)


def places_called(typed: str) -> list[StorePlace]:
    """Places answering to what was typed: code, number or a part of the name."""
    code = read(typed)
    if isinstance(code, PlaceCode):
        return list(StorePlace.objects.filter(number=code.place))
    if isinstance(code, VoucherCode | PartCode):
        return []
    return sorted(StorePlace.objects.filter(name__icontains=typed), key=as_counted)[:50]


def last_moves(place: StorePlace) -> QuerySet[Move]:
    rows = Move.objects.filter(Q(from_place=place) | Q(to_place=place))
    # With what decides on whether the reader may know the words of a move.
    find = ("part__voucher__find__foray", "part__voucher__find__current_determination__taxon")
    return rows.select_related(*find, "from_place", "to_place", "by").order_by("-pk")

"""Which vouchers answer to what was typed, the newest number first, in a register of any size.

What was typed is first held against the few names, people and words there are, each once; what answers is looked up by
indexes. Where few finds answer, all are gathered. Where many do, the register is read from its newest number downwards
until a page is full, which is soon, since they are many.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any, Protocol
from uuid import UUID

from django.db.models import Model, Q, QuerySet

from ledger.bench.models import Determination
from ledger.collecting_numbers import read_collecting_number
from ledger.distinct import distinct_texts
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search.fold import distinct_words
from ledger.search.models import SearchWord, WordUse
from ledger.search.queries import words_beginning_with
from ledger.search.walk import held_column
from ledger.taxa.models import Synonym, Taxon
from vouchers.register.models import Voucher
from vouchers.register.numbers import read_year_and_serial

# So many finds are gathered at most.
MOST_GATHERED = 10_000
# Identities asked for, and rows read, at a go: in the beginning, and at most.
AT_FIRST, AT_ONCE = 250, 2_000


def names_holding(typed: str) -> dict[str, list[Any]]:
    """By which columns, with which values, determinations are under a name that holds what was typed: its taxon, whose
    synonyms count, and the name as it was given."""
    taxa = Taxon.objects.filter(Q(name__icontains=typed) | Q(synonyms__name__icontains=typed)).order_by()
    return {
        "taxon": list(taxa.values_list("pk", flat=True).distinct()),
        "name_typed": _holding(typed, distinct_texts(Determination, "name_typed")),
    }


class Found:
    """The vouchers that answer to *typed*, as keys of their rows, newest number first.

    `by_locality`: to the words of a place too, which are for curators only.
    """

    def __init__(self, typed: str, *, by_locality: bool = False) -> None:
        self._numbered = read_year_and_serial(typed)
        self._sources = _sources(typed, by_locality=by_locality)
        self._read: list[int] = []
        self._rest = self._going_down()

    def up_to(self, many: int) -> tuple[list[int], bool]:
        """So many of them, or more where more are at hand; and whether these are all."""
        if self._whole is not None:
            return self._whole, True
        self._read += islice(self._rest, max(0, many - len(self._read)))
        return self._read, len(self._read) < many

    @cached_property
    def _whole(self) -> list[int] | None:
        """All of them, or None where more finds answer than are gathered."""
        finds: set[UUID] = set()
        for source in self._sources:
            some = source.at_most(MOST_GATHERED)
            if some is None:
                return None
            finds |= some
        rows = [row for some in _in_runs(list(finds)) for row in _rows(Q(find__in=some))]
        if self._numbered:
            year, serial = self._numbered
            rows += _rows(Q(year=year, serial=serial))
        return [pk for *_, pk in sorted(set(rows), reverse=True)]

    def _going_down(self) -> Iterator[int]:
        """The register from its newest number, held against what was typed some rows at a time."""
        rows = Voucher.objects.order_by("-year", "-serial", "-pk").values_list("pk", "find", "year", "serial")
        start, many = 0, min(AT_FIRST, AT_ONCE)
        while some := list(rows[start : start + many]):
            # A page of what is common is full at once; of what is rarer, more are asked for at a go.
            start, many = start + many, min(2 * many, AT_ONCE)
            finds = [find for _, find, *_ in some]
            met = {find for source in self._sources for find in source.among(finds)}
            for pk, find, *number in some:
                if find in met or tuple(number) == self._numbered:
                    yield pk


def in_order(keys: Sequence[int], rows: QuerySet[Voucher]) -> list[Voucher]:
    """The vouchers of these keys out of *rows*, in the order of the keys."""
    by_key = {row.pk: row for row in rows.filter(pk__in=keys)}
    return [by_key[key] for key in keys if key in by_key]


def names_not_shown(typed: str, rows: Sequence[tuple[Voucher, str]]) -> dict[UUID, str]:
    """By find, the name by which a voucher answers where its row, with the place that it shows, holds nothing of what was
    typed: one that was given before, or a synonym of it. Costs two queries, none where every row shows it."""
    sought = typed.casefold()
    hidden = [
        voucher.find_id
        for voucher, place in rows
        if not any(sought in text.casefold() for text in (*_shown(voucher.find), place))
    ]
    if not hidden:
        return {}
    synonyms = dict(Synonym.objects.filter(name__icontains=typed).order_by().values_list("taxon", "name"))
    given = Determination.objects.filter(find__in=hidden).order_by("-made_at", "-pk")
    told: dict[UUID, str] = {}
    for find, text, taxon, name in given.values_list("find", "name_typed", "taxon", "taxon__name"):
        for one in (text, name, synonyms.get(taxon)):
            if one and sought in one.casefold():
                told.setdefault(find, one)
    return told


def _shown(find: Find) -> list[str]:
    """What a row of the register says of a find besides its numbers and its place."""
    determined = find.current_determination
    name = determined and (determined.taxon.name if determined.taxon else determined.name_typed)
    return [name or "", find.found_by_name]


# --- what a find can answer by ---


class _Source(Protocol):
    def at_most(self, most: int) -> set[UUID] | None:
        """The finds that answer, or None where they are more."""

    def among(self, finds: Collection[UUID]) -> set[UUID]:
        """Those of these finds that answer."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows with one of these values in that column, which has an index; `find` is the path to their find."""

    model: type[Model]
    column: str
    values: Collection[Any]
    find: str = "pk"

    def at_most(self, most: int) -> set[UUID] | None:
        rows = self._finds(self.model._default_manager.filter(**{f"{self.column}__in": self.values}))
        found = list(rows[: most + 1])
        return set(found) if len(found) <= most else None

    def among(self, finds: Collection[UUID]) -> set[UUID]:
        # By the finds alone: many may have such a value, and by its index all of them would be read.
        rows = self.model._default_manager.alias(held=held_column(self.column))
        return set(self._finds(rows.filter(held__in=self.values, **{f"{self.find}__in": finds})))

    def _finds(self, rows: QuerySet[Any]) -> QuerySet[Any, UUID]:
        return rows.order_by().values_list(self.find, flat=True)


@dataclass(frozen=True, slots=True)
class _Places:
    """Finds whose place has a word out of each of `words`."""

    words: list[_Rows]

    def at_most(self, most: int) -> set[UUID] | None:
        few = [found for word in self.words if (found := word.at_most(most)) is not None]
        if not few:
            return None
        return {find for some in _in_runs(list(min(few, key=len))) for find in self.among(some)}

    def among(self, finds: Collection[UUID]) -> set[UUID]:
        return set.intersection(*(word.among(finds) for word in self.words))


def _sources(typed: str, *, by_locality: bool) -> list[_Source]:
    # Held here: an SQLite knows no capitals but those of English, and members are few.
    called = dict(Member.objects.order_by().values_list("pk", "full_name"))
    members = set(_holding(typed, called.values()))
    sources: list[_Source] = [
        *(_Rows(Determination, column, values, "find") for column, values in names_holding(typed).items()),
        _Rows(Find, "finder", [pk for pk, name in called.items() if name in members]),
        _Rows(Find, "found_by", _holding(typed, distinct_texts(Find, "found_by"))),
    ]
    if collected := read_collecting_number(typed):
        code, serial, share = collected
        numbered = Find.objects.filter(collecting_code=code, collecting_serial=serial).order_by()
        if share:
            numbered = numbered.filter(collecting_suffix=share)
        sources.append(_Rows(Find, "pk", list(numbered.values_list("pk", flat=True))))
    words = distinct_words(typed) if by_locality else []
    places = [
        _Rows(WordUse, "word", list(words_beginning_with(word, [SearchWord.Kind.PLACE])), "entry__find")
        for word in words
    ]
    if places:
        sources.append(_Places(places))
    return sources


def _holding(typed: str, texts: Collection[str]) -> list[str]:
    sought = typed.casefold()
    return [text for text in texts if sought in text.casefold()]


def _in_runs(finds: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    for start in range(0, len(finds), AT_ONCE):
        yield finds[start : start + AT_ONCE]


def _rows(asked: Q) -> QuerySet[Voucher, tuple[int, int, int]]:
    return Voucher.objects.filter(asked).order_by().values_list("year", "serial", "pk")

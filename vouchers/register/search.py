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

from django.db.models import Q, QuerySet

from ledger.bench.models import Determination
from ledger.collecting_numbers import read_collecting_number
from ledger.distinct import distinct_texts
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search.fold import distinct_words
from ledger.search.models import SearchWord, WordUse
from ledger.search.queries import beginning_with
from ledger.taxa.models import Taxon
from vouchers.register.models import Voucher
from vouchers.register.numbers import read_year_and_serial

# So many finds are gathered at most.
MOST_GATHERED = 20_000
# Identities asked for, and rows read, at a go.
AT_ONCE = 2_000


def names_holding(typed: str) -> list[QuerySet[Determination]]:
    """The determinations under a name that holds what was typed: by its taxon, whose synonyms count, and as it was typed."""
    taxa = Taxon.objects.filter(Q(name__icontains=typed) | Q(synonyms__name__icontains=typed)).order_by()
    texts = _holding(typed, distinct_texts(Determination, "name_typed"))
    named = Determination.objects.order_by()
    return [
        named.filter(taxon__in=set(taxa.values_list("pk", flat=True))),
        named.filter(name_typed__in=texts),
    ]


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
        start = 0
        while some := list(rows[start : start + AT_ONCE]):
            start += AT_ONCE
            finds = [find for _, find, *_ in some]
            met = {find for source in self._sources for find in source.among(finds)}
            for pk, find, *number in some:
                if find in met or tuple(number) == self._numbered:
                    yield pk


def in_order(keys: Sequence[int], rows: QuerySet[Voucher]) -> list[Voucher]:
    """The vouchers of these keys out of *rows*, in the order of the keys."""
    by_key = {row.pk: row for row in rows.filter(pk__in=keys)}
    return [by_key[key] for key in keys if key in by_key]


# --- what a find can answer by ---


class _Source(Protocol):
    def at_most(self, most: int) -> set[UUID] | None:
        """The finds that answer, or None where they are more."""

    def among(self, finds: Collection[UUID]) -> set[UUID]:
        """Those of these finds that answer."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows that lead to a find by `path`, and are found by an index."""

    rows: QuerySet[Any]
    path: str = "pk"

    def at_most(self, most: int) -> set[UUID] | None:
        found = list(self.rows.order_by().values_list(self.path, flat=True)[: most + 1])
        return set(found) if len(found) <= most else None

    def among(self, finds: Collection[UUID]) -> set[UUID]:
        mine = self.rows.filter(**{f"{self.path}__in": finds})
        return set(mine.order_by().values_list(self.path, flat=True))


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
    members = Member.objects.filter(full_name__icontains=typed).order_by()
    guests = _holding(typed, distinct_texts(Find, "found_by"))
    sources: list[_Source] = [
        *(_Rows(named, "find") for named in names_holding(typed)),
        _Rows(Find.objects.filter(finder__in=set(members.values_list("pk", flat=True)))),
        _Rows(Find.objects.filter(found_by__in=guests)),
    ]
    if collected := read_collecting_number(typed):
        code, serial, share = collected
        numbered = Find.objects.filter(collecting_code=code, collecting_serial=serial)
        sources.append(_Rows(numbered.filter(collecting_suffix=share) if share else numbered))
    words = distinct_words(typed) if by_locality else []
    uses = [WordUse.objects.filter(word__in=beginning_with(word, [SearchWord.Kind.PLACE])) for word in words]
    if uses:
        sources.append(_Places([_Rows(use, "entry__find") for use in uses]))
    return sources


def _holding(typed: str, texts: Collection[str]) -> list[str]:
    sought = typed.casefold()
    return [text for text in texts if sought in text.casefold()]


def _in_runs(finds: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    for start in range(0, len(finds), AT_ONCE):
        yield finds[start : start + AT_ONCE]


def _rows(asked: Q) -> "QuerySet[Voucher, tuple[int, int, int]]":
    return Voucher.objects.filter(asked).order_by().values_list("year", "serial", "pk")

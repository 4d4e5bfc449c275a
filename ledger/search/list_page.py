"""The list of finds: what was asked for by the address, what was understood of it, and one page of rows."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

from django.db.models import Q, QuerySet
from django.http import QueryDict

from ledger.finds import access, naming
from ledger.finds.list_page import Row, rows_for
from ledger.finds.models import Find, Status
from ledger.forays.models import Foray
from ledger.moments import local_day
from ledger.people.models import Member
from ledger.row_keys import key_of
from ledger.search.club import known_now
from ledger.search.fold import words_of
from ledger.search.known import Known
from ledger.search.models import FindIndex
from ledger.search.near import is_met, near_words
from ledger.search.paging import SORTS, Page, Sort, page_of
from ledger.search.queries import RARE, Condition, Wanted, condition_of, of_taxa, wanted_by
from ledger.search.terms import EVERYWHERE, StateTerm, Term, WordTerm
from ledger.search.walk import Walk
from ledger.search.words import Understood, understand
from ledger.taxa.models import Taxon
from ledger.taxa.queries import NoReference
from ledger.words import later, say

PER_PAGE = 40
# Beyond it nobody counts, they only want to know that it is many.
COUNTED = 10_000
FILTERS = (("", later("All")), ("mine", later("Mine")), *((status.value, status.label) for status in Status))


class ListPage:
    """The finds that match what was asked for. A filter, order or number that is not known is left out."""

    def __init__(self, member: Member, query: QueryDict, now: datetime) -> None:
        self.member, self.now = member, now
        self.show = query.get("show", "") if query.get("show", "") in dict(FILTERS) else ""
        self.text = query.get("q", "").strip()[:200]
        self.sort: Sort = next((one for one in SORTS if one.code == query.get("sort", "")), SORTS[0])
        self._foray, self._taxon = query.get("foray", ""), query.get("taxon", "")
        self._after, self._before = query.get("after", ""), query.get("before", "")

    # --- what was asked for ---

    @cached_property
    def foray(self) -> Foray | None:
        return Foray.objects.filter(pk=key_of(self._foray)).first() if self._foray else None

    @cached_property
    def taxon(self) -> Taxon | None:
        return Taxon.objects.filter(slug=self._taxon).first() if self._taxon else None

    @cached_property
    def understood(self) -> Understood:
        read = understand(self.text, self._known) if self.text else Understood()
        return replace(read, terms=tuple(self._widened(term) for term in read.terms))

    @cached_property
    def _known(self) -> Known:
        return known_now(self.now)

    def _widened(self, term: Term) -> Term:
        """Words behind "on" or "at" that are none of a host or a place are words like any other: "on birch Hollin"."""
        if not isinstance(term, WordTerm) or term.kinds == EVERYWHERE or is_met(term, self.member):
            return term
        called = tuple(one.id for one in self._known.called([term.word]))
        wider = WordTerm(term.word, EVERYWHERE, called, self._known.trees.get(term.word))
        return wider if is_met(wider, self.member) else term

    @property
    def is_filtered(self) -> bool:
        return bool(self.show or self.text or self.foray or self.taxon)

    @cached_property
    def _wanted(self) -> Wanted:
        more: list[Condition] = []
        if self.show:
            more.append(condition_of(StateTerm(self.show, ""), self.member))
        if self.foray:
            # Leave out sensitive finds whose foray the member may not know: a list by foray would tell their place.
            more.append(Condition((Q(foray=self.foray.pk) & access.may_see_place_of(self.member),)))
        if self.taxon:
            more.append(of_taxa([(self.taxon.name, self.taxon.pk)]))
        return wanted_by(self.understood.terms, self.member, more=more)

    @cached_property
    def _matching(self) -> "tuple[QuerySet[FindIndex], bool]":
        return self._wanted.rows()

    @cached_property
    def _in_order(self) -> "tuple[QuerySet[FindIndex], Walk | None]":
        return self._wanted.in_order(self.sort)

    # --- what is shown ---

    @property
    def today(self) -> date:
        return local_day(self.now)

    @cached_property
    def page(self) -> Page:
        return self._page(PER_PAGE, after=self._after, before=self._before)

    def _page(self, size: int, *, after: str, before: str = "") -> Page:
        rows, walk = self._in_order
        return page_of(rows, self.sort, size=size, after=after, before=before, walk=walk)

    @cached_property
    def rows(self) -> list[Row]:
        return rows_for(finds_of([row.find_id for row in self.page.rows]), self.member)

    @cached_property
    def count_said(self) -> str:
        """How many there are, where that is known without reading them all; else empty."""
        rows, are_few = self._matching
        if are_few:
            return f"{rows.order_by().count():,}"
        if self._wanted.is_everything or self._is_small:
            many = rows.order_by()[: COUNTED + 1].count()
            return f"{many:,}" if many <= COUNTED else say("more than {n}", n=f"{COUNTED:,}")
        alone = len(self._wanted.conditions) == 1 and self._wanted.conditions[0].is_cheap
        return say("more than {n}", n=f"{RARE:,}") if alone else ""

    @cached_property
    def _is_small(self) -> bool:
        """Whether the whole ledger is so small that going through it costs nothing."""
        return FindIndex.objects.order_by()[: RARE + 1].count() <= RARE

    @cached_property
    def not_met(self) -> list[WordTerm]:
        """Where nothing was found: the words that stand in no find."""
        if self.page.rows:
            return []
        words = [term for term in self.understood.terms if isinstance(term, WordTerm)]
        return [term for term in words if not is_met(term, self.member)]

    @cached_property
    def names_proposed(self) -> list[str]:
        """Where nothing was found: names near to the words that were read as nothing but words."""
        words = self.understood.plain_words
        if self.page.rows or not words:
            return []
        try:
            return list(naming.read(" ".join(words)[:100]).proposals)
        except NoReference:
            return []

    @cached_property
    def texts_proposed(self) -> list[str]:
        """The same text with words near to those that stand in no find."""
        if not self.not_met or self.names_proposed:
            return []
        near = {term.word: near_words(term, self.member, self._known.people) for term in self.not_met}
        if not all(near.values()):
            return []
        many = max(len(words) for words in near.values()) if len(near) == 1 else 1
        return [self._with({word: words[at] for word, words in near.items()}) for at in range(many)]

    def _with(self, others: dict[str, str]) -> str:
        """The text with other words in the place of some."""
        words = []
        for typed in self.text.split():
            folded = words_of(typed)
            stays = not any(word in others for word in folded)
            words.append(typed if stays else " ".join(others.get(word, word) for word in folded))
        return " ".join(words)

    def each(self) -> Iterator[Find]:
        """Every find that matches, in the order chosen, read in pages: for a file."""
        after = ""
        while True:
            page = self._page(500, after=after)
            yield from finds_of([row.find_id for row in page.rows])
            if not page.after:
                return
            after = page.after

    # --- the address ---

    def _address(self, **changed: str) -> str:
        query = QueryDict(mutable=True)
        asked = {"show": self.show, "q": self.text, "sort": self.sort.code}
        asked["foray"] = str(self.foray.pk) if self.foray else ""
        asked["taxon"] = self.taxon.slug if self.taxon else ""
        for name, value in {**asked, **changed}.items():
            if value:
                query[name] = value
        return query.urlencode()

    @property
    def kept_query(self) -> str:
        """What was asked for, as it goes into another address."""
        return self._address()

    @property
    def before_query(self) -> str:
        return self._address(before=self.page.before) if self.page.before else ""

    @property
    def after_query(self) -> str:
        return self._address(after=self.page.after) if self.page.after else ""

    @property
    def filters(self) -> list[tuple[str, str, bool]]:
        """The ways above the list: where each leads, its word, and whether it is taken."""
        return [(self._address(show=code), word, code == self.show) for code, word in FILTERS]

    @property
    def sorts(self) -> list[tuple[str, str, bool]]:
        return [(sort.code, sort.label, sort == self.sort) for sort in SORTS]

    @property
    def proposal_ways(self) -> list[tuple[str, str, bool]]:
        """What may have been meant: where it leads, what it is, and whether it is a name."""
        return [
            *((self._address(q=name), name, True) for name in self.names_proposed),
            *((self._address(q=text), text, False) for text in self.texts_proposed),
        ]

    @property
    def first_query(self) -> str:
        """The first page, where another is shown that is farther than the next."""
        return self._address() if self.page.before else ""


def finds_of(ids: list[UUID]) -> list[Find]:
    """The finds as rows show them, in the order of the identities."""
    found = {find.pk: find for find in Find.objects.for_list().filter(pk__in=ids).order_by()}
    return [found[one] for one in ids if one in found]

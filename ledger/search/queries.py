"""From what was understood to the finds: the rarest condition leads, and a page never reads more than it must.

A condition that at most RARE finds meet gives their identities, and the rest is asked of those alone. Where every
condition is met by more than that, the order of the list itself is walked until the page is full, each row held against
all of them: that is soon, since none is rare. By day an index of each condition has that order; by name or number see
`search.walk`. Nothing is counted beyond what was read.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db import connection
from django.db.models import Exists, OuterRef, Q, QuerySet

from ledger.finds.access import may_see_place_of
from ledger.people.models import Member
from ledger.search.days import When
from ledger.search.entries import NOT_NAMED, name_key_of
from ledger.search.keys import first_key_of, last_key_of
from ledger.search.models import FindIndex, NameOfWord, SearchWord, WordUse
from ledger.search.paging import Sort
from ledger.search.terms import (
    AccessionTerm,
    AnyNumberTerm,
    BareSerialTerm,
    FlagTerm,
    NameTerm,
    NumberRangeTerm,
    NumberTerm,
    PersonTerm,
    StateTerm,
    Term,
    WhenTerm,
    WordTerm,
)
from ledger.search.walk import Walk, held, held_column, rows_to_hold
from ledger.taxa.models import Taxon

# Met by so few finds, a condition leads. A walk then meets a find in each some 500th row at the worst of a million.
RARE = 2000
# Met by so few, what meets it is gathered and sorted; of more, an order is walked first; of still more, it never leads.
SORTABLE, LEADING = 20_000, 40_000
# Words that a beginning may stand for; of more, the first of the alphabet.
MOST_BEGINNINGS = 400
# Names that are asked one by one.
MOST_NAMES = 60

_NONE = Q(pk__in=())


@dataclass(frozen=True, slots=True)
class Condition:
    """What a find must be: one of `columns`, or with a use of a word. Each part can be asked for by an index of its own.

    `uses`: conditions on WordUse whose entry is meant. `is_cheap`: `columns` can be asked for by themselves. `keys`: by
    what finds of the names that are meant are sorted, in that order. `has_numbers`: an index has what meets it
    in the order of collecting numbers. `words`: those that `uses` are of; `names_only`: and nothing but names has them.
    """

    columns: tuple[Q, ...] = ()
    uses: tuple[Q, ...] = ()
    is_cheap: bool = True
    keys: tuple[str, ...] = ()
    has_numbers: bool = False
    words: tuple[int, ...] = ()
    names_only: bool = False

    @property
    def q(self) -> Q:
        """As a condition on the rows of the index."""
        wanted = _NONE
        for columns in self.columns:
            wanted |= columns
        for use in self.uses:
            wanted |= Q(Exists(_of_the_row(use)))
        return wanted

    def keys_of_names(self) -> tuple[str, ...]:
        """`keys`, or those of the names that have one of the words; empty where it can be any, or one of too many."""
        if self.keys or not self.names_only:
            return self.keys
        names = NameOfWord.objects.filter(word__in=self.words).order_by("name_key").distinct()
        found = tuple(names.values_list("name_key", flat=True)[: MOST_NAMES + 1])
        return found if len(found) <= MOST_NAMES else ()

    @property
    def can_lead(self) -> bool:
        """Whether a database can begin with what meets it."""
        if self.columns:
            return self.is_cheap and len(self.columns) == 1 and not self.uses
        return bool(self.words)

    def lead(self, within: Q) -> Q:
        """As `q` between those days, so that a database begins with what meets it. It must be able to lead."""
        if self.columns:
            return self.columns[0] & within
        # What anybody may meet is gathered, and each held against what this member may.
        return Q(self.q, pk__in=WordUse.objects.filter(within, word__in=self.words).values("entry"))

    def many(self, within: Q) -> int:
        """How many meet it between those days, LEADING + 1 at most. A condition that can lead is wanted."""
        asked = (
            FindIndex.objects.filter(*self.columns)
            if self.columns
            else WordUse.objects.filter(word__in=self.words)
        )
        return asked.filter(within).order_by()[: LEADING + 1].count()

    def ids(self, within: Q) -> set[int] | None:
        """The rows that meet it, between those days; None where they are more than RARE, or hard to tell."""
        if not self.is_cheap:
            return None
        found: set[int] = set()
        for columns in self.columns:
            found |= set(
                FindIndex.objects.filter(columns, within).order_by().values_list("pk", flat=True)[: RARE + 1]
            )
            if len(found) > RARE:
                return None
        for use in self.uses:
            rows = WordUse.objects.filter(use, within).order_by().values_list("entry_id", flat=True)
            found |= set(rows[: RARE + 1])
            if len(found) > RARE:
                return None
        return found


@dataclass(frozen=True, slots=True)
class Wanted:
    """All conditions of one search. `first` and `last` bound the order of the list; `nothing`: no find can be meant."""

    conditions: tuple[Condition, ...] = ()
    first: int | None = None
    last: int | None = None
    nothing: bool = False

    @property
    def is_everything(self) -> bool:
        return not (self.conditions or self.nothing or self.first is not None or self.last is not None)

    def rows(self) -> "tuple[QuerySet[FindIndex], bool]":
        """The rows, in no order yet, and whether they are few: at most RARE."""
        if self.nothing:
            return FindIndex.objects.none(), True
        within = self._within
        fewest: set[int] | None = None
        for condition in self.conditions:
            found = condition.ids(within)
            if found is not None and (fewest is None or len(found) < len(fewest)):
                fewest = found
        if fewest is None and not self.conditions and (self.first is not None or self.last is not None):
            days = FindIndex.objects.filter(within).order_by().values_list("pk", flat=True)[: RARE + 1]
            fewest = set(days) if len(days) <= RARE else None
        every = within
        for condition in self.conditions:
            every &= condition.q
        if fewest is not None:
            return rows_to_hold().filter(every, pk__in=fewest), True
        return rows_to_hold().filter(every), False

    def in_order(self, sort: Sort) -> "tuple[QuerySet[FindIndex], Walk | None]":
        """The rows for a page in that order, and how to walk it where that is better than to let the database sort them."""
        rows, are_few = self.rows()
        leading = sort.columns[0].lstrip("-")
        if are_few or leading == "latest" or self.is_everything:
            return rows, None
        within, conditions = self._within, list(self.conditions)
        if leading == "collecting_code" and any(one.has_numbers for one in conditions):
            return rows, None
        rest = held(Q(*(one.q for one in conditions)))
        walk = Walk(rows_to_hold().filter(held(within), rest))
        if leading == "name_key":
            keys = next((keys for one in conditions if (keys := one.keys_of_names())), ())
            if keys or not conditions:
                return rows, replace(walk, named=rows_to_hold().filter(within, rest), keys=keys)
        leads = [(one.many(within), one) for one in conditions if one.can_lead]
        fewest, best = min(leads, key=lambda one: one[0], default=(LEADING + 1, None))
        if best is not None and fewest <= LEADING:
            others = held(Q(*(one.q for one in conditions if one is not best)))
            rows = rows_to_hold().filter(best.lead(within), others)
            if fewest <= SORTABLE:
                return rows, None
            walk = replace(walk, is_led=True)
        return rows, walk

    @property
    def _within(self) -> Q:
        """Between the days that are wanted. Both tables know the order of the list by the same name."""
        within = Q()
        if self.first is not None:
            within &= Q(latest__gte=self.first)
        if self.last is not None:
            within &= Q(latest__lte=self.last)
        return within


def _of_the_row(use: Q) -> "QuerySet[WordUse]":
    """The uses of the row that is looked at."""
    row = OuterRef("pk")
    if connection.vendor != "postgresql":
        return WordUse.objects.filter(use, entry=row)
    # An equality would let it gather all uses of a word beforehand, a million of them, to look at some thousand rows; and
    # by its word it would seek one row's use among them.
    uses = WordUse.objects.alias(held_word=held_column("word_id"))
    return uses.filter(held(use, {"word"}), entry__gte=row, entry__lte=row)


def wanted_by(terms: Iterable[Term], member: Member, *, more: Sequence[Condition] = ()) -> Wanted:
    """The conditions of the terms, as far as *member* may meet finds by them."""
    conditions: list[Condition] = list(more)
    first: int | None = None
    last: int | None = None
    nothing = False
    for term in terms:
        if isinstance(term, WhenTerm):
            low, high = _bounds(term.when)
            first = low if first is None else max(first, low if low is not None else first)
            last = high if last is None else min(last, high if high is not None else last)
            if term.when.months:
                conditions.append(_in_months(term.when.months))
            continue
        condition = condition_of(term, member)
        nothing = nothing or not (condition.columns or condition.uses)
        conditions.append(condition)
    return Wanted(tuple(conditions), first, last, nothing)


def of_taxa(named: Iterable[tuple[str, int]]) -> Condition:
    """Named as one of these now: names and keys."""
    taxa = dict(named)
    if not taxa:
        return Condition()
    one = list(taxa.values())
    keys = tuple(sorted({name_key_of(name) for name in taxa}))
    return Condition((Q(taxon=one[0]) if len(one) == 1 else Q(taxon__in=one),), keys=keys)


def _in_months(months: Sequence[int]) -> Condition:
    # One month is a run of an index in the order of days; several are not, and are met often.
    if len(months) == 1:
        return Condition((Q(month=months[0]),), is_cheap=False)
    return Condition((held(Q(month__in=months)),), is_cheap=False)


def _bounds(when: When) -> tuple[int | None, int | None]:
    if when.first is None and when.last is None:
        return None, None
    # Finds without a day lie below the first day there is.
    low = first_key_of(when.first or date.min)
    return low, last_key_of(when.last) if when.last else None


def condition_of(term: Term, member: Member) -> Condition:
    """One term as a condition; without columns and uses where nothing can meet it."""
    if isinstance(term, NumberTerm):
        number = Q(collecting_code=term.code, collecting_serial=term.serial)
        return Condition((number & Q(collecting_suffix=term.suffix) if term.suffix else number,))
    if isinstance(term, NumberRangeTerm):
        return Condition((Q(collecting_code=term.code, collecting_serial__range=(term.first, term.last)),))
    if isinstance(term, AnyNumberTerm):
        return Condition(tuple(q for one in term.numbers for q in condition_of(one, member).columns))
    if isinstance(term, BareSerialTerm):
        return Condition((Q(collecting_serial=term.serial),))
    if isinstance(term, AccessionTerm):
        return Condition((Q(accession_number=term.number),))
    if isinstance(term, NameTerm):
        return of_taxa(Taxon.objects.filter(name__in=term.taxa).order_by().values_list("name", "pk"))
    if isinstance(term, PersonTerm):
        return _by(term)
    if isinstance(term, StateTerm):
        return _state(term.state, member)
    if isinstance(term, FlagTerm):
        words = SearchWord.objects.filter(kind=SearchWord.Kind.FLAG, word__in=term.codes)
        return _with_word((), list(words.order_by().values_list("pk", flat=True)), member)
    return _word(term, member)


def _by(term: PersonTerm) -> Condition:
    # Where a member keyed for a guest, the finder is the guest.
    if len(term.members) > 1:
        return Condition((Q(finder__in=term.members),))
    return Condition((Q(finder=term.members[0]),), has_numbers=True)


def _word(term: WordTerm, member: Member) -> Condition:
    found = words_of_term(term)
    columns = (Q(finder__in=term.members),) if term.members else ()
    made = _with_word(columns, list(found), member)
    return replace(made, names_only=not columns and set(found.values()) == {SearchWord.Kind.NAME.value})


def _with_word(columns: tuple[Q, ...], word_ids: list[int], member: Member) -> Condition:
    return Condition(columns, uses_of(word_ids, member), words=tuple(word_ids))


def uses_of(word_ids: list[int], member: Member) -> tuple[Q, ...]:
    """Conditions on the uses of these words by which the member may meet a find."""
    if not word_ids:
        return ()
    is_word = Q(word=word_ids[0]) if len(word_ids) == 1 else Q(word__in=word_ids)
    if member.is_curator:
        return (is_word,)
    return (is_word & Q(is_open=True), is_word & Q(is_open=False) & may_see_place_of(member, "entry__"))


def _state(state: str, member: Member) -> Condition:
    if state == "mine":
        return Condition((Q(finder=member.pk),), has_numbers=True)
    if state == "unnamed":
        return Condition((Q(name_key=NOT_NAMED),))
    if state == "undated":
        return Condition((Q(latest__lt=first_key_of(date.min)),))
    if state == "voucher":
        return Condition((Q(accession_number__gt=""),), is_cheap=False)
    if state == "flagged":
        words = SearchWord.objects.filter(kind=SearchWord.Kind.FLAG)
        return _with_word((), list(words.order_by().values_list("pk", flat=True)), member)
    return Condition((Q(status=state),))


def words_of_term(term: WordTerm) -> dict[int, str]:
    """The words that meet it, each with its kind."""
    found = words_beginning_with(term.word, term.kinds)
    if term.tree is not None:
        # Of hosts, whole words: what begins like an ash may be another tree.
        hosts = SearchWord.objects.filter(kind=SearchWord.Kind.HOST, word__in=term.tree.names)
        found |= dict(hosts.order_by("word").values_list("pk", "kind"))
    return found


def words_beginning_with(word: str, kinds: Sequence[str]) -> dict[int, str]:
    """The words of these kinds that begin so, each with its kind."""
    words = SearchWord.objects.filter(kind__in=kinds)
    if connection.vendor == "sqlite":
        # LIKE cannot use an index there; the next word after all that begin so is the end.
        words = words.filter(word__gte=word, word__lt=word + "\U0010ffff")
    else:
        words = words.filter(word__startswith=word)
    return dict(words.order_by("word").values_list("pk", "kind")[:MOST_BEGINNINGS])

"""An order of the list walked in windows, for what no index holds in that order.

Among rows in the order of names or numbers a database may choose to gather everything that meets a condition and to sort
it, which takes longer the more finds there are. So the order itself is walked: so many rows of its index, each held against
the conditions under second names of their columns, by which no index can be asked. What is met often fills a page soon.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet
from django.db.models.functions import Coalesce

from ledger.search.models import FindIndex

# Rows of the order that are gone through; beyond the last the database finds its own way.
WINDOWS = (3_000, 12_000)

_BEHIND = {False: "name_key__gt", True: "name_key__lt"}
_COLUMNS = {
    **{name: f"{name}_id" for name in ("finder", "logged_by", "foray", "taxon")},
    **{name: name for name in ("status", "latest", "month", "name_key", "accession_number")},
    **{name: name for name in ("collecting_code", "collecting_serial", "collecting_suffix")},
}


@dataclass(frozen=True, slots=True)
class Walk:
    """`held`: the rows that are wanted, by conditions that are held against each row and lead to none.

    `named`: the same for the order of names, where each name is better asked for by itself; `keys`: the keys of those that
    can be meant, in their order, or empty where it can be any. `is_led`: beyond the first window a condition leads to few.
    """

    held: "QuerySet[FindIndex]"
    named: "QuerySet[FindIndex] | None" = None
    keys: Sequence[str] = ()
    is_led: bool = False

    def keys_from(self, start: str | None, *, backwards: bool) -> Iterator[str]:
        """The keys of names in their order, from that one on."""
        if self.keys:
            for key in reversed(self.keys) if backwards else self.keys:
                if start is None or key == start or (key > start) != backwards:
                    yield key
            return
        rows = FindIndex.objects.order_by("-name_key" if backwards else "name_key").values_list(
            "name_key", flat=True
        )
        if start is not None:
            yield start
        while (
            start := (rows if start is None else rows.filter(**{_BEHIND[backwards]: start})).first()
        ) is not None:
            yield start


def rows_to_hold() -> "QuerySet[FindIndex]":
    """All rows, with the second names that `held` writes."""
    return FindIndex.objects.alias(
        **{f"held_{name}": held_column(column) for name, column in _COLUMNS.items()}
    )


def held_column(column: str) -> Coalesce:
    """Its value, by which no index is asked."""
    return Coalesce(F(column), F(column))


def held(wanted: Q, names: Collection[str] = _COLUMNS.keys()) -> Q:
    """The same condition on the second names. What is none of those columns stays as it is."""
    made = Q(_connector=wanted.connector, _negated=wanted.negated)
    for child in wanted.children:
        if isinstance(child, Q):
            child = held(child, names)
        elif isinstance(child, tuple) and child[0].partition("__")[0] in names:
            child = (f"held_{child[0]}", child[1])
        made.children.append(child)
    return made


def walked(
    order: "QuerySet[FindIndex]", walk: Walk, columns: Sequence[str], many: int
) -> "list[FindIndex] | None":
    """The first rows that are wanted of *order*, which is all rows from a mark on; None where they lie too far apart."""
    for window in WINDOWS[:1] if walk.is_led else WINDOWS:
        rows = walk.held.filter(pk__in=order.values("pk")[:window])
        found = list(rows.order_by(*columns)[:many])
        if len(found) == many or not order[window : window + 1].exists():
            return found
    return None

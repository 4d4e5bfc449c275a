"""Whose leave to be named a file can bring: of those whom it publishes, and of nobody who is known here otherwise.

Whoever made an archive published the names in it, so that they may be told again. But no file speaks for a guest who
stands beside finds of this club, and for nobody who took their word back.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from ledger.bench.models import Determination
from ledger.exchange.people import NOT_NAMED
from ledger.finds.models import Find
from ledger.handing_on.models import AgreedName
from ledger.taking_in.drafts import Draft
from ledger.taking_in.people import People
from ledger.words import say

_AT_ONCE = 500
_SHOWN = 10


class Leave(NamedTuple):
    """`agreed`: names that may be noted, with their public identifiers; `to_ask`: names that stay untold."""

    agreed: Mapping[str, str]
    to_ask: Sequence[str]

    def said(self) -> Iterable[str]:
        """Sentences for whoever takes the file in."""
        if self.agreed:
            yield say(
                "Named in the archive, which is taken for their word that they agreed to be named: {names}. They stand "
                "under Who may be named.",
                names=_listed(self.agreed),
            )
        if self.to_ask:
            yield say(
                "Not told to others, since they stand beside finds here and did not agree, or took it back: {names}. "
                "If they agree, ask them and note it under Who may be named.",
                names=_listed(self.to_ask),
            )


def leave_of(drafts: Sequence[Draft], people: People) -> Leave:
    """Asked before anything of the file is written."""
    told: dict[str, str] = {}
    for draft in drafts:
        for name, public in draft.agreed.items():
            name = " ".join(name.split())
            if name and name != NOT_NAMED and people.member(name) is None:
                told[name] = told.get(name) or public
    stands = {
        name.casefold()
        for name in AgreedName.objects.filter(ended_at__isnull=True).values_list("name", flat=True)
    }
    ended = {
        name.casefold()
        for name in AgreedName.objects.filter(ended_at__isnull=False).values_list("name", flat=True)
    }
    here = _beside_finds(told)
    to_ask = [
        name for name in told if name.casefold() not in stands and (name in here or name.casefold() in ended)
    ]
    return Leave({name: public for name, public in told.items() if name not in to_ask}, to_ask)


def _beside_finds(names: Collection[str]) -> set[str]:
    wanted, found = list(names), set()
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        found |= set(
            Find.objects.filter(found_by__in=some).order_by().values_list("found_by", flat=True).distinct()
        )
        rows = Determination.objects.filter(determiner_name__in=some).order_by()
        found |= set(rows.values_list("determiner_name", flat=True).distinct())
    return found


def _listed(names: Collection[str]) -> str:
    told = sorted(names)
    shown, more = ", ".join(told[:_SHOWN]), len(told) - _SHOWN
    return say("{names} and {n} more", names=shown, n=more) if more > 0 else shown

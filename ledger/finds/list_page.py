"""The list of finds: which are shown, and each as one ruled row."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Q, QuerySet
from django.http import QueryDict

from ledger.finds import access
from ledger.finds.models import LATEST_FIRST, Find, Status
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.row_keys import key_of
from ledger.taxa.models import Taxon

FILTERS = (("", "All"), ("mine", "Mine"), *((status.value, status.label) for status in Status))


@dataclass(frozen=True, slots=True)
class Row:
    """One find as a row: what is written is already what this member may see."""

    find: Find
    place: str
    mark: str


class ListPage:
    """The finds that match what was asked for. An unknown filter or number shows all, and says so by its absence."""

    def __init__(self, member: Member, query: QueryDict) -> None:
        self.member = member
        self.show = query.get("show", "") if query.get("show", "") in dict(FILTERS) else ""
        self.text = query.get("q", "").strip()[:100]
        self._foray, self._taxon = query.get("foray", ""), query.get("taxon", "")

    @cached_property
    def foray(self) -> Foray | None:
        return Foray.objects.filter(pk=key_of(self._foray)).first() if self._foray else None

    @cached_property
    def taxon(self) -> Taxon | None:
        return Taxon.objects.filter(slug=self._taxon).first() if self._taxon else None

    @property
    def is_filtered(self) -> bool:
        return bool(self.show or self.text or self.foray or self.taxon)

    @property
    def finds(self) -> "QuerySet[Find]":
        finds: QuerySet[Find] = Find.objects.for_list()
        if self.show == "mine":
            finds = finds.filter(finder=self.member)
        elif self.show:
            finds = finds.filter(status=self.show)
        if self.foray:
            finds = access.with_foray_shown(finds.filter(foray=self.foray), self.member)
        if self.taxon:
            finds = finds.filter(current_determination__taxon=self.taxon)
        if self.text:
            finds = finds.filter(self._matching(self.text))
        return finds.order_by(*LATEST_FIRST)

    @staticmethod
    def _matching(text: str) -> Q:
        """Name, finder or collecting number. Never the place: a search would tell what a page keeps back."""
        wanted = Q(current_determination__name_typed__icontains=text)
        wanted |= Q(current_determination__taxon__name__icontains=text) | Q(finder__full_name__icontains=text)
        wanted |= Q(found_by__icontains=text)
        code, _, serial = text.upper().partition(" ")
        # AT 118 finds the whole of a split collection, AT 118A that share of it.
        share = serial.strip().lstrip("0123456789")
        serial = serial.strip().removesuffix(share)
        if serial.isdecimal() and len(serial) < 10 and len(share) <= 2:
            numbered = Q(collecting_code=code, collecting_serial=int(serial))
            wanted |= (numbered & Q(collecting_suffix=share)) if share else numbered
        return wanted

    @property
    def kept_query(self) -> str:
        """The filters as they go into the address of another page."""
        query = QueryDict(mutable=True)
        for name, value in (("show", self.show), ("q", self.text)):
            if value:
                query[name] = value
        if self.foray:
            query["foray"] = str(self.foray.pk)
        if self.taxon:
            query["taxon"] = self.taxon.slug
        return query.urlencode()

    def rows(self, finds: Iterable[Find]) -> list[Row]:
        return rows_for(finds, self.member)


def rows_for(finds: Iterable[Find], member: Member) -> list[Row]:
    """Finds as rows, each with its place as far as *member* may see it."""
    return [
        Row(
            find,
            access.place_for(find, member).short,
            "" if find.status == Status.LOGGED else find.status,
        )
        for find in finds
    ]

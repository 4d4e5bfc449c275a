"""What is asked of a ledger of any size: pages as a member or curator reads them, and what is written.

Each is a function of one round number, so that no two rounds ask for the very same rows. PAGES is where a room adds its
own: a name, who asks, and the address, with %d for the round. In the
address of a find `*` is one drawn anew for each round; before the zoom of a map it is the edges at that zoom.
"""

import random
import sys
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.core.management import call_command
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from ledger.finds import actions
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search.keys import cell_bounds
from ledger.year import map_page
from ledger.year.cells import ALL, SIDES_DEG
from ledger.year.models import MapCount
from tests.ledger.finds.making import TWELVE, entry
from vouchers.register.actions import accession

# Zooms of the map, each drawn on another net or, the last two, find by find.
MAP_ZOOMS = (3, 6, 9, 12, 14, 16)
# Address, or the name of one; asked by m5, a member without an office, or m1, a curator.
PAGES: tuple[tuple[str, str, str], ...] = (
    ("list, first page", "m5", "/finds/"),
    ("list, mine", "m5", "/finds/?show=mine"),
    ("list, held", "m1", "/finds/?show=held"),
    ("list by name", "m5", "/finds/?sort=name"),
    ("list by number", "m5", "/finds/?sort=number"),
    ("list, last entered", "m5", "/finds/?sort=entered"),
    ("search: a number", "m5", "/finds/?q=QAA+1%d"),
    ("search: an accession number", "m5", "/finds/?q=BL+2015-%d"),
    ("search: a name", "m5", "/finds/?q=Trametes+versicolor"),
    ("search: an old name", "m5", "/finds/?q=Coriolus+versicolor"),
    ("search: an English name", "m5", "/finds/?q=turkey+tail"),
    ("search: the beginning of a name", "m5", "/finds/?q=gano"),
    ("search: a family", "m5", "/finds/?q=Polyporaceae"),
    ("search: a word of a place", "m5", "/finds/?q=hollin"),
    ("search: a common word of a place", "m5", "/finds/?q=wood"),
    ("search: two words of a place", "m5", "/finds/?q=hollin+quarry"),
    ("search: three words, by a curator", "m1", "/finds/?q=raven+dell+barrow"),
    ("search: a region", "m5", "/finds/?q=westshire"),
    ("search: a person", "m5", "/finds/?q=by+QAC"),
    ("search: a guest", "m5", "/finds/?q=by+guest"),
    ("search: a day", "m5", "/finds/?q=3+Oct+2015"),
    ("search: a month", "m5", "/finds/?q=Oct+2015"),
    ("search: a month of any year", "m5", "/finds/?q=February"),
    ("search: a flag", "m1", "/finds/?q=flag+sea"),
    ("search: name, place, month", "m5", "/finds/?q=Trametes+versicolor+hollin+Oct+2015"),
    ("search: person, place, name by name", "m5", "/finds/?q=by+QAA+wood+ganoderma&sort=name"),
    ("search: a rare name and a word", "m5", "/finds/?q=Hericium+erinaceus+wood"),
    ("search: a word that is nowhere", "m5", "/finds/?q=zyzzyva"),
    ("search: person and a person's place that is nobody's", "m5", "/finds/?q=unnamed+by+QAA+on+fagus"),
    ("bench", "m1", "/bench/"),
    ("taxon", "m5", "/taxa/trametes-versicolor/"),
    ("forays", "m5", "/forays/"),
    ("front page", "m5", "/"),
    ("log form", "m5", "/finds/log/"),
    ("register of vouchers", "m1", "vouchers"),
    ("quick entry", "m2", "quick-entry"),
    ("store", "m1", "store"),
    ("loans", "m1", "loans"),
    ("sampling", "m1", "sampling"),
    ("labels", "m1", "labels"),
    ("nearly there", "m1", "nearly-there"),
    ("preparation", "m1", "preparation"),
    ("data slips", "m2", "data-slips"),
    ("phone: hello", "m5", "/phone/hello"),
    ("phone: own finds", "m5", "/phone/finds.json"),
    ("list of a foray", "m5", "/finds/?foray=700"),
    ("list of a taxon", "m5", "/finds/?taxon=trametes-versicolor"),
    ("list, mine, held words", "m1", "/finds/?show=held&q=wood"),
    ("search: common words by name", "m5", "/finds/?q=wood+old+westshire&sort=name"),
    ("search: common words by number", "m5", "/finds/?q=wood+old+westshire&sort=number"),
    ("search: a common word, earliest", "m5", "/finds/?q=wood&sort=earliest"),
    ("search: a common word by name", "m5", "/finds/?q=wood&sort=name"),
    ("search: a month of any year by name", "m5", "/finds/?q=February&sort=name"),
    ("list, mine, by number", "m5", "/finds/?show=mine&sort=number"),
    ("list, mine, by name", "m5", "/finds/?show=mine&sort=name"),
    ("list, mine, last entered", "m5", "/finds/?show=mine&sort=entered"),
    ("list, held, by name", "m1", "/finds/?show=held&sort=name"),
    ("list of a taxon by number", "m5", "/finds/?taxon=trametes-versicolor&sort=number"),
    ("list of a taxon by name", "m5", "/finds/?taxon=trametes-versicolor&sort=name"),
    ("search: a family by name", "m5", "/finds/?q=Polyporaceae&sort=name"),
    ("search: a person by number", "m5", "/finds/?q=by+QAC&sort=number"),
    ("search: a person and a family by name", "m5", "/finds/?q=by+QAC+Polyporaceae&sort=name"),
    ("search: a person and a word by number", "m5", "/finds/?q=by+QAC+wood&sort=number"),
    ("search: name and place by number", "m5", "/finds/?q=Trametes+versicolor+hollin&sort=number"),
    ("search: a year by name", "m5", "/finds/?q=2015&sort=name"),
    ("search: a year and a word by number", "m5", "/finds/?q=2015+wood&sort=number"),
    ("search: a person, a year, by name", "m5", "/finds/?q=by+QAC+2015&sort=name"),
    ("search: a host", "m5", "/finds/?q=on+fagus"),
    ("search: with a voucher, by name", "m5", "/finds/?q=voucher&sort=name"),
    # With a hundred times the finds in the larger ledger, which has as many forays.
    ("foray with all its finds", "m5", "/forays/700/"),
    ("phone: table of a foray with all its finds", "m2", "/phone/table/700.json"),
    ("taxa", "m5", "/taxa/"),
    ("me", "m5", "/me/"),
    ("people", "m0", "/people/"),
    ("club", "m0", "/club/"),
    ("backups", "m0", "/club/backups/"),
    ("handing on", "m1", "/handing-on/"),
    ("people named outside", "m1", "/handing-on/people/"),
    ("taking in", "m1", "/taking-in/"),
    ("permits", "m1", "/permits/"),
    ("exchange", "m1", "/exchange/"),
    ("a new loan", "m1", "/loans/new/"),
    ("stocktakes", "m1", "/stocktake/"),
    ("find without a number", "m1", "/accession/"),
    ("register: a name", "m1", "/vouchers/?q=Trametes+versicolor"),
    ("register: a finder", "m1", "/vouchers/?q=QAC+1%d"),
    ("voucher", "m1", "/vouchers/BL 2015-%04d/"),
    ("map, whole", "m5", "/year/map/"),
    ("map of a taxon", "m5", "/year/map/?taxon=trametes-versicolor"),
    ("map of a rare taxon", "m5", "/year/map/?taxon=hericium-erinaceus"),
    ("map of a year", "m5", "/year/map/?year=2015"),
    ("map of a foray", "m5", "/year/map/?foray=700"),
    *((f"map, zoom {zoom}", "m5", f"/year/map/cells.json?*{zoom}") for zoom in MAP_ZOOMS),
    *(
        (
            f"map, zoom {zoom}, a taxon and year",
            "m5",
            f"/year/map/cells.json?*{zoom}&taxon=trametes-versicolor&year=2015",
        )
        for zoom in MAP_ZOOMS
    ),
    *((f"map, zoom {zoom}, by a curator", "m1", f"/year/map/cells.json?*{zoom}") for zoom in (12, 16)),
    ("season", "m5", "/year/season/"),
    ("season of a taxon", "m5", "/year/season/?taxon=trametes-versicolor"),
    ("season of a taxon in a year", "m5", "/year/season/?taxon=trametes-versicolor&year=2015"),
    ("the year", "m5", "/year/"),
    ("checklist", "m5", "/year/checklist/"),
    ("checklist of a year", "m5", "/year/checklist/?year=2015"),
    ("checklist of a foray", "m5", "/year/checklist/?foray=700"),
    ("checklist of a cell", "m5", "/year/checklist/?cell=51,-3,1"),
    ("checklist of a small cell in a year", "m5", "/year/checklist/?cell=51.2,-2.4,0.1&year=2015"),
    ("measurements", "m5", "/year/measurements/"),
    ("measurements of a taxon", "m5", "/year/measurements/trametes-versicolor/"),
    ("measurements of all its finds", "m5", "/year/measurements/trametes-versicolor/?finds=all"),
    ("find", "m5", "/finds/*/"),
    ("find as JSON", "m5", "/finds/*.json"),
    ("find amended", "m1", "/finds/*/amend/"),
    ("spores of a find", "m5", "/finds/*/spores/"),
    ("preparation of a find", "m1", "/preparation/finds/*/"),
)


@dataclass(frozen=True)
class Question:
    """`ask(round)` does it and returns nothing; `group` is under which heading it stands in the report."""

    name: str
    group: str
    ask: Callable[[int], None]


class Asker:
    """The browsers and members of one ledger."""

    def __init__(self) -> None:
        self.browsers: dict[str, Client] = {}
        self.draw = random.Random(7)
        self.kept = list(
            self._some(Find.objects.filter(accession_number="", kept=True, status=Status.LOGGED), 60)
        )
        self.any = list(self._some(Find.objects.all(), 60))
        self.held = list(Find.objects.for_bench().values_list("pk", flat=True)[:60])
        self.made = entry(*TWELVE)
        fullest = MapCount.objects.filter(net=3, side=3, taxon=ALL, year=ALL).order_by("-n", "cell").first()
        assert fullest is not None
        south, west, north, east = cell_bounds(fullest.cell, SIDES_DEG[3])
        self.middle = ((south + north) / 2, (west + east) / 2)

    def _some(self, finds: Any, many: int) -> Iterator[uuid.UUID]:
        """Finds drawn evenly: identities are evenly spread, so the next one after a drawn identity is any of them."""
        for _ in range(many):
            after = uuid.UUID(int=self.draw.getrandbits(128))
            row = finds.filter(pk__gte=after).order_by("pk").values_list("pk", flat=True).first()
            if row is not None:
                yield row

    def browser(self, who: str) -> Client:
        if who not in self.browsers:
            client = Client()
            client.force_login(
                Member.objects.get(sign_in_name=who), backend="django.contrib.auth.backends.ModelBackend"
            )
            self.browsers[who] = client
        return self.browsers[who]

    def get(self, who: str, address: str) -> None:
        answer = self.browser(who).get(address)
        if answer.status_code != 200:
            raise RuntimeError(f"{address} answered {answer.status_code}")
        if answer.streaming:
            for _ in answer.streaming_content:
                pass

    def questions(self) -> Iterator[Question]:
        for name, who, address in PAGES:
            if not address.startswith("/"):
                try:
                    address = reverse(address)
                except NoReverseMatch:
                    continue
            found = self.browser(who).get(self._at(address, 0))
            if found.status_code == 404:
                sys.stderr.write(f"{name}: no page at {address}\n")
                continue
            yield Question(name, "pages", self._page(who, address))
        yield Question("list, far down", "pages", self._deep())
        yield Question(
            "bench, one find",
            "pages",
            lambda number: self.get("m1", f"/bench/{self._pick(self.held, number)}/"),
        )
        yield Question("saving a find of 12 readings", "writing", self._save)
        yield Question("accession", "writing", self._accession)
        yield Question("settling a held find", "writing", self._settle)

    @staticmethod
    def _pick(some: list[uuid.UUID], number: int) -> uuid.UUID:
        return some[number % len(some)]

    def _page(self, who: str, address: str) -> Callable[[int], None]:
        return lambda number: self.get(who, self._at(address, number))

    def _at(self, address: str, number: int) -> str:
        """The address for this round."""
        if "/finds/*" in address or "finds/*/" in address:
            address = address.replace("*", str(self._pick(self.any, number)))
        elif "*" in address:
            zoom = address.partition("*")[2].partition("&")[0]
            address = address.replace(f"*{zoom}", self._around(int(zoom)))
        return address % (number + 1) if "%" in address else address

    def _around(self, zoom: int) -> str:
        """The edges of a wide screen's map around the place where most was found."""
        view = map_page.around(*self.middle, float(zoom))
        west = max(2 * view.west - self.middle[1], -180.0)
        east = min(2 * view.east - self.middle[1], 180.0)
        return f"south={view.south}&west={west}&north={view.north}&east={east}&zoom={zoom}"

    def _deep(self) -> Callable[[int], None]:
        """A page that 100 others lie before."""
        from ledger.search.models import FindIndex
        from ledger.search.paging import SORTS, _mark

        row = FindIndex.objects.order_by("-latest", "-id")[4000]
        mark = _mark(row, SORTS[0])
        return lambda _: self.get("m5", f"/finds/?after={mark}")

    def _save(self, number: int) -> None:
        actions.log_find(self.made, by=Member.objects.get(sign_in_name="m5"))

    def _accession(self, number: int) -> None:
        accession(self.kept[number], by=Member.objects.get(sign_in_name="m1"), now=timezone.now())

    def _settle(self, number: int) -> None:
        find = Find.objects.filter(status=Status.HELD).only("pk", "version")[number]
        answer = self.browser("m1").post(
            reverse("settle", args=[find.pk]),
            {
                "version": find.version,
                "reason": "Looked at with a lens; it holds.",
                "flags": self._flags(find),
            },
        )
        if answer.status_code not in (302, 422):
            raise RuntimeError(f"settling answered {answer.status_code}")

    @staticmethod
    def _flags(find: Find) -> list[int]:
        return list(find.flags.filter(settled_at=None, withdrawn_at=None).values_list("pk", flat=True))


def make_ready() -> None:
    """What a server does once."""
    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)

"""What a map shows a member: cells that count, or finds, and the areas of places that are kept back.

Counts are of open places, the same for everybody, entitled or not. No question here compares an exact place of a find that
is kept back from the member with the edges of the map: such a find is met by its cell alone, so that moving the edges about
tells nothing.
"""

import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.conf import settings
from django.db.models import Max, Min, Q, QuerySet
from django.urls import reverse

from ledger.days import short_day_text
from ledger.finds.access import may_see_place_of, place_for
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.places.blur import coarsen
from ledger.search.keys import cell_bounds, cell_number, first_key_of, last_key_of
from ledger.search.models import FindIndex
from ledger.words import say, together
from ledger.year import map_words, queries
from ledger.year.asked import Asked
from ledger.year.cells import SIDES_DEG, side_drawn
from ledger.year.view import LEAST_ZOOM, MOST_ZOOM, View, view_of, zoom_for

# So many finds at most are drawn one by one.
MOST_FINDS = 300
# Of a club's whole map, at most so many are gone through to draw few of them one by one on a coarse net.
_FEW_IN_ALL = 5000
_FINEST = len(SIDES_DEG) - 1
_SEEN_CLOSE = 13.0
_MOST_OF_FORAY = 5000
_MOST_LOOKED = 2000


@dataclass(frozen=True, slots=True)
class Area:
    """A cell with how many finds are told in it; `kept_back`: because a finer place is kept back."""

    south: float
    west: float
    north: float
    east: float
    n: int
    kept_back: bool

    @property
    def side_deg(self) -> float:
        return round(self.north - self.south, 6)

    @property
    def words(self) -> str:
        """Both edges each way, so that nobody takes a corner for the place."""
        decimals = max(0, -math.floor(math.log10(self.side_deg) + 1e-9))
        return f"{_edges(self.south, self.north, 'NS', decimals)}, {_edges(self.west, self.east, 'EW', decimals)}"

    @property
    def cell(self) -> str:
        """As the checklist takes it: its corner and its side."""
        return f"{self.south:g},{self.west:g},{self.side_deg:g}"

    @property
    def middle(self) -> str:
        return f"{(self.south + self.north) / 2:.5g},{(self.west + self.east) / 2:.6g}"

    @property
    def zoom(self) -> float:
        """At which the area fills the map."""
        return zoom_for(self.south, self.west, self.north, self.east)

    def as_row(self) -> list[float]:
        return [
            *(round(edge, 4) for edge in (self.south, self.west, self.north, self.east)),
            self.n,
            int(self.kept_back),
        ]


@dataclass(frozen=True, slots=True)
class Point:
    """A find whose exact place the member may see; `kept_back`: others may not."""

    find: Find
    latitude: float
    longitude: float
    text: str
    kept_back: bool

    @property
    def name(self) -> str:
        determined = self.find.current_determination
        if determined is None:
            return say("not named")
        return determined.taxon.name if determined.taxon else determined.name_typed


@dataclass(slots=True)
class Shown:
    view: View
    areas: list[Area] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)
    one_by_one: bool = False
    said: str = ""
    looked: list[list[float]] = field(default_factory=list)


def shown(member: Member, asked: Asked, view: View) -> Shown:
    """What lies in the view, of what was asked for."""
    answer = _found(member, asked, view)
    answer.looked = _looked(asked, view)
    return answer


def _found(member: Member, asked: Asked, view: View) -> Shown:
    if asked.foray is not None:
        return _of_foray(member, asked, view)
    found = queries.cells_in(view, view.net, taxon=asked.taxon_key, year=asked.year_key)
    if not _few(found, view, asked):
        return _told(Shown(view, _areas(found, view.net)))
    fine = found
    if view.net != _FINEST:
        fine = queries.cells_in(view, _FINEST, taxon=asked.taxon_key, year=asked.year_key)
    return _one_by_one(member, asked, view, found, fine)


def _few(found: queries.Cells, view: View, asked: Asked) -> bool:
    """Whether the finds in the view are few enough to draw each, and to look for them."""
    here = sum(n for (side, _), n in found.items() if side == view.net)
    if view.net == _FINEST:
        return here <= MOST_FINDS or view.zoom >= _SEEN_CLOSE
    if here > MOST_FINDS:
        return False
    whole = queries.cells_in(queries.EARTH, 0, taxon=asked.taxon_key, year=asked.year_key)
    return sum(whole.values()) <= _FEW_IN_ALL


def _one_by_one(member: Member, asked: Asked, view: View, found: queries.Cells, fine: queries.Cells) -> Shown:
    rows = _filtered(asked)
    cells = [cell for side, cell in fine if side == _FINEST]
    here = rows.filter(cell_001__in=cells)
    edges = Q(latitude__range=(view.south, view.north), longitude__range=(view.west, view.east))
    # Exact places are compared of finds that are open to all here, and below of those the member may see.
    opened = list(
        here.filter(edges, step_deg__isnull=True)
        .order_by()
        .values_list("find_id", flat=True)[: MOST_FINDS + 1]
    )
    if len(opened) > MOST_FINDS:
        return _told(Shown(view, _areas(found, view.net)))
    larger = {key: n for key, n in fine.items() if key[0] != _FINEST}
    small = Counter(
        here.filter(step_deg__isnull=False)
        .order_by()
        .values_list("step_deg", "open_latitude", "open_longitude")
    )
    areas = _areas(larger, _FINEST)
    for (step, latitude, longitude), n in sorted(small.items()):
        if side_drawn(_FINEST, step) == _FINEST:
            cell = coarsen(latitude=latitude, longitude=longitude, side_deg=step)
            areas.append(Area(cell.south, cell.west, cell.north, cell.east, n, kept_back=True))
    centres = cells + [_centre_cell(side, cell) for side, cell in larger]
    own = (
        rows.filter(may_see_place_of(member), edges, step_deg__isnull=False, cell_001__in=centres)
        .order_by()
        .values_list("find_id", flat=True)[:MOST_FINDS]
    )
    return _told(Shown(view, areas, _points(member, [*opened, *own]), one_by_one=True))


def _of_foray(member: Member, asked: Asked, view: View) -> Shown:
    """The finds of one foray, without those whose place is kept back from the member: the foray would tell it."""
    rows = list(
        _filtered(asked)
        .filter(may_see_place_of(member), foray=asked.foray, cell_10__isnull=False)
        .order_by()
        .values_list("find_id", "latitude", "longitude")[:_MOST_OF_FORAY]
    )
    inside = [row for row in rows if view.holds(row[1], row[2])]
    answer = Shown(view)
    if len(inside) <= MOST_FINDS:
        answer.one_by_one = True
        answer.points = _points(member, [row[0] for row in inside])
    else:
        side = SIDES_DEG[view.net]
        cells = Counter(cell_number(latitude=row[1], longitude=row[2], side_deg=side) for row in inside)
        answer.areas = _areas({(view.net, cell): n for cell, n in cells.items()}, view.net)
    _told(answer)
    left_out = say("Finds whose place is kept back from you are left out here: the foray would tell it.")
    answer.said = together([answer.said, left_out])
    return answer


def _filtered(asked: Asked) -> "QuerySet[FindIndex]":
    rows = FindIndex.objects.all()
    if asked.taxon is not None:
        rows = rows.filter(taxon=asked.taxon)
    if asked.year is not None:
        # As days and not as a year: an index has a taxon's finds in the order of days.
        first, last = first_key_of(date(asked.year, 1, 1)), last_key_of(date(asked.year, 12, 31))
        rows = rows.filter(latest__range=(first, last))
    return rows


def _points(member: Member, ids: list[Any]) -> list[Point]:
    """The finds with their places by the one door, the latest first."""
    finds = (
        Find.objects.filter(pk__in=ids)
        .select_related("finder", "foray", "current_determination__taxon")
        .order_by("-found_on", "-logged_at")
    )
    points = []
    for find in finds:
        place = place_for(find, member)
        if place.exact and place.latitude is not None and place.longitude is not None:
            points.append(
                Point(find, place.latitude, place.longitude, place.short, find.blur_step_deg is not None)
            )
    return points


def _areas(found: queries.Cells, net: int) -> list[Area]:
    """Larger ones first, so that smaller ones are drawn on top of them; then from north to south."""
    return [
        Area(*cell_bounds(cell, SIDES_DEG[side]), n, kept_back=side != net)
        for (side, cell), n in sorted(found.items(), key=lambda one: (one[0][0], -one[0][1]))
    ]


def _edges(low: float, high: float, letters: str, decimals: int) -> str:
    def said(edge: float) -> str:
        return f"{abs(edge):.{decimals}f}° {letters[0] if edge >= 0 else letters[1]}"

    return say("{low} to {high}", low=said(low), high=said(high))


def _centre_cell(side: int, cell: int) -> int:
    """The finest cell in which the middle of a larger one lies, as the index has it."""
    south, west, north, east = cell_bounds(cell, SIDES_DEG[side])
    middle = coarsen(latitude=(south + north) / 2, longitude=(west + east) / 2, side_deg=SIDES_DEG[side])
    return cell_number(latitude=middle.latitude, longitude=middle.longitude, side_deg=SIDES_DEG[_FINEST])


def _told(answer: Shown) -> Shown:
    if answer.one_by_one:
        of_own = sum(point.kept_back for point in answer.points)
        answer.said = map_words.points_said(len(answer.points), of_own, answer.areas)
    else:
        answer.said = map_words.cells_said(answer.areas, SIDES_DEG[answer.view.net])
    return answer


def _looked(asked: Asked, view: View) -> list[list[float]]:
    """Of one taxon: cells in which anything was found, so that an empty one is not read as one where it is absent."""
    if asked.taxon is None or asked.foray is not None:
        return []
    found = queries.cells_in(view, view.net, year=asked.year_key)
    cells = [cell_bounds(cell, SIDES_DEG[side]) for side, cell in sorted(found) if side == view.net]
    return [[round(edge, 4) for edge in cell] for cell in cells[:_MOST_LOOKED]]


def fitting(member: Member, asked: Asked) -> View:
    """A view of where the finds are that were asked for; the whole earth where there are none."""
    box = queries.EARTH
    if asked.foray is not None:
        return _fitting_foray(member, asked)
    for net in (0, 1, 2):
        found = queries.cells_in(box, net, taxon=asked.taxon_key, year=asked.year_key)
        if not found:
            break
        if net == 0:
            # The club's own country, and not the one find of somebody's journey.
            side, cell = max(found, key=lambda key: found[key])
            found = {(side, cell): found[side, cell]}
        bounds = [cell_bounds(cell, SIDES_DEG[side]) for side, cell in found]
        south, west = min(one[0] for one in bounds), min(one[1] for one in bounds)
        north, east = max(one[2] for one in bounds), max(one[3] for one in bounds)
        box = View(
            max(south, box.south), max(west, box.west), min(north, box.north), min(east, box.east), 1.0
        )
        if len(found) > 60 and net:
            break
        # Cells that only touch an edge are no part of it.
        inset = SIDES_DEG[net] / 1000
        box = View(box.south + inset, box.west + inset, box.north - inset, box.east - inset, 1.0)
    return View(box.south, box.west, box.north, box.east, zoom_for(box.south, box.west, box.north, box.east))


def _fitting_foray(member: Member, asked: Asked) -> View:
    seen = _filtered(asked).filter(may_see_place_of(member), foray=asked.foray, cell_10__isnull=False)
    # Whoever serves tiles learns where a map opens: that is around the cell of a place that is kept back, for all.
    at = "open_" if settings.MAP_TILES else ""
    edges = seen.aggregate(
        south=Min(f"{at}latitude"),
        west=Min(f"{at}longitude"),
        north=Max(f"{at}latitude"),
        east=Max(f"{at}longitude"),
        step=Max("step_deg"),
    )
    if edges["south"] is None:
        return queries.EARTH
    south, west, north, east = edges["south"], edges["west"], edges["north"], edges["east"]
    margin = max(north - south, east - west, 0.002) / 8
    if settings.MAP_TILES:
        margin = max(margin, edges["step"] or 0.0)
    return View(
        south - margin, west - margin, north + margin, east + margin, zoom_for(south, west, north, east)
    )


def around(latitude: float, longitude: float, zoom: float) -> View:
    """The view of a map of some 700 px around its middle. ValueError where that is no place on earth."""
    if not (abs(latitude) <= 90 and abs(longitude) <= 180):
        raise ValueError("The middle of the map is no place on earth.")
    zoom = min(max(zoom, LEAST_ZOOM), MOST_ZOOM)
    half = 350 * 360 / 256 / 2**zoom
    up = half * 0.7 * max(math.cos(math.radians(latitude)), 0.05)
    return view_of(latitude - up, longitude - half, latitude + up, longitude + half, zoom)


def as_json(answer: Shown) -> dict[str, Any]:
    """As the script of the map reads it."""
    return {
        "net": SIDES_DEG[answer.view.net],
        "said": answer.said,
        "areas": [area.as_row() for area in answer.areas],
        "looked": answer.looked,
        "finds": [
            {
                "number": point.find.collecting_number,
                "name": point.name,
                "day": short_day_text(point.find.found_on),
                "place": point.text,
                "at": [point.latitude, point.longitude],
                "href": reverse("find-page", args=[point.find.pk]),
                "kept": point.kept_back,
            }
            for point in answer.points
        ],
    }

"""Looking back: the index of it, the map and what it asks for."""

from csp.decorators import csp_update
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from ledger.moments import local_day
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.search.days import FIRST_YEAR
from ledger.starting import origin_of_tiles
from ledger.taxa.club_ranges import rechecked_words
from ledger.taxa.models import Taxon
from ledger.words import say
from ledger.year import effort, map_page, queries
from ledger.year.adopting import NotAdopted, adopt
from ledger.year.asked import asked_of, forays_offered
from ledger.year.checklist_page import Checklist, cell_of, taxa_found
from ledger.year.measured_page import MeasuredPage
from ledger.year.season_page import SeasonPage
from ledger.year.view import View, view_of
from ledger.year.ways import ways


@require_safe
def year(request: HttpRequest) -> HttpResponse:
    """What can be looked at, as far as it is there and this member may."""
    now = local_day(timezone.now()).year
    found, forays = queries.years(), effort.forays_by_year()
    can_be = {one: n for one, n in found.items() if FIRST_YEAR <= one <= now}
    context = {
        "ways": ways(request.user),
        "years": [(one, n, forays.get(one, 0)) for one, n in can_be.items()],
        "before": sum(n for one, n in found.items() if one < FIRST_YEAR),
        "after": sum(n for one, n in found.items() if one > now),
        "first": FIRST_YEAR,
        "now": now,
    }
    return render(request, "year/year.html", context)


@require_safe
def finds_map(request: HttpRequest) -> HttpResponse:
    """The map, and beneath it the same as a table, which is all there is without a script."""
    # Tiles of the club's own choice are all that a page loads from elsewhere, and this page alone does.
    tiles = {"img-src": origin_of_tiles(settings.MAP_TILES)} if settings.MAP_TILES else {}
    answer: HttpResponse = csp_update(tiles)(_map)(request)
    return answer


def _map(request: HttpRequest) -> HttpResponse:
    asked = asked_of(request.GET)
    view = _asked_view(request) or map_page.fitting(request.user, asked)
    context = {
        "asked": asked,
        "view": view,
        "shown": map_page.shown(request.user, asked, view),
        "effort": effort.of_year(asked.year) if asked.year else effort.of_all_years(),
        "taxa": Taxon.objects.only("name", "slug"),
        "years": queries.years(),
        "forays": forays_offered(asked),
        "checklist": reverse("checklist"),
        "tiles": settings.MAP_TILES,
        "credit": settings.MAP_CREDIT,
        "today": local_day(timezone.now()),
    }
    return render(request, "year/map.html", context)


@require_safe
def map_cells(request: HttpRequest) -> JsonResponse:
    """Cells or finds within `south`, `west`, `north`, `east` at `zoom`."""
    try:
        view = view_of(*(float(request.GET[name]) for name in ("south", "west", "north", "east", "zoom")))
    except (KeyError, ValueError):
        why = say("The map asked for a part of the earth that is none. Nothing is shown; load the page anew.")
        return JsonResponse({"why": why}, status=422)
    shown = map_page.shown(request.user, asked_of(request.GET), view)
    answer = JsonResponse(map_page.as_json(shown))
    answer["Cache-Control"] = "private, no-store"
    return answer


def _asked_view(request: HttpRequest) -> View | None:
    """The view of an address, `at` its middle: as wide as the map was drawn for, which the script corrects."""
    try:
        latitude, longitude = (float(part) for part in request.GET.get("at", "").split(","))
        zoom = float(request.GET.get("zoom", ""))
        return map_page.around(latitude, longitude, zoom)
    except ValueError:
        return None


@require_safe
def season(request: HttpRequest) -> HttpResponse:
    """Finds by week of the year, against the documented season and beside how much was looked."""
    asked = asked_of(request.GET)
    context = {
        "asked": asked,
        "page": SeasonPage(asked),
        "taxa": Taxon.objects.only("name", "slug"),
        "years": queries.years(),
    }
    return render(request, "year/season.html", context)


@require_safe
def checklist(request: HttpRequest) -> HttpResponse:
    """What was found of a foray, in a cell of the map, or in a year."""
    asked = asked_of(request.GET)
    typed = request.GET.get("cell", "")[:60]
    cell = cell_of(typed) if typed else None
    context = {
        "asked": asked,
        "page": Checklist(request.user, asked, cell),
        "today": local_day(timezone.now()),
        "trouble": ""
        if cell or not typed
        else say("That is no cell of the map, so the whole is shown. Choose one under the map."),
        "years": queries.years(),
        "forays": forays_offered(asked),
    }
    return render(request, "year/checklist.html", context)


@require_safe
def measured(request: HttpRequest) -> HttpResponse:
    return render(request, "year/measured.html", {"rows": taxa_found()})


@require_safe
def measured_taxon(request: HttpRequest, slug: str) -> HttpResponse:
    """The club's measurements of a taxon against the books; `finds=all` takes those in that are not settled."""
    taxon = get_object_or_404(Taxon, slug=slug)
    page = MeasuredPage(taxon, settled_only=request.GET.get("finds") != "all")
    return render(request, "year/measured_taxon.html", {"page": page, "curates": request.user.is_curator})


@at_least(Role.CURATOR)
@require_POST
def adopt_range(request: HttpRequest, slug: str) -> HttpResponse:
    """Adopt the range as it was seen; it then judges like any other of the club's."""
    taxon = get_object_or_404(Taxon, slug=slug)
    trait, seen = request.POST.get("trait", "")[:40], request.POST.get("seen", "")[:200]
    try:
        found = adopt(taxon, trait, seen=seen, by=request.user, now=timezone.now())
    except NotAdopted as refusal:
        messages.warning(request, str(refusal))
    else:
        said = rechecked_words(taxon, found)
        told = say("The club’s range is entered. {said} It can be ended on the taxon’s page.", said=said)
        messages.success(request, told)
    return redirect("measured-taxon", slug)

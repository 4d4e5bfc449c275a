"""Pocket sheets: a few taxa on one page of the ledger, kept on a phone, or on paper to fold."""

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from ledger.club.queries import the_club
from ledger.finds import naming, tables
from ledger.languages import page_language
from ledger.paper.papers import PAPERS
from ledger.paper.pocket import MOST_TAXA, Pocket, pocket_of
from ledger.paper.pocket_pdf import print_pocket
from ledger.paper.text import PaperError
from ledger.pocket.choosing import TypedName, read_names, slugs_of, taxa_of
from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference, names_in, stored_pairs
from ledger.words import say


@never_cache
@require_safe
def pocket_page(request: HttpRequest) -> HttpResponse:
    """A sheet as a page, or the list to choose its taxa from.

    `taxon`: addresses of taxa, one alone with its look-alikes; `name`: names as typed; `kept`: the page as a phone
    keeps it, without anything personal.
    """
    if "name" in request.GET:
        return _from_names(request)
    if "taxon" not in request.GET:
        return _chooser(request, [])
    pocket = _asked_for(request)
    if pocket is None:
        return _unknown(request)
    context = _page(request, pocket)
    if "kept" in request.GET:
        # No request goes in: no member, no mark against forgery, no message can get into what is kept.
        return HttpResponse(
            render_to_string("pocket/page.html", context | {"is_kept_page": True, "club": the_club()})
        )
    return render(request, "pocket/page.html", context)


@never_cache
@require_safe
def pocket_sheet(request: HttpRequest) -> HttpResponse:
    """The same as a PDF."""
    pocket = _asked_for(request)
    if pocket is None:
        return _unknown(request)
    paper = request.GET.get("paper")
    try:
        printed = print_pocket(
            pocket,
            paper if paper in PAPERS else "a4",
            institution=the_club().heading,
            digest=current_reference().digest,
            made_at=timezone.localtime(),
            language=page_language(),
        )
    except PaperError as trouble:
        return _chooser(request, _boxes(pocket), trouble=str(trouble))
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    first = slugs_of([pocket.taxa[0].name])[0]
    answer["Content-Disposition"] = f'inline; filename="pocket-{first}.pdf"'
    return answer


def _asked_for(request: HttpRequest) -> Pocket | None:
    reference, pairs = current_reference(), stored_pairs()
    taxa = taxa_of(request.GET.getlist("taxon"), reference, pairs)
    if not taxa:
        return None
    return _in_the_readers_names(pocket_of(reference, taxa, pairs, host_genera=tables.host_genera()))


def _in_the_readers_names(pocket: Pocket) -> Pocket:
    """Beside the Latin names the club's own ones in the reader's language; the reference has English ones only."""
    language = page_language().partition("-")[0]
    if language == "en":
        return pocket
    ids = dict(Taxon.objects.filter(name__in=pocket.latin).values_list("name", "pk"))
    local = names_in(language)
    taxa = tuple(replace(taxon, vernacular=local.get(ids.get(taxon.name, 0), "")) for taxon in pocket.taxa)
    return replace(pocket, taxa=taxa)


def _from_names(request: HttpRequest) -> HttpResponse:
    """Typed names go to the address of their sheet; what is not understood comes back as typed."""
    boxes = read_names(request.GET.getlist("name"), current_reference())
    taxa = [box.taxon for box in boxes if box.taxon]
    if any(box.trouble for box in boxes):
        return _chooser(request, boxes, status=422)
    if not taxa:
        return _chooser(request, boxes, trouble=say("No taxon was named. Type at least one."))
    return redirect(f"{reverse('pocket-page')}?{_query(taxa)}")


def _chooser(
    request: HttpRequest, boxes: Sequence[TypedName], *, trouble: str = "", status: int = 200
) -> HttpResponse:
    context = _choosing(boxes) | {"trouble": trouble}
    return render(request, "pocket/choose.html", context, status=422 if trouble else status)


def _choosing(boxes: Sequence[TypedName]) -> dict[str, object]:
    """What the list to choose from shows: as many boxes as a sheet has letters, those after the first folded if empty."""
    return {
        "boxes": [*boxes, *(TypedName() for _ in range(MOST_TAXA - len(boxes)))],
        "has_others": any(box.typed for box in boxes[1:]),
        "known_names": naming.offered(current_reference()),
    }


def _unknown(request: HttpRequest) -> HttpResponse:
    trouble = say("The reference does not hold every taxon of this address. Choose them anew.")
    answer = _chooser(request, [], trouble=trouble)
    answer.status_code = 404
    return answer


def _page(request: HttpRequest, pocket: Pocket) -> dict[str, object]:
    names = [taxon.name for taxon in pocket.taxa]
    # The address stands in the page, as a phone keeps it under its address.
    asked = urlencode([("taxon", slug) for slug in request.GET.getlist("taxon")])
    return {
        "pocket": pocket,
        "slugs": list(zip(pocket.taxa, slugs_of(names), strict=True)),
        "asked": asked,
        "papers": PAPERS.values(),
        "months": "JFMAMJJASOND",
        "made_on": timezone.localdate(),
        **_choosing(_boxes(pocket)),
    }


def _boxes(pocket: Pocket) -> list[TypedName]:
    return [TypedName(taxon.name, taxon.name) for taxon in pocket.taxa]


def _query(names: Sequence[str]) -> str:
    return urlencode([("taxon", slug) for slug in slugs_of(names)])

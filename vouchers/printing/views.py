"""Choose packets and sheets, get the PDF. What is refused or was printed before is read before anything is printed."""

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ledger.club.queries import the_club
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.row_keys import key_of
from vouchers.printing import items
from vouchers.printing.actions import Run, keep_print, print_items
from vouchers.printing.forms import PlacesForm, PrintForm, too_many
from vouchers.printing.items import Item
from vouchers.printing.kinds import MOST
from vouchers.printing.rows import label_rows
from vouchers.register import queries
from vouchers.register.models import Voucher
from vouchers.store.queries import Tree

PER_PAGE = 60
_ANYWAY = "anyway"


@at_least(Role.LEADER)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def labels(request: HttpRequest) -> HttpResponse:
    # Of those asked for, not of all there are.
    asked = {key_of(one) for one in request.POST.getlist("vouchers")}
    form = PrintForm(
        request.POST if request.method == "POST" else None,
        known=list(Voucher.objects.filter(pk__in=asked).values_list("pk", flat=True)),
    )
    run = None
    if request.method == "POST" and form.is_valid():
        ids = _asked_for(request) if form.cleaned_data["every"] else form.cleaned_data["vouchers"]
        chosen = items.of_vouchers(
            queries.for_labels(ids) if len(ids) <= MOST else [],
            form.cleaned_data["sheet"],
            club=the_club(),
            member=request.user,
        )
        if max(len(ids), len(chosen)) > MOST:
            form.add_error(None, too_many(max(len(ids), len(chosen))))
        else:
            run = _run(request, chosen, form.cleaned_data["paper"])
            if _goes_out(request, run):
                return _pdf(request, run)
    status = 422 if form.errors or run else 200
    return render(request, "vouchers/labels.html", _page(request, form, run), status=status)


@at_least(Role.LEADER)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def place_labels(request: HttpRequest) -> HttpResponse:
    form = PlacesForm(request.POST if request.method == "POST" else None)
    tree = Tree.load()
    run = None
    if request.method == "POST" and form.is_valid():
        places = list(form.cleaned_data["places"])
        paths = {place.pk: tree.words(place.parent_id) for place in places if place.parent_id}
        chosen = items.of_places(places, paths, club=the_club())
        chosen += items.of_trays(form.trays, club=the_club())
        run = _run(request, chosen, form.cleaned_data["paper"])
        if _goes_out(request, run):
            return _pdf(request, run)
    picked = {key_of(one) for one in [*request.POST.getlist("places"), *request.GET.getlist("place")]}
    page = {"form": form, "run": run, "nodes": tree.nodes(), "picked": picked}
    return render(request, "vouchers/place_labels.html", page, status=422 if form.errors or run else 200)


def _run(request: HttpRequest, chosen: Sequence[Item], paper: str) -> Run:
    # Of those made before: the ones that were ticked, none where only new ones are wanted, or all, to be read first.
    ticked = request.POST.getlist("again")
    again = ticked if _ANYWAY in request.POST or "new_only" in request.POST else None
    return print_items(chosen, paper=paper, now=timezone.now(), again=again)


def _goes_out(request: HttpRequest, run: Run) -> bool:
    return run.pdf is not None and (_ANYWAY in request.POST or not run.to_be_read)


def _pdf(request: HttpRequest, run: Run) -> HttpResponse:
    keep_print(run, by=request.user, now=timezone.now())
    sheets = {one.item.sheet for one in run.printed}
    answer = HttpResponse(run.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{sheets.pop() if len(sheets) == 1 else "labels"}.pdf"'
    return answer


def _typed(request: HttpRequest) -> str:
    return request.GET.get("q", "").strip()[:100]


def _asked_for(request: HttpRequest) -> list[int]:
    """What the search of the page finds, in the order of its numbers; of too many, one more than are printed."""
    return queries.keys_for(_typed(request), most=MOST + 1, by_locality=request.user.at_least(Role.CURATOR))


def _page(request: HttpRequest, form: PrintForm, run: Run | None) -> dict[str, object]:
    member = request.user
    typed = _typed(request)
    by_locality = member.at_least(Role.CURATOR)
    rows = queries.with_labels(queries.for_list())
    page, goes_on = queries.page_for(
        rows, typed, request.GET.get("page"), per_page=PER_PAGE, by_locality=by_locality
    )
    picked = {key_of(one) for one in [*request.POST.getlist("vouchers"), *request.GET.getlist("voucher")]} - {
        0
    }
    beyond = queries.for_labels(sorted(picked - {voucher.pk for voucher in page}))
    rows = label_rows([*beyond, *page], member, picked=picked)
    return {
        "form": form,
        "run": run,
        "page": page,
        "goes_on": goes_on,
        "rows": rows,
        "typed": typed,
        "by_locality": by_locality,
        "example": queries.example_number(the_club()),
    }

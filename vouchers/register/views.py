"""The register on screen: the list, a voucher's page, accession and deaccession."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.club.queries import the_club
from ledger.finds.access import place_for
from ledger.finds.models import Find
from ledger.languages import of_the_club, page_language
from ledger.paper.papers import A4, PAPERS
from ledger.paper.text import PaperError
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.row_keys import key_of
from ledger.words import say
from vouchers.preparation.queries import waiting_sentence
from vouchers.register import actions, queries
from vouchers.register.book import print_book
from vouchers.register.book_rows import book_of, years_of_books
from vouchers.register.forms import MOST_AT_ONCE, DeaccessionForm, TakeBackForm, WithoutNumberForm
from vouchers.register.lookup import with_voucher
from vouchers.register.models import Voucher
from vouchers.register.panels import panels_of
from vouchers.register.search import names_not_shown

PER_PAGE = 50


@at_least(Role.CURATOR)
@require_safe
def vouchers(request: HttpRequest) -> HttpResponse:
    typed = request.GET.get("q", "").strip()[:100]
    # The register is for curators, who may know every place.
    page, goes_on = queries.page_for(
        queries.for_list(), typed, request.GET.get("page"), per_page=PER_PAGE, by_locality=True
    )
    placed = [(voucher, place_for(voucher.find, request.user).short) for voucher in page]
    also = names_not_shown(typed, placed) if typed else {}
    shown = {
        "page": page,
        "rows": [(voucher, place, also.get(voucher.find_id)) for voucher, place in placed],
        "goes_on": goes_on,
        "typed": typed,
        "example": queries.example_number(the_club()),
        "years": years_of_books(),
        "papers": PAPERS.values(),
        # What waits is told where the register is opened, and is not in the way of who looks one up after the other.
        "waiting": "" if typed else waiting_sentence(timezone.now()),
        "without_number": 0 if typed else queries.count_without_number(),
        "most_counted": queries.MOST_COUNTED,
    }
    return render(request, "vouchers/vouchers.html", shown)


@at_least(Role.CURATOR)
@never_cache
@require_safe
def book(request: HttpRequest, year: int) -> HttpResponse:
    """The register book of a year as a PDF."""
    paper = request.GET.get("paper", "")
    try:
        # It stays with the specimens, whoever prints it.
        with of_the_club():
            pdf = print_book(
                book_of(year, request.user),
                paper if paper in PAPERS else A4.code,
                made_at=timezone.localtime(),
                language=page_language(),
            )
    except PaperError as trouble:
        messages.error(request, say(trouble.args[0]))
        return redirect("vouchers")
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="register-{year}.pdf"'
    return answer


@at_least(Role.LEADER)
@require_safe
@with_voucher
def voucher(request: HttpRequest, voucher: Voucher) -> HttpResponse:
    shown = {
        "voucher": voucher,
        "find": voucher.find,
        "place": place_for(voucher.find, request.user),
        "panels": panels_of(voucher, request.user),
    }
    return render(request, "vouchers/register/voucher.html", shown)


@at_least(Role.CURATOR)
@require_POST
def accession(request: HttpRequest, find_id: str) -> HttpResponse:
    find = get_object_or_404(Find, pk=find_id)
    came_from = request.POST.get("from", "")
    confirmed = {key_of(text) for text in request.POST.getlist("despite")}
    try:
        voucher = actions.accession(find.pk, by=request.user, now=timezone.now(), despite=confirmed)
    except actions.AccessionAsked as asked:
        shown = {"find": find, "asked": asked, "came_from": came_from, "back": _back(came_from, find)}
        return render(request, "vouchers/register/accession.html", shown, status=422)
    except actions.AccessionRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _given([voucher]))
    return redirect(_back(came_from, find))


def _back(came_from: str, find: Find) -> str:
    """Where the curator was: the bench says so in its form, with the key of the find that stands there by now."""
    if came_from == "bench list":
        return reverse("bench")
    if came_from.startswith("bench"):
        try:
            return reverse("bench-find", args=[UUID(came_from.removeprefix("bench").strip())])
        except ValueError:
            return reverse("bench-find", args=[find.pk])
    return reverse("find-page", args=[find.pk])


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def without_number(request: HttpRequest) -> HttpResponse:
    """What is settled and kept and has no number yet, to be ticked and accessioned together."""
    form = WithoutNumberForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            made = actions.accession_all(form.chosen, by=request.user, now=timezone.now())
        except actions.AccessionRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _given(made))
            return redirect("without-number")
    waiting = queries.without_number()
    ticked = request.POST.getlist("find")
    rows = [(find, str(find.pk) in ticked) for find in waiting[:MOST_AT_ONCE]]
    shown = {"form": form, "rows": rows, "many": queries.count_without_number(), "most": MOST_AT_ONCE}
    shown["most_counted"] = queries.MOST_COUNTED
    status = 422 if form.errors else 200
    return render(request, "vouchers/register/without_number.html", shown, status=status)


def _given(made: list[Voucher]) -> str:
    if len(made) == 1:
        return say(
            "{number} is accessioned as {voucher}. Its label waits under Labels.",
            number=made[0].find.collecting_number,
            voucher=made[0],
        )
    return say(
        "{n} finds are accessioned as {first} to {last}. Their labels wait under Labels.",
        n=len(made),
        first=made[0],
        last=made[-1],
    )


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
@with_voucher
def deaccession(request: HttpRequest, voucher: Voucher) -> HttpResponse:
    """Out of the collection; or back into it, for a voucher that is out.

    What is sent says which it means: pressed twice, or by two curators, a deaccession must not turn into its opposite.
    """
    posted = request.POST if request.method == "POST" else None
    takes_back = voucher.deaccessioned_at is not None if posted is None else posted.get("do") == "take back"
    form = (TakeBackForm if takes_back else DeaccessionForm)(posted)
    if form.is_valid():
        act = actions.take_back if takes_back else actions.deaccession
        try:
            act(voucher.pk, **form.cleaned_data, by=request.user, now=timezone.now())
        except actions.DeaccessionRefused as refusal:
            form.add_error("words", str(refusal))
        else:
            messages.success(
                request,
                say("{voucher} is in the collection again.", voucher=voucher)
                if takes_back
                else say("{voucher} is deaccessioned. Its number is retired.", voucher=voucher),
            )
            return redirect("voucher", voucher.slug)
    status = 422 if form.errors else 200
    shown = {"form": form, "voucher": voucher, "takes_back": takes_back}
    return render(request, "vouchers/register/deaccession.html", shown, status=status)

"""Exchange on screen: what was sent, and who should hear of a name."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import later, say, say_n
from vouchers.exchange import actions, queries
from vouchers.exchange.forms import SendingForm
from vouchers.exchange.models import Sending
from vouchers.exchange.news import news
from vouchers.loans.lookup import numbered
from vouchers.loans.numbers import SENDING
from vouchers.loans.refusals import LoanRefused

with_sending = numbered(SENDING, queries.find_sending, what=later("sending"), back="exchange")


@at_least(Role.CURATOR)
@require_safe
def exchange(request: HttpRequest) -> HttpResponse:
    return _page(request)


def _page(request: HttpRequest, wrong: tuple[str, ...] = ()) -> HttpResponse:
    page = Paginator(queries.sendings(), 30).get_page(request.GET.get("page"))
    shown = {"page": page, "news": news(), "wrong": wrong}
    return render(request, "vouchers/exchange/exchange.html", shown, status=422 if wrong else 200)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def new_sending(request: HttpRequest) -> HttpResponse:
    form = SendingForm(
        request.POST if request.method == "POST" else None, codes=request.GET.get("code", "")[:60]
    )
    if form.is_valid():
        given = dict(form.cleaned_data)
        parts = given.pop("codes")
        try:
            sending = actions.send(
                actions.SendingTerms(**given),
                [part.pk for part in parts],
                by=request.user,
                now=timezone.now(),
            )
        except LoanRefused as refusal:
            form.add_error("codes", list(refusal.sentences))
        else:
            messages.success(
                request,
                say("{sending} is on record; its duplicates have ended in our collection.", sending=sending),
            )
            return redirect("sending", sending)
    status = 422 if form.errors else 200
    return render(request, "vouchers/exchange/new.html", {"form": form}, status=status)


@at_least(Role.CURATOR)
@require_safe
@with_sending
def sending(request: HttpRequest, sending: Sending) -> HttpResponse:
    shown = {"sending": sending, "duplicates": queries.duplicates_of(sending)}
    return render(request, "vouchers/exchange/sending.html", shown)


@at_least(Role.CURATOR)
@require_POST
def told_of_name(request: HttpRequest) -> HttpResponse:
    """The receivers that are ticked were told."""
    ticked = [
        int(key)
        for key in request.POST.getlist("told")
        if key.isascii() and key.isdecimal() and len(key) < 10
    ]
    try:
        noted = actions.note_told(ticked, by=request.user, now=timezone.now())
    except LoanRefused as refusal:
        return _page(request, refusal.sentences)
    messages.success(
        request,
        say_n(
            "The new name of {n} duplicate is noted as told.",
            "The new name of {n} duplicates is noted as told.",
            len(noted),
        ),
    )
    return redirect("exchange")

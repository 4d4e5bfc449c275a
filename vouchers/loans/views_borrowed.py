"""Loans in on screen."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import later, say, say_n
from vouchers.loans import borrowing as actions
from vouchers.loans import queries
from vouchers.loans.due import how_due
from vouchers.loans.forms import BorrowingForm, LongerForm, today
from vouchers.loans.lookup import numbered
from vouchers.loans.models import Borrowing
from vouchers.loans.numbers import BORROWING
from vouchers.loans.refusals import LoanRefused

with_borrowing = numbered(BORROWING, queries.find_borrowing, what=later("borrowed loan"), back="loans")


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def new_borrowing(request: HttpRequest) -> HttpResponse:
    form = BorrowingForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        given = dict(form.cleaned_data)
        items = given.pop("items")
        try:
            borrowing = actions.borrow(
                actions.BorrowingTerms(**given), items, by=request.user, now=timezone.now()
            )
        except LoanRefused as refusal:
            form.add_error("items", list(refusal.sentences))
        else:
            messages.success(
                request,
                say(
                    "{borrowing} is on record. Freeze the parcel before it is opened near our own.",
                    borrowing=borrowing,
                ),
            )
            return redirect("borrowing", borrowing)
    status = 422 if form.errors else 200
    return render(request, "vouchers/loans/new_borrowing.html", {"form": form}, status=status)


@at_least(Role.CURATOR)
@require_safe
@with_borrowing
def borrowing(request: HttpRequest, borrowing: Borrowing) -> HttpResponse:
    return _page(request, borrowing, LongerForm())


@at_least(Role.CURATOR)
@require_http_methods(["POST"])
@with_borrowing
def give_back(request: HttpRequest, borrowing: Borrowing) -> HttpResponse:
    """Ticked specimens went back to the lender."""
    ticked = {
        item.pk: request.POST.get(f"condition-{item.pk}", "")
        for item in borrowing.items.all()
        if f"back-{item.pk}" in request.POST
    }
    try:
        items = actions.give_back(borrowing.pk, ticked, by=request.user, now=timezone.now())
    except LoanRefused as refusal:
        return _page(request, borrowing, LongerForm(), wrong=refusal.sentences)
    messages.success(
        request,
        say_n(
            "{n} specimen of {borrowing} went back to {institution}.",
            "{n} specimens of {borrowing} went back to {institution}.",
            len(items),
            borrowing=borrowing,
            institution=borrowing.institution,
        ),
    )
    return redirect("borrowing", borrowing)


@at_least(Role.CURATOR)
@require_http_methods(["POST"])
@with_borrowing
def prolong_borrowing(request: HttpRequest, borrowing: Borrowing) -> HttpResponse:
    form = LongerForm(request.POST)
    if form.is_valid():
        try:
            actions.prolong_borrowing(borrowing.pk, **form.cleaned_data, by=request.user, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("due_on", list(refusal.sentences))
        else:
            messages.success(request, say("The later day of {borrowing} is on record.", borrowing=borrowing))
            return redirect("borrowing", borrowing)
    return _page(request, borrowing, form)


def _page(
    request: HttpRequest, borrowing: Borrowing, form: LongerForm, wrong: tuple[str, ...] = ()
) -> HttpResponse:
    items = list(borrowing.items.select_related("returned_by"))
    here = [item for item in items if item.is_here]
    shown = {
        "borrowing": borrowing,
        "items": items,
        "here": here,
        "due": how_due(borrowing.due_on, today(), is_open=bool(here)),
        "prolongings": borrowing.prolongings.select_related("by"),
        "form": form,
        "wrong": wrong,
        "posted": request.POST,
    }
    return render(
        request, "vouchers/loans/borrowing.html", shown, status=422 if wrong or form.errors else 200
    )

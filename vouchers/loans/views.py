"""Loans out on screen: the list, a loan, lending, what came back, more time, reminders, conditions."""

import uuid

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from ledger.club.queries import the_club
from ledger.languages import of_the_club
from ledger.paper.papers import PAPERS
from ledger.paper.text import PaperError
from ledger.people.models import Role
from ledger.photo_copies import copy_of
from ledger.photos.errors import PhotoRefused
from ledger.roles import at_least
from ledger.words import later, say, say_n, together
from vouchers.loans import actions, queries
from vouchers.loans.due import USUAL_PARTS, how_due
from vouchers.loans.form_pdf import print_form
from vouchers.loans.forms import (
    ConditionForm,
    LoanForm,
    LostForm,
    ProlongForm,
    ReminderForm,
    ReturnForm,
    today,
)
from vouchers.loans.gather import loan_form
from vouchers.loans.lookup import numbered
from vouchers.loans.models import ConditionPhoto, Loan, LoanItem
from vouchers.loans.numbers import LOAN
from vouchers.loans.photos import SIZES, add_photos
from vouchers.loans.refusals import LoanAsked, LoanRefused
from vouchers.loans.returning import ReturnPage

with_loan = numbered(LOAN, queries.find_loan, what=later("loan"), back="loans")


@at_least(Role.CURATOR)
@require_safe
def loans(request: HttpRequest) -> HttpResponse:
    rows = queries.rows_of(queries.loans_out(), today())
    over = Paginator(queries.loans_over(), 30).get_page(request.GET.get("page"))
    shown = {
        "late": [row for row in rows if row.due.days < 0],
        "running": [row for row in rows if row.due.days >= 0],
        "over": over,
        "borrowed": queries.rows_of(queries.borrowings(), today()),
    }
    return render(request, "vouchers/loans/loans.html", shown)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def new_loan(request: HttpRequest) -> HttpResponse:
    form = LoanForm(
        request.POST if request.method == "POST" else None, codes=request.GET.get("code", "")[:60]
    )
    asked: LoanAsked | None = None
    if form.is_valid():
        given = dict(form.cleaned_data)
        parts, condition = given.pop("codes"), given.pop("condition")
        try:
            loan = actions.lend(
                actions.LoanTerms(**given),
                [part.pk for part in parts],
                by=request.user,
                now=timezone.now(),
                condition=condition,
                read=request.POST.getlist("read"),
            )
        except LoanAsked as question:
            asked = question
        except LoanRefused as refusal:
            form.add_error("codes", list(refusal.sentences))
        else:
            messages.success(
                request,
                say(
                    "Loan {loan} is on record. Note what one part lacks on its page, then print the form twice.",
                    loan=loan,
                ),
            )
            return redirect("loan", loan)
    status = 422 if form.errors or asked else 200
    return render(request, "vouchers/loans/new.html", {"form": form, "asked": asked}, status=status)


@at_least(Role.CURATOR)
@require_safe
@with_loan
def loan(request: HttpRequest, loan: Loan) -> HttpResponse:
    items = queries.items_of(loan)
    out = [item for item in items if item.is_out]
    shown = {
        "loan": loan,
        "items": items,
        "out": out,
        "due": how_due(loan.due_on, today(), is_open=bool(out)),
        "papers": PAPERS.values(),
        "prolongings": loan.prolongings.select_related("by"),
        "reminders": loan.reminders.select_related("by"),
        "many": len(items) if len(items) > USUAL_PARTS else 0,
        "usual_parts": USUAL_PARTS,
    }
    return render(request, "vouchers/loans/loan.html", shown)


@at_least(Role.CURATOR)
@never_cache
@require_safe
@with_loan
def loan_form_pdf(request: HttpRequest, loan: Loan, paper: str) -> HttpResponse:
    if paper not in PAPERS:
        raise Http404
    try:
        with of_the_club():
            form = loan_form(loan, the_club())
            pdf = print_form(form, paper, made_at=timezone.localtime(), language=settings.LANGUAGE_CODE)
    except PaperError as refusal:
        # Why it was not, to whoever asked for it.
        messages.error(request, say(refusal.args[0]))
        return redirect("loan", loan)
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="loan-{loan}-{paper}.pdf"'
    return answer


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
@with_loan
def return_loan(request: HttpRequest, loan: Loan) -> HttpResponse:
    """Some or all of a loan came back."""
    posted = request.POST if request.method == "POST" else None
    form = ReturnForm(posted)
    page = ReturnPage(loan, posted)
    if form.is_valid():
        try:
            items = actions.return_items(
                loan.pk,
                page.conditions(form.cleaned_data),
                by=request.user,
                now=timezone.now(),
                came_on=form.cleaned_data["came_on"],
            )
        except LoanRefused as refusal:
            for sentence in refusal.sentences:
                form.add_error(None, sentence)
            form.add_error(None, say("Nothing was noted; what you ticked and typed stands below."))
        else:
            messages.success(
                request,
                say_n(
                    "{n} part of loan {loan} came back. Freeze again before they go back to their places.",
                    "{n} parts of loan {loan} came back. Freeze again before they go back to their places.",
                    len(items),
                    loan=loan,
                ),
            )
            return redirect("loan", loan)
    status = 422 if form.errors else 200
    return render(
        request, "vouchers/loans/return.html", {"form": form, "loan": loan, "page": page}, status=status
    )


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
@with_loan
def prolong_loan(request: HttpRequest, loan: Loan) -> HttpResponse:
    form = ProlongForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            loan = actions.prolong(loan.pk, **form.cleaned_data, by=request.user, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("due_on", list(refusal.sentences))
        else:
            messages.success(
                request,
                say("Loan {loan} is prolonged. Tell the borrower; the form can be printed anew.", loan=loan),
            )
            return redirect("loan", loan)
    status = 422 if form.errors else 200
    return render(request, "vouchers/loans/prolong.html", {"form": form, "loan": loan}, status=status)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
@with_loan
def remind_borrower(request: HttpRequest, loan: Loan) -> HttpResponse:
    """The text to copy; and that it was sent."""
    form = ReminderForm(request.POST if request.method == "POST" else None, initial={"sent_on": today()})
    if form.is_valid():
        try:
            actions.note_reminder(
                loan.pk, sent_on=form.cleaned_data["sent_on"], by=request.user, now=timezone.now()
            )
        except LoanRefused as refusal:
            form.add_error("sent_on", list(refusal.sentences))
        else:
            messages.success(request, say("A reminder of loan {loan} is noted as sent.", loan=loan))
            return redirect("loan", loan)
    is_out = loan.items.out().exists()
    # A letter of the club, whoever copies it.
    with of_the_club():
        reminder = queries.reminder_of(loan, today(), request.user) if is_out else None
    shown = {"form": form, "loan": loan, "reminder": reminder}
    return render(request, "vouchers/loans/remind.html", shown, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def loan_item(request: HttpRequest, item_id: int) -> HttpResponse:
    """One part on one loan: how it looked, in words and photos."""
    item = _item(item_id)
    moment = "back" if item.returned_at else "out"
    form = ConditionForm(
        request.POST if request.method == "POST" else None,
        request.FILES if request.method == "POST" else None,
        initial={"moment": moment},
    )
    if form.is_valid():
        now = timezone.now()
        try:
            condition = actions.note_condition(
                item.pk, form.cleaned_data["moment"], form.cleaned_data["words"], by=request.user, now=now
            )
        except LoanRefused as refusal:
            form.add_error("words", list(refusal.sentences))
        else:
            told = add_photos(condition, form.cleaned_data["photos"], by=request.user, now=now)
            messages.success(request, say("The condition of {number} is noted.", number=item.part.number))
            for sentence in told:
                messages.warning(
                    request, together([say("The words were kept, one photo was not."), sentence])
                )
            return redirect("loan-item", item.pk)
    shown = {
        "form": form,
        "item": item,
        "conditions": item.conditions.prefetch_related("photos").select_related("noted_by"),
    }
    return render(request, "vouchers/loans/item.html", shown, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def lost_loan_item(request: HttpRequest, item_id: int) -> HttpResponse:
    item = _item(item_id)
    form = LostForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            actions.note_lost(item.pk, words=form.cleaned_data["words"], by=request.user, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("words", list(refusal.sentences))
        else:
            messages.success(
                request,
                say(
                    "{number} is noted as lost on loan {loan}; the part has ended.",
                    number=item.part.number,
                    loan=item.loan,
                ),
            )
            return redirect("loan", item.loan)
    shown = {"form": form, "item": item}
    return render(request, "vouchers/loans/lost.html", shown, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_safe
def condition_photo(request: HttpRequest, photo_id: uuid.UUID, size: str) -> HttpResponse | FileResponse:
    photo = get_object_or_404(ConditionPhoto, pk=photo_id)
    if size not in SIZES:
        raise Http404
    try:
        copy = copy_of(photo.original, photo.sha256, SIZES[size])
    except PhotoRefused as problem:
        raise Http404 from problem  # admitted, but no copy can be made of it; the original is kept
    answer = FileResponse(copy.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=604800, immutable"
    return answer


def _item(item_id: int) -> LoanItem:
    return get_object_or_404(LoanItem.objects.with_part().select_related("loan"), pk=item_id)

"""Leave to cut on screen: asked for, decided on, cut, what came of it."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import later, say
from vouchers.loans.forms import today
from vouchers.loans.lookup import numbered
from vouchers.loans.numbers import LEAVE
from vouchers.loans.refusals import LoanRefused
from vouchers.sampling import actions, queries
from vouchers.sampling.forms import AskForm, CutForm, DecisionForm, ResultForm
from vouchers.sampling.models import SamplingLeave

with_leave = numbered(LEAVE, queries.find_leave, what=later("leave to cut"), back="sampling")


@at_least(Role.CURATOR)
@require_safe
def sampling(request: HttpRequest) -> HttpResponse:
    rows = queries.for_list()
    shown = {
        "waiting": rows.filter(decision=""),
        "page": Paginator(rows.exclude(decision=""), 40).get_page(request.GET.get("page")),
    }
    return render(request, "vouchers/sampling/sampling.html", shown)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def ask_to_sample(request: HttpRequest) -> HttpResponse:
    form = AskForm(request.POST if request.method == "POST" else None, code=request.GET.get("code", "")[:60])
    if form.is_valid():
        given = dict(form.cleaned_data)
        part = given.pop("code")
        try:
            leave = actions.ask(actions.LeaveAsked(**given), part.pk, by=request.user, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("code", list(refusal.sentences))
        else:
            messages.success(
                request, say("The request is on record as {leave}. Nothing is granted yet.", leave=leave)
            )
            return redirect("sampling-leave", leave)
    status = 422 if form.errors else 200
    return render(request, "vouchers/sampling/ask.html", {"form": form}, status=status)


@at_least(Role.CURATOR)
@require_safe
@with_leave
def sampling_leave(request: HttpRequest, leave: SamplingLeave) -> HttpResponse:
    return _page(request, leave)


@at_least(Role.CURATOR)
@require_POST
@with_leave
def decide_leave(request: HttpRequest, leave: SamplingLeave) -> HttpResponse:
    form = DecisionForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        try:
            leave = actions.decide(
                leave.pk, given["decision"], words=given["words"], by=request.user, now=timezone.now()
            )
        except LoanRefused as refusal:
            form.add_error("words", list(refusal.sentences))
        else:
            granted = leave.decision == "granted"
            messages.success(
                request, say("{leave} is granted." if granted else "{leave} is refused.", leave=leave)
            )
            return redirect("sampling-leave", leave)
    return _page(request, leave, form)


@at_least(Role.CURATOR)
@require_POST
@with_leave
def note_cut(request: HttpRequest, leave: SamplingLeave) -> HttpResponse:
    form = CutForm(request.POST)
    if form.is_valid():
        try:
            actions.note_cut(leave.pk, **form.cleaned_data, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("cut_on", list(refusal.sentences))
        else:
            messages.success(
                request,
                say("The cut under {leave} is noted. Put its annotation slip into the packet.", leave=leave),
            )
            return redirect("sampling-leave", leave)
    return _page(request, leave, form)


@at_least(Role.CURATOR)
@require_POST
@with_leave
def note_result(request: HttpRequest, leave: SamplingLeave) -> HttpResponse:
    form = ResultForm(request.POST)
    if form.is_valid():
        try:
            actions.note_result(leave.pk, **form.cleaned_data, now=timezone.now())
        except LoanRefused as refusal:
            form.add_error("result", list(refusal.sentences))
        else:
            messages.success(request, say("The result of {leave} is noted.", leave=leave))
            return redirect("sampling-leave", leave)
    return _page(request, leave, form)


def _page(request: HttpRequest, leave: SamplingLeave, refused: Form | None = None) -> HttpResponse:
    """The leave, and the forms of the step it is at. A form that was refused stands in place of the fresh one."""
    forms = {
        "decision": DecisionForm(),
        "cut": CutForm(initial={"cut_on": today(), "cut_what": leave.what}),
        "result": ResultForm(),
    }
    kinds = {DecisionForm: "decision", CutForm: "cut", ResultForm: "result"}
    step = _step(leave)
    stray: list[str] = []
    if refused is not None:
        kind = kinds[type(refused)]
        forms[kind] = refused
        if kind != step:  # its form is not on the page any more: somebody was quicker
            stray = [str(error) for errors in refused.errors.values() for error in errors]
    # What the curator saw when deciding stays; before, it is reckoned anew.
    notes = leave.warned.splitlines() if leave.decision else queries.warnings_of(leave)
    shown = {"leave": leave, "form": forms.get(step), "step": step, "notes": notes, "stray": stray}
    return render(request, "vouchers/sampling/leave.html", shown, status=422 if refused else 200)


def _step(leave: SamplingLeave) -> str:
    """What is to be done next with a leave; nothing with one that was refused."""
    if not leave.decision:
        return "decision"
    if leave.decision != "granted":
        return ""
    return "result" if leave.cut_on else "cut"

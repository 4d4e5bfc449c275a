"""The evening's page, the drier, one find's preparation, a run, a tray."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.finds.access import sees_exact_place
from ledger.finds.models import Find
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import say, say_n
from vouchers.preparation import actions, order, queries, screens
from vouchers.preparation.forms import NEW_RUN, REASONS, PutInForm, StepForm, WithdrawForm
from vouchers.preparation.models import DryingRun, PreparationStep


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def preparation(request: HttpRequest) -> HttpResponse:
    now, form, refusal = timezone.now(), None, None
    if request.method == "POST":
        form = StepForm(request.POST, section=request.POST.get("section", "")[:20])
        made, refusal = _recorded(request, form)
        if made is not None:
            messages.success(request, _done(made))
            return redirect("preparation")
    shown = screens.sections(now, form)
    context = {
        "sections": shown,
        "tonight": screens.tonight(shown, now),
        "waiting": queries.waiting_sentence(now),
        "refusal": refusal,
        "bound": form,
        "bound_section": next((one for one in shown if form is not None and one.form is form), None),
    }
    return render(request, "vouchers/preparation/preparation.html", context, status=422 if form else 200)


def _recorded(
    request: HttpRequest, form: StepForm
) -> tuple[list[PreparationStep] | None, actions.PreparationRefused | None]:
    if not form.is_valid():
        return None, None
    now = timezone.now()
    try:
        made = actions.record(
            form.finds,
            form.cleaned_data["do"],
            at=form.cleaned_data["at"] or now,
            by=request.user,
            now=now,
            details=form.details,
            why_not=form.answer,
            ask_if_early="early" not in request.POST,
        )
    except actions.NotYet as question:
        return None, _with_subjects(question)
    except actions.PreparationRefused as refusal:
        return None, refusal
    return made, None


def _with_subjects(question: actions.NotYet) -> actions.PreparationRefused:
    """The question with what was left out, and whose; the reason has its box in the form."""
    numbers = {
        find.pk: find.collecting_number for find in Find.objects.filter(pk__in=question.asked).order_by()
    }
    by_subject: dict[str, list[str]] = {}
    for pk, subjects in question.asked.items():
        for subject in subjects:
            by_subject.setdefault(subject, []).append(numbers[pk])
    lines = [
        say("Not done: {subject} ({numbers}).", subject=queries.subject_words(one), numbers=", ".join(who))
        for one, who in by_subject.items()
    ]
    return actions.PreparationRefused(*question.sentences, *lines)


def _done(made: Sequence[PreparationStep]) -> str:
    return say_n(
        "{n} find: {step}. It is on record.",
        "{n} finds: {step}. It is on record.",
        len(made),
        step=made[0].get_kind_display(),
    )


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def put_in_drier(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    page = screens.PutInPage(request.user, request.GET, now)
    form = PutInForm(
        request.POST if request.method == "POST" else None,
        runs=screens.runs_under_way(now),
        initial={"run": NEW_RUN, **screens.first_words()},
    )
    refusal, asked = None, {}
    if request.method == "POST" and form.is_valid():
        try:
            return _put_in(request, form)
        except actions.NotYet as question:
            refusal, asked = question, question.asked
        except actions.PreparationRefused as other:
            refusal = other
    return render(
        request,
        "vouchers/preparation/put_in.html",
        {
            "page": page,
            "rows": page.rows(form, asked),
            "form": form,
            "refusal": refusal,
            "asked": asked,
            "reasons": REASONS,
            "new_run": NEW_RUN,
            "offered": page.finds.count(),
            "most": screens.MOST_ROWS,
        },
        status=422 if request.method == "POST" else 200,
    )


def _put_in(request: HttpRequest, form: PutInForm) -> HttpResponse:
    now = timezone.now()
    if request.POST.get("do") == "leave":
        made = actions.leave_out(
            form.finds, [order.DRYING], words=form.cleaned_data["why_not"], by=request.user, now=now
        )
        messages.success(request, say("{n} left without drying, with the reason on record.", n=len(made)))
        return redirect("preparation")
    run = actions.put_in_drier(
        form.finds,
        form.into,
        at=form.cleaned_data["at"] or now,
        by=request.user,
        now=now,
        trays=form.trays,
        first_tray=form.cleaned_data["first_tray"],
        why_not=form.answer,
    )
    messages.success(
        request,
        say_n(
            "{n} find is in the drier: {run}.",
            "{n} finds are in the drier: {run}.",
            len(form.finds),
            run=str(run),
        ),
    )
    for tray, numbers in sorted(queries.trays_in_use().items()):
        if len(numbers) > 1 and tray in form.trays.values():
            messages.warning(
                request,
                say("Tray {tray} holds {numbers}. Keep their slips apart.", tray=tray, numbers=_and(numbers)),
            )
    return redirect("drying-run", run.pk)


def _and(numbers: Sequence[str]) -> str:
    """PR 30 and PR 31 and PR 32."""
    told, *more = numbers
    for number in more:
        told = say("{numbers} and {number}", numbers=told, number=number)
    return told


@at_least(Role.LEADER)
@require_safe
def drying_run(request: HttpRequest, run_id: int) -> HttpResponse:
    run = get_object_or_404(DryingRun.objects.select_related("started_by"), pk=run_id)
    rows = queries.finds_of_run(run)
    inside = [row for row in rows if row.state.where == order.IN_DRIER and row.run == run]
    # A note on the load may be of any find in it.
    freely = all(sees_exact_place(row.find, request.user) for row in rows)
    return render(
        request,
        "vouchers/preparation/run.html",
        {
            "run": run,
            "rows": rows,
            "inside": len(inside),
            "thick": queries.thick_of(rows),
            "freely": freely,
            "section": screens.section_of(run, timezone.now()) if inside else None,
            "refusal": None,
        },
    )


@at_least(Role.LEADER)
@require_safe
def tray(request: HttpRequest, tray_number: int) -> HttpResponse:
    if not 1 <= tray_number <= actions.BIGGEST_TRAY:
        raise Http404
    return render(
        request, "vouchers/preparation/tray.html", {"tray": tray_number, "rows": queries.on_tray(tray_number)}
    )


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def preparation_of_find(request: HttpRequest, find_id: UUID) -> HttpResponse:
    find = _find(find_id)
    form, refusal = None, None
    if request.method == "POST":
        data = request.POST.copy()
        data.setlist("finds", [str(find.pk)])
        form = StepForm(data)
        made, refusal = _recorded(request, form)
        if made is not None:
            messages.success(
                request,
                say(
                    "{number}: {step}. It is on record.",
                    number=find.collecting_number,
                    step=made[0].get_kind_display(),
                ),
            )
            return redirect("preparation-of-find", find.pk)
    return _page_of(
        request, find, {"form": form or StepForm(), "refusal": refusal}, status=422 if form else 200
    )


@at_least(Role.LEADER)
@require_POST
def withdraw_step(request: HttpRequest, step_id: int) -> HttpResponse:
    step = get_object_or_404(PreparationStep.objects.select_related("find"), pk=step_id)
    form = WithdrawForm(request.POST)
    refusal: object = None
    if form.is_valid():
        try:
            actions.withdraw(step.pk, words=form.cleaned_data["words"], by=request.user, now=timezone.now())
        except actions.PreparationRefused as error:
            refusal = error
        else:
            messages.success(
                request,
                say("“{step}” is withdrawn; it stays on record, struck out.", step=step.get_kind_display()),
            )
            return redirect("preparation-of-find", step.find_id)
    context = {"form": StepForm(), "refusal": refusal, "withdrawing": step.pk, "withdraw_form": form}
    return _page_of(request, _find(step.find_id), context, status=422)


def _find(find_id: UUID) -> Find:
    finds = Find.objects.for_list().select_related(
        "finder", "foray", "current_determination__taxon", "split_from", "voucher"
    )
    return get_object_or_404(queries.with_readings(finds), pk=find_id)


def _page_of(request: HttpRequest, find: Find, more: Mapping[str, object], *, status: int) -> HttpResponse:
    row = queries.in_hand(find)
    missed = order.asked_before(order.INTO_DRIER, row.state, queries.missed_of(row))
    kinds = [kind for kind in order.next_kinds(row.state) if kind != order.INTO_DRIER]
    context = {
        "find": find,
        "row": row,
        "steps": queries.steps_on_record(find),
        "freely": sees_exact_place(find, request.user),
        "missed": [queries.subject_words(subject) for subject in missed],
        "kinds": [(kind, order.WORDS[kind]) for kind in kinds],
        "may_dry": order.INTO_DRIER in order.next_kinds(row.state),
        "is_split": Find.objects.filter(split_from=find).exists(),
        **more,
    }
    return render(request, "vouchers/preparation/find.html", context, status=status)

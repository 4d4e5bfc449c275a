"""Permits: the list, one permit with what goes under it, and the curators' forms."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import say
from vouchers.permits import actions, queries
from vouchers.permits.forms import EndUseForm, LinkForm, PermitForm
from vouchers.permits.models import Permit, PermitUse
from vouchers.permits.wording import beyond_dates


@at_least(Role.LEADER)
@require_safe
def permits(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    rows = [(permit, permit.covers(today)) for permit in queries.for_list()]
    return render(request, "vouchers/permits/permits.html", {"rows": rows})


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def new_permit(request: HttpRequest) -> HttpResponse:
    form = PermitForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        permit = actions.enter(form.save(commit=False), by=request.user, now=timezone.now())
        messages.success(request, say("The permit is entered. Say below which forays and finds go under it."))
        return redirect("permit", permit.pk)
    context = {"form": form, "permit": None}
    return render(request, "vouchers/permits/permit_form.html", context, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def change_permit(request: HttpRequest, permit_id: int) -> HttpResponse:
    permit = get_object_or_404(Permit, pk=permit_id)
    # The form writes what was typed into its instance also where it is refused; the heading keeps the permit as it is.
    form = PermitForm(
        request.POST if request.method == "POST" else None, instance=Permit.objects.get(pk=permit.pk)
    )
    if request.method == "POST" and form.is_valid():
        actions.change(form.save(commit=False), by=request.user, now=timezone.now())
        messages.success(request, say("The permit is changed; what it said before stays on record."))
        return redirect("permit", permit.pk)
    context = {"form": form, "permit": permit}
    return render(request, "vouchers/permits/permit_form.html", context, status=422 if form.errors else 200)


@at_least(Role.LEADER)
@require_safe
def permit(request: HttpRequest, permit_id: int) -> HttpResponse:
    return _page(request, get_object_or_404(Permit, pk=permit_id))


@at_least(Role.CURATOR)
@require_POST
def link_permit(request: HttpRequest, permit_id: int) -> HttpResponse:
    one = get_object_or_404(Permit, pk=permit_id)
    form = LinkForm(request.POST)
    if form.is_valid():
        foray = form.cleaned_data["foray"]
        try:
            use = actions.link(one.pk, foray=foray, find=form.find, by=request.user, now=timezone.now())
        except actions.PermitRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            day = use.find.found_on if use.find else use.foray.held_on
            beyond = beyond_dates(queries.text_of(one), day)
            messages.success(request, say("{what} goes under this permit.", what=use.find or use.foray))
            if beyond:
                messages.warning(request, say("Mind its dates: {beyond}.", beyond=beyond))
            return redirect("permit", one.pk)
    return _page(request, one, form=form, status=422)


@at_least(Role.CURATOR)
@require_POST
def end_permit_use(request: HttpRequest, use_id: int) -> HttpResponse:
    use = get_object_or_404(PermitUse.objects.select_related("permit"), pk=use_id)
    form = EndUseForm(request.POST)
    refusal = ""
    if form.is_valid():
        try:
            actions.end_use(use.pk, why=form.cleaned_data["why"], by=request.user, now=timezone.now())
        except actions.PermitRefused as error:
            refusal = str(error)
        else:
            messages.success(request, say("The link is ended; it stays on record."))
            return redirect("permit", use.permit_id)
    context = {"ending": use.pk, "end_form": form, "refusal": refusal}
    return _page(request, use.permit, status=422, **context)


def _page(
    request: HttpRequest, one: Permit, *, form: LinkForm | None = None, status: int = 200, **more: object
) -> HttpResponse:
    curates = request.user.at_least(Role.CURATOR)
    text = queries.text_of(one)
    # Which finds were taken where is for curators; a leader reads the permit and the forays under it.
    page = Paginator(queries.finds_under(one), 60).get_page(request.GET.get("page")) if curates else None
    uses = one.uses.select_related("foray", "find", "linked_by", "ended_by")
    shown = [use for use in uses if curates or (use.foray_id and use.ended_at is None)]
    context = {
        "permit": one,
        "dates": queries.dates_of(one),
        "uses": [(use, _beyond(use, text)) for use in shown],
        "page": page,
        "finds": [(find, beyond_dates(text, find.found_on)) for find in page or ()],
        "changes": one.changes.select_related("by") if curates else (),
        "form": form or LinkForm(),
        **more,
    }
    return render(request, "vouchers/permits/permit.html", context, status=status)


def _beyond(use: PermitUse, text: queries.PermitText) -> str:
    if use.ended_at is not None:
        return ""
    if use.foray:
        return beyond_dates(text, use.foray.held_on, of_foray=True)
    return beyond_dates(text, use.find.found_on)

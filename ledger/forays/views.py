"""Forays: the list, one foray with its finds, and the leader's form."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from ledger.finds import access
from ledger.finds.list_page import rows_for
from ledger.forays import actions
from ledger.forays.forms import ForayForm
from ledger.forays.models import Foray
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.search.models import FindIndex
from ledger.words import say

PER_PAGE = 100


@require_safe
def forays(request: HttpRequest) -> HttpResponse:
    page = Paginator(Foray.objects.select_related("leader"), PER_PAGE).get_page(request.GET.get("page"))
    known = FindIndex.objects.filter(
        access.may_see_place_of(request.user), foray__in=[row.pk for row in page]
    )
    counts = dict(known.order_by().values_list("foray").annotate(Count("pk")))
    for row in page:
        row.find_count = counts.get(row.pk, 0)
    return render(request, "forays/forays.html", {"forays": page})


@require_safe
def foray(request: HttpRequest, foray_id: int) -> HttpResponse:
    one = get_object_or_404(Foray.objects.select_related("leader"), pk=foray_id)
    finds = access.with_foray_shown(one.finds.for_list(), request.user)
    rows = rows_for(finds.order_by("collecting_code", "collecting_serial", "collecting_suffix"), request.user)
    context = {"foray": one, "rows": rows, "may_change": _may_change(request, one)}
    return render(request, "forays/foray.html", context)


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def new_foray(request: HttpRequest) -> HttpResponse:
    start = Foray(leader=request.user, held_on=timezone.localdate())
    form = ForayForm(request.POST if request.method == "POST" else None, instance=start)
    if request.method == "POST" and form.is_valid():
        one = actions.keep_foray(form.save(commit=False))
        messages.success(
            request, say("{one} is in the ledger. Members can choose it when they log a find.", one=one.name)
        )
        return redirect("foray", one.pk)
    return render(request, "forays/foray_form.html", {"form": form, "foray": None})


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def change_foray(request: HttpRequest, foray_id: int) -> HttpResponse:
    one = get_object_or_404(Foray, pk=foray_id)
    if not _may_change(request, one):
        raise PermissionDenied
    form = ForayForm(request.POST if request.method == "POST" else None, instance=one)
    if request.method == "POST" and form.is_valid():
        actions.keep_foray(form.save(commit=False))
        messages.success(request, say("{one} is changed.", one=one.name))
        return redirect("foray", one.pk)
    return render(request, "forays/foray_form.html", {"form": form, "foray": one})


def _may_change(request: HttpRequest, one: Foray) -> bool:
    # Leading a foray opens its exact places, so only its leader and curators may say who leads it.
    return bool(request.user.is_curator or one.leader_id == request.user.pk)

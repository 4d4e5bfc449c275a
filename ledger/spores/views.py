"""Spores of a find: the page, its form, and the same for programs."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from ledger.finds import access
from ledger.finds.models import Find
from ledger.phone.payload import PayloadError, parse_object
from ledger.row_keys import uuid_of
from ledger.spores import actions
from ledger.spores.actions import SporesRefused
from ledger.spores.forms import SporesForm, form_of_payload
from ledger.spores.models import SporeSet
from ledger.spores.page import SporesPage, as_json
from ledger.words import say, together


@require_http_methods(["GET", "HEAD", "POST"])
def spores(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    """What was measured, and the form for more; `?amend=` puts one set into the form."""
    find = _find(find_id)
    amended = _amended(request, find)
    if request.method != "POST":
        form = SporesForm(today=timezone.localdate(), stored=amended, measured_by=request.user.full_name)
        return _page(request, find, form, amended)
    if not access.may_amend(find, request.user):
        raise PermissionDenied
    form = SporesForm(request.POST, today=timezone.localdate())
    if not form.is_valid():
        return _page(request, find, form, amended)
    try:
        row = actions.keep_spores(
            find.pk,
            form.entry,
            by=request.user,
            set_id=uuid_of(request.POST.get("set")),
            replaces=uuid_of(request.POST.get("amend")),
        )
    except SporesRefused as refusal:
        form.add_error(None, str(refusal))
        return _page(request, find, form, amended)
    told = [say("{n} spores are kept.", n=len(row.pairs))]
    if form.left_out:
        told.append(say("Left out: {what}.", what=", ".join(form.left_out)))
    messages.success(request, together(told))
    return redirect("spores", find.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def spores_json(request: HttpRequest, find_id: uuid.UUID) -> JsonResponse:
    """The same for programs: GET gives what is kept; POST keeps a set, with `amends` in place of another."""
    find = _find(find_id)
    if request.method != "POST":
        return _json(as_json(SporesPage(find, request.user)))
    if not access.may_amend(find, request.user):
        raise PermissionDenied
    try:
        body = parse_object(request.body)
    except PayloadError:
        return _no([say("The message is no JSON object. Nothing was kept.")])
    form = form_of_payload(body, today=timezone.localdate())
    if not form.is_valid():
        return _no([str(sentence) for told in form.errors.values() for sentence in told])
    try:
        actions.keep_spores(
            find.pk,
            form.entry,
            by=request.user,
            set_id=uuid_of(body.get("id")),
            replaces=uuid_of(body.get("amends")),
        )
    except SporesRefused as refusal:
        return _no([str(refusal)])
    return _json(as_json(SporesPage(find, request.user)), status=201)


@require_POST
def withdraw(request: HttpRequest, set_id: uuid.UUID) -> HttpResponse:
    row = _set(request, set_id)
    try:
        actions.withdraw_spores(set_id, by=request.user)
    except SporesRefused as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(request, say("Withdrawn, with the readings made of them. They stay on record."))
    return redirect("spores", row.find_id)


@require_POST
def use(request: HttpRequest, set_id: uuid.UUID) -> HttpResponse:
    row = _set(request, set_id)
    try:
        actions.use_spores(set_id, by=request.user)
    except SporesRefused as refusal:
        messages.warning(request, str(refusal))
    else:
        messages.success(
            request,
            say("They are the readings of spore length and width now. Those before stay on record."),
        )
    return redirect("spores", row.find_id)


def _find(find_id: uuid.UUID) -> Find:
    return get_object_or_404(
        Find.objects.select_related("finder", "logged_by", "foray__leader", "current_determination__taxon"),
        pk=find_id,
    )


def _set(request: HttpRequest, set_id: uuid.UUID) -> SporeSet:
    row = get_object_or_404(SporeSet.objects.select_related("find"), pk=set_id)
    if not access.may_amend(row.find, request.user):
        raise PermissionDenied
    return row


def _amended(request: HttpRequest, find: Find) -> SporeSet | None:
    """The set that is being amended; one that has ended meanwhile is none."""
    asked = uuid_of(request.POST.get("amend") or request.GET.get("amend"))
    return find.spore_sets.filter(pk=asked, ended_at__isnull=True).first() if asked else None


def _page(request: HttpRequest, find: Find, form: SporesForm, amended: SporeSet | None) -> HttpResponse:
    context = {
        "page": SporesPage(find, request.user),
        "find": find,
        "form": form,
        "amended": amended,
        # The set's identity is made with its form, so that a double tap keeps it once.
        "set_id": uuid_of(request.POST.get("set")) or uuid.uuid4(),
    }
    return render(request, "spores/spores.html", context, status=422 if form.is_bound else 200)


def _json(data: dict[str, Any], status: int = 200) -> JsonResponse:
    answer = JsonResponse(data, status=status, json_dumps_params={"ensure_ascii": False})
    answer["Cache-Control"] = "private, no-store"
    return answer


def _no(sentences: list[str]) -> JsonResponse:
    return _json(
        {
            "wrong": sentences,
            "kept": say("Nothing was changed."),
            "do": say("Mend it and send it again."),
        },
        status=422,
    )

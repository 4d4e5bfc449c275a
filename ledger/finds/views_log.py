"""The log form: a new find, a find amended, and the fragments that answer while the form is filled in."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.finds import access, actions, naming
from ledger.finds.log_page import LogPage
from ledger.finds.models import Find, Status
from ledger.finds.place_words import place_words
from ledger.places.errors import PlaceError
from ledger.places.parse import parse_position


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_find(request: HttpRequest) -> HttpResponse:
    """Log a new find. A form that cannot be stored comes back with everything that was typed and sent."""
    if request.method != "POST":
        return _shown(request, LogPage.blank(request.user))
    page = LogPage.filled(request.user, request.POST, request.FILES)
    if not page.wants_keeping or not page.is_valid():
        return _shown(request, page)
    try:
        find = actions.log_find(page.entry, by=request.user, find_id=page.find_id)
    except actions.FindRefused as refusal:
        page.add_trouble(str(refusal))
        return _shown(request, page)
    messages.success(request, _kept(find))
    return redirect("find-page", find_id=find.pk)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def amend_find(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    """The same form over a stored find. What somebody else changed meanwhile is shown, not overwritten."""
    find = get_object_or_404(Find.objects.for_form(), pk=find_id)
    if not access.may_amend(find, request.user):
        raise PermissionDenied
    if request.method != "POST":
        return _shown(request, LogPage.of(request.user, find))
    page = LogPage.filled(request.user, request.POST, request.FILES, find=find)
    if not page.wants_keeping or not page.is_valid():
        return _shown(request, page)
    try:
        actions.amend_find(
            find.pk, page.entry, by=request.user, version=page.version, opened_at=page.opened_at
        )
    except actions.FindChanged as changed:
        return _shown(request, page.beside(changed))
    messages.success(
        request, f"{find.collecting_number} is amended. What stood there before is in its history."
    )
    return redirect("find-page", find_id=find.pk)


@require_POST
def check_find(request: HttpRequest) -> HttpResponse:
    """The check of a half-filled form, as a fragment. Nothing is stored."""
    page = LogPage.filled(request.user, request.POST)
    return render(request, "finds/_check.html", page.context)


@require_GET
def match_name(request: HttpRequest) -> HttpResponse:
    """How a typed name is understood: known, a synonym, close to a known one, or new to the ledger."""
    named = naming.read(request.GET.get("name", "")[:200])
    return render(request, "finds/_name_note.html", {"named": named})


@require_GET
def read_place(request: HttpRequest) -> HttpResponse:
    """How a typed place is understood, or why it is not."""
    text = request.GET.get("place", "").strip()[:200]
    context: dict[str, Any] = {"typed": text}
    try:
        place = parse_position(text) if text else None
    except PlaceError as problem:
        context["problem"] = problem
    else:
        context |= place_words(place)
    return render(request, "finds/_place_note.html", context)


def _shown(request: HttpRequest, page: LogPage) -> HttpResponse:
    return render(request, "finds/log.html", page.context, status=422 if page.troubles else 200)


def _kept(find: Find) -> str:
    """What the finder is told after saving."""
    if find.status == Status.HELD:
        many = "1 flag stands" if find.open_flags == 1 else f"{find.open_flags} flags stand"
        return f"{find.collecting_number} is in the ledger and held for the curator: {many} beside it."
    return f"{find.collecting_number} is in the ledger. Write this number on the packet."

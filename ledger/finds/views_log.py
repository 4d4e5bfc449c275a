"""The log form: a new find, a find amended, and the fragments that answer while the form is filled in."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.finds import access, actions, naming
from ledger.finds.counted import counted
from ledger.finds.from_slip import slip_of
from ledger.finds.log_page import LogPage
from ledger.finds.models import FIRST_VERSION, Find, Status
from ledger.finds.place_words import place_words
from ledger.places.errors import PlaceError
from ledger.places.parse import parse_position
from ledger.words import say


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_find(request: HttpRequest) -> HttpResponse:
    """Log a new find. A form that cannot be stored comes back with everything that was typed and sent."""
    if request.method != "POST":
        draft_id = _draft_id(request)
        if draft_id and Find.objects.filter(pk=draft_id).exists():
            # It was kept, and only the answer was lost. What was typed since goes on in the find itself.
            return redirect("amend-find", find_id=draft_id)
        slip = slip_of(request.GET.get("slip", ""), request.user)
        return _shown(request, LogPage.blank(request.user, draft_id, slip=slip))
    page = LogPage.filled(request.user, request.POST, request.FILES)
    page.slip = slip_of(request.POST.get("slip", ""), request.user)
    if not page.wants_keeping or not page.is_valid():
        return _shown(request, page)
    now = timezone.now()
    try:
        finder = page.slip.finder if page.slip else None
        find = actions.log_find(page.entry, by=request.user, find_id=page.find_id, finder=finder, now=now)
        if find.logged_at != now and access.may_amend(find, request.user):
            # Sent before, and the answer was lost: what was typed after that is an amendment of what is stored.
            actions.amend_find(
                find.pk, page.entry, by=request.user, version=FIRST_VERSION, opened_at=find.logged_at
            )
    except actions.FindChanged as changed:
        return _shown(request, page.beside(changed))
    except actions.FindRefused as refusal:
        page.add_trouble(str(refusal))
        return _shown(request, page)
    messages.success(request, _kept(find))
    return _on_to(request, find)


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
    except actions.FindRefused as refusal:
        page.add_trouble(str(refusal))
        return _shown(request, page)
    messages.success(
        request,
        say("{number} is amended. What stood there before is in its history.", number=find.collecting_number),
    )
    return _on_to(request, find)


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


def _draft_id(request: HttpRequest) -> uuid.UUID | None:
    """The identity of an unfinished form that is opened again."""
    try:
        return uuid.UUID(request.GET.get("draft", ""))
    except ValueError:
        return None


def _on_to(request: HttpRequest, find: Find) -> HttpResponse:
    """To the find's page. A script gets the address instead: following it would use up the message before it is seen."""
    if request.headers.get("X-Requested-With") == "fetch":
        return JsonResponse({"to": reverse("find-page", args=[find.pk])}, status=201)
    return redirect("find-page", find_id=find.pk)


def _kept(find: Find) -> SafeString:
    """What the finder is told after keeping: the number to write down, and what a curator will look at."""
    number = format_html('<span class="number kept__number">{}</span>', find.collecting_number)
    said = (
        format_html(str(say("Kept. Write {number} on the packet.")), number=number)
        if find.kept
        else format_html(str(say("Kept as {number}. No packet: nothing was taken.")), number=number)
    )
    weighty = [flag.severity for flag in find.flags.all() if flag.is_open and flag.severity != "note"]
    if find.status != Status.HELD or not weighty:
        return format_html("<p><b>{}</b></p>", said)
    counts = [(word, weighty.count(word)) for word in ("stop", "doubt")]
    many = f" {say('and')} ".join(counted(word, count) for word, count in counts if count)
    return format_html(
        "<div><p><b>{}</b></p><p>{}</p></div>",
        said,
        say("A curator will look at it: {flags} below.", flags=many),
    )

"""Choose what is to be handed on, see how far it has come, and take it away; and who agreed to be named in it."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.club.queries import the_club
from ledger.handing_on import actions, queries
from ledger.handing_on.choices import ENDINGS, TYPES, Choices
from ledger.handing_on.forms import AgreedForm, ChoicesForm
from ledger.handing_on.models import AgreedName, Handing
from ledger.handing_on.shown import shown, state_of
from ledger.handing_on.streams import told_of
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import say


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def handing_on(request: HttpRequest) -> HttpResponse:
    form = ChoicesForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        return redirect("handing", actions.ask(form.choices(), by=request.user, now=timezone.now()).pk)
    rows = [shown(handing) for handing in queries.newest()]
    club = the_club()
    values = {
        "form": form,
        "rows": rows,
        "licence": club.licence,
        "told": told_of(club, Choices(kind="archive")),
    }
    return render(request, "handing_on/handing_on.html", values, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_GET
def handing(request: HttpRequest, handing_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(Handing.objects.select_related("asked_by"), pk=handing_id)
    return render(request, "handing_on/handing.html", {"shown": shown(row)})


@at_least(Role.CURATOR)
@require_GET
def handing_state(request: HttpRequest, handing_id: uuid.UUID) -> JsonResponse:
    return JsonResponse(state_of(get_object_or_404(Handing, pk=handing_id)))


@at_least(Role.CURATOR)
@require_GET
def handing_file(request: HttpRequest, handing_id: uuid.UUID) -> StreamingHttpResponse:
    """The file, made while it is sent."""
    row = get_object_or_404(Handing, pk=handing_id)
    now = timezone.now()
    answer = StreamingHttpResponse(actions.handed_on(row, now=now), content_type=TYPES[row.kind])
    name = f"finds-{row.kind}-{timezone.localdate(now).isoformat()}.{ENDINGS[row.kind]}"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    # Packed already, or packed by whoever stands in front: a stream must go out as it comes.
    answer["X-Accel-Buffering"] = "no"
    return answer


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def agreed_names(request: HttpRequest) -> HttpResponse:
    form = AgreedForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["name"]
        new = actions.note_agreed([name], by=request.user, now=timezone.now())
        messages.success(
            request,
            say("It is noted that {name} agreed.", name=name)
            if new
            else say("{name} had agreed before; nothing was changed.", name=name),
        )
        return redirect("agreed-names")
    named, coded = queries.members_by_word()
    values = {
        "form": form,
        "rows": queries.agreed(),
        "open": queries.not_asked(),
        "named": named,
        "coded": coded,
    }
    return render(request, "handing_on/agreed.html", values, status=422 if form.errors else 200)


@at_least(Role.CURATOR)
@require_POST
def end_agreed_name(request: HttpRequest, key: int) -> HttpResponse:
    row = get_object_or_404(AgreedName, pk=key)
    actions.end_agreed(row.pk, now=timezone.now())
    messages.success(request, say("{name} is named no longer in what is made from now on.", name=row.name))
    return redirect("agreed-names")

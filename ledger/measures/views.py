"""Measuring on a photo: the page, what its script asks, and what is kept."""

import uuid
from contextlib import suppress
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.club.queries import the_club
from ledger.finds import access
from ledger.finds.models import Photo
from ledger.languages import page_language
from ledger.measures import actions, printed, rulers
from ledger.measures.asked import Asked, read_asked
from ledger.measures.forms import LineForm
from ledger.measures.models import Measurement
from ledger.measures.page import PORES, MeasurePage
from ledger.measures.queries import current_scale, printed_line
from ledger.measures.row_words import measured_text
from ledger.measures.taking import CannotMeasure, take
from ledger.measuring.card import KINDS
from ledger.paper.scale_card import print_cards
from ledger.paper.text import PaperError
from ledger.phone.payload import PayloadError, parse_object
from ledger.words import later, say

_NOT_YOURS = later(
    "The scale of this photo is for its finder and the curators to change, since what others measure rests on it. "
    "Nothing was changed; ask one of them."
)


@require_safe
def measure_photo(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    return _measure_page(request, _photo(request, photo_id))


def _measure_page(
    request: HttpRequest, photo: Photo, *, form: LineForm | None = None, chosen: set[str] | None = None
) -> HttpResponse:
    """`form`: that of the card's line, where what was typed could not be taken. `chosen`: the counts to put together."""
    page = MeasurePage(photo, request.user, request.GET.get("what", ""), chosen)
    context = {"page": page, "photo": photo, "find": photo.find, "line_form": form or page.line_form}
    return render(request, "measures/photo.html", context, status=422 if form else 200)


@require_POST
def measure_try(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """What would come out; nothing is kept."""
    photo = _photo(request, photo_id)
    try:
        asked = _asked(request, photo)
        if asked.way == "ruler":
            return JsonResponse(_ruler_told(photo, asked))
        scale = current_scale(photo)
        if scale is None:
            raise CannotMeasure(
                say("This photo has no scale yet. Choose “Scale from a ruler” and point out a ruler in it.")
            )
        taken = take(photo, scale, asked.way, asked.points, above_mm=asked.above_mm)
    except CannotMeasure as why:
        return JsonResponse({"sentence": str(why)}, status=422)
    return JsonResponse(
        {
            "text": taken.text,
            "sentence": taken.sentence,
            "centres": [[round(x, 1), round(y, 1)] for x, y in taken.centres] or None,
            "spacing_px": taken.spacing_px,
        }
    )


@require_POST
def measure_keep(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    photo = _photo(request, photo_id)
    to = reverse("measure-photo", args=[photo.pk])
    try:
        asked = _asked(request, photo)
        if asked.way == "ruler":
            if not access.may_amend(photo.find, request.user):
                return JsonResponse({"sentence": str(_NOT_YOURS)}, status=403)
            rulers.name_ruler(photo, asked.points, asked.ruler_mm, by=request.user, is_sure=asked.is_sure)
            messages.success(
                request, say("The scale goes by the ruler now. What was measured before keeps its value.")
            )
            return JsonResponse({"to": to})
        kept = actions.keep_measurement(
            photo,
            way=asked.way,
            points=asked.points,
            trait=asked.trait,
            above_mm=asked.above_mm,
            note=asked.note,
            by=request.user,
        )
    except CannotMeasure as why:
        return JsonResponse({"sentence": str(why)}, status=422)
    return JsonResponse(
        {"page": f"{to}?what={asked.way}:{asked.trait}", "trait": asked.trait, "kept": measured_text(kept)}
    )


def _ruler_told(photo: Photo, asked: Asked) -> dict[str, Any]:
    """The ruler as it would be taken, held against the card. `ask`: it differs, and is taken by whoever says so."""
    view = rulers.ruler_view(photo, asked.points, asked.ruler_mm)
    against = rulers.held_against_card(photo, view)
    told: dict[str, Any] = {
        "text": say("{mm} mm on the ruler", mm=f"{asked.ruler_mm:g}"),
        "keep": say("Take this as the scale"),
    }
    if against is None:
        return told
    if not against.differs:
        return told | {"sentence": against.sentence}
    return told | {"sentence": against.sentence, "ask": True, "keep": say("Go by the ruler all the same")}


@require_POST
def measure_card(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """The card is the scale again, where a ruler served instead."""
    photo = _photo(request, photo_id)
    if not access.may_amend(photo.find, request.user):
        raise PermissionDenied
    try:
        rulers.go_by_card(photo, by=request.user)
    except CannotMeasure as why:
        messages.warning(request, str(why))
    else:
        messages.success(request, say("The scale goes by the card again. The ruler stays on record."))
    return redirect("measure-photo", photo.pk)


@require_POST
def measure_line(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """What the 50 mm line of the card on this photo measured on paper, or that it was of its size after all."""
    photo = _photo(request, photo_id)
    if not access.may_amend(photo.find, request.user):
        raise PermissionDenied
    form = LineForm(request.POST)
    try:
        if request.POST.get("do") == "back":
            printed.uncorrect_scale(photo, by=request.user)
            messages.success(
                request,
                say("Taken back: the card counts as printed at its size. Earlier scales stay on record."),
            )
        elif form.is_valid():
            printed.correct_scale(photo, **form.cleaned_data, by=request.user)
            line_mm = f"{form.cleaned_data['line_mm']:g}"
            messages.success(request, say("The scale goes by a line of {mm} mm now.", mm=line_mm))
        else:
            return _measure_page(request, photo, form=form)
    except CannotMeasure as why:
        messages.warning(request, str(why))
    return redirect("measure-photo", photo.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def own_line(request: HttpRequest, kind: str) -> HttpResponse:
    """What the 50 mm line of a member's own cards measured: for the photos that they send from now on."""
    if kind not in KINDS:
        raise Http404
    told = printed_line(request.user, kind)
    form = LineForm(request.POST or None, line_mm=told.line_mm if told else None)
    if request.method == "POST" and request.POST.get("do") == "back":
        printed.take_line_back(request.user, kind)
        messages.success(
            request,
            say("Taken back. Photos that you send from now on count the card as printed at its size."),
        )
        return redirect("own-line", kind)
    if request.method == "POST" and form.is_valid():
        printed.tell_line(request.user, kind, **form.cleaned_data)
        messages.success(
            request,
            say(
                "Photos that you send from now on go by a line of {mm} mm.",
                mm=f"{form.cleaned_data['line_mm']:g}",
            ),
        )
        return redirect("own-line", kind)
    context = {"form": form, "card": KINDS[kind], "told": told}
    return render(request, "measures/own_line.html", context, status=422 if request.method == "POST" else 200)


@require_POST
def measure_reading(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    photo = _photo(request, photo_id)
    if not access.may_amend(photo.find, request.user):
        raise PermissionDenied
    try:
        had_one = _has_reading(photo, trait := request.POST.get("trait", ""))
        actions.make_reading(photo.find_id, trait, by=request.user)
    except CannotMeasure as why:
        messages.warning(request, str(why))
    else:
        messages.success(request, _is_reading_now(photo, had_one))
    return _to_the_top(photo)


@require_POST
def measure_together(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """Several counts of pores as one: shown, or made the reading."""
    photo = _photo(request, photo_id)
    if not access.may_amend(photo.find, request.user):
        raise PermissionDenied
    chosen = _identities(request.POST.getlist("count"))
    if request.POST.get("do") != "keep":
        return _measure_page(request, photo, chosen={str(one) for one in chosen})
    try:
        had_one = _has_reading(photo, PORES)
        actions.make_reading(photo.find_id, PORES, by=request.user, chosen=chosen)
    except CannotMeasure as why:
        messages.warning(request, str(why))
    else:
        messages.success(request, _is_reading_now(photo, had_one))
    return _to_the_top(photo)


def _has_reading(photo: Photo, trait: str) -> bool:
    return photo.find.readings.filter(trait=trait, ended_at__isnull=True).exists()


def _is_reading_now(photo: Photo, had_one: bool) -> str:
    number = photo.find.collecting_number
    if had_one:
        return say("It is the reading of {number} now. The one before stays on record.", number=number)
    return say("It is the reading of {number} now.", number=number)


def _to_the_top(photo: Photo) -> HttpResponse:
    """Where messages stand: a browser that came by a form's #fragment would else keep it, and show neither."""
    return redirect(f"{reverse('measure-photo', args=[photo.pk])}#main")


def _identities(sent: list[str]) -> list[uuid.UUID]:
    """Those that are identities; what is none chooses nothing."""
    known = []
    for text in sent[: actions.MOST_OF_ONE_PHOTO]:
        with suppress(ValueError):
            known.append(uuid.UUID(text))
    return known


@require_POST
def withdraw(request: HttpRequest, measurement_id: uuid.UUID) -> HttpResponse:
    row = get_object_or_404(Measurement, pk=measurement_id, taken_by=request.user)
    try:
        actions.withdraw(measurement_id, by=request.user)
    except CannotMeasure as why:
        messages.warning(request, str(why))
    return redirect("measure-photo", row.photo_id)


@require_safe
def scale_card(request: HttpRequest, kind: str, paper: str) -> HttpResponse:
    """A sheet of scale cards as a PDF, to be printed at its own size."""
    try:
        printed = print_cards(
            kind,
            paper,
            institution=the_club().name,
            made_at=timezone.localtime(),
            language=page_language(),
        )
    except PaperError as trouble:
        messages.warning(request, str(trouble))
        return redirect("data-slips")
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="scale-card-{kind}-{paper}.pdf"'
    return answer


def _photo(request: HttpRequest, photo_id: uuid.UUID) -> Photo:
    photo = get_object_or_404(
        Photo.objects.select_related("find__foray", "find__finder", "find__current_determination__taxon"),
        pk=photo_id,
    )
    if not actions.may_measure(photo, request.user):
        raise Http404
    return photo


def _asked(request: HttpRequest, photo: Photo) -> Asked:
    try:
        body = parse_object(request.body)
    except (PayloadError, RequestDataTooBig):
        raise CannotMeasure(
            say("The points did not arrive whole. They stay on the page; try again.")
        ) from None
    return read_asked(body, photo)

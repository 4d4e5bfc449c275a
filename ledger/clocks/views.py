"""A photo of a clock: read it, and shift the photos of that outing."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from ledger.clocks import actions
from ledger.clocks.forms import ClockForm
from ledger.finds import access
from ledger.finds.models import Photo
from ledger.photos.clock import ClockRefused, said
from ledger.words import say_n


@require_http_methods(["GET", "HEAD", "POST"])
def clock_photo(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    photo = get_object_or_404(
        Photo.objects.select_related("find__foray", "find__current_determination__taxon"),
        pk=photo_id,
        find__isnull=False,
    )
    if not access.may_amend(photo.find, request.user) or photo.taken_at is None:
        raise Http404
    photos = actions.same_set(photo, request.user)
    form = ClockForm(
        request.POST if request.method == "POST" else None,
        photos=photos,
        initial={"shown_on": photo.taken_at.date(), "shown_at": photo.taken_at.time()},
    )
    if form.is_bound and form.is_valid():
        try:
            shift, many = actions.set_clock(
                photo, form.shown, [one.pk for one in form.cleaned_data["photos"]], by=request.user
            )
        except ClockRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(
                request,
                say_n(
                    "The camera's clock was {off}. {n} photo is set right.",
                    "The camera's clock was {off}. {n} photos are set right.",
                    many,
                    off=said(shift),
                ),
            )
            return redirect("find-page", photo.find_id)
    picked = set(form.data.getlist("photos")) if form.is_bound else None
    rows = [(one, picked is None or str(one.pk) in picked) for one in photos]
    return render(
        request,
        "clocks/photo.html",
        {"form": form, "photo": photo, "find": photo.find, "rows": rows},
        status=422 if form.errors else 200,
    )

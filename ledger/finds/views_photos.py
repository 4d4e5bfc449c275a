"""Photos of a find, shown as copies without metadata. They come in with the form, or from a phone's outbox."""

import uuid

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from ledger.finds import access
from ledger.finds.models import Photo
from ledger.photo_copies import copy_of
from ledger.photos.errors import PhotoRefused

# Long sides in pixels of the copies that pages ask for by name.
SIZES = {"thumb": 480, "screen": 1600, "full": 4096}
_ORIGINAL_TYPES = {"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp", "heic": "image/heic"}


@require_GET
def photo_file(request: HttpRequest, photo_id: uuid.UUID, size: str) -> HttpResponse | FileResponse:
    """A copy for the screen, or the original for those who may know the place it holds."""
    photo = get_object_or_404(
        Photo.objects.select_related("find__foray", "find__current_determination__taxon"), pk=photo_id
    )
    if size == "original":
        if not access.may_see_original(photo, request.user):
            raise Http404
        response = FileResponse(photo.original.open(), content_type=_ORIGINAL_TYPES[photo.format])
        response["Content-Disposition"] = f'attachment; filename="{photo.pk}.{photo.format}"'
    elif size in SIZES and access.may_see_photo(photo, request.user):
        try:
            copy = copy_of(photo.original, photo.sha256, SIZES[size])
        except PhotoRefused as problem:
            raise Http404 from problem  # admitted, but no copy can be made of it; the original is kept
        response = FileResponse(copy.open("rb"), content_type="image/jpeg")
    else:
        raise Http404
    # One member's right to see it is not another's: no shared cache may keep it.
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response

"""Photos of a find: sent ahead while the form is open, and shown as copies without metadata."""

import uuid
from pathlib import Path

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET, require_POST

from ledger.finds import access, actions, photo_actions
from ledger.finds.models import Find, Photo
from ledger.photos import derivatives
from ledger.photos.errors import PhotoRefused

# Long sides in pixels of the copies that pages ask for by name.
SIZES = {"thumb": 480, "screen": 1600}
_ORIGINAL_TYPES = {"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp", "heic": "image/heic"}


@require_POST
def photo_add(request: HttpRequest) -> HttpResponse:
    """Keep photos under the UUID of the form they belong to; answers with the list of those that wait there."""
    try:
        draft_id = uuid.UUID(request.POST.get("find_id", ""))
    except ValueError:
        return _list(
            request, None, ["The form's identity is missing. Reload the page; what was sent before is kept."]
        )
    find = Find.objects.for_form().filter(pk=draft_id).first()
    if find is not None and not access.may_amend(find, request.user):
        raise PermissionDenied
    refused = []
    uploads = [upload for field in request.FILES for upload in request.FILES.getlist(field)]
    for upload in uploads:
        try:
            photo_actions.add_photo(
                upload, draft_id=draft_id, by=request.user, view=request.POST.get("view", "")
            )
        except PhotoRefused as refusal:
            refused.append(str(refusal))
    if not uploads:
        refused.append("No photo arrived. Those sent before are kept; choose the photo again.")
    return _list(request, find, list(dict.fromkeys(refused)), draft_id)


@require_POST
def photo_view(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """Say what a waiting photo shows."""
    photo = _own_waiting(request, photo_id)
    view = request.POST.get("view", "")
    if view not in ("", *photo_actions.VIEWS):
        return HttpResponse(
            "There is no such view. The photo was kept as it was; choose one of the list.", status=422
        )
    photo_actions.say_view(photo, view)
    return HttpResponse(status=204)


@require_POST
def photo_remove(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """Take back a photo that no find has yet. A find's own photos are never removed."""
    photo = _own_waiting(request, photo_id)
    draft_id = photo.draft_id
    photo_actions.remove_waiting(photo)
    find = Find.objects.for_form().filter(pk=draft_id).first()
    return _list(request, find, [], draft_id)


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
            copy = _copy(photo, SIZES[size])
        except PhotoRefused as problem:
            raise Http404 from problem  # admitted, but no copy can be made of it; the original is kept
        response = FileResponse(copy.open("rb"), content_type="image/jpeg")
    else:
        raise Http404
    # One member's right to see it is not another's: no shared cache may keep it.
    response["Cache-Control"] = "private, max-age=604800, immutable"
    return response


def _copy(photo: Photo, long_side: int) -> Path:
    """The copy on disk, made when first asked for. Named by the original's digest, so it can never be stale."""
    path = Path(settings.VAR) / "derived" / photo.sha256[:2] / f"{photo.sha256}-{long_side}.jpeg"
    if not path.exists():
        with photo.original.open() as file:
            made = derivatives.make(file.read(), long_side)
        path.parent.mkdir(parents=True, exist_ok=True)
        # Written beside and moved: another process never reads half a picture.
        half = path.with_name(f"{path.name}.{uuid.uuid4().hex}")
        half.write_bytes(made)
        half.replace(path)
    return path


def _own_waiting(request: HttpRequest, photo_id: uuid.UUID) -> Photo:
    return get_object_or_404(Photo, pk=photo_id, find__isnull=True, uploaded_by=request.user)


def _list(
    request: HttpRequest, find: Find | None, refused: list[str], draft_id: uuid.UUID | None = None
) -> HttpResponse:
    photos = list(find.photos.all()) if find else []
    photos += actions.waiting_photos(draft_id, request.user) if draft_id else []
    context = {"photos": photos, "refused": refused, "views": photo_actions.VIEWS, "find": find}
    return render(request, "finds/_photos.html", context, status=422 if refused else 200)

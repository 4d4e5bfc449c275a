"""What is done to every request and answer: odd and overlong bodies are turned away, texts go out compressed, and
nothing that a member was shown stays behind in the browser."""

from collections.abc import Callable
from contextlib import suppress

from django.conf import settings
from django.http import HttpRequest, HttpResponse, UnreadablePostError
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.shortcuts import render

# What is read of a body that nobody looked at, so that its sender, who reads no answer before all is sent, gets one.
_READ_OUT_BYTES = 32_000_000
_FORM = "application/x-www-form-urlencoded"


class Doorkeeper:
    """Answer 400 or 413 where a request could only end in an error further in.

    A form in another encoding than UTF-8 is none that this ledger's pages send, and some codecs Python knows are no
    text encodings at all. NUL cannot be stored by PostgreSQL, nor typed by a person. A body larger than a full set of
    photos would fill the disk while it is being read, and text is never as large as photos. Stands within whatever sets
    headers, so that its answers have them.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self._answered(request)
        _read_out(request)
        return answer

    def _answered(self, request: HttpRequest) -> HttpResponse:
        # Django takes no other spelling in a form, and ours send none.
        charset = (request.content_params or {}).get("charset", "utf-8")
        if charset.lower() != "utf-8" or "%00" in request.META.get("QUERY_STRING", ""):
            return render(request, "400.html", status=400)
        length = _length(request)
        most = settings.BODY_LIMIT_MB * 1_000_000
        if request.content_type == _FORM:
            most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if length is None or length > most:
            return render(request, "413.html", status=413)
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """A body that broke off, or came too slowly to be waited for (serving.py)."""
        return render(request, "400.html", status=408) if isinstance(exception, UnreadablePostError) else None


def _length(request: HttpRequest) -> int | None:
    """The bytes that a body is said to have; None where that is no number. What is beyond measure stays so."""
    text = request.META.get("CONTENT_LENGTH") or "0"
    return int(text[:15]) if text.isascii() and text.isdecimal() else None


def _read_out(request: HttpRequest) -> None:
    length = _length(request)
    if length is None or length > _READ_OUT_BYTES:
        return
    read = 0
    with suppress(OSError, ValueError):
        while read < _READ_OUT_BYTES and (some := request.read(65_536)):
            read += len(some)


class NothingStaysBehind:
    """What a signed-in member is shown is not kept by the browser: after signing out its back button shows none of it.

    An answer that says of itself how long it may be kept goes out as it is: photos, and the public pages that a phone
    keeps, which say nothing personal.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if not answer.has_header("Cache-Control") and request.user.is_authenticated:
            answer["Cache-Control"] = "private, no-store"
        return answer


class WhatPagesMayUse:
    """Say which of a phone's senses the pages use: the camera to read codes and take photos, the place. Nothing else, and
    nobody else's page inside ours."""

    _POLICY = "camera=(self), geolocation=(self), microphone=(), payment=(), usb=(), serial=(), bluetooth=()"

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        answer["Permissions-Policy"] = self._POLICY
        return answer


class Compressor(GZipMiddleware):
    """Compress pages, fragments and JSON; leave photos and PDFs, which are compressed already.

    A page that holds a secret and repeats what was sent to it can be guessed at by its compressed length (BREACH).
    Django masks the mark against forgery anew in each page, and its compressor pads each answer by a random length.
    """

    _TEXTS = ("text/", "application/json", "application/manifest+json", "image/svg+xml")

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if response.streaming or not response.get("Content-Type", "").startswith(self._TEXTS):
            return response
        return super().process_response(request, response)

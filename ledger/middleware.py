"""What is turned away before any room sees it: bodies in odd encodings, bodies beyond measure, texts with NUL."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

_READ = ("utf-8", "utf8", "us-ascii", "ascii")


class Doorkeeper:
    """Answer 400 or 413 where a request could only end in an error further in.

    A form in another encoding than UTF-8 is none that this ledger's pages send, and some codecs Python knows are no
    text encodings at all. NUL cannot be stored by PostgreSQL, nor typed by a person. A body larger than a full set of
    photos would fill the disk while it is being read.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        charset = (request.content_params or {}).get("charset", "utf-8").strip("\"' ").lower()
        if charset not in _READ or "%00" in request.META.get("QUERY_STRING", ""):
            return render(request, "400.html", status=400)
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdecimal() or int(length[:15]) > settings.BODY_LIMIT_MB * 1_000_000:
            return render(request, "413.html", status=413)
        return self.get_response(request)

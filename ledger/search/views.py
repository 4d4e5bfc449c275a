"""The list of finds with its one box, and the same as a file."""

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from ledger.search.export import csv_lines
from ledger.search.list_page import ListPage
from ledger.words import each_in_english


@require_safe
def finds(request: HttpRequest) -> HttpResponse:
    """The ledger: all finds of the club, the latest first, or those that were asked for."""
    return render(request, "finds/list.html", {"listed": ListPage(request.user, request.GET, timezone.now())})


@require_safe
def finds_csv(request: HttpRequest) -> StreamingHttpResponse:
    """The finds that were asked for as a table, places coarsened as in whatever leaves the club."""
    now = timezone.now()
    listed = ListPage(request.user, request.GET, now)
    response = StreamingHttpResponse(
        each_in_english(csv_lines(listed.each())), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="finds-{now:%Y-%m-%d}.csv"'
    response["Cache-Control"] = "private, no-store"
    return response

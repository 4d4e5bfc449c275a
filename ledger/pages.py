"""The pages that belong to no room: the front page and what stands where something went wrong."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


@login_not_required
def front(request: HttpRequest) -> HttpResponse:
    """The only public page: what this is, the caution, and the way in."""
    return render(request, "front.html")


@login_not_required
def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "csrf.html", status=403)

"""The keeper's page of club settings."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ledger.backup.queries import state
from ledger.club import actions
from ledger.club.forms import ClubForm
from ledger.club.queries import the_club
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import say


@at_least(Role.KEEPER)
@require_http_methods(["GET", "HEAD", "POST"])
def club(request: HttpRequest) -> HttpResponse:
    form = ClubForm(request.POST if request.method == "POST" else None, instance=the_club())
    if request.method == "POST" and form.is_valid():
        actions.keep_settings(form.save(commit=False))
        messages.success(
            request, say("The club's settings are kept. Labels and flags follow them from now on.")
        )
        return redirect("club")
    return render(request, "club/club.html", {"form": form, "state": state(timezone.now())})

"""The keeper's page of backups: how they stand, and how one is made, rehearsed and restored."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from ledger.backup.queries import state
from ledger.people.models import Role
from ledger.roles import at_least


@at_least(Role.KEEPER)
@require_safe
def backups(request: HttpRequest) -> HttpResponse:
    return render(request, "backup/backups.html", {"state": state(timezone.now())})

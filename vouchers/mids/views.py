"""The curators' list of vouchers that are nearly at the next level of MIDS."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from vouchers.mids import queries
from vouchers.mids.hints import hint_of
from vouchers.mids.levels import ELEMENTS


@at_least(Role.CURATOR)
@require_safe
def nearly_there(request: HttpRequest) -> HttpResponse:
    chosen = next((one for one in ELEMENTS if one.code == request.GET.get("lacking")), None)
    found = queries.overview(chosen.code if chosen else "")
    page = Paginator(found.nearly, 60).get_page(request.GET.get("page"))
    context = {
        "overview": found,
        "page": page,
        "lacking": hint_of(chosen) if chosen else None,
        "few": queries.FEW,
        "keepers": queries.keepers(),
    }
    return render(request, "vouchers/mids/nearly_there.html", context)

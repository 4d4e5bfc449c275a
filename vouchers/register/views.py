"""The register on screen, and the act of accession."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from ledger.club.queries import the_club
from ledger.finds.models import Find
from ledger.people.models import Role
from ledger.roles import at_least
from vouchers.register import actions, queries


@at_least(Role.CURATOR)
@require_safe
def vouchers(request: HttpRequest) -> HttpResponse:
    typed = request.GET.get("q", "").strip()[:100]
    # The register is for curators, who may know every place.
    page = Paginator(queries.for_list(typed, by_locality=True), 50).get_page(request.GET.get("page"))
    example = queries.example_number(the_club())
    return render(request, "vouchers/vouchers.html", {"page": page, "typed": typed, "example": example})


@at_least(Role.CURATOR)
@require_POST
def accession(request: HttpRequest, find_id: str) -> HttpResponse:
    find = get_object_or_404(Find, pk=find_id)
    try:
        voucher = actions.accession(find.pk, by=request.user, now=timezone.now())
    except actions.AccessionRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request, f"{find.collecting_number} is accessioned as {voucher}. Its label waits under Labels."
        )
    # Back to where the curator was: the bench says so in its form.
    return redirect("bench-find" if request.POST.get("from") == "bench" else "find-page", find.pk)

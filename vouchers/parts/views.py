"""Parts made and ended, and mixed collections split, by a curator."""

from functools import reduce
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from ledger.finds import naming
from ledger.finds.models import Find
from ledger.finds.split import free_letters
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.taxa.queries import current_reference
from ledger.words import Said, say
from vouchers.parts import actions
from vouchers.parts.forms import EndPartForm, PartForm, SplitForm
from vouchers.parts.models import Part
from vouchers.parts.splitting import SplitRefused, split
from vouchers.register.lookup import with_voucher
from vouchers.register.models import Voucher


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
@with_voucher
def make_part(request: HttpRequest, voucher: Voucher) -> HttpResponse:
    form = PartForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            part = actions.make_part(voucher.pk, **form.cleaned_data, by=request.user, now=timezone.now())
        except actions.PartRefused as refusal:
            form.add_error("kind", str(refusal))
        else:
            messages.success(
                request,
                say(
                    "{number} is on the record. Write the suffix on it, or print its label.",
                    number=part.number,
                ),
            )
            return redirect("voucher", voucher.slug)
    status = 422 if form.errors else 200
    return render(request, "vouchers/parts/make.html", {"form": form, "voucher": voucher}, status=status)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def end_part(request: HttpRequest, part_id: int) -> HttpResponse:
    part = get_object_or_404(Part.objects.with_number(), pk=part_id)
    form = EndPartForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            actions.end_part(part.pk, why=form.cleaned_data["why"], by=request.user, now=timezone.now())
        except actions.PartRefused as refusal:
            form.add_error("why", str(refusal))
        else:
            messages.success(
                request, say("{number} is noted as no longer in the collection.", number=part.number)
            )
            return redirect("voucher", part.voucher.slug)
    status = 422 if form.errors else 200
    return render(request, "vouchers/parts/end.html", {"form": form, "part": part}, status=status)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def split_find(request: HttpRequest, find_id: UUID) -> HttpResponse:
    find = get_object_or_404(Find.objects.select_related("voucher"), pk=find_id)
    form = SplitForm(request.POST if request.method == "POST" else None, letters=free_letters(find))
    if form.is_valid():
        try:
            made = split(find.pk, form.shares, by=request.user, now=timezone.now())
        except SplitRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            shares = reduce(_and, [f"{one.find.collecting_number} ({one})" for one in made])
            messages.success(
                request,
                say(
                    "{number} is split into {shares}. Their labels wait under Labels.",
                    number=find.collecting_number,
                    shares=shares,
                ),
            )
            return redirect("find-page", find.pk)
    shown = {"form": form, "find": find, "known_names": naming.offered(current_reference())}
    return render(request, "vouchers/parts/split.html", shown, status=422 if form.errors else 200)


def _and(first: str, last: str) -> Said:
    return say("{first} and {last}", first=first, last=last)

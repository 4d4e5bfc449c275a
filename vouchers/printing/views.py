"""Choose packets and a sheet, get the PDF. A label that does not fit is named and not printed."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from ledger.club.queries import the_club
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.row_keys import key_of
from vouchers.printing.actions import print_labels
from vouchers.printing.forms import PrintForm
from vouchers.printing.rows import label_row
from vouchers.register import queries
from vouchers.register.models import Voucher


@at_least(Role.LEADER)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def labels(request: HttpRequest) -> HttpResponse:
    form = PrintForm(
        request.POST if request.method == "POST" else None,
        known=list(Voucher.objects.values_list("pk", flat=True)),
    )
    printed = None
    if request.method == "POST" and form.is_valid():
        chosen = queries.for_labels(form.cleaned_data["vouchers"])
        printed = print_labels(
            chosen,
            sheet=form.cleaned_data["sheet"],
            paper=form.cleaned_data["paper"],
            club=the_club(),
            member=request.user,
            now=timezone.now(),
        )
        # What was refused must be read before the sheets go to the printer, so the PDF waits for a second press.
        if printed.pdf and (not printed.refused or "anyway" in request.POST):
            answer = HttpResponse(printed.pdf, content_type="application/pdf")
            answer["Content-Disposition"] = f'inline; filename="{form.cleaned_data["sheet"]}.pdf"'
            return answer
    return render(
        request,
        "vouchers/labels.html",
        _page(request, form, printed),
        status=422 if form.errors or printed else 200,
    )


def _page(request: HttpRequest, form: PrintForm, printed: object) -> dict[str, object]:
    member = request.user
    typed = request.GET.get("q", "").strip()[:100]
    by_locality = member.at_least(Role.CURATOR)
    found = queries.with_labels(queries.for_list(typed, by_locality=by_locality))
    page = Paginator(found, 60).get_page(request.GET.get("page"))
    picked = {key_of(one) for one in [*request.POST.getlist("vouchers"), *request.GET.getlist("voucher")]} - {
        0
    }
    beyond = queries.for_labels(sorted(picked - {voucher.pk for voucher in page}))
    rows = [label_row(voucher, member, picked=True) for voucher in beyond]
    rows += [label_row(voucher, member, picked=voucher.pk in picked) for voucher in page]
    return {
        "form": form,
        "printed": printed,
        "page": page,
        "rows": rows,
        "typed": typed,
        "by_locality": by_locality,
        "example": queries.example_number(the_club()),
    }

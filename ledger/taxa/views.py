"""The reference on screen: all taxa, one taxon with its range strips, and the curator's own ranges."""

from django.contrib import messages
from django.db.models import F, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.taxa import actions, club_names, club_ranges, pages, queries
from ledger.taxa.forms import ClubNameForm, ClubRangeForm, EndRangeForm, SensitivityForm
from ledger.taxa.models import ClubName, DocumentedRange, LookAlike, Taxon
from ledger.words import say, together


@require_safe
def taxa(request: HttpRequest) -> HttpResponse:
    """All taxa, or those whose name, synonym or vernacular name holds what was typed."""
    typed = request.GET.get("q", "").strip()[:100]
    rows = Taxon.objects.prefetch_related("synonyms")
    if typed:
        rows = rows.filter(
            Q(name__icontains=typed)
            | Q(synonyms__name__icontains=typed)
            | Q(vernacular__icontains=typed)
            | Q(club_names__name__icontains=typed)
        ).distinct()
    return render(request, "taxa/taxa.html", {"taxa": rows, "typed": typed})


@require_safe
def taxon(request: HttpRequest, slug: str) -> HttpResponse:
    one = get_object_or_404(Taxon.objects.prefetch_related("synonyms"), slug=slug)
    return render(request, "taxa/taxon.html", _page(request, one, None))


@at_least(Role.CURATOR)
@require_POST
def enter_range(request: HttpRequest, slug: str) -> HttpResponse:
    """A range of the club's own; on an error the page comes back with what was typed."""
    one = get_object_or_404(Taxon.objects.prefetch_related("synonyms"), slug=slug)
    form = ClubRangeForm(request.POST, taxon=one, vocabulary=queries.vocabulary())
    if not form.is_valid():
        return render(request, "taxa/taxon.html", _page(request, one, form), status=422)
    value = form.value()
    found = club_ranges.enter(
        value, citation=form.cleaned_data["citation"], by=request.user, now=timezone.now()
    )
    entered = say("The club’s range is entered.")
    messages.success(request, together([entered, club_ranges.rechecked_words(one, found)]))
    # The address the form was sent to points at the form; without this the answer would open there, below the message.
    return redirect(f"{reverse('taxon', args=[slug])}#main")


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def end_range(request: HttpRequest, slug: str, range_id: int) -> HttpResponse:
    """Asks first, and why; then ends it."""
    own = DocumentedRange.objects.filter(entered_by__isnull=False, ended_at__isnull=True)
    row = get_object_or_404(own.select_related("taxon"), pk=range_id, taxon__slug=slug)
    form = EndRangeForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        line = pages.own_range_line(queries.vocabulary(), row)
        context = {"taxon": row.taxon, "line": line, "form": form}
        return render(request, "taxa/end_range.html", context, status=422 if form.is_bound else 200)
    found = club_ranges.end(row, reason=form.cleaned_data["reason"], by=request.user, now=timezone.now())
    messages.success(
        request,
        together(
            [
                say("The range is ended. It judges nothing any more and stays on record."),
                club_ranges.rechecked_words(row.taxon, found),
            ]
        ),
    )
    return redirect("taxon", slug)


@at_least(Role.CURATOR)
@require_POST
def add_name(request: HttpRequest, slug: str) -> HttpResponse:
    """A name of the club's own; on an error the page comes back with what was typed."""
    one = get_object_or_404(Taxon.objects.prefetch_related("synonyms"), slug=slug)
    form = ClubNameForm(request.POST)
    if form.is_valid():
        try:
            row = club_names.add(one, **form.cleaned_data, by=request.user, now=timezone.now())
        except club_names.NameRefused as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(
                request, say("{name} is entered. The old names are still understood.", name=row.name)
            )
            return redirect(f"{reverse('taxon', args=[slug])}#club-names")
    return render(request, "taxa/taxon.html", _page(request, one, None, names=form), status=422)


@at_least(Role.CURATOR)
@require_POST
def end_name(request: HttpRequest, slug: str, name_id: int) -> HttpResponse:
    row = get_object_or_404(ClubName, pk=name_id, taxon__slug=slug)
    club_names.end(row, by=request.user, now=timezone.now())
    messages.success(
        request, say("{name} is no longer shown. Whoever types it still finds the taxon.", name=row.name)
    )
    return redirect(f"{reverse('taxon', args=[slug])}#club-names")


@at_least(Role.CURATOR)
@require_POST
def mark_sensitive(request: HttpRequest, slug: str) -> HttpResponse:
    one = get_object_or_404(Taxon, slug=slug)
    form = SensitivityForm(request.POST)
    if form.is_valid():
        actions.mark_sensitive(one, form.cleaned_data["blur_step_deg"])
        messages.success(
            request, say("Places of {taxon} follow this everywhere from now on.", taxon=one.name)
        )
    else:
        messages.error(
            request,
            say("That is no step of the list. Places are told as before; choose one from the list."),
        )
    return redirect("taxon", slug)


def _page(
    request: HttpRequest, one: Taxon, form: ClubRangeForm | None, *, names: ClubNameForm | None = None
) -> dict[str, object]:
    reference = queries.current_reference()
    pairs = (
        LookAlike.objects.filter(Q(taxon_a=one) | Q(taxon_b=one))
        .select_related("taxon_a", "taxon_b", "source")
        .order_by("id")
    )
    beside = [(pair.taxon_b if pair.taxon_a == one else pair.taxon_a, pair) for pair in pairs]
    curates = request.user.is_curator
    context: dict[str, object] = {
        "taxon": one,
        "sections": pages.trait_sections(
            reference, one.name, dict.fromkeys(other.name for other, _ in beside)
        ),
        "beside": beside,
        "curates": curates,
        "common_names": pages.common_names(one),
    }
    if curates:
        context |= {
            "form": form or ClubRangeForm(None, taxon=one, vocabulary=queries.vocabulary()),
            "name_form": names or ClubNameForm(initial={"language": (get_language() or "en")[:2]}),
            "club_names": one.club_names.select_related("added_by", "ended_by").order_by(
                F("ended_at").desc(nulls_first=True), "language", "pk"
            ),
            "sensitivity": SensitivityForm(initial={"blur_step_deg": one.blur_step_deg}),
            "own_ranges": [
                pages.own_range_line(queries.vocabulary(), row)
                for row in one.ranges.filter(entered_by__isnull=False)
                .select_related("entered_by", "ended_by", "source")
                .order_by(F("ended_at").desc(nulls_first=True), "entered_at")
            ],
        }
    return context

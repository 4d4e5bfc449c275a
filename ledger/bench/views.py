"""The bench on screen: the list, one find, and the three things a curator does with it."""

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_POST, require_safe

from ledger.bench import actions, queries
from ledger.bench.forms import BenchForm, RedetermineForm, SendBackForm, SettleForm
from ledger.bench.pages import BenchFindPage, BenchPage, club_today
from ledger.finds.flagging import recheck_late_photos
from ledger.finds.models import Find, Status
from ledger.people.models import Role
from ledger.roles import at_least

# In the session: the key of the find that was settled last, until the next page of the bench has told of it.
_SETTLED = "just settled"


@at_least(Role.CURATOR)
@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    recheck_late_photos(timezone.now())
    page = BenchPage(timezone.now())
    shown = {"page": page, "came_from": "bench list", "just_settled": _just_settled(request)}
    return render(request, "bench/bench.html", shown)


@at_least(Role.CURATOR)
@require_safe
def bench_find(request: HttpRequest, find_id: UUID) -> HttpResponse:
    recheck_late_photos(timezone.now())
    return _shown(request, find_id)


@at_least(Role.CURATOR)
@require_POST
def settle(request: HttpRequest, find_id: UUID) -> HttpResponse:
    form = SettleForm(request.POST)

    def act() -> str:
        actions.settle(
            find_id,
            version=form.cleaned_data["version"],
            reason=form.cleaned_data["reason"],
            flag_ids=form.cleaned_data["flags"],
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        return "settled"

    return _carried_out(request, find_id, form, act)


@at_least(Role.CURATOR)
@require_POST
def send_back(request: HttpRequest, find_id: UUID) -> HttpResponse:
    form = SendBackForm(request.POST)

    def act() -> str:
        actions.send_back(
            find_id,
            version=form.cleaned_data["version"],
            question=form.cleaned_data["question"],
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        return "sent back"

    return _carried_out(request, find_id, form, act)


@at_least(Role.CURATOR)
@require_POST
def redetermine(request: HttpRequest, find_id: UUID) -> HttpResponse:
    find = get_object_or_404(Find.objects.select_related("current_determination__taxon"), pk=find_id)
    form = RedetermineForm(request.POST, today=club_today(timezone.now()), find=find)

    def act() -> str:
        made = actions.redetermine(
            find_id,
            version=form.cleaned_data["version"],
            name=form.new_name,
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        who = made.determiner_name or made.determiner.full_name
        return f"named {made.name_typed} by {who}" if made.name_typed else f"left unnamed by {who}"

    return _carried_out(request, find_id, form, act)


def _carried_out(
    request: HttpRequest, find_id: UUID, form: BenchForm, act: Callable[[], str]
) -> HttpResponse:
    """Do it and go to the next held find; refused, show the page again with what was typed and the reason."""
    get_object_or_404(Find, pk=find_id)
    if not form.is_valid():
        return _shown(request, find_id, form, status=422)
    stood = queries.standing_of(find_id)
    try:
        done = act()
    except actions.FindMovedOn as refusal:
        form.trouble = str(refusal)
        return _shown(request, find_id, form, status=409)
    except actions.BenchRefused as refusal:
        form.trouble = str(refusal)
        return _shown(request, find_id, form, status=422)
    return _onward(request, find_id, stood, done)


def _onward(request: HttpRequest, find_id: UUID, stood: queries.Standing | None, done: str) -> HttpResponse:
    find = Find.objects.get(pk=find_id)
    here = reverse("bench-find", args=[find_id])
    if find.status == Status.HELD:
        # Not finished: another flag is open, or the new name raised one.
        flags = "1 flag is" if find.open_flags == 1 else f"{find.open_flags} flags are"
        messages.warning(request, f"{find} is {done}. {flags} still open, so it stays here.")
        return redirect(here)
    messages.success(request, format_html('<span><a href="{}">{}</a> is {}.</span>', here, find, done))
    if find.status == Status.SETTLED:
        request.session[_SETTLED] = str(find_id)
    following = queries.after(find_id, stood)
    return redirect("bench-find", following) if following else redirect("bench")


def _just_settled(request: HttpRequest) -> Find | None:
    """The find that was settled a moment ago, told once, where its packet still waits for a number."""
    settled = request.session.pop(_SETTLED, None)
    if settled is None:
        return None
    find = Find.objects.filter(pk=settled, status=Status.SETTLED, kept=True, shares__isnull=True).first()
    # The collection is another app and may be absent.
    return find if find is not None and getattr(find, "voucher", None) is None else None


def _shown(
    request: HttpRequest, find_id: UUID, form: BenchForm | None = None, status: int = 200
) -> HttpResponse:
    find = get_object_or_404(Find.objects.for_page(), pk=find_id)
    if form is not None:
        form.is_valid()
        # What comes back carries the find as it is shown now: sent again, it is decided with that in sight.
        form.data = form.data.copy()
        form.data["version"], form.data["seen_at"] = str(find.version), find.changed_at.isoformat()
    page = BenchFindPage(find, request.user, timezone.now(), form)
    shown = {
        "page": page,
        "find": find,
        "came_from": f"bench {find.pk}",
        "just_settled": _just_settled(request),
    }
    return render(request, "bench/find.html", shown, status=status)

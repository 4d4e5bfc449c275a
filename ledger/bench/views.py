"""The bench on screen: the list, one find, and the three things a curator does with it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST, require_safe

from ledger.bench import actions, queries
from ledger.bench.forms import BenchForm, RedetermineForm, SendBackForm, SettleForm
from ledger.bench.pages import BenchFindPage, BenchPage, club_today
from ledger.finds.flagging import recheck_late_photos
from ledger.finds.models import Find, Status
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import later, say, say_n

# In the session: the key of the find that was settled last, until the next page of the bench has told of it.
_SETTLED = "just settled"


@dataclass(frozen=True, slots=True)
class Done:
    """What was done, as a sentence about `{find}` and what else it names."""

    sentence: str
    values: dict[str, str] = field(default_factory=dict)
    in_part: str = ""  # where the find is held all the same, and another sentence is true

    def said_of_held(self, find: Find) -> str:
        return say(self.in_part or self.sentence, find=find, **self.values)

    def linked(self, find: Find, address: str) -> SafeString:
        """The same, with the find as a way to its page."""
        link = format_html('<a href="{}">{}</a>', address, find)
        return format_html(str(say(self.sentence)), find=link, **self.values)


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

    def act() -> Done:
        actions.settle(
            find_id,
            version=form.cleaned_data["version"],
            reason=form.cleaned_data["reason"],
            flag_ids=form.cleaned_data["flags"],
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        return Done(later("{find} is settled."), in_part=later("What you chose of {find} is settled."))

    return _carried_out(request, find_id, form, act)


@at_least(Role.CURATOR)
@require_POST
def send_back(request: HttpRequest, find_id: UUID) -> HttpResponse:
    form = SendBackForm(request.POST)

    def act() -> Done:
        actions.send_back(
            find_id,
            version=form.cleaned_data["version"],
            question=form.cleaned_data["question"],
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        return Done(later("{find} is sent back."))

    return _carried_out(request, find_id, form, act)


@at_least(Role.CURATOR)
@require_POST
def redetermine(request: HttpRequest, find_id: UUID) -> HttpResponse:
    find = get_object_or_404(Find.objects.select_related("current_determination__taxon"), pk=find_id)
    form = RedetermineForm(request.POST, today=club_today(timezone.now()), find=find)

    def act() -> Done:
        made = actions.redetermine(
            find_id,
            version=form.cleaned_data["version"],
            name=form.new_name,
            by=request.user,
            now=timezone.now(),
            seen_at=form.cleaned_data["seen_at"],
        )
        who = made.determiner_name or made.determiner.full_name
        if made.name_typed:
            return Done(later("{find} is named {name} by {who}."), {"name": made.name_typed, "who": who})
        return Done(later("{find} is left unnamed by {who}."), {"who": who})

    return _carried_out(request, find_id, form, act)


def _carried_out(
    request: HttpRequest, find_id: UUID, form: BenchForm, act: Callable[[], Done]
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


def _onward(request: HttpRequest, find_id: UUID, stood: queries.Standing | None, done: Done) -> HttpResponse:
    find = Find.objects.get(pk=find_id)
    here = reverse("bench-find", args=[find_id])
    if find.status == Status.HELD:
        # Not finished: another flag is open, or the new name raised one.
        messages.warning(
            request,
            say_n(
                "{done} {n} flag is still open, so it stays held.",
                "{done} {n} flags are still open, so it stays held.",
                find.open_flags,
                done=done.said_of_held(find),
            ),
        )
        return redirect(here)
    messages.success(request, format_html("<span>{}</span>", done.linked(find, here)))
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

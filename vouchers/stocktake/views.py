"""Stocktakes on screen, and what a phone on its walk sends."""

from collections.abc import Callable, Sequence

from django.contrib import messages
from django.core.exceptions import RequestDataTooBig
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.finds.access import sees_exact_place
from ledger.people.models import Role
from ledger.phone.payload import PayloadError
from ledger.phone.refusals import for_phone, wrong
from ledger.roles import at_least
from ledger.words import Said, later, say, together
from vouchers.stocktake import actions, queries
from vouchers.stocktake.forms import GiveUpForm, OpenForm, SettleForm, SignOffForm, TypedForm
from vouchers.stocktake.message import parse_walk
from vouchers.stocktake.models import Stocktake
from vouchers.stocktake.ways import WAYS
from vouchers.store.actions import StoreRefused
from vouchers.store.forms import first_error
from vouchers.store.queries import Tree, place_of_code

PER_PAGE = 40
ON_PHONE = later("What was seen stays on the phone.")


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def stocktakes(request: HttpRequest) -> HttpResponse:
    """All stocktakes, and opening another, which is a curator's."""
    may_open = request.user.at_least(Role.CURATOR)
    given = request.POST if request.method == "POST" and may_open else None
    form = OpenForm(given, initial={"place": request.GET.get("place", "")[:80]})
    if form.is_valid():
        try:
            place = place_of_code(form.cleaned_data["place"])
            opened = actions.open_stocktake(place, by=request.user, now=timezone.now())
        except (StoreRefused, actions.StocktakeRefused) as refusal:
            form.add_error("place", str(refusal))
        else:
            return redirect("stocktake", opened.pk)
    tree = Tree.load()
    page = Paginator(queries.for_list(), PER_PAGE).get_page(request.GET.get("page"))
    shown = {
        "form": form,
        "may_open": may_open,
        "page": page,
        "rows": [(one, tree.words(one.place_id)) for one in page],
    }
    status = 422 if form.errors else 403 if request.method == "POST" and not may_open else 200
    return render(request, "vouchers/stocktake/stocktakes.html", shown, status=status)


@at_least(Role.LEADER)
@require_safe
def stocktake(request: HttpRequest, stocktake_id: int) -> HttpResponse:
    found = get_object_or_404(queries.for_list(), pk=stocktake_id)
    return _page(request, found)


def _page(
    request: HttpRequest, found: Stocktake, *, typed: TypedForm | None = None, status: int = 200
) -> HttpResponse:
    tree = Tree.load()
    standing = queries.standing(found)
    # What was not seen is missing when somebody says that the walk is done, and no sooner.
    is_done = "missing" in request.GET or any(row.kind == "missing" for row in standing.settled)
    listed = standing.open if is_done else standing.differences
    page = Paginator(listed, PER_PAGE).get_page(request.GET.get("page"))
    one = [place for place in found.scope if place in tree.places]
    place = f"PLACE {tree.places[one[0]].number}" if len(one) == 1 else ""
    shown = {
        "stocktake": found,
        "way": tree.words(found.place_id),
        "standing": standing,
        # A code that is none of ours is of no find.
        "settled": [
            (row, row.part is None or sees_exact_place(row.part.voucher.find, request.user))
            for row in standing.settled
        ],
        "page": page,
        "rows": [(shown, WAYS[shown.kind]) for shown in page],
        "to_settle": _counts(listed),
        "is_done": is_done,
        "entry": typed or TypedForm(initial={"place": place}),
        "may_settle": request.user.at_least(Role.CURATOR) and found.is_open,
        "before": queries.last_signed_before(found),
        "is_asked": "missing" in request.GET,
    }
    return render(request, "vouchers/stocktake/stocktake.html", shown, status=status)


def _counts(shown: Sequence[queries.Shown]) -> Said:
    """1 missing, 3 misplaced."""
    words = {
        "missing": later("{n} missing"),
        "misplaced": later("{n} misplaced"),
        "unknown": later("{n} unknown"),
        "twice": later("{n} seen twice"),
    }
    counts = [(word, sum(one.kind == kind for one in shown)) for kind, word in words.items()]
    told = tuple(say(word, n=many) for word, many in counts if many)
    return together(told, ", ") if told else say("nothing")


@at_least(Role.LEADER)
@require_POST
def type_sightings(request: HttpRequest, stocktake_id: int) -> HttpResponse:
    found = get_object_or_404(queries.for_list(), pk=stocktake_id)
    form = TypedForm(request.POST)
    if form.is_valid():
        try:
            place = place_of_code(form.cleaned_data["place"])
            taken = actions.type_sightings(
                found.pk, place, form.cleaned_data["codes"], by=request.user, now=timezone.now()
            )
        except StoreRefused as refusal:
            form.add_error("place", str(refusal))
        except actions.StocktakeRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            told = [say("{n} seen in {place}.", n=len(taken.taken), place=place.name)]
            if taken.again:
                told.append(say("{n} had been seen there before.", n=taken.again))
            messages.success(request, together(tuple(told)))
            return redirect("stocktake", found.pk)
    return _page(request, found, typed=form, status=422)


def _decided(act: Callable[[HttpRequest, int], str]) -> Callable[..., HttpResponse]:
    """A curator's step on a stocktake: does it, says what came of it, and leads back to its page."""

    @at_least(Role.CURATOR)
    @require_POST
    def view(request: HttpRequest, stocktake_id: int) -> HttpResponse:
        found = get_object_or_404(Stocktake, pk=stocktake_id)
        try:
            messages.success(request, act(request, found.pk))
        except actions.StocktakeRefused as refusal:
            messages.error(request, str(refusal))
        # The list that was worked through stands there again.
        asked = "?missing=1" if "missing" in request.POST else ""
        return redirect(reverse("stocktake", args=[found.pk]) + asked)

    return view


def _settle(request: HttpRequest, key: int) -> str:
    form = SettleForm(request.POST)
    if not form.is_valid():
        raise actions.StocktakeRefused(first_error(form))
    row = actions.settle(key, **form.cleaned_data, by=request.user, now=timezone.now())
    return say("{number} is settled.", number=row.text)


def _sign_off(request: HttpRequest, key: int) -> str:
    form = SignOffForm(request.POST)
    if not form.is_valid():
        raise actions.StocktakeRefused(first_error(form))
    signed = actions.sign_off(key, **form.cleaned_data, by=request.user, now=timezone.now())
    return say("The stocktake is signed off: {count}.", count=queries.standing(signed).tally.words)


def _give_up(request: HttpRequest, key: int) -> str:
    form = GiveUpForm(request.POST)
    if not form.is_valid():
        raise actions.StocktakeRefused(first_error(form))
    actions.give_up(key, **form.cleaned_data, now=timezone.now())
    return say("The stocktake is given up. What was seen stays on record.")


settle = _decided(_settle)
sign_off = _decided(_sign_off)
give_up = _decided(_give_up)


def for_walker(view: Callable[[HttpRequest, Stocktake], HttpResponse]) -> Callable[..., HttpResponse]:
    """A view for a phone on a walk: JSON for a leader or a curator, and a stocktake that there is."""

    @for_phone
    def guarded(request: HttpRequest, stocktake_id: int) -> HttpResponse:
        if not request.user.at_least(Role.LEADER):
            return wrong(
                403,
                "not yours",
                say("Stocktakes are for leaders and curators."),
                kept=str(ON_PHONE),
                todo=say("Ask the keeper of the club."),
            )
        found = Stocktake.objects.filter(pk=stocktake_id).first()
        if found is None:
            return wrong(404, "no stocktake", say("The ledger has no such stocktake."), kept=str(ON_PHONE))
        return view(request, found)

    return guarded


@for_walker
@require_safe
def for_phone_json(request: HttpRequest, found: Stocktake) -> HttpResponse:
    return JsonResponse(queries.for_phone(found))


@for_walker
@require_POST
def sightings(request: HttpRequest, found: Stocktake) -> HttpResponse:
    """Take what a phone saw. The same sent again is answered as the first time."""
    try:
        walk = parse_walk(request.body)
    except (PayloadError, RequestDataTooBig) as problem:
        return wrong(
            422,
            "unreadable",
            say("The message cannot be read: {problem}. Nothing of it was stored.", problem=str(problem)),
            kept=str(ON_PHONE),
            todo=say("It is sent again by itself. If it comes back, tell the keeper."),
        )
    if walk.member != request.user.pk:
        return wrong(
            403,
            "somebody else",
            say("This was seen by another member than the one who is signed in. Nothing of it was stored."),
            kept=str(ON_PHONE),
            todo=say("Sign in as the member who saw it."),
        )
    try:
        taken = actions.take_sightings(
            found.pk, walk.sightings, by=request.user, now=timezone.now(), sent_at=walk.sent_at
        )
    except actions.StocktakeEnded as refusal:
        return wrong(
            409,
            "ended",
            str(refusal),
            kept=str(ON_PHONE),
            todo=say("Scan it again in the next stocktake."),
        )
    return JsonResponse(
        {
            "taken": [str(key) for key in taken.taken],
            "refused": {str(key): why for key, why in taken.refused.items()},
        }
    )

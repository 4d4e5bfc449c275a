"""The store on screen: its places, what lies where, moves."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.club.queries import the_club
from ledger.finds.access import sees_exact_place
from ledger.people.models import Role
from ledger.roles import at_least
from ledger.words import say
from vouchers.register.queries import example_number, own_prefixes
from vouchers.stocktake.queries import last_seen, last_signed
from vouchers.store import actions, queries
from vouchers.store.forms import ChangePlaceForm, MoveForm, MovePlaceForm, PlaceForm, first_error
from vouchers.store.models import StorePlace
from vouchers.store.moving import WrongCodes, move_codes
from vouchers.store.scanned import told_of

PER_PAGE = 60


@at_least(Role.LEADER)
@require_safe
def store(request: HttpRequest) -> HttpResponse:
    """The tree, and "where is it" above it."""
    typed = " ".join(request.GET.get("q", "").split())[:100]
    tree = queries.Tree.load()
    shown = {"typed": typed, "example": example_number(the_club()), "prefix": own_prefixes()[0]}
    if not typed:
        return render(request, "vouchers/store/store.html", shown | {"nodes": tree.nodes()})
    page = Paginator(queries.where_is(typed), PER_PAGE).get_page(request.GET.get("page"))
    rows = queries.part_rows(page, tree)
    seen = last_seen(row.part.pk for row in rows)
    shown |= {
        "page": page,
        "rows": [
            (row, seen[row.part.pk].sentence(tree.words, row.part.place_id) if row.part.pk in seen else "")
            for row in rows
        ],
        "places": [(place, tree.path(place.pk)) for place in queries.places_called(typed)],
    }
    return render(request, "vouchers/store/where.html", shown)


@at_least(Role.LEADER)
@require_safe
def place(request: HttpRequest, number: int) -> HttpResponse:
    found = get_object_or_404(StorePlace, number=number)
    tree = queries.Tree.load()
    page = Paginator(queries.parts_in([found.pk]), PER_PAGE).get_page(request.GET.get("page"))
    count = page.paginator.count
    nodes = tree.nodes(top=found.pk)
    shown = {
        "place": found,
        "prefix": own_prefixes()[0],
        "path": tree.path(found.pk)[:-1],
        "nodes": nodes,
        "holds": count + sum(node.parts for node in nodes),
        "page": page,
        "rows": queries.part_rows(page, tree),
        "over": found.capacity is not None and count > found.capacity,
        "moves": [
            (move, sees_exact_place(move.part.voucher.find, request.user))
            for move in queries.last_moves(found)[:10]
        ],
        "signed_on": last_signed([found.pk]).get(found.pk),
    }
    return render(request, "vouchers/store/place.html", shown)


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def new_place(request: HttpRequest) -> HttpResponse:
    given = request.POST if request.method == "POST" else None
    form = PlaceForm(given, initial={"parent": request.GET.get("in", "")[:80], "count": 1})
    if form.is_valid():
        asked = form.cleaned_data
        try:
            parent = queries.place_of_code(asked["parent"]) if asked["parent"] else None
            made = actions.make_places(
                asked["kind"],
                asked["name"],
                parent,
                capacity=asked["capacity"],
                count=asked["count"] or 1,
            )
        except actions.StoreRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            named = f"{', '.join(one.name for one in made[:3])}{' …' if made[3:] else ''}"
            messages.success(request, say("{places} made.", places=named))
            to = made[0] if len(made) == 1 else parent
            return redirect("store-place", to.number) if to else redirect("store")
    return render(
        request, "vouchers/store/new_place.html", {"form": form}, status=422 if form.errors else 200
    )


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def change_place(request: HttpRequest, number: int) -> HttpResponse:
    """Name and capacity; below them what can be done with the whole place."""
    found = get_object_or_404(StorePlace, number=number)
    given = request.POST if request.method == "POST" else None
    form = ChangePlaceForm(given, initial={"name": found.name, "capacity": found.capacity})
    if form.is_valid():
        try:
            actions.change_place(found.pk, **form.cleaned_data)
        except actions.StoreRefused as refusal:
            form.add_error("name", str(refusal))
        else:
            messages.success(request, say("Kept."))
            return redirect("store-place", number)
    shown = {"form": form, "place": found}
    return render(request, "vouchers/store/change_place.html", shown, status=422 if form.errors else 200)


@at_least(Role.LEADER)
@require_POST
def move_place(request: HttpRequest, number: int) -> HttpResponse:
    found = get_object_or_404(StorePlace, number=number)
    form = MovePlaceForm(request.POST)
    if not form.is_valid():
        messages.error(request, first_error(form))
        return redirect("store-place", number)
    typed = form.cleaned_data["to"]
    try:
        target = queries.place_of_code(typed) if typed else None
        actions.move_place(
            found.pk, target, by=request.user, now=timezone.now(), why=form.cleaned_data["why"]
        )
    except actions.StoreRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request,
            say("{place} stands in {other} now, with all in it.", place=found.name, other=target.name)
            if target
            else say("{place} stands by itself now, with all in it.", place=found.name),
        )
    return redirect("store-place", number)


@at_least(Role.CURATOR)
@require_POST
def close_place(request: HttpRequest, number: int) -> HttpResponse:
    """Close it, or open it again."""
    found = get_object_or_404(StorePlace, number=number)
    try:
        if "open" in request.POST:
            actions.open_place_again(found.pk)
        else:
            actions.close_place(found.pk, now=timezone.now())
    except actions.StoreRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request,
            say(
                "{place} is open again." if "open" in request.POST else "{place} is closed.", place=found.name
            ),
        )
    return redirect("store-place", number)


@at_least(Role.LEADER)
@require_http_methods(["GET", "HEAD", "POST"])
def move(request: HttpRequest) -> HttpResponse:
    """Move by scanning: the place first, then what goes into it. All of it, or nothing."""
    given = request.POST if request.method == "POST" else None
    form = MoveForm(given, initial={"to": request.GET.get("to", "")[:80]})
    wrong: list[str] = []
    if form.is_valid():
        try:
            told = move_codes(**form.cleaned_data, by=request.user, now=timezone.now())
        except WrongCodes as problem:
            wrong = problem.sentences
        except actions.StoreRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            for sentence in told[:1]:
                messages.success(request, sentence)
            for sentence in told[1:]:
                messages.warning(request, sentence)
            return redirect("store-move")
    shown = {"form": form, "wrong": wrong, "prefixes": own_prefixes()}
    return render(request, "vouchers/store/move.html", shown, status=422 if form.errors or wrong else 200)


@at_least(Role.LEADER)
@require_safe
def read(request: HttpRequest) -> JsonResponse:
    """What one code names, for whoever has just scanned it: a sentence, whether it can be moved, where it is now."""
    return JsonResponse(told_of(request.GET.get("code", "")[:200]))

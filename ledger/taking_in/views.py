"""Give a file, say what its columns are, read what would be made of it, take it in, undo it."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.people.models import Role
from ledger.roles import at_least
from ledger.taking_in import actions, files, page
from ledger.taking_in.cells import MARKS
from ledger.taking_in.columns import Mapped
from ledger.taking_in.forms import GiveForm, column_choices, mapped_of, offset_choices, too_large
from ledger.taking_in.grid import Grid
from ledger.taking_in.models import State, TakingIn
from ledger.taking_in.refused import FileRefused
from ledger.taxa.queries import vocabulary
from ledger.uploads import LeftOut
from ledger.words import say, say_n

_NEWEST = 30
# Each is checked in some 20 ms, twice; whoever stands in front of the ledger waits half a minute at least.
MOST_BY_PAGE = 1_000


@at_least(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def taking_in(request: HttpRequest) -> HttpResponse:
    form = GiveForm(request.POST, request.FILES) if request.method == "POST" else GiveForm()
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data["file"]
        try:
            made = actions.give(
                given.read(),
                given.name or "",
                by=request.user,
                now=timezone.now(),
                encoding=form.cleaned_data["encoding"],
                most=MOST_BY_PAGE,
            )
        except FileRefused as refusal:
            form.add_error("file", str(refusal))
        else:
            return _looked_at(request, made)
    rows = TakingIn.objects.select_related("given_by")[:_NEWEST]
    values = {"form": form, "rows": rows}
    return render(request, "taking_in/taking_in.html", values, status=422 if form.errors else 200)


def _looked_at(request: HttpRequest, taking: TakingIn) -> HttpResponse:
    """Look at once where nothing must be asked."""
    try:
        if not files.asks_for_columns(taking):
            actions.look_at(taking, by=request.user, now=timezone.now())
    except (FileRefused, actions.TakingInRefused) as refusal:
        messages.error(request, str(refusal))
    return redirect("taken-file", taking.pk)


@at_least(Role.CURATOR)
@require_GET
def taken_file(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    taking = get_object_or_404(
        TakingIn.objects.select_related("given_by", "accepted_by", "undone_by"), pk=taking_id
    )
    return _page(request, taking)


def _page(
    request: HttpRequest, taking: TakingIn, mapped: Mapped | None = None, wrong: str = "", status: int = 200
) -> HttpResponse:
    grid, gone = _grid(taking)
    start = request.GET.get("from", "0")
    values = {
        "taking": taking,
        "kind": files.KIND_WORDS[taking.kind],
        "gone": gone,
        "wrong": wrong,
        "report": page.shown_report(taking, int(start) if start.isdecimal() and len(start) < 9 else 0),
        "is_open": taking.state == State.LOOKED_AT,
        "is_taken_in": taking.state == State.TAKEN_IN,
        "links": taking.state == State.TAKEN_IN,
    }
    if grid is not None:
        traits = _traits()
        mapped = mapped or page.first_mapping(taking, grid, traits)
        values |= {
            "columns": page.shown_columns(grid, mapped),
            "choices": column_choices({code: vocabulary().traits[code] for code in traits}),
            "mapped": mapped,
            "asked": page.asked_of(grid, mapped),
            "marks": list(MARKS.items()),
            "offsets": offset_choices(),
            "offset": "" if mapped.offset_minutes is None else str(mapped.offset_minutes),
            "notes": grid.notes,
            "sheets": grid.sheets,
            "sheet": grid.sheet,
        }
    return render(request, "taking_in/file.html", values, status=status)


def _traits() -> dict[str, str]:
    return {code: trait.label for code, trait in vocabulary().traits.items() if trait.kind != "months"}


def _grid(taking: TakingIn) -> tuple[Grid | None, str]:
    """The table, where its columns must be asked for; and why it cannot be shown any more."""
    if taking.state != State.LOOKED_AT or taking.kind == files.ARCHIVE:
        return None, ""
    try:
        grid = files.read_grid(taking, actions.stored(taking))
    except (FileRefused, actions.TakingInRefused) as refusal:
        return None, str(refusal)
    return (grid, "") if files.terms_of(grid) is None else (None, "")


@at_least(Role.CURATOR)
@require_POST
def taken_columns(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    """Keep what the columns are, and look at the file by it."""
    taking = get_object_or_404(TakingIn, pk=taking_id)
    grid, gone = _grid(taking)
    if grid is None:
        messages.error(
            request, gone or say("Nobody is asked what the columns of this file are. Nothing was changed.")
        )
        return redirect("taken-file", taking.pk)
    mapped, now = mapped_of(request.POST, grid.header), timezone.now()
    wrong = page.wrong_with(mapped, grid, _traits())
    given = request.FILES.get("waypoints")
    try:
        if given is not None and not wrong:
            wrong = too_large(given) if isinstance(given, LeftOut) else ""
            if not wrong:
                actions.add_waypoints(taking, given.read(), given.name or "")
        if not wrong:
            actions.map_columns(taking, mapped, grid.header, by=request.user, now=now)
            actions.look_at(taking, by=request.user, now=now)
    except (FileRefused, actions.TakingInRefused) as refusal:
        wrong = str(refusal)
    if wrong:
        return _page(request, taking, mapped, wrong, status=422)
    return redirect("taken-file", taking.pk)


@at_least(Role.CURATOR)
@require_POST
def taken_sheet(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    """Read another sheet of a workbook."""
    taking = get_object_or_404(TakingIn, pk=taking_id)
    try:
        actions.choose_sheet(taking, request.POST.get("sheet", ""))
    except (FileRefused, actions.TakingInRefused) as refusal:
        messages.error(request, str(refusal))
    return redirect("taken-file", taking.pk)


@at_least(Role.CURATOR)
@require_POST
def accept_taken(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    taking = get_object_or_404(TakingIn, pk=taking_id)
    try:
        report = actions.take_in(taking, by=request.user, now=timezone.now())
    except (FileRefused, actions.TakingInRefused) as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, report.said(dry=False))
    return redirect("taken-file", taking.pk)


@at_least(Role.CURATOR)
@require_POST
def undo_taken(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    taking = get_object_or_404(TakingIn, pk=taking_id)
    try:
        many = actions.undo(taking, by=request.user, now=timezone.now())
    except actions.TakingInRefused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request,
            say_n(
                "{name} is undone: 1 find is gone from the ledger, as if it had not been taken in.",
                "{name} is undone: {n} finds are gone from the ledger, as if it had not been taken in.",
                many,
                name=taking.name,
            ),
        )
    return redirect("taken-file", taking.pk)


@at_least(Role.CURATOR)
@require_POST
def forget_taken(request: HttpRequest, taking_id: uuid.UUID) -> HttpResponse:
    taking = get_object_or_404(TakingIn, pk=taking_id)
    try:
        actions.forget_file(taking)
    except actions.TakingInRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("taken-file", taking.pk)
    messages.success(request, say("{name} is let go. Nothing of it was written.", name=taking.name))
    return redirect("taking-in")

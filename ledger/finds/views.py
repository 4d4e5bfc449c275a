"""One find's page and its twin for programs, and the answer to a question."""

import uuid

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ledger.bench.models import Question
from ledger.finds import access, actions, finder, sensitive
from ledger.finds.find_json import as_json
from ledger.finds.find_page import FindPage
from ledger.finds.forms import FinderForm
from ledger.finds.models import Find
from ledger.people.models import Role
from ledger.phone import waiting
from ledger.phone.models import WaitingVersion
from ledger.record.visible import visible
from ledger.roles import at_least
from ledger.row_keys import key_of
from ledger.words import in_english, say


@require_GET
def find_page(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    find = get_object_or_404(Find.objects.for_page(), pk=find_id)
    return render(request, "finds/find.html", {"page": FindPage(find, request.user), "find": find})


@require_GET
def find_json(request: HttpRequest, find_id: uuid.UUID) -> JsonResponse:
    """The same find for programs, with the place as far as this member may see it."""
    find = get_object_or_404(Find.objects.for_page(), pk=find_id)
    with in_english():
        told = as_json(FindPage(find, request.user))
    response = JsonResponse(told, json_dumps_params={"ensure_ascii": False})
    response["Cache-Control"] = "private, no-store"
    return response


@require_POST
def answer_question(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    """The finder's answer to the curator's question."""
    find = get_object_or_404(Find.objects.for_page(), pk=find_id)
    if not access.may_answer(find, request.user):
        raise PermissionDenied
    number = request.POST.get("question", "")
    question = get_object_or_404(Question, pk=key_of(number), find=find)
    text = visible(request.POST.get("answer", ""), lines=True)
    try:
        actions.answer_question(question, text[:4000], by=request.user)
    except actions.FindRefused as refusal:
        page = FindPage(find, request.user, answer_typed=text, answer_trouble=str(refusal))
        return render(request, "finds/find.html", {"page": page, "find": find}, status=422)
    messages.success(request, say("Your answer is kept, and the find is back on the bench."))
    return redirect("find-page", find_id=find.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def change_finder(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    """Another finder for a find that was keyed under the wrong one."""
    find = get_object_or_404(Find.objects.select_related("finder"), pk=find_id)
    if not access.may_change_finder(find, request.user):
        raise PermissionDenied
    form = FinderForm(request.POST if request.method == "POST" else None, find=find)
    trouble = ""
    if request.method == "POST" and form.is_valid():
        try:
            find = finder.change_finder(find_id, by=request.user, now=timezone.now(), **form.cleaned_data)
        except actions.FindRefused as refusal:
            trouble = str(refusal)
            form = form.seen_again()
        else:
            messages.success(
                request,
                say(
                    "{find} is {found_by_name}'s find. Its number stays.",
                    find=find,
                    found_by_name=find.found_by_name,
                ),
            )
            return redirect("find-page", find_id=find_id)
    status = 422 if trouble or form.errors else 200
    return render(
        request, "finds/change_finder.html", {"find": find, "form": form, "trouble": trouble}, status=status
    )


@require_POST
def let_version_go(request: HttpRequest, find_id: uuid.UUID, version_id: int) -> HttpResponse:
    """A version of a find that waits on a phone which is lost: it is waited for no longer."""
    version = get_object_or_404(
        WaitingVersion.objects.select_related("find", "by"), pk=version_id, find=find_id
    )
    if not access.may_let_go(version, version.find, request.user):
        raise PermissionDenied
    try:
        waiting.let_go(version, visible(request.POST.get("reason", ""))[:300], by=request.user)
    except waiting.StaysWaiting as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request, say("That version is waited for no longer. Your sentence is in the history.")
        )
    return redirect("find-page", find_id=find_id)


@at_least(Role.CURATOR)
@require_POST
def open_place(request: HttpRequest, find_id: uuid.UUID) -> HttpResponse:
    """A curator tells the place of one find openly although a name of it would keep it back."""
    get_object_or_404(Find, pk=find_id)
    try:
        sensitive.open_place(
            find_id, reason=visible(request.POST.get("reason", ""))[:500], by=request.user, now=timezone.now()
        )
    except sensitive.PlaceStaysKept as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(
            request, say("The place is told to every member from now on. Your reason is on record.")
        )
    return redirect("find-page", find_id=find_id)

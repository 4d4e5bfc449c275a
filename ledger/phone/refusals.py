"""What the phone is answered where something is wrong: what was wrong, what was kept, what to do."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse, RawPostDataException, UnreadablePostError
from django.views.decorators.cache import never_cache

from ledger.people.models import Member
from ledger.words import later, say

View = Callable[..., HttpResponse]
KEPT_ON_PHONE = later("Everything stays on the phone.")


def wrong(
    status: int, why: str, said: Any, kept: str = KEPT_ON_PHONE, todo: str = "", **more: Any
) -> JsonResponse:
    """An answer that is no yes. `said` is a sentence, or a list of {sentence, anchor}."""
    # JSON takes a `later()` as English.
    body = {"why": why, "wrong": said, "kept": str(kept), "do": todo, **more}
    answer = JsonResponse(body, status=status)
    answer["Cache-Control"] = "no-store"
    return answer


def for_phone(view: View) -> View:
    """A view that answers a phone in JSON: who is not let in is told so in words, and is not led to a page."""

    @login_not_required
    @never_cache
    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_authenticated:
            return not_let_in(request)
        try:
            return view(request, *args, **kwargs)
        except (UnreadablePostError, RawPostDataException):
            # Cut off on the way; or sent as a form, which was read before.
            return wrong(
                400,
                "unreadable",
                say("What was sent did not arrive whole. Nothing of it was stored."),
                todo=say("It is sent again by itself."),
            )

    return guarded


def old_mark() -> JsonResponse:
    """The mark against forgery is missing or old, such as after signing in anew in another tab."""
    return wrong(
        403,
        "old mark",
        say("You have signed in anew since this page was opened. Nothing of what was sent was stored."),
        todo=say("It is sent again by itself. If it stays, open the page anew."),
    )


def not_let_in(request: HttpRequest) -> JsonResponse:
    """What a visitor is told who is no member, or none any longer."""
    if _has_ended(request):
        return wrong(
            403,
            "ended",
            say("Your membership of this ledger has ended."),
            todo=say("Ask the keeper of the club. What is in the outbox goes when you are let in again."),
        )
    return wrong(
        401,
        "signed out",
        say("You are signed out."),
        todo=say("Sign in; what is in the outbox then goes by itself."),
    )


def _has_ended(request: HttpRequest) -> bool:
    """Whether the visitor's session is that of a member who is no longer active."""
    key = str(request.session.get(SESSION_KEY, ""))
    return key.isdecimal() and Member.objects.filter(pk=int(key), is_active=False).exists()

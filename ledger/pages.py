"""The pages that belong to no room: the front page and what stands where something went wrong."""

from collections.abc import Sequence

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from ledger.bench.models import Question
from ledger.people.models import Member
from ledger.phone.refusals import old_mark
from ledger.search.walk import held_column

# More would push everything else off a phone.
MOST_ASKED = 5


@login_not_required
def front(request: HttpRequest) -> HttpResponse:
    """The only public page: what this is, the caution, and the way in; for a member, what waits for an answer."""
    questions = _questions_to(request.user)
    shown = {"questions": questions[:MOST_ASKED], "more_asked": len(questions) > MOST_ASKED}
    return render(request, "front.html", shown)


def _questions_to(member: Member | AnonymousUser) -> Sequence[Question]:
    """The curators' questions about this member's own finds that wait for an answer, the oldest first; one too many."""
    if not member.is_authenticated:
        return ()
    # Few questions are open, and many finds may be theirs: these must not lead.
    waiting = Question.objects.alias(finder=held_column("find__finder_id")).filter(answered_at__isnull=True)
    return list(waiting.filter(finder=member.pk).select_related("find", "asked_by")[: MOST_ASKED + 1])


@login_not_required
def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that this ledger did not give out in this session; a phone is told so in words of its own."""
    if request.path_info.startswith("/phone/"):
        return old_mark()
    return render(request, "csrf.html", status=403)

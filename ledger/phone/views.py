"""What the outbox of a phone talks to. Each view reads a message, calls one action and answers in JSON."""

import gzip
import uuid
from functools import lru_cache
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.middleware.csrf import get_token
from django.utils.cache import get_conditional_response, patch_vary_headers
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ledger.finds import actions
from ledger.people.models import Member
from ledger.phone import hello as greetings
from ledger.phone import numbers, own_finds, payload, photo_parts, receive, told
from ledger.phone.models import NumberBlock
from ledger.phone.refusals import for_phone, not_let_in, wrong
from ledger.photos.errors import PhotoRefused
from ledger.record.visible import visible
from ledger.taxa.queries import NoReference, current_pack
from ledger.words import say


@login_not_required
@never_cache
@require_safe
def hello(request: HttpRequest) -> HttpResponse:
    """Who is signed in. "Nobody" is an answer and no error: a browser writes an error into its console each time."""
    if not request.user.is_authenticated:
        answer = not_let_in(request)
        answer.status_code = 200
        return answer
    return JsonResponse(greetings.greeting(request.user, get_token(request)))


@for_phone
@require_safe
def reference(request: HttpRequest) -> HttpResponseBase:
    """The reference in one piece. It changes rarely, so a phone that has it is answered in a line."""
    try:
        text, digest = current_pack()
    except NoReference:
        return wrong(
            404,
            "no reference yet",
            say("The ledger has no reference yet, so nothing can be compared."),
            todo=say("Tell its keeper: the command is load_reference. Finds can be logged meanwhile."),
        )
    answer: HttpResponse
    if "gzip" in request.headers.get("Accept-Encoding", ""):
        answer = HttpResponse(_squeezed(text), content_type="application/json")
        answer["Content-Encoding"] = "gzip"
    else:
        answer = HttpResponse(text, content_type="application/json")
    patch_vary_headers(answer, ["Accept-Encoding", "Cookie"])
    answer["ETag"] = f'"{digest}"'
    return get_conditional_response(request, etag=answer["ETag"], response=answer) or answer


@lru_cache(maxsize=2)
def _squeezed(text: bytes) -> bytes:
    return gzip.compress(text, 9, mtime=0)


@for_phone
@require_safe
def finds_json(request: HttpRequest) -> HttpResponse:
    stamp = own_finds.stamp_of(request.user)
    return JsonResponse({"stamp": stamp, "finds": own_finds.own_finds(request.user)})


@for_phone
@require_POST
def finds(request: HttpRequest) -> HttpResponse:
    """Take one find of the outbox."""
    try:
        message = payload.parse_message(request.body)
    except RequestDataTooBig:
        return wrong(
            413,
            "too big",
            say("The find is too big to be taken."),
            todo=say("Shorten its note, then keep it again."),
        )
    except payload.Tampered:
        return wrong(
            422,
            "tampered",
            say("What arrived is not what the phone sent: its seal does not fit. Nothing of it was stored."),
            todo=say("It is sent again by itself. If it comes back, tell the keeper."),
        )
    except payload.PayloadError as problem:
        return wrong(
            422,
            "unreadable",
            say("The message cannot be read: {why}. Nothing of it was stored.", why=problem),
            todo=say("Open the find in the outbox and keep it again. If it comes back, tell the keeper."),
        )
    try:
        taken = receive.receive(message, by=request.user)
    except receive.SomebodyElse:
        return wrong(
            403,
            "somebody else",
            say(
                "This find was made by another member than the one who is signed in. Nothing of it was stored."
            ),
            todo=say("Sign in as the member who made it."),
        )
    except receive.NotTaken as problem:
        troubles = [{"sentence": str(one.sentence), "anchor": one.anchor} for one in problem.troubles]
        return wrong(
            422,
            "refused",
            troubles,
            todo=say("Open the find, correct what is named, and keep it again."),
        )
    except actions.FindChanged as changed:
        return JsonResponse(told.changed_meanwhile(changed, message, request.user), status=409)
    return JsonResponse(told.taken(taken), status=201 if taken.is_new else 200)


@for_phone
@require_http_methods(["GET", "HEAD", "POST"])
def photo(request: HttpRequest, sha256: str) -> HttpResponse:
    """How much of a photo is here, or one part more of it."""
    try:
        about: dict[str, Any] = {
            "sha256": payload.digest_named(sha256),
            "find_id": uuid.UUID(request.GET.get("find", "")),
            "by": request.user,
        }
        if request.method == "POST":
            about |= {name: _count(request.GET.get(name, "")) for name in ("size", "offset")}
            standing = photo_parts.take_part(request.body, view=request.GET.get("view", ""), **about)
        else:
            standing = photo_parts.standing_of(**about)
    except photo_parts.NoFindYet:
        return wrong(
            404,
            "no find yet",
            say("The find of this photo is not on the ledger."),
            todo=say("Send the find first."),
        )
    except photo_parts.OtherPlace as problem:
        return wrong(
            409,
            "other place",
            say(
                "The part does not begin where the photo ends here: {n} bytes of it are here.",
                n=f"{problem.have:,}",
            ),
            kept=say("The photo stays on the phone, what has arrived on the ledger."),
            todo=say("It goes on from there by itself."),
            have=problem.have,
        )
    except photo_parts.CutShort:
        return wrong(
            400,
            "cut short",
            say("Nothing of the part arrived. What had come before is still here."),
            kept=say("The photo stays on the phone."),
            todo=say("It goes on from there by itself."),
        )
    except photo_parts.BytesDiffer:
        return wrong(
            422,
            "bytes differ",
            say("The photo that arrived is not the one that was announced. It was thrown away here."),
            kept=say("The photo stays on the phone."),
            todo=say("It is sent again by itself."),
        )
    except (photo_parts.TooMuch, RequestDataTooBig) as problem:
        return wrong(413, "too big", str(problem), kept=say("The photo stays on the phone."))
    except PhotoRefused as problem:
        why = "refused for good" if problem.is_for_good else "refused"
        return wrong(
            422, why, str(problem), kept=say("The photo stays on the phone, the find on the ledger.")
        )
    except ValueError as problem:
        return wrong(
            400,
            "unreadable",
            say("The request cannot be read: {why}.", why=problem),
            kept=say("The photo stays on the phone."),
        )
    whole = standing.photo
    return JsonResponse(
        {"have": standing.have, "done": whole is not None, "photo": str(whole.pk) if whole else None}
    )


@for_phone
@require_POST
def take_numbers(request: HttpRequest) -> HttpResponse:
    """Reserve a block of collecting numbers for this phone; at a foray's table also for another finder."""
    try:
        asked = payload.parse_object(request.body)
        finder = Member.objects.filter(
            pk=_key(asked.get("member")) or request.user.pk, is_active=True
        ).first()
        if finder is None:
            raise numbers.NumbersRefused(say(numbers.GONE))
        block = numbers.reserve_block(
            finder,
            holder="phone",
            by=request.user,
            many=_key(asked.get("wanted")),
            request_id=uuid.UUID(str(asked.get("request"))),
            phone=_identity(asked.get("phone")),
            label=visible(str(asked.get("phone_name") or ""))[:80],
        )
    except ValueError as problem:  # refused, or not to be read
        return wrong(
            422, "refused", str(problem), todo=say("Numbers are given when the find reaches the ledger.")
        )
    return JsonResponse(
        {"block": str(block.pk), "code": finder.collector_code, "first": block.first, "last": block.last}
    )


@for_phone
@require_POST
def return_numbers(request: HttpRequest, block_id: uuid.UUID) -> HttpResponse:
    """Take a block back; its unused numbers are void."""
    block = NumberBlock.objects.filter(pk=block_id).first()
    if block is None:
        return wrong(
            404,
            "no block",
            say("The ledger has handed out no such numbers."),
            kept=say("Nothing was changed."),
        )
    try:
        asked = payload.parse_object(request.body or b"{}")
        given = asked.get("used", [])
        used = [_key(one) for one in given] if isinstance(given, list) else []
        numbers.return_block(block, by=request.user, used=used)
    except ValueError as problem:
        return wrong(422, "refused", str(problem))
    void = list(block.void_numbers.values_list("serial", flat=True))
    return JsonResponse({"block": str(block.pk), "void": void})


def _key(value: object) -> int:
    """A whole number from JSON that a column holds; 0 for anything else."""
    is_number = isinstance(value, int) and not isinstance(value, bool)
    return value if is_number and 0 <= value <= payload.MOST_INTEGER else 0  # type: ignore[operator,return-value]


def _identity(value: object) -> uuid.UUID | None:
    try:
        return uuid.UUID(str(value))
    except ValueError:
        return None


def _count(text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        raise ValueError("size and offset must be whole numbers")
    return int(text)

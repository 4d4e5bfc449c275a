"""What makes the ledger a program on the phone: its manifest, its service worker, and the pages that are kept whole.

All of it is public and says nothing personal.
"""

import hashlib
import json
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.urls import reverse
from django.utils import translation
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from ledger.languages import asked_language, page_language, script_words_address
from ledger.phone.kept_pages import kept_pages, plan
from ledger.words import say

PAPER = "#faf7f0"  # --paper of variables.css by day; a manifest knows one colour only


@login_not_required
@require_safe
def kept_page(request: HttpRequest, name: str) -> HttpResponse:
    """One of the pages a phone keeps, in the language it asks for. Asked for again, it answers 304 where nothing changed."""
    page = next((page for page in kept_pages() if page.name == name), None)
    if page is None:
        raise Http404
    language = request.GET.get("language", "")
    with translation.override(
        language if language in dict(settings.LANGUAGES) else translation.get_language()
    ):
        return _fresh(request, HttpResponse(page.html()))


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker: a few lines that name the release. Another release is another text, so a browser sees it.

    A browser fetches it without its cookies, so the address says the language.
    """
    with translation.override(asked_language(request)):
        words = script_words_address()
        first = f'import "{words}";\n' if words else ""
        told = json.dumps(plan(), indent=1)
    text = f'{first}import {{ serve }} from "{static("js/phone/worker.js")}";\n\nserve({told});\n'
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8")
    answer["Service-Worker-Allowed"] = "/"
    return _fresh(request, answer)


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """What a phone needs to put the ledger among its programs. It opens with the form, which needs no signal."""
    answer = JsonResponse(_manifest(), content_type="application/manifest+json")
    return _fresh(request, answer)


def _manifest() -> dict[str, Any]:
    return {
        "name": "Bracket Ledger",
        "short_name": "Ledger",
        "description": say("The club's ledger of bracket fungi on dead wood. No guide to eating."),
        "id": "/",
        "scope": "/",
        "start_url": reverse("log-find"),
        "lang": page_language(),
        "dir": "ltr",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            _icon("img/icon-192.png", "192x192"),
            _icon("img/icon-512.png", "512x512"),
            _icon("img/icon-maskable-512.png", "512x512", purpose="maskable"),
            {"src": static("img/favicon.svg"), "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
        ],
    }


def _icon(name: str, sizes: str, purpose: str = "any") -> dict[str, str]:
    return {"src": static(name), "sizes": sizes, "type": "image/png", "purpose": purpose}


def _fresh(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """Kept by a browser, and asked about each time."""
    answer["Cache-Control"] = "no-cache"
    answer["ETag"] = f'"{hashlib.sha256(answer.content).hexdigest()[:32]}"'
    return get_conditional_response(request, etag=answer["ETag"], response=answer) or answer

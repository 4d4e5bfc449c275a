"""The pages a phone keeps whole, and the release they make up together.

A kept page is public, says nothing personal and is the same for everybody: what is personal is filled in on the phone.
The service worker fetches all of them with all they need before it takes up its work, and answers from them where
there is no signal.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.module_loading import import_string
from django.utils.translation import get_language

from ledger import static_tree
from ledger.club.queries import the_club
from ledger.finds.forms import FindForm
from ledger.finds.log_page import LogPage
from ledger.phone.page_files import addresses_of_page
from ledger.static_files import is_collected
from ledger.taxa.queries import vocabulary

NO_SIGNAL = "phone-no-signal"


@dataclass(frozen=True, slots=True)
class KeptPage:
    """A page that opens without a signal.

    `name`: the URL name it is fetched from; `html`: makes it, and is given nothing, so that nothing personal can get
    into it; `answers`: the URL names of the pages whose visits it answers, kept copy first.
    """

    name: str
    html: Callable[[], str]
    answers: tuple[str, ...] = ()


def rendered(template: str, *, here: str = "", context: Mapping[str, Any] | None = None) -> str:
    """Render a kept page. Without a request there is no member, no mark against forgery and no message to be seen.

    `here`: the URL name under which the menu knows the page.
    """
    about = {"is_kept_page": True, "kept_here": here, "club": the_club()}
    return render_to_string(template, {**(context or {}), **about})


def form_html() -> str:
    """The log form as it is for everybody: no number, no forays, no day, no names of the reference."""
    context = LogPage.for_everybody().context | {"known_names": (), "host_names": ()}
    return rendered("finds/log.html", here="log-find", context=context)


def outbox_html() -> str:
    return rendered("phone/outbox.html", here="phone-outbox")


def table_html() -> str:
    """The foray's table as it is for everybody: no people, no forays, no finds."""
    boxes = FindForm.base_fields
    context = {
        "substrates": vocabulary().traits["substrate_state"].states,
        "fruit_bodies": boxes["fruit_bodies"],
        "serial": boxes["serial"],
    }
    return rendered("phone/table.html", here="phone-table", context=context)


def no_signal_html() -> str:
    return rendered("phone/no_signal.html")


# One line per page of the ledger that opens without a signal.
KEPT_PAGES: tuple[KeptPage, ...] = (
    KeptPage("phone-form", form_html, answers=("log-find",)),
    KeptPage("phone-outbox", outbox_html),
    KeptPage("phone-table", table_html),
    KeptPage(NO_SIGNAL, no_signal_html),
)


def kept_pages() -> tuple[KeptPage, ...]:
    """Those of the ledger, and those of apps it does not know, which the settings name."""
    return (*KEPT_PAGES, *(import_string(name) for name in settings.KEPT_PAGES_ELSEWHERE))


def plan() -> dict[str, Any]:
    """Return what the service worker is told, of the pages in the language that is active.

    `language`: that one, in which the pages are asked for; `release`: names exactly these pages with exactly these
    files; `pages`: their addresses and the SHA-256 of their HTML; `files`: the addresses of all static files they need;
    `answers`: the path of a visit -> the address of the kept page that answers it; `no_signal`: what stands in for any
    other page; `static`: where files lie; `hashed`: whether the address of a file changes with its content.
    """
    kept = kept_pages()
    texts = tuple(page.html() for page in kept)
    files = _files_of(texts) if is_collected() else _files_of.__wrapped__(texts)
    told: dict[str, Any] = {
        "language": get_language(),
        "pages": {
            reverse(page.name): hashlib.sha256(text.encode()).hexdigest()
            for page, text in zip(kept, texts, strict=True)
        },
        "files": list(files),
        "answers": {reverse(name): reverse(page.name) for page in kept for name in page.answers},
        "no_signal": reverse(NO_SIGNAL),
        "static": settings.STATIC_URL,
        "hashed": is_collected(),
    }
    digest = hashlib.sha256(json.dumps(told, sort_keys=True).encode())
    if not is_collected():
        digest.update(static_tree.digest_of_all())
    return {"release": digest.hexdigest()[:16]} | told


@lru_cache(maxsize=8)
def _files_of(texts: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(address for text in texts for address in addresses_of_page(text)))

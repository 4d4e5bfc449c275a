"""What the list of finds tells of a search: phrases, words and ways as one part of a sentence."""

from collections.abc import Sequence
from typing import Protocol

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from ledger.words import say

register = template.Library()


class _Word(Protocol):
    """A word that was looked for (`ledger.search.terms.WordTerm`)."""

    word: str


@register.filter
def phrases_told(phrases: Sequence[str]) -> SafeString:
    """`found in May`, `found in May, and named Stereum`: what a search was understood as, each phrase kept together."""
    marked = [format_html('<span class="list-of__phrase">{}</span>', phrase) for phrase in phrases]
    if len(marked) < 2:
        return _listed(marked)
    return format_html(say("{first}, and {last}"), first=_listed(marked[:-1]), last=marked[-1])


@register.filter
def words_quoted(terms: Sequence[_Word]) -> str:
    """`“birch”, “Hollin”`: the words that were looked for."""
    return ", ".join(_quoted(term.word) for term in terms)


@register.filter
def ways_offered(ways: Sequence[tuple[str, str, bool]]) -> SafeString:
    """Links to what may have been meant: (query, text, whether it is a name)."""
    links = [
        format_html(
            '<a href="?{}">{}</a>', query, format_html("<i>{}</i>", text) if is_name else _quoted(text)
        )
        for query, text, is_name in ways
    ]
    if len(links) < 2:
        return _listed(links)
    return format_html(say("{first} or {last}"), first=_listed(links[:-1]), last=links[-1])


def _listed(pieces: Sequence[SafeString]) -> SafeString:
    return format_html_join(", ", "{}", ((piece,) for piece in pieces))


def _quoted(word: str) -> str:
    return say("“{word}”", word=word)

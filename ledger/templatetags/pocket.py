"""How a pocket sheet says things on screen: marks by shape and word, Latin names within a text in italics."""

from collections.abc import Collection

from django import template
from django.utils.html import conditional_escape, format_html, format_html_join
from django.utils.safestring import SafeString

from ledger.paper.pocket import PairLine, Pocket
from ledger.paper.text import Pieces, clean, italicised
from ledger.words import later

register = template.Library()

_MARKS = {
    "most": ("●", later("half or more of its sources")),
    "some": ("○", later("fewer than half of its sources")),
    "none": ("", later("none of its sources")),
    "unknown": ("·", later("no source says")),
}


@register.filter
def pocket_mark(mark: str) -> SafeString:
    """The sign of a mark for the eye and its words for the ear."""
    sign, words = _MARKS[mark]
    return format_html(
        '<span aria-hidden="true">{}</span><span class="visually-hidden">{}</span>', sign, words
    )


@register.filter
def latin_in(text: str, names: Collection[str]) -> SafeString:
    """The text with every one of the names in italics."""
    return _html(italicised(clean(text), names))


@register.simple_tag
def pair_text(pair: PairLine, pocket: Pocket) -> SafeString:
    """What parts two taxa, their epithets and all names of the reference in italics."""
    return _html(italicised(clean(pair.text), {*pocket.latin, *pair.epithets}))


def _html(pieces: Pieces) -> SafeString:
    return format_html_join(
        "",
        "{}",
        ((format_html("<i>{}</i>", text) if latin else conditional_escape(text),) for text, latin in pieces),
    )

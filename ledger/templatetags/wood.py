"""Words about the wood of a find."""

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from ledger.finds import tables, wood_words
from ledger.finds.models import Find

register = template.Library()


@register.filter
def on_the_wood(find: Find) -> str:
    return wood_words.on_the_wood(find.wood_position, find.height_m, find.diameter_cm)


@register.filter
def host_set(host: str) -> SafeString | str:
    """A host as it is set: a Latin name in italics, a common name upright."""
    return format_html("<i>{}</i>", host) if wood_words.host_is_latin(host, tables.host_genera()) else host

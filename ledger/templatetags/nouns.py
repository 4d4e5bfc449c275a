"""A word in the middle of a sentence: its first letter as the reader's language writes it there."""

from django import template
from django.utils.translation import get_language

register = template.Library()


@register.filter
def lowered(word: object) -> str:
    """*word* in lower case, but left as it is in German, whose nouns keep their capital letter."""
    text = str(word)
    return text if (get_language() or "").startswith("de") else text.lower()

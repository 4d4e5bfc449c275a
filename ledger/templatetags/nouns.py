"""Words in the middle of a sentence of a template."""

from django import template

from ledger import words
from ledger.words import Said

register = template.Library()


@register.filter
def lowered(word: object) -> Said:
    """`{{ trait.label|lowered }}`: small letters in English, as the catalogue has it in other languages."""
    return words.lowered(word if isinstance(word, str) else str(word))

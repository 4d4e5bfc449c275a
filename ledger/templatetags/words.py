"""Words of the tables in the reader's language. In every template, without `{% load %}`.

{{ trait.label|said }}      a word of a table (fixtures/traits.json …), or what was said in Python
"""

from django import template

from ledger.words import Said, say

register = template.Library()


@register.filter
def said(text: str | None) -> Said | str:
    return say(text) if text else ""

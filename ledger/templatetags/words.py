"""Words in the reader's language. In every template, without `{% load %}`.

{{ trait.label|said }}      a word of a table (fixtures/traits.json …), or what was said in Python
{% page_language %}         of the page, as its html tag says it
{% language_asked %}        of the page, as a query that asks for something in it
{% script_words %}          has the browser fetch the words that scripts say, where they are not English
"""

import re
from datetime import date as Day

from django import template
from django.conf import settings
from django.template.defaultfilters import date
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from ledger.days import short_month_text
from ledger.languages import language_asked, page_language, script_words_address
from ledger.words import Said, say

register = template.Library()
_DAY_BEFORE_MONTH = re.compile(r"\bj ([FM])\b")


@register.filter
def said(text: str | None) -> Said | str:
    return say(text) if text else ""


register.simple_tag(page_language)
register.simple_tag(language_asked)


@register.simple_tag
def own_languages() -> list[tuple[str, str]]:
    """Code and name of each language of the screens, each by what it calls itself, whatever the page is in."""
    return list(settings.LANGUAGES)


@register.simple_tag
def script_words() -> SafeString | str:
    """A script that runs before all modules, since it stands above them and waits for the page as they do."""
    address = script_words_address()
    return format_html('<script src="{}" defer></script>', address) if address else ""


@register.filter(name="date", expects_localtime=True, is_safe=False)
def date_in_words(value: object, form: str | None = None) -> str:
    """As Django's own, in the ledger's own time; a day before its month has a full stop where the language writes it so, and
    the month is short as `ledger/days.py` has it."""
    if form and isinstance(value, Day) and (get_language() or "").startswith("de"):
        form = _DAY_BEFORE_MONTH.sub(r"j. \1", form)
        form = form.replace("M", re.sub("(.)", r"\\\1", str(short_month_text(value.month))))
    return date(value, form)

"""The range strip as a template tag. It draws what it is given and decides nothing.

    {% load strips %}
    {% range_strip strip %}

`strip` is a `ledger.traits.strip.Strip`, made in the view by `strip_for(reference, trait, taxa, ...)`; None draws
nothing. The page loads `css/strip.css`.
"""

from django import template

from ledger.traits.strip import Strip

register = template.Library()


@register.inclusion_tag("finds/_range_strip.html")
def range_strip(strip: Strip | None) -> dict[str, Strip | None]:
    return {"strip": strip}

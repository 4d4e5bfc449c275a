"""Names in pieces: what is Latin and stands in italics, what is upright, what is an author and smaller.

{% load names %}
{% for piece in determination.name_typed|name_pieces %}…{% endfor %}
"""

from collections.abc import Sequence

from django import template

from ledger.names.errors import TaxonNameError
from ledger.names.format import NamePart, styled_parts
from ledger.names.parse import parse_name

register = template.Library()


@register.filter
def name_pieces(typed: str) -> Sequence[NamePart]:
    """The runs of a typed name. What cannot be taken apart is shown as it was typed, upright."""
    try:
        return styled_parts(parse_name(typed))
    except TaxonNameError:
        return (NamePart(typed, "mark", False),)

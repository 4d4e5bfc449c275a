"""Names in pieces: what is Latin and stands in italics, what is upright, what is an author and smaller.

{% load names %}
{% with cited=determination|cited_name %}{% for piece in cited.whole %}…{% endfor %}{% endwith %}
"""

from django import template

from ledger.bench.models import Determination
from ledger.names.authority import CitedName, cite

register = template.Library()


@register.filter
def cited_name(determination: Determination) -> CitedName:
    """The name of a determination with the author that is true of it, and the accepted name where it is another."""
    taxon = determination.taxon
    if taxon is None:
        return cite(determination.name_typed)
    return cite(determination.name_typed, accepted=taxon.name, accepted_authority=taxon.authority)

"""Names in pieces: what is Latin and stands in italics, what is upright, what is an author and smaller.

{% load names %}
{% with cited=determination|cited_name %}{% for piece in cited.whole %}…{% endfor %}{% endwith %}
"""

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from ledger.bench.models import Determination
from ledger.names.authority import CitedName, cite
from ledger.taxa.models import Taxon
from ledger.taxa.queries import names_in

register = template.Library()


@register.filter
def cited_name(determination: Determination) -> CitedName:
    """The name of a determination with the author that is true of it, and the accepted name where it is another."""
    taxon = determination.taxon
    if taxon is None:
        return cite(determination.name_typed)
    return cite(determination.name_typed, accepted=taxon.name, accepted_authority=taxon.authority)


@register.simple_tag(takes_context=True)
def local_name(context: Context, taxon: Taxon | None) -> SafeString | str:
    """The club's own name of a taxon in the reader's language, small beside the Latin one; nothing in English, whose names
    the reference has. One query a page."""
    request = context.get("request")
    language = (get_language() or "en").partition("-")[0]
    if taxon is None or request is None or language == "en":
        return ""
    if not hasattr(request, "local_names"):
        request.local_names = names_in(language)
    name = request.local_names.get(taxon.pk)
    return format_html(' <span class="taxon__local soft small">{}</span>', name) if name else ""

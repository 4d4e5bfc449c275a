"""A script with all it imports: the browser fetches the whole tree at once, not level by level.

{% load modules %}
{% block preload %}{% module_tree "js/log/log.js" %}{% endblock %}
{% block scripts %}<script type="module" src="{% static 'js/log/log.js' %}"></script>{% endblock %}
"""

from django import template
from django.templatetags.static import static
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from ledger.static_tree import modules_of

register = template.Library()


@register.simple_tag
def module_tree(*names: str) -> SafeString:
    """Links that fetch these modules and all they import, each once, as found by reading them."""
    tree = dict.fromkeys(one for name in names for one in modules_of(name))
    return format_html_join("\n  ", '<link rel="modulepreload" href="{}">', ((static(one),) for one in tree))
